package sheet

import (
	"math"
	"slices"
	"time"

	"rillmark/calc/stat"
	"rillmark/domain"
)

// Value is what the survey says of one name at a time: one row, or the mean of rows taken
// at several positions.
type Value struct {
	Name    Name
	Number  float64 // SI; the mean of several positions; 0 for a text or choice
	Text    string  // as entered, of the newest row
	Source  Source
	Count   int     // rows averaged
	Scatter float64 // experimental standard deviation of the rows, SI; 0 for one
	Rows    []SurveyValue
}

// Survey is the values in force at a time, by name.
type Survey map[Name]Value

// Has reports whether the survey says anything of the name.
func (s Survey) Has(n Name) bool { return s[n].Count > 0 }

// Number returns the value of the name, nil where there is none.
func (s Survey) Number(n Name) *float64 {
	if !s.Has(n) {
		return nil
	}
	x := s[n].Number
	return &x
}

// Text returns the text of the name, empty where there is none.
func (s Survey) Text(n Name) string { return s[n].Text }

// Now returns the values in force after every row of the sheet.
func (s Sheet) Now() Survey { return inForce(s.Survey) }

// At returns the values in force at the time: of the rows captured then or before, as if
// no later one, and no later correction, had been made.
func (s Sheet) At(t time.Time) Survey {
	var known []SurveyValue
	for _, v := range s.Survey {
		if !v.CapturedAt.After(t) {
			known = append(known, v)
		}
	}
	return inForce(known)
}

// inForce resolves rows: a row that another one corrects is out; at each position the
// newest of the rest holds; and where a value was measured anywhere, only what was
// measured counts (a gauged wall beats a table wall: common practice, no source). Without
// any measured one the newest row alone holds.
func inForce(rows []SurveyValue) Survey {
	survey := make(Survey, len(rows))
	of := uncorrected(rows)
	for _, m := range meanings {
		held := newestByPosition(of[m.Name])
		if len(held) == 0 {
			continue
		}
		measured := slices.DeleteFunc(slices.Clone(held), func(v SurveyValue) bool { return v.Source != Measured })
		switch {
		case len(measured) == 0:
			held = held[len(held)-1:]
		case m.Several:
			held = measured
		default:
			held = measured[len(measured)-1:]
		}
		survey[m.Name] = average(m.Name, held)
	}
	return survey
}

// uncorrected returns the rows that no other row corrects, by name, oldest first.
func uncorrected(rows []SurveyValue) map[Name][]SurveyValue {
	corrected := map[domain.SurveyValueID]bool{}
	for _, v := range rows {
		if v.Corrects != nil {
			corrected[*v.Corrects] = true
		}
	}
	kept := make(map[Name][]SurveyValue, len(rows))
	for _, v := range rows {
		if !corrected[v.ID] {
			kept[v.Name] = append(kept[v.Name], v)
		}
	}
	for _, of := range kept {
		slices.SortFunc(of, func(a, b SurveyValue) int { return order(a.CapturedAt, b.CapturedAt, a.ID, b.ID) })
	}
	return kept
}

// newestByPosition keeps the last row of each position, oldest first. A measured row is
// not put aside by a later one that was not measured.
func newestByPosition(rows []SurveyValue) []SurveyValue {
	var kept []SurveyValue
	for _, v := range rows {
		if i := slices.IndexFunc(kept, func(k SurveyValue) bool { return k.Position == v.Position }); i >= 0 {
			if kept[i].Source == Measured && v.Source != Measured {
				continue
			}
			kept = slices.Delete(kept, i, i+1)
		}
		kept = append(kept, v)
	}
	return kept
}

func average(n Name, rows []SurveyValue) Value {
	last := rows[len(rows)-1]
	v := Value{Name: n, Text: last.Entered, Source: last.Source, Count: len(rows), Rows: rows}
	var numbers []float64
	for _, row := range rows {
		if row.Value != nil {
			numbers = append(numbers, *row.Value)
		}
	}
	if len(numbers) > 0 {
		v.Number = stat.Mean(numbers)
	}
	if len(numbers) > 1 {
		v.Scatter = stat.StandardDeviation(numbers)
	}
	return v
}

// FromCircumference returns the outside diameter that a tape around the pipe gives, in
// metres: circumference/π − 2·coating − tape thickness, all in metres. The tape reads on
// its inner face bent round its middle, hence one thickness; a coating under it counts
// twice.
//
// Source: geometry; the tape's thickness is common practice, no source.
func FromCircumference(circumference, coating, tape float64) float64 {
	return circumference/math.Pi - 2*coating - tape
}

// Diameter returns the outside diameter in force in metres and the name of the survey
// value it comes from: OutsideDiameter where it was measured or no circumference was,
// else Circumference, with coating and tape taken off. ok is false without either.
func (s Survey) Diameter() (metres float64, from Name, ok bool) {
	direct, round := s[OutsideDiameter], s[Circumference]
	if direct.Count > 0 && (direct.Source == Measured || round.Count == 0 || round.Source != Measured) {
		return direct.Number, OutsideDiameter, true
	}
	if round.Count > 0 {
		return FromCircumference(round.Number, s[CoatingThickness].Number, s[TapeThickness].Number), Circumference, true
	}
	return 0, "", false
}
