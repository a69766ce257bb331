package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/evaluation"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/document"
	"rillmark/service/recheck"
	"rillmark/service/store"
)

func recheckCommand() command {
	return command{
		words: "recheck", does: "look whether everything that was stated is still as it was",
		more: "It reads stored files against their hashes, certificate numbers, the audit trail, the work\n" +
			"sheets against what was evaluated, and every issued result against the same facts evaluated\n" +
			"again. It reads as the reading role and changes nothing. Findings come one a line; it ends\n" +
			"with 1 when there are any. Remarks, such as other digits beyond the printed ones, are none.",
		settings: []string{"database-url", "database-password-file"},
		own: func(f *flag.FlagSet) {
			f.Bool("json", false, "write one JSON object a line, the summary last")
			f.Bool("draw", false, "draw each document again that this version drew, and compare its bytes")
			f.Bool("quiet", false, "do not tell how far it is")
		},
		run: runRecheck,
	}
}

func runRecheck(ctx context.Context, p *program, c *call) error {
	url, err := p.address("database-url", c.config.DatabaseURL, "database-password-file", c.config.DatabasePasswordFile)
	if err != nil {
		return err
	}
	db, err := store.Open(ctx, store.Config{URL: url, Role: store.Reader, IDs: p.ids})
	if err != nil {
		return err
	}
	defer db.Close()
	if err := upToDate(ctx, db); err != nil {
		return err
	}
	say := recheckWords{p: p, json: c.yes("json"), say: sayer(), last: p.now()}
	sheets := capture.New(capture.Config{Store: db, IDs: p.ids})
	traces := tracing.New(tracing.Config{Store: db, IDs: p.ids, Capture: sheets})
	config := recheck.Config{Store: db, Version: programVersion(), Report: say.finding,
		Observed: func(ctx context.Context, f evaluation.Facts) (evaluation.Facts, error) {
			return sheets.Reread(ctx, access.System("recheck"), f)
		},
		Decoded: func(ctx context.Context, id domain.SeriesID) (*fault.Fault, error) {
			return traces.DecodeAgain(ctx, access.System("recheck"), id)
		}}
	if c.yes("draw") {
		config.Render = document.Render
	}
	if !c.yes("quiet") {
		config.Progress = say.progress
	}
	sum, err := recheck.Run(ctx, config)
	if err != nil {
		return err
	}
	say.summary(sum)
	if sum.Findings > 0 {
		return recheckFound.At("", sum.Findings)
	}
	return nil
}

// recheckWords writes what the check has to say.
type recheckWords struct {
	p    *program
	json bool
	say  func(fault.Fault) string
	last time.Time
}

// recheckLine is a finding as JSON has it.
type recheckLine struct {
	In      string         `json:"in"`
	Code    string         `json:"code"`
	Values  map[string]any `json:"values"`
	Message string         `json:"message"`
	Remark  bool           `json:"remark"`
}

func (w *recheckWords) finding(f recheck.Finding) {
	if w.json {
		w.line(recheckLine{f.Field, f.Code.Name(), f.Values(), w.say(f.Fault), f.Remark})
		return
	}
	kind := ""
	if f.Remark {
		kind = "remark: "
	}
	fmt.Fprintf(w.p.out, "%s%s: %s\n", kind, f.Field, w.say(f.Fault))
}

// progress says how far it is, not oftener than people want to read.
func (w *recheckWords) progress(part string, done int) {
	if now := w.p.now(); now.Sub(w.last) >= 5*time.Second {
		w.last = now
		fmt.Fprintf(w.p.err, "rillmark: %s: %d\n", part, done)
	}
}

func (w *recheckWords) summary(s recheck.Summary) {
	if w.json {
		w.line(map[string]any{"summary": map[string]any{
			"newest_event": s.Head.Seq, "hash": s.Head.Hash, "files": s.Files, "series": s.Series, "rows": s.Rows, "evaluations": s.Evaluations, "certificates": s.Certificates,
			"drawn": s.Drawn, "same": s.Same, "digits_differ": s.Digits, "printed_differ": s.Printed, "verdict_differs": s.Verdict, "findings": s.Findings}})
		return
	}
	fmt.Fprintf(w.p.out, "newest event %d\nhash %s\n", s.Head.Seq, s.Head.Hash)
	fmt.Fprintf(w.p.out, "%d files, %d logged series, %d rows, %d evaluations, %d certificates, %d documents drawn again\n", s.Files, s.Series, s.Rows, s.Evaluations, s.Certificates, s.Drawn)
	fmt.Fprintf(w.p.out, "issued results worked out again: %d the same, %d differ in digits not printed, %d in a printed value, %d in a verdict\n",
		s.Same, s.Digits, s.Printed, s.Verdict)
	if s.Findings == 0 {
		fmt.Fprintln(w.p.out, "whole")
	}
}

func (w *recheckWords) line(v any) {
	e := json.NewEncoder(w.p.out)
	e.SetEscapeHTML(false)
	_ = e.Encode(v) // maps and structs of plain values; a broken pipe has nobody to be told
}
