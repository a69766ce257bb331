package evaluation

import (
	"math"

	"rillmark/domain/sheet"
)

// straight is how the straight lengths compare with what the method asks for.
type straight struct {
	share   float64 // of the worse side; 1 or more is enough
	known   bool    // both lengths are known
	stated  bool    // at least one length or disturbance is
	unnamed string  // a disturbance the method does not know
}

// straightOf compares lengths with what is asked for behind the disturbances named. A
// length that is not known is none; a disturbance that is not known is the one that asks
// for most.
func (w *work) straightOf(before, after, disturbedBefore, disturbedAfter sheet.Name, bore float64) straight {
	s := straight{share: math.Inf(1), known: true}
	for _, side := range []struct {
		length, disturbance sheet.Name
		upstream            bool
	}{{before, disturbedBefore, true}, {after, disturbedAfter, false}} {
		asked := w.asked(w.now.Text(side.disturbance), side.upstream, &s) * bore
		length := w.now.Number(side.length)
		s.stated = s.stated || length != nil || w.now.Has(side.disturbance)
		switch {
		case length == nil:
			s.known, s.share = false, 0
		case asked > 0:
			s.share = math.Min(s.share, *length/asked)
		}
	}
	return s
}

// asked returns the straight length in diameters.
func (w *work) asked(disturbance string, upstream bool, s *straight) float64 {
	most := 0.0
	for _, row := range w.Method.Content.StraightLengths {
		length := row.After
		if upstream {
			length = row.Before
		}
		if row.Disturbance == disturbance {
			return length
		}
		most = math.Max(most, length)
	}
	if disturbance != "" {
		s.unnamed = disturbance
	}
	return most
}

// wholePercent is a share below 1 as people say it, rounded down so that it never tells a
// short length as long enough.
func wholePercent(share float64) float64 { return math.Floor(share * 100) }

// referenceStraight returns the half-width that the reference's straight lengths force.
func (w *work) referenceStraight(bore float64, remarks *Findings) float64 {
	s := w.straightOf(sheet.StraightBefore, sheet.StraightAfter, sheet.DisturbanceBefore, sheet.DisturbanceAfter, bore)
	if s.unnamed != "" {
		remarks.add(DisturbanceUnknown.At(string(sheet.DisturbanceBefore), s.unnamed))
	}
	half := w.Method.Content.Short(s.share)
	switch {
	case !s.known:
		remarks.add(StraightUnknown.At(string(sheet.StraightBefore), half*100))
	case s.share < 1:
		remarks.add(StraightShort.At(string(sheet.StraightBefore), wholePercent(s.share), half*100))
	}
	return half
}

// meterStraight remarks on short straight lengths of the meter under test: it is verified
// as it is installed, so they say something of it and nothing of the reference.
func (w *work) meterStraight() {
	s := w.straightOf(sheet.MeterStraightBefore, sheet.MeterStraightAfter, sheet.MeterDisturbance, sheet.MeterDisturbanceAfter, boreOf(w.now))
	if s.stated && s.known && s.share < 1 {
		w.result.Remarks.add(MeterStraightShort.At(string(sheet.MeterStraightBefore), wholePercent(s.share)))
	}
}
