package trace

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/num"
	"rillmark/calc/stat"
)

// Stretch is a time over which the flow was steady in both channels, and what they say of
// each other there. It is to become a run.
type Stretch struct {
	From, To       float64 // s on the reference's clock, ends trimmed
	ReferenceMean  float64 // unit of the values
	IndicationMean float64 // unit of the values
	Error          float64 // ratio; times 100 in % of the reference
	Estimable      bool    // whether a type A could be told, of its own or pooled
	Pooled         bool    // the type A is that of the other stretches, for want of readings
	TypeA          float64 // standard uncertainty of the error, ratio
	Expanded       float64 // at 95.45 %, ratio: type A, or the resolution where that is larger
	EffectiveN     float64
	Readings       int // pairs, at the interval of the slower channel
}

// SteadyOptions says how steady stretches are looked for.
type SteadyOptions struct {
	Search float64 // s; how far apart the clocks may be where no lag was found
	Least  float64 // s; the least length; 0: LeastStretch
}

// LeastStretch is the least length of a steady stretch where nothing else is said, s; it
// holds four samples of the slower channel in any case. This program's rule.
const LeastStretch = 30

// leastPairs is the least number of samples of the slower channel in a stretch.
const leastPairs = 4

// Stretches finds the steady stretches that both channels show, and the error in each.
//
// A level is steady when its samples cannot be parted into two levels that differ by more
// than 1.5 deviations of the noise and √30 standard uncertainties, and when a straight
// line through them changes by less than that; the time for which an averaging still
// shows earlier flow is left out at its beginning, and both ends are trimmed by the lag's
// uncertainty. Where no lag was found, the clocks may be anything within the search: a
// stretch is then trimmed by that much; where that is because nothing changes at all, by
// a quarter of the stretch if this is less.
//
// The slower channel's samples are paired with the mean of the faster one's over the same
// interval, so both are averaged alike; error and type A are those of stat.ErrorOfRun. An
// averaging is counted against the number of readings unless the residuals themselves
// contradict it. Errors: those of Series.Validate.
func Stretches(reference, meter Series, a Alignment, o SteadyOptions) ([]Stretch, error) {
	faults := append(inField("reference", reference.Validate()), inField("meter", meter.Validate())...)
	if len(faults) > 0 {
		return nil, faults
	}
	if o.Least == 0 {
		o.Least = LeastStretch
	}
	inMeter := blur(meter) < blur(reference)
	searched, other := reference, meter
	if inMeter {
		searched, other = meter, reference
	}
	var all []Stretch
	var own []stat.Run
	for _, f := range flatsOf(searched, noiseOf(searched)) {
		lag := a.At((f.from + f.to) / 2)
		if inMeter {
			lag = -a.At((f.from+f.to)/2 + a.Lag)
		}
		trim := a.trim(f, o)
		p, shown := other.showing(f.from-lag+trim, f.to-lag-trim)
		if !shown {
			continue
		}
		from := math.Max(searched.Time[f.seen.first], other.Time[p.first]+lag)
		to := math.Min(searched.Time[f.seen.end-1], other.Time[p.end-1]+lag)
		if inMeter {
			from, to, lag = from-lag, to-lag, -lag
		}
		s, run, ok := stretchOf(reference, meter, from, to, lag)
		if ok && to-from >= o.Least {
			all, own = append(all, s), append(own, run)
		}
	}
	pool(all, own)
	return all, expand(all, reference, meter)
}

// trim is by how much a stretch is shortened at each end because of the clocks, s.
func (a Alignment) trim(f flat, o SteadyOptions) float64 {
	switch {
	case a.Found:
		return a.Uncertainty
	case a.Reason.Code == CodeFlat:
		return math.Min(o.Search, (f.to-f.from)/4)
	}
	return o.Search
}

// stretchOf compares the channels between two times of the reference's clock.
func stretchOf(reference, meter Series, from, to, lag float64) (Stretch, stat.Run, bool) {
	pairs, _ := pairsOf(reference, meter, from, to, lag, mostPairs)
	if len(pairs) < leastPairs {
		return Stretch{}, stat.Run{}, false
	}
	run, _, err := errorOf(pairs, reference, meter, from, to)
	if err != nil {
		return Stretch{}, stat.Run{}, false
	}
	return Stretch{
		From: from, To: to, Readings: len(pairs),
		ReferenceMean: run.MeanReference, IndicationMean: run.MeanIndication, Error: run.Error,
		Estimable: run.TypeA.Estimable, TypeA: run.TypeA.StandardUncertainty, EffectiveN: run.Effective.Number,
	}, run, true
}

