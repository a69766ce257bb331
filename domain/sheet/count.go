package sheet

import (
	"cmp"
	"slices"
)

// Taken is a run with its readings, and whether it counts.
type Taken struct {
	Run
	Readings []TakenReading // as numbered; corrected ones replaced
	Used     bool           // not set aside as a whole, and with a reading that is used
	Aside    *SetAside      // why the whole run is set aside; nil when it is not
}

// TakenReading is a reading in force, and whether it counts.
type TakenReading struct {
	*Reading
	Used  bool
	Aside *SetAside // why it is set aside; nil when it is not
}

// Count is how many were taken and how many are used.
type Count struct {
	RunsTaken     int `json:"runs_taken"`
	RunsUsed      int `json:"runs_used"`
	ReadingsTaken int `json:"readings_taken"`
	ReadingsUsed  int `json:"readings_used"`
}

// Taken returns the runs of a phase with their readings in force, in order of number. A
// reading that another one corrects gives way to it and is not counted again.
func (s Sheet) Taken(p Phase) []Taken {
	x := s.index()
	var all []Taken
	for _, run := range s.Runs {
		if run.Phase == p {
			all = append(all, x.taken(run))
		}
	}
	slices.SortFunc(all, func(a, b Taken) int { return cmp.Compare(a.Number, b.Number) })
	return all
}

// UsedReadings returns the readings that count.
func (t Taken) UsedReadings() []Reading {
	used := make([]Reading, 0, len(t.Readings))
	for _, r := range t.Readings {
		if r.Used {
			used = append(used, *r.Reading)
		}
	}
	return used
}

// used counts the readings that count.
func (t Taken) used() int {
	n := 0
	for i := range t.Readings {
		if t.Readings[i].Used {
			n++
		}
	}
	return n
}

// CountOf counts runs and readings: those taken, and of them those used.
func CountOf(runs []Taken) Count {
	var c Count
	for _, t := range runs {
		c.RunsTaken++
		if t.Used {
			c.RunsUsed++
		}
		c.ReadingsTaken += len(t.Readings)
		c.ReadingsUsed += t.used()
	}
	return c
}
