package plot_test

import (
	"strings"
	"testing"
	"time"

	"rillmark/service/plot"
)

func texts(ticks []plot.Tick) string {
	words := make([]string, len(ticks))
	for i, t := range ticks {
		words[i] = t.Text
	}
	return strings.Join(words, " ")
}

func TestDayTicks(t *testing.T) {
	at := func(year, month, day int) time.Time {
		return time.Date(year, time.Month(month), day, 12, 0, 0, 0, time.UTC)
	}
	for _, c := range []struct {
		from, to time.Time
		want     string
	}{
		{at(2022, 3, 1), at(2026, 11, 1), "2022 2023 2024 2025 2026 2027"},
		{at(2026, 11, 1), at(2026, 11, 1), "Nov 2026 Dec 2026"},
		{at(2026, 11, 18), at(2026, 11, 18), "Nov 2026 Dec 2026"},
		{at(2026, 2, 10), at(2026, 2, 10), "Feb 2026 Mar 2026"},
		{at(2026, 1, 20), at(2026, 11, 26), "Jan 2026 Apr 2026 Jul 2026 Oct 2026"},
		{at(2006, 3, 1), at(2026, 11, 1), "2008 2012 2016 2020 2024 2028"},
	} {
		ticks, first, end := plot.DayTicks(c.from, c.to)
		got := texts(ticks)
		if got != c.want {
			t.Errorf("%s to %s: %q, want %q", c.from, c.to, got, c.want)
		}
		if !(first < plot.Days(c.from) && end > plot.Days(c.to)) {
			t.Errorf("%g to %g does not hold both", first, end)
		}
		for _, tick := range ticks {
			if tick.Value < first || tick.Value > end {
				t.Errorf("%s lies outside", tick.Text)
			}
		}
	}
}

// A chart over time draws the texts it is given, and points at their days.
func TestChartOverTime(t *testing.T) {
	from, to := time.Date(2022, 3, 1, 0, 0, 0, 0, time.UTC), time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	c := plot.Chart{Before: []plot.Point{{Flow: plot.Days(from), Error: 0.5, U: 1}, {Flow: plot.Days(to), Error: 1.5, U: 1}}, Flow: "Time", Error: "Error, %"}
	c.TimeTicks, c.FirstDay, c.EndDay = plot.DayTicks(from, to)
	c.Limits = []plot.Bound{{Flow: c.FirstDay, Lower: -2, Upper: 2}, {Flow: c.EndDay, Lower: -2, Upper: 2}}
	s := c.Draw(640, 240, 12, 1)
	var squares []plot.Mark
	years := 0
	for _, m := range s.Marks {
		switch {
		case m.Shape == plot.Square:
			squares = append(squares, m)
		case m.Shape == plot.Figures && strings.HasPrefix(m.Text, "20"):
			years++
		}
	}
	if years != len(c.TimeTicks) || len(squares) != 2 {
		t.Fatalf("%d years of %d, %d points", years, len(c.TimeTicks), len(squares))
	}
	scale := (squares[1].X - squares[0].X) / (plot.Days(to) - plot.Days(from))
	if width := (c.EndDay - c.FirstDay) * scale; width < 500 || width > 640 {
		t.Errorf("the scale spans %g of 640", width)
	}
}
