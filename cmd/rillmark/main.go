// Command rillmark is the program: the demo, the server, and the acts of whoever runs it.
// Each subcommand has a file of its own. This package is the sole reader of the
// environment, the clock, the randomness and the signals, which everything below is given;
// it decides no rule of the business.
package main

import (
	"context"
	"crypto/rand"
	"os"
	"os/signal"
	"syscall"
	"time"
	_ "time/tzdata" // sites have time zones, and a bare machine or image knows none

	"github.com/google/uuid"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	go func() { // a second signal ends the program at once
		<-ctx.Done()
		stop()
	}()
	p := program{
		in: os.Stdin, out: os.Stdout, err: os.Stderr, environ: os.Environ(), root: os.Geteuid() == 0,
		ids: func() uuid.UUID { return uuid.Must(uuid.NewV7()) }, random: rand.Reader, now: time.Now,
	}
	os.Exit(p.run(ctx, os.Args[1:]))
}
