package sheet

import (
	"cmp"
	"slices"

	"rillmark/domain"
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
	Reading
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
	var all []Taken
	for _, run := range s.Runs {
		if run.Phase == p {
			all = append(all, s.taken(run))
		}
	}
	slices.SortFunc(all, func(a, b Taken) int { return cmp.Compare(a.Number, b.Number) })
	return all
}

func (s Sheet) taken(run Run) Taken {
	t := Taken{Run: run, Aside: s.aside(run.ID, nil)}
	for _, r := range s.readingsInForce(run.ID) {
		one := TakenReading{Reading: r, Aside: s.aside(run.ID, &r)}
		one.Used = t.Aside == nil && one.Aside == nil
		t.Used = t.Used || one.Used
		t.Readings = append(t.Readings, one)
	}
	return t
}

// UsedReadings returns the readings that count.
func (t Taken) UsedReadings() []Reading {
	var used []Reading
	for _, r := range t.Readings {
		if r.Used {
			used = append(used, r.Reading)
		}
	}
	return used
}

func (s Sheet) readingsInForce(run domain.RunID) []Reading {
	corrected := map[domain.ReadingID]bool{}
	for _, r := range s.Readings {
		if r.Corrects != nil {
			corrected[*r.Corrects] = true
		}
	}
	var held []Reading
	for _, r := range s.Readings {
		if r.RunID == run && !corrected[r.ID] {
			held = append(held, r)
		}
	}
	slices.SortFunc(held, func(a, b Reading) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), order(a.CapturedAt, b.CapturedAt, a.ID, b.ID))
	})
	return held
}

// aside returns the row that sets a run, or one reading of it, aside; nil when the last
// row on it took it back, or there is none. What was said of a reading holds for the row
// that corrects it.
func (s Sheet) aside(run domain.RunID, reading *Reading) *SetAside {
	var last *SetAside
	for i := range s.SetAsides {
		row := &s.SetAsides[i]
		if row.RunID != run || !s.speaksOf(row.ReadingID, reading) {
			continue
		}
		if last == nil || order(row.CapturedAt, last.CapturedAt, row.ID, last.ID) > 0 {
			last = row
		}
	}
	if last == nil || last.TakenBack {
		return nil
	}
	return last
}

// speaksOf reports whether a row on the reading named (nil: the run) speaks of the given
// one (nil: the run), itself or through what it corrects.
func (s Sheet) speaksOf(named *domain.ReadingID, given *Reading) bool {
	if named == nil || given == nil {
		return named == nil && given == nil
	}
	at := *given
	for range s.Readings { // a chain of corrections is no longer than the rows
		if at.ID == *named {
			return true
		}
		next := slices.IndexFunc(s.Readings, func(r Reading) bool { return at.Corrects != nil && r.ID == *at.Corrects })
		if next < 0 {
			return false
		}
		at = s.Readings[next]
	}
	return false
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
		c.ReadingsUsed += len(t.UsedReadings())
	}
	return c
}
