package trace

import (
	"rillmark/calc/stat"
)

// Reading is a reading of both channels at one time of the reference's clock.
type Reading struct {
	Time       float64 // s on the reference's clock
	Reference  float64 // unit of the values
	Indication float64 // unit of the values
}

// Compared is what two channels say of each other between two times, and the readings by
// which a run can be told the same.
type Compared struct {
	Stretch
	Readings []Reading
	// Sampling is how the readings were taken: what ties them together, and the interval
	// between them, s.
	Sampling stat.Sampling
}

// Over compares two channels between two times of the reference's clock that a person
// picked, as Stretches does it where it found the times itself: the slower channel's
// samples with the mean of the faster one's over the same interval. Where no lag was found
// the stamps are taken as they are, which is right as far as the flow is steady.
//
// Readings are at most most, each the mean of as many samples as are needed for that; an
// incomplete last one is left out. Times are in s, values in one unit. Its Pooled is
// never set: one stretch has no others. Errors: those of Series.Validate; times in the
// wrong order or outside both channels; fewer than four readings in common; a mean of the
// reference of zero.
func Over(reference, meter Series, a Alignment, from, to float64, most int) (Compared, error) {
	faults := append(inField("reference", reference.Validate()), inField("meter", meter.Validate())...)
	if len(faults) > 0 {
		return Compared{}, faults
	}
	if !(from < to) {
		return Compared{}, CodeOutside.At("from", from, to)
	}
	lag := 0.0
	if a.Found {
		lag = a.At((from + to) / 2)
	}
	pairs, _ := pairsOf(reference, meter, from, to, lag, mostPairs)
	if len(pairs) < leastPairs {
		return Compared{}, CodeShort.At("from", len(pairs), leastPairs)
	}
	run, sampling, err := errorOf(pairs, reference, meter, from, to)
	if err != nil {
		return Compared{}, err
	}
	c := Compared{Sampling: sampling, Stretch: Stretch{From: from, To: to, Readings: len(pairs),
		ReferenceMean: run.MeanReference, IndicationMean: run.MeanIndication, Error: run.Error,
		Estimable: run.TypeA.Estimable, TypeA: run.TypeA.StandardUncertainty, EffectiveN: run.Effective.Number,
		Expanded: run.TypeA.DegreesOfFreedom}}
	one := []Stretch{c.Stretch}
	if err := expand(one, reference, meter); err != nil {
		return Compared{}, err
	}
	c.Stretch = one[0]
	few, times := pairsOf(reference, meter, from, to, lag, max(most, leastPairs))
	if len(few) < leastPairs {
		return Compared{}, CodeShort.At("from", len(few), leastPairs)
	}
	for i, p := range few {
		c.Readings = append(c.Readings, Reading{times[i], p.Reference, p.Indication})
	}
	c.Sampling.Interval = (times[len(times)-1] - times[0]) / float64(len(times)-1)
	return c, nil
}

// Beside returns the mean of a meter's samples about each of the times of the reference's
// clock, within half an interval on either side; NaN where there is none. Times rise, and are
// in s as the interval is. It is how a further indication is read at readings that another
// one gave.
func Beside(meter Series, a Alignment, times []float64, interval float64) []float64 {
	out := make([]float64, len(times))
	for k, t := range times {
		lag := 0.0
		if a.Found {
			lag = a.At(t)
		}
		from := t - lag - interval/2
		i, j := meter.within(from, from+interval)
		if j > i && meter.Time[j-1] == from+interval { // it is the next one's
			j--
		}
		sum := 0.0
		for _, v := range meter.Value[i:j] {
			sum += v
		}
		out[k] = sum / float64(j-i)
	}
	return out
}
