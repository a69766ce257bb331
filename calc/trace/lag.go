package trace

import (
	"math"

	"rillmark/calc/fault"
)

// DefaultSearch is how far apart two clocks are taken to be at most where nothing else is
// said, s: a quarter of an hour. Common practice, no source.
const DefaultSearch = 900

// leastChanges between steady levels are needed for a lag that can be checked against
// itself; this program's rule.
const leastChanges = 2

// Alignment is what is to be added to the meter's stamps to put them on the reference's
// clock. The zero value is of no lag found and no reason: none was looked for.
type Alignment struct {
	Found       bool
	Lag         float64     // s, at Middle
	Uncertainty float64     // expanded, 95.45 %, s
	Drift       float64     // s of lag for each s of the reference's clock
	Middle      float64     // s on the reference's clock
	Changes     int         // changes of the flow that told it
	Reason      fault.Fault // why there is none; without a code where there is one
}

// At returns the lag at a time of the reference's clock, s.
func (a Alignment) At(t float64) float64 { return a.Lag + a.Drift*(t-a.Middle) }

// Align finds the lag between the clocks of two channels of one flow: what must be added
// to the meter's stamps to put them on the reference's clock, after the delay of each
// channel's averaging is removed.
//
// First the two are correlated at every lag within ±search. Where another lag fits as
// well, where the best is not good, or where too little changes, there is no lag and the
// reason says why. Then each change between two steady levels gives a lag of its own, the
// difference of its centroids, with what noise and sampling leave open of it: normal and
// uniform. The lag is the mean of the product of these distributions, over lag and drift
// (prior: normal, 50·10⁻⁶), with one change in 30 allowed to be an outlier; its
// uncertainty is half the width of the interval about the mean that holds 95.45 %. An
// averaging that is not known adds the range of its delay.
//
// search is in s, above zero. Errors: those of the series, and a bad search range.
// Sources: centroid and product of likelihoods, textbook; the rest is this program's own,
// held by simulation.
func Align(reference, meter Series, search float64) (Alignment, error) {
	faults := inField("reference", reference.Validate())
	faults = append(faults, inField("meter", meter.Validate())...)
	if !(search > 0) || math.IsInf(search, 0) {
		faults = append(faults, CodeBadSearch.At("search_s", search))
	}
	if len(faults) > 0 {
		return Alignment{}, faults
	}
	noises := [2]noise{noiseOf(reference), noiseOf(meter)}
	if !changes(reference, noises[0]) || !changes(meter, noises[1]) {
		return Alignment{Reason: CodeFlat.At("")}, nil
	}
	like := likenessOf(reference, meter, search)
	lag, why := like.best(search)
	if why != nil {
		return Alignment{Lag: lag, Reason: *why}, nil
	}
	return refine(reference, meter, noises, lag, like.step), nil
}

func inField(of string, l fault.List) (out fault.List) {
	for _, f := range l {
		out = append(out, f.In(of+"."+f.Field))
	}
	return out
}

// changes reports whether the channel varies by clearly more than its noise: the middle
// nine tenths of its values, smoothed over a few samples, by four deviations.
func changes(s Series, n noise) bool {
	smooth := make([]float64, 0, len(s.Value))
	width := min(max(len(s.Value)/200, 1), 15)
	for i := 0; i+width <= len(s.Value); i += width {
		mean := 0.0
		for _, v := range s.Value[i : i+width] {
			mean += v / float64(width)
		}
		smooth = append(smooth, mean)
	}
	high, low := quantile(smooth, 0.98), quantile(smooth, 0.02)
	return high-low > 5*n.deviation*math.Sqrt(math.Min(n.inflation, float64(width))/float64(width))
}

// refine finds the lag from the single changes, a few times: the first time knowing it to
// one step of the first search, then to what came out.
func refine(reference, meter Series, noises [2]noise, lag, step float64) Alignment {
	inMeter := blur(meter) < blur(reference)
	searched, n := reference, noises[0]
	if inMeter {
		searched, n = meter, noises[1]
	}
	flats := flatsOf(searched, n)
	a := Alignment{Lag: lag, Uncertainty: step}
	for range 3 {
		found := changesOf(reference, meter, flats, inMeter, noises, a.Lag, a.Uncertainty)
		if len(found) < leastChanges {
			found = changesOf(reference, meter, flats, inMeter, noises, a.Lag, a.Uncertainty/4)
		}
		if len(found) < leastChanges {
			return Alignment{Lag: lag, Reason: CodeFewChanges.At("", len(found), leastChanges)}
		}
		p := posterior{changes: found}
		next := p.solve(reference)
		next.withUnknown(reference, meter, found)
		if !next.Found {
			return next
		}
		settled := math.Abs(next.Lag-a.Lag) < next.Uncertainty/50 && math.Abs(next.Uncertainty-a.Uncertainty) < next.Uncertainty/50
		if a = next; settled {
			break
		}
	}
	return a
}

// blur is how unsharply a channel shows a change, s.
func blur(s Series) float64 {
	before, after := s.Averaging.reach()
	if s.Averaging.Kind == Unknown {
		before = 0
	}
	return before + after + 2*s.Interval()
}

// withUnknown widens the uncertainty by the delay of an averaging that is not known. A
// causal averaging that shows a sudden change with the standard deviation w in time
// delays it by w (exponential) to √3·w (trailing mean); the change may have had a width of
// its own, so the delay lies from 0 to √3·w, and not above half of a stated range. Half
// of that is added to the delay. The other half is a limit rather than a scatter, and a
// trailing mean lies right at it, so it is added to the uncertainty as it is.
func (a *Alignment) withUnknown(reference, meter Series, found []change) {
	if !a.Found {
		return
	}
	delay := func(s Series, of func(change) moment) float64 {
		if s.Averaging.Kind != Unknown {
			return 0
		}
		widths := make([]float64, len(found))
		for i, c := range found {
			m := of(c)
			widths[i] = math.Sqrt(math.Max(square(m.width)-square(m.halfWidth)/3, 0))
		}
		return math.Min(math.Sqrt(3)*quantile(widths, 0.75), s.Averaging.longest()/2)
	}
	r := delay(reference, func(c change) moment { return c.reference })
	m := delay(meter, func(c change) moment { return c.meter })
	a.Lag += m/2 - r/2
	a.Uncertainty += math.Hypot(r/2, m/2)
}
