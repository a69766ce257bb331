package trace

import "math"

// Moment is one reading of both loggers against one clock, s from any one origin. The two
// need not be at the same instant: each logger is told by how much the clock is ahead of it.
type Moment struct {
	ReferenceClock, ReferenceShows float64 // the clock, and the reference's logger at that instant
	MeterClock, MeterShows         float64 // the clock, and the meter's logger at that instant
}

// lag is what must be added to the meter's stamps to put them on the reference's clock.
func (m Moment) lag() float64 {
	return (m.MeterClock - m.MeterShows) - (m.ReferenceClock - m.ReferenceShows)
}

// Noted is the alignment that a clock note tells: both loggers read against one clock at
// the start and, unless end is nil, at the end:
//
//	lag = (clock − meter's logger) − (clock − reference's logger)
//	u²  = 4·step²/3
//
// Each of the four readings of a moment may be off by step either way (rectangular). Of
// two moments the lag runs in a straight line from one to the other, and the uncertainty
// is that of either, which holds at the ends; of one moment the drift stays unknown and
// is taken as 0 ± 50·10⁻⁶ (standard) over span seconds, the time for which the note is to
// hold. The expanded uncertainty is 2·u. Times and step are in s, step above 0. Errors: a
// step or time that is not finite or positive, and an end that is not after the start.
//
// Source: JCGM 100:2008, 4.3.7 for the rectangular distribution; the drift is common
// practice for quartz clocks, no source.
func Noted(start Moment, end *Moment, step, span float64) (Alignment, error) {
	if !(step > 0) || math.IsInf(step, 0) || !(span >= 0) || math.IsInf(span, 0) {
		return Alignment{}, CodeBadNote.At("step", step)
	}
	u := 2 * step / math.Sqrt(3)
	a := Alignment{Found: true, Lag: start.lag(), Middle: start.ReferenceShows, Uncertainty: 2 * math.Hypot(u, driftDeviation*span)}
	if end == nil {
		return a, finiteNote(a)
	}
	apart := end.ReferenceShows - start.ReferenceShows
	if !(apart > 0) {
		return Alignment{}, CodeBadNote.At("end", apart)
	}
	a.Drift = (end.lag() - start.lag()) / apart
	a.Lag, a.Middle, a.Uncertainty = (start.lag()+end.lag())/2, start.ReferenceShows+apart/2, 2*u
	return a, finiteNote(a)
}

func finiteNote(a Alignment) error {
	if math.IsNaN(a.Lag-a.Lag) || math.IsNaN(a.Middle-a.Middle) || math.IsNaN(a.Drift-a.Drift) {
		return CodeBadNote.At("start", a.Lag)
	}
	return nil
}
