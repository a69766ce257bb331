package trace

// Unwrap returns the readings of a counter that begins again at zero after it has reached
// the modulus (its largest reading plus one step), as one that does not: each fall adds
// the modulus. A fall is taken for a passage through the end only where it is more than
// half the modulus; a smaller one is an error, since a counter that was set back, or ran
// backwards, is not one that wrapped.
//
// Readings are in one unit, from 0 to below the modulus. The slice given is not changed.
// Errors: a modulus that is not above every reading; a fall that is no passage.
func Unwrap(readings []float64, modulus float64) ([]float64, error) {
	out := make([]float64, len(readings))
	turns := 0.0
	for i, r := range readings {
		if !(r >= 0 && r < modulus) {
			return nil, CodeBadCounter.At("modulus", modulus, r, i+1)
		}
		if i > 0 && r < readings[i-1] {
			if readings[i-1]-r <= modulus/2 {
				return nil, CodeCounterJump.At("value", i+1)
			}
			turns++
		}
		out[i] = r + turns*modulus
	}
	return out, nil
}

// Rates turns the readings of a counter into the mean flow between each and the one
// before: (v[i] − v[i−1])/(t[i] − t[i−1]) at t[i], which is a trailing mean over the
// step. The result has one sample fewer, and its averaging says so.
func Rates(s Series) Series {
	out := Series{Averaging: Averaging{Kind: Trailing, Seconds: s.Interval()}}
	for i := 1; i < len(s.Time); i++ {
		dt := s.Time[i] - s.Time[i-1]
		out.Time = append(out.Time, s.Time[i])
		out.Value = append(out.Value, (s.Value[i]-s.Value[i-1])/dt)
	}
	out.Resolution = s.Resolution / s.Interval()
	return out
}
