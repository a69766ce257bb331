package main

import "log/slog"

// log is the program's log on standard error. least is the level where none was set.
func (p *program) log(c Config, least slog.Level) *slog.Logger {
	level := least
	if c.LogLevel != "" {
		_ = level.UnmarshalText([]byte(c.LogLevel)) // its form was checked with the setting
	}
	options := &slog.HandlerOptions{Level: level}
	if c.LogFormat == "json" {
		return slog.New(slog.NewJSONHandler(p.err, options))
	}
	return slog.New(slog.NewTextHandler(p.err, options))
}
