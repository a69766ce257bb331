package capture

import (
	"math"

	"rillmark/domain/sheet"
)

// Odd is a kind of thing kept that is most likely a slip. The zero value is none.
type Odd int

// The kinds, by what was asked when they were entered.
const (
	_          Odd = iota
	OddZero        // mean velocity on a line that is shut; Size in m/s
	OddSpacing     // distance from the recommended spacing; Size in m
	OddNoFlow      // a reading of the reference that is not above zero
	OddSame        // the very readings of run Other
	OddStep        // parameter changed by the share Size
)

// farSpacing is from where a spacing that was set is told to the approver: the acceptance
// that is common practice.
const farSpacing = 0.006 // m

// Oddity is one such thing: the number of its mounting, run or adjustment.
type Oddity struct {
	What   Odd
	Number int
	Other  int
	Phase  sheet.Phase
	Size   float64
	sheet.Stamp
}

// Oddities lists, for the approver, what is in the sheet and most likely a slip: it was
// insisted on when it was asked about, or came from a program, which is not asked.
func (w *Work) Oddities() (all []Oddity) {
	s := w.Facts.Sheet
	number := map[any]int{}
	for _, m := range s.Mountings {
		number[m.ID] = m.Number
		if m.Recommended != nil && !s.Superseded(m) && math.Abs(m.Spacing-*m.Recommended) > farSpacing {
			all = append(all, Oddity{What: OddSpacing, Number: m.Number, Size: math.Abs(m.Spacing - *m.Recommended), Stamp: m.Stamp})
		}
	}
	for _, z := range s.ZeroChecks {
		if z.MeanVelocity != nil && math.Abs(*z.MeanVelocity) > fastZero {
			all = append(all, Oddity{What: OddZero, Number: number[z.MountingID], Size: math.Abs(*z.MeanVelocity), Stamp: z.Stamp})
		}
	}
	for _, phase := range sheet.Phases {
		taken := s.Taken(phase)
		for i, run := range taken {
			if !run.Used {
				continue
			}
			if noFlow(run) {
				all = append(all, Oddity{What: OddNoFlow, Number: run.Number, Phase: phase, Stamp: run.Stamp})
			}
			for _, earlier := range taken[:i] {
				if earlier.Used && earlier.FlowPoint == run.FlowPoint && sameReadings(earlier, run) {
					all = append(all, Oddity{What: OddSame, Number: run.Number, Other: earlier.Number, Phase: phase, Stamp: run.Stamp})
					break
				}
			}
		}
	}
	for _, a := range s.AdjustmentsInForce() { // what was corrected is no slip any more
		if step, big := stepOf(a.Kind, a.OldValue, a.NewValue); big {
			all = append(all, Oddity{What: OddStep, Number: a.Number, Size: step - 1, Stamp: a.Stamp})
		}
	}
	return all
}

func noFlow(run sheet.Taken) bool {
	for _, r := range run.Readings {
		if r.Used && r.Reference <= 0 {
			return true
		}
	}
	return false
}

func sameReadings(a, b sheet.Taken) bool {
	if len(a.Readings) != len(b.Readings) || len(a.Readings) == 0 {
		return false
	}
	for i := range a.Readings {
		if !sameReading(*a.Readings[i].Reading, *b.Readings[i].Reading) {
			return false
		}
	}
	return true
}