// errorOf is the error of the pairs, and the sampling that their type A is told by.
func errorOf(pairs []stat.Pair, reference, meter Series, from, to float64) (stat.Run, stat.Sampling, error) {
	sampling := stat.Sampling{Interval: (to - from) / float64(len(pairs)-1)}
	sampling.Averaging = math.Max(tied(reference.Averaging), tied(meter.Averaging))
	run, err := stat.ErrorOfRun(pairs, sampling)
	if err == nil && sampling.Averaging > sampling.Interval && !correlated(pairs, run, sampling.Averaging, sampling.Interval) {
		sampling.Averaging = 0
		run, err = stat.ErrorOfRun(pairs, sampling)
	}
	return run, sampling, err
}

// tied is the time over which an averaging ties its samples together, s.
func tied(a Averaging) float64 {
	switch a.Kind {
	case Trailing, Centred:
		return a.Seconds
	case Exponential:
		return 2 * a.Seconds
	}
	return 0
}

// correlated reports whether the residuals of the pairs may have gone through the
// averaging: then neighbours are correlated by 1 − interval/averaging. Less than half of
// that in ten pairs or more says that the scatter came in behind the averaging.
func correlated(pairs []stat.Pair, run stat.Run, averaging, interval float64) bool {
	if len(pairs) < 10 {
		return true
	}
	residuals := make([]float64, len(pairs))
	for i, p := range pairs {
		residuals[i] = p.Indication - (1+run.Error)*p.Reference
	}
	return stat.Autocorrelation(residuals, 1) > (1-interval/averaging)/2
}

// mostPairs bounds the work on one stretch; more are averaged together.
const mostPairs = 4000

// pairsOf pairs the slower channel's samples with the mean of the faster one's samples
// that lie within half an interval of them. More than most are averaged together, so many
// at a time. The times are those of the pairs on the reference's clock.
func pairsOf(reference, meter Series, from, to, lag float64, most int) (pairs []stat.Pair, times []float64) {
	i, j := reference.within(from, to)
	k, l := meter.within(from-lag, to-lag)
	slow, fast := reference.Slice(i, j), meter.Slice(k, l)
	shift, onReference := lag, 0.0
	swapped := len(fast.Time) < len(slow.Time)
	if swapped {
		slow, fast, shift, onReference = fast, slow, -lag, lag
	}
	if len(slow.Time) < 2 {
		return nil, nil
	}
	half := slow.Interval() / 2
	together := len(slow.Time)/most + 1
	at, inPair := 0, 0
	var x, y, when float64
	for n, t := range slow.Time {
		sum, count := 0.0, 0
		for at < len(fast.Time) && fast.Time[at]+shift < t+half {
			if fast.Time[at]+shift >= t-half {
				sum += fast.Value[at]
				count++
			}
			at++
		}
		if count == 0 {
			continue
		}
		x, y, when, inPair = x+slow.Value[n], y+sum/float64(count), when+t+onReference, inPair+1
		if inPair == together {
			p := stat.Pair{Reference: x / float64(inPair), Indication: y / float64(inPair)}
			if swapped {
				p.Reference, p.Indication = p.Indication, p.Reference
			}
			pairs, times = append(pairs, p), append(times, when/float64(inPair))
			x, y, when, inPair = 0, 0, 0, 0
		}
	}
	return pairs, times
}

// Slice returns the samples [i, j) of the series; they share their memory.
func (s Series) Slice(i, j int) Series {
	s.Time, s.Value = s.Time[i:j], s.Value[i:j]
	return s
}

// pool gives stretches with too few effective readings the pooled deviation of the
// others: s² = Σ ν·s²/Σ ν of the deviation of one effective reading, u = s/√n_eff.
func pool(all []Stretch, own []stat.Run) {
	squares, freedom := 0.0, 0.0
	for i, run := range own {
		if all[i].Estimable {
			squares += run.TypeA.DegreesOfFreedom * square(all[i].TypeA) * all[i].EffectiveN
			freedom += run.TypeA.DegreesOfFreedom
		}
	}
	for i := range all {
		if !all[i].Estimable && freedom > 0 {
			all[i].Estimable, all[i].Pooled = true, true
			all[i].TypeA = math.Sqrt(squares / freedom / all[i].EffectiveN)
			own[i].TypeA.DegreesOfFreedom = freedom
		}
		all[i].Expanded = own[i].TypeA.DegreesOfFreedom // until expand
	}
}

// expand turns degrees of freedom into the expanded uncertainty.
func expand(all []Stretch, reference, meter Series) error {
	for i := range all {
		s := &all[i]
		if !s.Estimable {
			continue
		}
		resolution := math.Hypot(reference.Resolution/s.ReferenceMean, meter.Resolution/s.IndicationMean) / math.Sqrt(12)
		k, err := num.CoverageFactor(coverage, math.Max(math.Floor(s.Expanded+1e-9), 1))
		if err != nil {
			return fault.AllOf(err)
		}
		s.Expanded = math.Max(k*s.TypeA, 2*resolution)
	}
	return nil
}
