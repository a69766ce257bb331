package plot_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"rillmark/service/plot"
)

func TestTimeTicks(t *testing.T) {
	for _, tt := range []struct {
		zone, from, to string
		about          int
		want           string
	}{
		{"UTC", "2026-03-24T08:00:47Z", "2026-03-24T08:45:37Z", 6, "08:10 08:20 08:30 08:40"},
		{"Europe/Berlin", "2026-03-24T08:00:47Z", "2026-03-24T08:45:37Z", 6, "09:10 09:20 09:30 09:40"},
		{"Asia/Kolkata", "2026-03-24T08:00:00Z", "2026-03-24T11:00:00Z", 4, "14:00 15:00 16:00"},
		{"UTC", "2026-03-24T08:00:01Z", "2026-03-24T08:00:12Z", 6, "08:00:02 08:00:04 08:00:06 08:00:08 08:00:10 08:00:12"},
		{"UTC", "2026-03-24T22:00:00Z", "2026-03-25T03:00:00Z", 5, "22:00 23:00 25 Mar 01:00 02:00 03:00"},
		{"UTC", "2026-03-24T12:00:00Z", "2026-04-03T12:00:00Z", 5, "26 Mar 28 Mar 30 Mar 1 Apr 3 Apr"},
		// The clock is put forward at 01:00 UTC on 29 March 2026 and back on 25 October 2026
		// (Directive 2000/84/EC: last Sundays of March and October).
		{"Europe/Berlin", "2026-03-28T21:00:00Z", "2026-03-29T11:00:00Z", 5, "29 Mar 03:00 06:00 09:00 12:00"},
		{"Europe/Berlin", "2026-10-24T21:00:00Z", "2026-10-25T12:00:00Z", 6, "25 Oct 03:00 06:00 09:00 12:00"},
	} {
		zone, err := time.LoadLocation(tt.zone)
		if err != nil {
			t.Fatal(err)
		}
		var texts []string
		s := plot.Scale{Lo: unix(t, tt.from), Hi: unix(t, tt.to)}
		for _, tick := range s.TimeTicks(tt.about, zone) {
			texts = append(texts, tick.Text)
		}
		if got := strings.Join(texts, " "); got != tt.want {
			t.Errorf("%s to %s in %s: %q, want %q", tt.from, tt.to, tt.zone, got, tt.want)
		}
	}
}

func unix(t *testing.T, text string) float64 {
	t.Helper()
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		t.Fatal(err)
	}
	return float64(at.Unix())
}

// steps is a channel with a sample each second at levels of ten minutes, with a gap.
func steps(from float64, lag, factor float64) (spans []plot.Span) {
	levels := []float64{72, 112, 90, 122}
	for n := range 240 {
		if n > 180 && n < 195 {
			continue
		}
		at := from + float64(n)*10 + lag
		level := levels[n/60]*factor + math.Sin(float64(n)*7)
		spans = append(spans, plot.Span{From: at, To: at + 9, Low: level - 1, High: level + 1, Mean: level})
	}
	return spans
}

func traces() plot.Traces {
	from := 1774339247.0 // 2026-03-24 08:00:47 UTC
	c := plot.Traces{Reference: steps(from, 0, 1), Meter: steps(from, 4, 1.02), Flow: "Flow, m³/h", Percent: "Error, %",
		ReferenceText: "reference", MeterText: "meter", Label: "Flow over time <reference & meter>",
		Stretches: []plot.Stretch{{From: from + 60, To: from + 540, Text: "run 1"}, {From: from + 660, To: from + 1100, Open: true}}}
	for i, r := range c.Reference {
		e := 100 * (c.Meter[i].Mean/r.Mean - 1)
		c.Error = append(c.Error, plot.Span{From: r.From, To: r.To, Low: e, High: e, Mean: e})
	}
	return c
}

func TestTracesAsSVG(t *testing.T) {
	got := traces().Draw(640, 320, 13, 1.2).SVG() + "\n"
	path := filepath.Join(golden, "traces.svg")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the traces are not those of %s", path)
	}
	for _, banned := range []string{"style=", "<style", "<script", "#", "rgb("} {
		if strings.Contains(got, banned) {
			t.Errorf("the SVG holds %q", banned)
		}
	}
	wellFormed(t, got)
}

// TestTracesBreakAtAGap: each channel is two lines, before and after the time in which
// nothing was logged.
func TestTracesBreakAtAGap(t *testing.T) {
	count := map[plot.Shape]int{}
	for _, m := range traces().Draw(640, 320, 13, 1.2).Marks {
		count[m.Shape]++
	}
	// two parts and one sample of the key for the reference; two parts each of meter and error, and the key
	if count[plot.Broad] != 3 || count[plot.Thread] != 5 {
		t.Errorf("%d broad and %d thin lines", count[plot.Broad], count[plot.Thread])
	}
	if count[plot.Bracket] != 3+4 {
		t.Errorf("%d lines of brackets: the second must be broken", count[plot.Bracket])
	}
}

// TestTracesStayOnTheDrawing: also where there is nothing, one sample, no change, or only a
// part is drawn.
func TestTracesStayOnTheDrawing(t *testing.T) {
	part := traces()
	part.From, part.To = part.Reference[40].From, part.Reference[50].To
	for name, c := range map[string]plot.Traces{
		"nothing":    {},
		"one sample": {Reference: []plot.Span{{From: 1e9, To: 1e9, Low: 3, High: 3, Mean: 3}}},
		"no change":  {Reference: []plot.Span{{From: 1e9, To: 1e9, Low: 3, High: 3, Mean: 3}, {From: 1e9 + 1, To: 1e9 + 1, Low: 3, High: 3, Mean: 3}}},
		"no flow":    {Meter: []plot.Span{{From: 1e9, To: 1e9}, {From: 1e9 + 1, To: 1e9 + 1}}},
		"no error":   {Reference: traces().Reference, Error: []plot.Span{{From: 1774339247, To: 1774339248, Mean: math.NaN()}}},
		"a part":     part,
	} {
		for _, m := range c.Draw(174, 70, 2.9, 0.2).Marks {
			for _, p := range append([][2]float64{{m.X, m.Y}, {m.X2, m.Y2}}, m.Points...) {
				if !(p[0] >= -0.01 && p[0] <= 175 && p[1] >= -0.01 && p[1] <= 70.01) {
					t.Fatalf("%s: %+v lies off the drawing", name, m)
				}
			}
		}
	}
}

func TestTracesAsPicture(t *testing.T) {
	font, err := os.ReadFile("../document/layout1/font/barlow-semi-condensed-400.ttf")
	if err != nil {
		t.Fatal(err)
	}
	picture, err := traces().Draw(174, 80, 2.9, 0.25).PNG(150/25.4, font, font)
	if err != nil {
		t.Fatal(err)
	}
	if folder := os.Getenv("RILLMARK_LOOK"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, "traces.png"), picture, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
