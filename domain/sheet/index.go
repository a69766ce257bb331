package sheet

import (
	"cmp"
	"slices"

	"rillmark/domain"
)

// index is a sheet's runs and readings laid out once, so that what a run comes to is found
// without going through every row again.
type index struct {
	readings []Reading                    // of the sheet
	of       map[domain.RunID][]int       // the readings in force of each run
	at       map[domain.ReadingID]int     // where a reading stands; nil where no row corrects another
	asides   map[domain.RunID][]*SetAside // of the run and of its readings
}

func (s Sheet) index() index {
	x := index{readings: s.Readings, of: make(map[domain.RunID][]int, len(s.Runs)), asides: map[domain.RunID][]*SetAside{}}
	x.lay(x.corrections())
	for i := range s.SetAsides {
		row := &s.SetAsides[i]
		x.asides[row.RunID] = append(x.asides[row.RunID], row)
	}
	return x
}

// lay gives each run its readings. Those of one run mostly stand together, so a stretch of
// them is looked up once.
func (x *index) lay(corrected map[domain.ReadingID]bool) {
	places := make([]int, 0, len(x.readings))
	for i := 0; i < len(x.readings); {
		run, from := x.readings[i].RunID, len(places)
		for ; i < len(x.readings) && x.readings[i].RunID == run; i++ {
			if len(corrected) == 0 || !corrected[x.readings[i].ID] {
				places = append(places, i)
			}
		}
		stretch := places[from:len(places):len(places)]
		if before := x.of[run]; len(before) > 0 {
			stretch = append(before, stretch...)
		}
		x.of[run] = stretch
	}
}

// corrections returns the readings that another one corrects.
func (x *index) corrections() map[domain.ReadingID]bool {
	corrected := map[domain.ReadingID]bool{}
	for i := range x.readings {
		if of := x.readings[i].Corrects; of != nil {
			corrected[*of] = true
		}
	}
	if len(corrected) == 0 {
		return corrected
	}
	x.at = make(map[domain.ReadingID]int, len(x.readings))
	for i := len(x.readings) - 1; i >= 0; i-- {
		x.at[x.readings[i].ID] = i
	}
	return corrected
}

// taken is what a run comes to.
func (x index) taken(run Run) Taken {
	t := Taken{Run: run, Aside: x.aside(run.ID, nil)}
	of := x.of[run.ID]
	slices.SortFunc(of, func(i, j int) int {
		a, b := &x.readings[i], &x.readings[j]
		return cmp.Or(cmp.Compare(a.Number, b.Number), order(a.CapturedAt, b.CapturedAt, a.ID, b.ID))
	})
	t.Readings = make([]TakenReading, 0, len(of))
	for _, i := range of {
		r := &x.readings[i]
		one := TakenReading{Reading: r, Aside: x.aside(run.ID, r)}
		one.Used = t.Aside == nil && one.Aside == nil
		t.Used = t.Used || one.Used
		t.Readings = append(t.Readings, one)
	}
	return t
}

// aside returns the row that sets a run, or one reading of it, aside; nil when the last
// row on it took it back, or there is none. What was said of a reading holds for the row
// that corrects it.
func (x index) aside(run domain.RunID, reading *Reading) *SetAside {
	var last *SetAside
	for _, row := range x.asides[run] {
		if !x.speaksOf(row.ReadingID, reading) {
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
func (x index) speaksOf(named *domain.ReadingID, given *Reading) bool {
	if named == nil || given == nil {
		return named == nil && given == nil
	}
	at := given
	for range x.readings { // a chain of corrections is no longer than the rows
		if at.ID == *named {
			return true
		}
		if at.Corrects == nil {
			return false
		}
		next, there := x.at[*at.Corrects]
		if !there {
			return false
		}
		at = &x.readings[next]
	}
	return false
}
