package logfile_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"
	"unicode/utf16"

	"rillmark/calc/trace"
)

// The seeds of the generated pairs are 1 to seeds; they were fixed before the algorithm.
const seeds = 200

// knot is a corner of the true flow, which is linear between corners: s, m³/s.
type knot struct{ t, q float64 }

// truth is what a generated pair was made from.
type truth struct {
	flow       []knot
	lag, drift float64 // s at the middle; s per s
	middle     float64
	err        float64 // ratio
	reference  channel
	meter      channel
}

type channel struct {
	interval, noise float64 // s; ratio
	averaging       trace.Averaging
	averagedNoise   bool // the noise went through the averaging as the flow did
	layout          int
	stamps, values  []float64
}

// flowAt is the true flow.
func flowAt(flow []knot, t float64) float64 {
	if t <= flow[0].t {
		return flow[0].q
	}
	for i := 1; i < len(flow); i++ {
		if a, b := flow[i-1], flow[i]; t <= b.t {
			return a.q + (b.q-a.q)*(t-a.t)/(b.t-a.t)
		}
	}
	return flow[len(flow)-1].q
}

// seen is the flow as the channel's averaging shows it at t: a mean over 400 places of
// the averaging's kernel.
func (c channel) seen(flow []knot, t float64) float64 {
	const places = 400
	sum := 0.0
	for i := range places {
		p, delay := (float64(i)+0.5)/places, 0.0
		switch c.averaging.Kind {
		case trace.Trailing:
			delay = p * c.averaging.Seconds
		case trace.Exponential:
			delay = -math.Log(1-p) * c.averaging.Seconds
		default:
			return flowAt(flow, t)
		}
		sum += flowAt(flow, t-delay)
	}
	return sum / places
}

func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

func between(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }

func someChannel(r *rand.Rand) channel {
	c := channel{interval: pick(r, 1.0, 1, 2, 5, 10, 15, 20, 30, 60), layout: r.IntN(4)}
	c.noise = 0.001 * math.Pow(20, r.Float64())
	switch r.IntN(5) {
	case 0, 1:
		c.averaging = trace.Averaging{Kind: trace.Trailing, Seconds: math.Ceil(between(r, 0, 60))}
	case 2:
		c.averaging = trace.Averaging{Kind: trace.Exponential, Seconds: math.Ceil(between(r, 0, 20))}
	default:
		c.averaging = trace.Averaging{Kind: trace.None}
	}
	c.averagedNoise = r.IntN(4) == 0
	return c
}

// steps are at least three changes of at least ten times the noise, each level held for
// longer than twice the averaging and than five sampling intervals.
func steps(r *rand.Rand, noise, averaging, interval float64) []knot {
	level, t := 0.02, 0.0
	flow := []knot{{0, level}}
	for range 3 + r.IntN(4) {
		t += math.Max(math.Max(2.2*averaging, 5*interval), 60) + between(r, 0, 480)
		flow = append(flow, knot{t, level})
		size := noise * between(r, 10, 25)
		if level > 0.02*math.Pow(1+size, between(r, -1.5, 1.5)) {
			level /= 1 + size*1.25
		} else {
			level *= 1 + size*1.25
		}
		t += between(r, 0.1, 5)
		flow = append(flow, knot{t, level})
	}
	return append(flow, knot{t + 300 + between(r, 0, 480), level})
}

func generate(seed uint64) truth {
	r := rand.New(rand.NewPCG(seed, 2026))
	c := truth{reference: someChannel(r), meter: someChannel(r)}
	c.lag = between(r, -300, 300)
	c.drift = between(r, -40e-6, 40e-6)
	c.err = between(r, -0.06, 0.06)
	longest := math.Max(c.reference.averaging.Seconds, c.meter.averaging.Seconds)
	c.flow = steps(r, math.Max(c.reference.noise, c.meter.noise), longest,
		math.Max(c.reference.interval, c.meter.interval))
	c.middle = c.flow[len(c.flow)-1].t / 2
	c.reference.fill(r, c, false)
	c.meter.fill(r, c, true)
	return c
}

