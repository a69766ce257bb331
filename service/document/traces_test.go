package document_test

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"strings"
	"testing"

	"rillmark/domain/certificate"
	"rillmark/service/document"
)

// logged is a certificate with two pairs of loggers' records.
func logged(t testing.TB) certificate.Snapshot {
	s := cases[0].make(t)
	s.Company.Mark = base64.StdEncoding.EncodeToString(mark(t, 1401, 40)) // as wide as the first picture would be
	file := func(name string, lag float64) certificate.LogFile {
		f := certificate.LogFile{Name: name, SHA256: strings.Repeat("4b", 32)}
		for i := range 200 {
			flow := 20 + float64(i/50)*5
			f.Drawn = append(f.Drawn, fmt.Sprintf("%g 9 %g %g %g", float64(10*i)+lag, flow-0.1, flow+0.1, flow))
		}
		return f
	}
	one := certificate.Trace{Indication: "Display", Reference: file("reference.csv", 0), Meter: file("meter.csv", 2), How: "signals",
		Lag: &certificate.Figure{Printed: "83.8", Unit: "s"}, U: &certificate.Figure{Printed: "4.4", Unit: "s"}, Unit: "m³/h",
		From: certificate.Moment{Printed: "18 June 2026, 09:00", At: "2026-06-18T08:00:00Z"}, To: certificate.Moment{Printed: "18 June 2026, 09:33", At: "2026-06-18T08:33:20Z"},
		Error: []string{"0 1.2", "400 1.1", "800 0.9", "1200 1.3", "1600 1.0"},
		Stretches: []certificate.Stretch{{From: "100", To: "450", Phase: "before", Run: 1}, {From: "600", To: "900", Reason: "air in the pipe"},
			{From: "1100", To: "1400", Phase: "before", Run: 2}}}
	other := one
	other.Indication, other.How, other.Lag, other.U = "Current output", "signals", nil, nil
	s.Traces = []certificate.Trace{one, other}
	return s
}

func TestLoggedRecordsAreShown(t *testing.T) {
	s := logged(t)
	pages := pageText(t, render(t, s))
	for _, want := range []string{"Logged records, Display", "Logged records, Current output", "83.8", "as the changes of the flow in both records tell",
		"No lag between the clocks could be told", "reference.csv", s.Traces[0].Meter.SHA256, "Set aside, from 09:10:00 on: air in the pipe"} {
		if !strings.Contains(squeezed(pages), want) {
			t.Errorf("the pages do not say %q", want)
		}
	}
	s.Traces[0].How, s.Traces[0].Reason = "nudged", "the steps lie better so"
	if pages := squeezed(pageText(t, render(t, s))); !strings.Contains(pages, "set by hand: the steps lie better so.") {
		t.Error("it is not said who set the lag and why")
	}
}

func squeezed(text string) string { return strings.Join(strings.Fields(text), " ") }

// Pictures of the same width would come in no fixed order, so that the same snapshot gave
// other bytes.
func TestPicturesComeInAFixedOrder(t *testing.T) {
	s := logged(t)
	first := render(t, s)
	for range 5 {
		again, err := document.Render(s)
		if err != nil || !bytes.Equal(first, again) {
			t.Fatalf("other bytes, %v", err)
		}
	}
}
