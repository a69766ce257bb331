package main

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"time"
)

// healthPath is the page that answers whether the server and its database are there.
const healthPath = "/healthz"

const healthPatience = 3 * time.Second

func healthCommand() command {
	return command{
		words: "health", does: "ask a running server whether it and its database are there",
		settings: []string{"listen"},
		run:      runHealth,
	}
}

func runHealth(ctx context.Context, p *program, c *call) error {
	host, port, err := net.SplitHostPort(c.config.Listen)
	if err != nil {
		return usage(settingMalformed.At("", "--listen", c.config.Listen, "HOST:PORT"))
	}
	if listensEverywhere(c.config.Listen) {
		host = "127.0.0.1"
	}
	at := "http://" + net.JoinHostPort(host, port) + healthPath
	if err := askHealth(ctx, at); err != nil {
		return notHealthy.At("", at, err.Error())
	}
	fmt.Fprintln(p.out, "ok")
	return nil
}

func askHealth(ctx context.Context, at string) error {
	ctx, cancel := context.WithTimeout(ctx, healthPatience)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, at, nil)
	if err != nil {
		return err
	}
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("it answered %s", answer.Status)
	}
	return nil
}