// fill takes the channel's samples at whole seconds of its own clock.
func (c *channel) fill(r *rand.Rand, of truth, isMeter bool) {
	end := of.flow[len(of.flow)-1].t
	holes := someHoles(r, end)
	noise := c.noises(r, int(end/c.interval)+2)
	start := math.Floor(between(r, 0, 60))
	if isMeter {
		start = math.Ceil(start - of.lag)
	}
	for i := 0; ; i++ {
		stamp := start + float64(i)*c.interval
		t := stamp
		gain := 1.0
		if isMeter {
			t = stamp + of.lag + of.drift*(stamp+of.lag-of.middle)
			gain = 1 + of.err
		}
		if t > end || i >= len(noise) {
			return
		}
		if !holes.cover(t) {
			c.stamps = append(c.stamps, stamp)
			c.values = append(c.values, gain*c.seen(of.flow, t)*(1+noise[i]))
		}
	}
}

func (c *channel) noises(r *rand.Rand, n int) []float64 {
	white := make([]float64, n+100)
	for i := range white {
		white[i] = c.noise * r.NormFloat64()
	}
	if !c.averagedNoise || c.averaging.Seconds <= c.interval {
		return white[:n]
	}
	width := int(c.averaging.Seconds / c.interval)
	if c.averaging.Kind == trace.Exponential {
		a := math.Exp(-c.interval / c.averaging.Seconds)
		for i := 1; i < len(white); i++ {
			white[i] = a*white[i-1] + math.Sqrt(1-a*a)*white[i]
		}
		return white[100:]
	}
	out := make([]float64, n)
	for i := range out {
		for _, v := range white[i : i+width] {
			out[i] += v / math.Sqrt(float64(width))
		}
	}
	return out
}

type holes [][2]float64

func someHoles(r *rand.Rand, end float64) (h holes) {
	if r.IntN(5) < 3 {
		return nil
	}
	for range 1 + r.IntN(2) {
		a := between(r, 0, end)
		h = append(h, [2]float64{a, a + between(r, 20, 200)})
	}
	return h
}

func (h holes) cover(t float64) bool {
	for _, hole := range h {
		if t > hole[0] && t < hole[1] {
			return true
		}
	}
	return false
}

// began is second 0 of every generated file: a day that cannot be a month.
var began = time.Date(2026, 3, 24, 8, 0, 0, 0, time.UTC)

// file writes the channel in its text layout.
func (c channel) file() []byte {
	var b strings.Builder
	switch c.layout {
	case 0:
		b.WriteString("Time (UTC),Flow [m3/h]\n")
	case 1:
		b.WriteString("Messstelle;P 12\nGerät;Logger 4\n\nDatum;Uhrzeit;Durchfluss [L/s]\n")
	case 2:
		b.WriteString("epoch_s\tflow m3/s\ttemperature degC\n")
	case 3:
		b.WriteString("Site: North works\nDate/Time,Status,Flow rate (m³/h)\n")
	}
	for i, s := range c.stamps {
		stamp := began.Add(time.Duration(s * float64(time.Second)))
		v := c.values[i]
		switch c.layout {
		case 0:
			fmt.Fprintf(&b, "%s,%.6f\n", stamp.Format("2006-01-02T15:04:05Z"), v*3600)
		case 1:
			fmt.Fprintf(&b, "%s;%s;%s\n", stamp.Format("02.01.2006"), stamp.Format("15:04:05"),
				strings.Replace(fmt.Sprintf("%.6f", v*1000), ".", ",", 1))
		case 2:
			fmt.Fprintf(&b, "%d\t%.9f\t%.1f\n", stamp.Unix(), v, 14.2)
		case 3:
			fmt.Fprintf(&b, "%s,OK,%.5f\n", stamp.Format("1/2/2006 3:04:05 PM"), v*3600)
		}
	}
	return c.encoded(b.String())
}

// encoded is layout 2 in UTF-16, layout 3 in Latin-1, the others in UTF-8.
func (c channel) encoded(text string) (out []byte) {
	switch c.layout {
	case 2:
		for _, u := range utf16.Encode([]rune("\ufeff" + text)) {
			out = append(out, byte(u), byte(u>>8))
		}
	case 3:
		for _, r := range text {
			out = append(out, byte(r))
		}
	default:
		return []byte(text)
	}
	return out
}
