package demo

import (
	"fmt"
	"math"
	"strings"
	"time"

	"rillmark/calc/verification"
)

// logging is the story of runs that two loggers wrote: how the flow went, and what was
// wrong with the loggers.
type logging struct {
	levels         []level
	turns          int     // how often the levels come again: a pump that cycles
	referenceLate  float64 // s, by which the reference's clock is behind the site's
	meterLate      float64 // s
	reference      recorder
	meter          recorder
	pauseAt, pause time.Duration // of the meter's logger, from its beginning
	note           bool          // both were read against the site's clock: the signals alone do not tell the lag
	aside          string        // why the first steady stretch was not taken; empty: it was
}

// level is a flow held for so long; the way to it takes rampSeconds.
type level struct {
	flow  float64 // m³/h, true
	lasts time.Duration
	point int // flow point of the plan, from 1; 0: none, before the first
}

const rampSeconds = 20

// recorder is one of two invented loggers, which write their files each in its own way.
type recorder struct {
	name     string
	interval int // s
	written  func(r recorder, rows []logRow, zone *time.Location) []byte
}

type logRow struct {
	stamp time.Time // by the logger's clock
	flow  float64   // m³/h
}

// ostreyLog writes German notation without being asked: semicolons, decimal commas, date
// and time apart, local time.
var ostreyLog = recorder{"RM-1 record.csv", 5, func(r recorder, rows []logRow, zone *time.Location) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "Record of RM-1\r\nAveraging 10 s\r\nInterval;%d s\r\n\r\nDate;Time;Flow [m³/h]\r\n", r.interval)
	for _, x := range rows {
		fmt.Fprintf(&b, "%s;%s\r\n", x.stamp.In(zone).Format("02.01.2006;15:04:05"), strings.Replace(fmt.Sprintf("%.3f", x.flow), ".", ",", 1))
	}
	return []byte(b.String())
}}

// clipLog writes universal time in one column, and a status, with a word where it was busy.
var clipLog = recorder{"clip-log channel 1.txt", 10, func(_ recorder, rows []logRow, _ *time.Location) []byte {
	var b strings.Builder
	b.WriteString("Clip-Log 2, channel 1, averaging none\nTime (UTC),Flow [m3/h],Status\n")
	for i, x := range rows {
		if i%97 == 96 {
			fmt.Fprintf(&b, "%s,,busy\n", x.stamp.UTC().Format("2006-01-02T15:04:05"))
			continue
		}
		fmt.Fprintf(&b, "%s,%.3f,OK\n", x.stamp.UTC().Format("2006-01-02T15:04:05"), x.flow)
	}
	return []byte(b.String())
}}

// quick is a recorder with another interval.
func (r recorder) quick(interval int) recorder {
	r.interval = interval
	return r
}

// sequence is all levels in order, as often as they come.
func (g logging) sequence() (all []level) {
	for range max(g.turns, 1) {
		all = append(all, g.levels...)
	}
	return all
}

// lasts is how long both loggers ran.
func (g logging) lasts() (d time.Duration) {
	for _, l := range g.sequence() {
		d += l.lasts
	}
	return d
}

// trueAt is the flow, m³/h, and the level it belongs to, so many seconds after the beginning.
func (g logging) trueAt(t float64) (flow float64, at level) {
	was, begins := g.levels[0].flow, 0.0
	if g.turns > 1 { // it cycled before anybody logged
		was = g.levels[len(g.levels)-1].flow
	}
	for _, l := range g.sequence() {
		if ends := begins + l.lasts.Seconds(); t >= ends {
			was, begins = l.flow, ends
			continue
		}
		share := math.Min(math.Max(t-begins, 0)/rampSeconds, 1)
		return was + (l.flow-was)*share, l
	}
	return was, g.levels[len(g.levels)-1]
}

// wander is how a reading is off by what nobody knows, relative to its amplitude: three
// tables whose lengths have no common divisor, so that it does not come again within an
// hour.
func wander(n int) float64 {
	return (swing[n%len(swing)] + ripple[(n/3+5*n)%len(ripple)] + jitter[(n/5+3*n)%len(jitter)]) / math.Sqrt(3)
}

// The amplitudes of a logged reading, relative.
const (
	referenceWander = 0.004
	meterWander     = 0.003
)

// referenceFile is what the reference's logger wrote from the time on: means over 10 s, with
// the error that its calibration found.
func (g logging) referenceFile(s scene, from time.Time, zone *time.Location) ([]byte, error) {
	points := make([]verification.CalibrationPoint, len(s.calibration.Points))
	for i, p := range s.calibration.Points {
		points[i] = verification.CalibrationPoint{Velocity: p.At, Error: p.Error, Expanded: p.Expanded, K: p.K}
	}
	var rows []logRow
	for t := 0; t < int(g.lasts().Seconds()); t += g.reference.interval {
		mean := 0.0
		for k := range 10 {
			q, _ := g.trueAt(float64(t - k))
			mean += q / 10
		}
		c, err := verification.CorrectionAt(points, mean/secondsPerHour/s.area)
		if err != nil {
			return nil, err
		}
		rows = append(rows, logRow{g.stamp(from, t, g.referenceLate), mean * (1 + c.Error) * (1 + referenceWander*wander(t/g.reference.interval))})
	}
	return g.reference.written(g.reference, rows, zone), nil
}

// meterFile is what the meter's logger wrote: nothing while it paused.
func (g logging) meterFile(errors []float64, from time.Time, zone *time.Location) []byte {
	var rows []logRow
	for t := 0; t < int(g.lasts().Seconds()); t += g.meter.interval {
		since := time.Duration(t)*time.Second - g.pauseAt
		if g.pause > 0 && since >= 0 && since < g.pause {
			continue
		}
		q, at := g.trueAt(float64(t))
		rows = append(rows, logRow{g.stamp(from, t, g.meterLate), q * (1 + errors[max(at.point, 1)-1]) * (1 + meterWander*wander(t/g.meter.interval+400))})
	}
	return g.meter.written(g.meter, rows, zone)
}

func (logging) stamp(from time.Time, t int, late float64) time.Time {
	return from.Add(time.Duration((float64(t) - late) * float64(time.Second))).Round(time.Second)
}
