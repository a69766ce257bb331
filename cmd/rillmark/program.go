package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"

	"rillmark/domain"
)

// What the program ends with.
const (
	exitDone   = 0
	exitFailed = 1 // it was tried and did not work
	exitUsage  = 2 // it was not understood
)

// program is the world outside as the subcommands see it.
type program struct {
	in       io.Reader
	out, err io.Writer
	environ  []string
	root     bool
	ids      domain.IDs
	random   io.Reader
	now      func() time.Time
}

// errUsage marks errors in how the program was called.
var errUsage = errors.New("usage")

// errSaid ends the program with failure when everything has been said.
var errSaid = errors.New("said")

// run does what the arguments say and returns the exit code.
func (p *program) run(ctx context.Context, args []string) int {
	err := p.dispatch(ctx, args)
	var own exitCode
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &own):
		return int(own)
	case errors.Is(err, errSaid):
		return exitFailed
	}
	p.complain(err)
	if errors.Is(err, errUsage) {
		return exitUsage
	}
	return exitFailed
}

// exitCode is the code of a subcommand that has its own.
type exitCode int

func (c exitCode) Error() string { return fmt.Sprintf("exit code %d", int(c)) }

func (p *program) dispatch(ctx context.Context, args []string) error {
	if len(args) == 0 {
		p.help()
		return exitCode(exitUsage)
	}
	if args[0] == "-h" || args[0] == "--help" {
		args[0] = "help"
	}
	c, rest, found := lookUpCommand(args)
	if !found {
		return usage(unknownCommand.At("", strings.Join(args[:min(2, len(args))], " ")))
	}
	call := newCall(c)
	set := call.flags
	err := set.Parse(rest)
	if errors.Is(err, flag.ErrHelp) {
		p.helpFor(c)
		return nil
	}
	if err != nil {
		return usage(flagsWrong.At("", c.words, plainFlagError(err)))
	}
	if set.NArg() > c.most {
		return usage(tooMany.At("", c.words, set.Arg(c.most)))
	}
	if call.config, err = p.load(c, call); err != nil {
		return err
	}
	return c.run(ctx, p, call)
}

// plainFlagError writes flags with two dashes, as everywhere else here.
func plainFlagError(err error) string {
	return strings.NewReplacer(": -", ": --", "for flag -", "for flag --", "argument: -", "argument: --").Replace(err.Error())
}

func usage(err error) error { return fmt.Errorf("%w: %w", errUsage, err) }
