package main

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var updateAlign = flag.Bool("update", false, "rewrite the golden files of this package")

const alignFolder = moduleRoot + "/testdata/calc/align"

// TestCalcAlign holds the whole answer. The pair was made with a lag of 83.4 s and an
// error of 2.1 %, its reference without averaging and its meter with a trailing mean of 30 s.
func TestCalcAlign(t *testing.T) {
	file := func(name string) string { return filepath.Join(alignFolder, name) }
	code, got := inside(t, nil, "", "calc", "align", "--reference", file("reference.csv"), "--meter", file("meter.csv"), "--map", file("map.json"))
	wantRun(t, code, got, 0)
	if *updateAlign {
		if err := os.WriteFile(file("answer.json"), []byte(got.out), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file("answer.json"))
	if err != nil {
		t.Fatal(err)
	}
	if got.out != string(want) {
		t.Errorf("got  %s\nwant %s", got.out, want)
	}
	var a alignAnswer
	if err := json.Unmarshal([]byte(got.out), &a); err != nil {
		t.Fatal(err)
	}
	if d := *a.Lag - 83.4; !a.Found || d > *a.Uncertainty || d < -*a.Uncertainty || *a.Uncertainty > 10 {
		t.Errorf("lag %g ± %g", *a.Lag, *a.Uncertainty)
	}
	if len(a.Stretches) != 4 || len(a.Dropped.Reference) != 1 || len(a.Dropped.Meter) != 0 {
		t.Fatalf("%d stretches, dropped %v", len(a.Stretches), a.Dropped)
	}
	for _, s := range a.Stretches {
		if d := s.Error - 2.1; d > 1.5**s.Expanded || d < -1.5**s.Expanded {
			t.Errorf("%s: error %g ± %g", s.From, s.Error, *s.Expanded)
		}
	}
}

func TestCalcAlignRefuses(t *testing.T) {
	folder := place(t)
	doubtful := filepath.Join(folder, "doubtful.csv")
	if err := os.WriteFile(doubtful, []byte("Time,Flow L/s\n03/04/2026 10:00:00,20\n03/04/2026 10:00:01,20\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	good := filepath.Join(alignFolder, "meter.csv")
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"a doubtful date":  {[]string{"--reference", good, "--meter", doubtful}, `"field":"meter.date_order","code":"logfile.ask-date-order"`},
		"no file":          {[]string{"--reference", good, "--meter", filepath.Join(folder, "none.csv")}, `"field":"meter","code":"logfile.unreadable"`},
		"a map of nothing": {[]string{"--reference", good, "--meter", good, "--map", doubtful}, `"field":"map","code":"logfile.bad-map"`},
		"half a question":  {[]string{"--reference", good}, "--meter"},
	} {
		t.Run(name, func(t *testing.T) {
			code, got := inside(t, nil, "", append([]string{"calc", "align"}, c.args...)...)
			wantRun(t, code, got, 2, c.says)
		})
	}
}
