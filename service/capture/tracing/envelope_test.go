package tracing_test

import (
	"math"
	"strconv"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/service/capture/tracing"
	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
)

var begun = time.Date(2026, 3, 24, 8, 0, 0, 0, time.UTC)

// flowOf is the flow of the generated files at a second, m³/h, in steps of a minute.
func flowOf(i int) float64 { return 60 + float64(i/60%7) + float64(i%10)/100 }

// pausing is the second of a row: after half of n rows the logger pauses for an hour.
func pausing(i, n int) int {
	if i >= n/2 {
		return i + 3600
	}
	return i
}

// logged is a file of n rows of 1 s data: flow, or what a counter with the step of a litre
// counts of it.
func logged(n int, counter bool) []byte {
	b := []byte("Time,Flow [m3/h]\n")
	if counter {
		b = []byte("Time,Total [m3]\n")
	}
	volume := 100.0
	for i := range n {
		b = begun.Add(time.Duration(pausing(i, n))*time.Second).AppendFormat(b, "2006-01-02T15:04:05Z,")
		if v := flowOf(i); counter {
			volume += v / 3600
			b = append(strconv.AppendFloat(b, volume, 'f', 3, 64), '\n')
		} else {
			b = append(strconv.AppendFloat(b, v, 'f', 2, 64), '\n')
		}
	}
	return b
}

// TestEnvelopes draws a series of thirteen chunks whole, in part from outlines, and near from
// points, and holds each to the flow the file was made from.
func TestEnvelopes(t *testing.T) {
	d := open(t)
	const n = 200_000
	series := d.confirm(d.upload(tracing.Reference, "long.csv", logged(n, false)), logfile.Mapping{})
	sec := func(i int) time.Time { return begun.Add(time.Duration(i) * time.Second) }
	for name, c := range map[string]struct {
		from, to time.Time
		width    int
		least    int
		exact    bool
	}{
		"whole":       {time.Time{}, time.Time{}, 400, 150, false},
		"whole, wide": {time.Time{}, time.Time{}, 800, 400, false},
		"most of it":  {sec(10_000), sec(190_000), 500, 250, false},
		"two chunks":  {sec(20_000), sec(40_000), 500, 450, false},
		"a minute":    {sec(70_000), sec(70_060), 300, 61, true},
		"the pause":   {sec(n/2 - 1000), sec(n/2 + 4600), 200, 150, false},
		"one pixel":   {time.Time{}, time.Time{}, 1, 1, false},
	} {
		e, err := d.Envelope(d.ctx, d.Technician, series, c.from, c.to, c.width)
		if err != nil {
			t.Fatal(name, err)
		}
		if len(e.Ranges) < c.least || len(e.Ranges) > 2*c.width+4 || e.Exact != c.exact || e.Gap != 3*time.Second {
			t.Errorf("%s: %d ranges, exact %v, gap %s", name, len(e.Ranges), e.Exact, e.Gap)
		}
		covers(t, name, e.Ranges, c.from, c.to, n)
	}
	if _, err := d.Envelope(d.ctx, d.Technician, id[domain.SeriesKind](), time.Time{}, time.Time{}, 10); domain.KindOf(err) != domain.NotFound {
		t.Errorf("of no series: %v", err)
	}
}

// covers looks whether the ranges hold every row of the time, in order and none twice.
func covers(t *testing.T, name string, ranges []chunk.Range, from, to time.Time, n int) {
	t.Helper()
	row := func(micro int64) int {
		i := int(micro/1e6 - begun.Unix())
		if i >= n/2 {
			i -= 3600
		}
		return i
	}
	next := row(ranges[0].From)
	for _, r := range ranges {
		low, high, sum := math.Inf(1), math.Inf(-1), 0.0
		if row(r.From) != next {
			t.Fatalf("%s: a range begins with row %d, want %d", name, row(r.From), next)
		}
		for i := next; i < next+r.Points; i++ {
			v := math.Round(flowOf(i)*100) / 100 / 3600
			low, high, sum = math.Min(low, v), math.Max(high, v), sum+v
		}
		next += r.Points
		if row(r.To) != next-1 || math.Abs(low-r.Low) > 1e-12 || math.Abs(high-r.High) > 1e-12 || math.Abs(sum/float64(r.Points)-r.Mean) > 1e-10 {
			t.Fatalf("%s: range %+v, the rows say %g %g %g", name, r, low, high, sum/float64(r.Points))
		}
	}
	if first := row(ranges[0].From); !from.IsZero() && ranges[0].From > from.UnixMicro() || from.IsZero() && first != 0 {
		t.Errorf("%s: begins with row %d", name, first)
	}
	if last := ranges[len(ranges)-1].To; !to.IsZero() && last < to.UnixMicro() || to.IsZero() && next != n {
		t.Errorf("%s: ends before row %d", name, next)
	}
}

// TestCountersAreDrawnAndTotalled compares a counter with the flow it counted: what is drawn
// is the flow, and the totals agree within what the ends leave open.
func TestCountersAreDrawnAndTotalled(t *testing.T) {
	d := open(t)
	const n = 3000
	none := logfile.Mapping{Averaging: &logfile.Averaging{Kind: "none"}}
	flow := d.confirm(d.upload(tracing.Reference, "flow.csv", logged(n, false)), none)
	count := d.confirm(d.upload(tracing.Meter, "count.csv", logged(n, true)), logfile.Mapping{})
	e, err := d.Envelope(d.ctx, d.Technician, count, begun.Add(600*time.Second), begun.Add(660*time.Second), 500)
	if err != nil || !e.Exact || math.Abs(e.Ranges[30].Mean*3600-flowOf(630)) > 8 { // a litre a second is 3.6 m³/h
		t.Errorf("%+v, %v", e, err)
	}
	c := tracing.Decide{At: d.at(), ID: id[domain.AlignmentKind](), How: "nudged", Lag: "0", Uncertainty: "1", Reason: "one logger wrote both",
		Pair: tracing.Pair{ReferenceID: flow, MeterID: count}}
	d.must(d.Decide(d.ctx, d.Technician, c))
	got, err := d.Total(d.ctx, d.Technician, c.ID, begun.Add(100*time.Second), begun.Add(1100*time.Second), 0.5, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for i := 101; i <= 1100; i++ { // what the counter adds between the readings at 100 s and at 1100 s
		want += flowOf(i) / 3600
	}
	if math.Abs(got.Meter.Volume-want) > 0.002 || math.Abs(got.Reference.Volume-want) > 0.02 || got.Meter.LongestGap != 1 {
		t.Errorf("%+v, want %g m³", got, want)
	}
	// Start and stop: 0.5 s each of the reference; of the meter with the lag's 0.5 s besides.
	q := flowOf(600) / 3600
	if u := math.Sqrt(2*0.25+4*0.25) * q / want; math.Abs(got.StandardUncertainty/u-1) > 0.1 {
		t.Errorf("u %g, want about %g", got.StandardUncertainty, u)
	}
	trace, err := d.ErrorTrace(d.ctx, d.Technician, c.ID, time.Time{}, time.Time{}, 100)
	if err != nil || len(trace) < 50 || len(trace) > 110 {
		t.Fatalf("%d points, %v", len(trace), err)
	}
	for _, p := range trace {
		if math.Abs(p.Error) > 0.08 { // means of half a minute, a minute's steps among them
			t.Errorf("%+v", p)
		}
	}
}
