package main

import (
	"context"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"syscall"
	"time"
)

// Time-outs of a connection. A slow sender must not hold a place for ever; a certificate
// over a thin line must still get through. Common practice, no source.
const (
	readHeaderTimeout = 5 * time.Second
	readTimeout       = 60 * time.Second
	writeTimeout      = 90 * time.Second
	idleTimeout       = 2 * time.Minute
	headerLimit       = 32 << 10
	stopPatience      = 10 * time.Second // for requests that are being answered
)

// server is the HTTP server.
type server struct {
	http *http.Server
}

func newServer(h http.Handler, log *slog.Logger) *server {
	return &server{&http.Server{
		Handler: h, ReadHeaderTimeout: readHeaderTimeout, ReadTimeout: readTimeout, WriteTimeout: writeTimeout,
		IdleTimeout: idleTimeout, MaxHeaderBytes: headerLimit, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}}
}

// listen takes the address, and says plainly when another program has it.
func listen(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, portTaken.At("", address)
	case err != nil:
		return nil, addressUnusable.At("", address, err.Error())
	}
	return l, nil
}

// start serves in the background; the channel gets what ended it.
func (s *server) start(l net.Listener) <-chan error {
	ended := make(chan error, 1)
	go func() { ended <- s.http.Serve(l) }()
	return ended
}

// unlessAsked drops the error of a start that a signal broke off: to end when asked is no
// failure, however early it comes.
func unlessAsked(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return nil
	}
	return err
}

// untilDone waits for the signal to stop, lets requests finish, and returns; or returns
// early when the server or the database under it ends by itself.
func (s *server) untilDone(ctx context.Context, running <-chan error, died <-chan struct{}, log string) error {
	var why error
	select {
	case <-ctx.Done():
	case err := <-running:
		return err
	case <-died:
		why = databaseDied.At("", log)
	}
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopPatience)
	defer cancel()
	if err := s.http.Shutdown(stop); err != nil {
		s.http.Close() // who still waits after this long is cut off
	}
	return why
}
