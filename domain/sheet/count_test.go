package sheet_test

import (
	"testing"

	"rillmark/domain"
	"rillmark/domain/sheet"
)

// runs makes a sheet of n runs before adjustment with three readings each.
func runs(n int) sheet.Sheet {
	s := sheet.Sheet{Mountings: []sheet.Mounting{{ID: made[domain.MountingKind](1), Number: 1, Stamp: stamped(1)}}}
	for i := range n {
		id := made[domain.RunKind](byte(i + 1))
		s.Runs = append(s.Runs, sheet.Run{ID: id, MountingID: s.Mountings[0].ID, Phase: sheet.Before, Number: n - i, FlowPoint: 1 + i%2, Stamp: stamped(10 + i)})
		for k := range 3 {
			s.Readings = append(s.Readings, sheet.Reading{ID: made[domain.ReadingKind](byte(10*i + k + 1)), RunID: id, Number: 3 - k, Reference: 1,
				Indications: []sheet.Shown{{IndicationID: made[domain.IndicationKind](1), Value: 1, Entered: "1"}}, Stamp: stamped(10 + i)})
		}
	}
	return s
}

// aside is a row on a run, or on one of its readings.
func aside(n byte, run domain.RunID, reading *domain.ReadingID, back bool, minute int) sheet.SetAside {
	return sheet.SetAside{ID: made[domain.SetAsideKind](n), RunID: run, ReadingID: reading, TakenBack: back, Reason: "because", Stamp: stamped(minute)}
}

func TestRunsAreNumberedAndCounted(t *testing.T) {
	s := runs(3)
	taken := s.Taken(sheet.Before)
	for i, run := range taken {
		if run.Number != i+1 || run.Readings[0].Number != 1 || run.Readings[2].Number != 3 {
			t.Errorf("run %d: number %d, readings from %d", i, run.Number, run.Readings[0].Number)
		}
	}
	if got := sheet.CountOf(taken); got != (sheet.Count{RunsTaken: 3, RunsUsed: 3, ReadingsTaken: 9, ReadingsUsed: 9}) {
		t.Errorf("%+v", got)
	}
	if got := s.Taken(sheet.After); len(got) != 0 {
		t.Errorf("%d runs after", len(got))
	}
}

func TestSettingAside(t *testing.T) {
	one := made[domain.RunKind](1)
	reading := made[domain.ReadingKind](1)
	correction := made[domain.ReadingKind](99)
	corrected := func(s *sheet.Sheet) {
		r := s.Readings[0]
		r.ID, r.Corrects, r.Reason = correction, &reading, "misread"
		s.Readings = append(s.Readings, r)
	}
	all := sheet.Count{RunsTaken: 2, RunsUsed: 2, ReadingsTaken: 6, ReadingsUsed: 6}
	less := func(runs, readings int) sheet.Count {
		c := all
		c.RunsUsed, c.ReadingsUsed = c.RunsUsed-runs, c.ReadingsUsed-readings
		return c
	}
	for _, c := range []struct {
		name   string
		change func(*sheet.Sheet)
		want   sheet.Count
	}{
		{"nothing", func(s *sheet.Sheet) {}, all},
		{"a run", func(s *sheet.Sheet) { s.SetAsides = []sheet.SetAside{aside(1, one, nil, false, 40)} }, less(1, 3)},
		{"a reading", func(s *sheet.Sheet) { s.SetAsides = []sheet.SetAside{aside(1, one, &reading, false, 40)} }, less(0, 1)},
		{"taken back", func(s *sheet.Sheet) {
			s.SetAsides = []sheet.SetAside{aside(2, one, nil, true, 41), aside(1, one, nil, false, 40)}
		}, all},
		{"and aside again", func(s *sheet.Sheet) {
			s.SetAsides = []sheet.SetAside{aside(3, one, nil, false, 42), aside(1, one, nil, false, 40), aside(2, one, nil, true, 41)}
		}, less(1, 3)},
		{"at one instant the later id holds", func(s *sheet.Sheet) {
			s.SetAsides = []sheet.SetAside{aside(2, one, nil, true, 40), aside(1, one, nil, false, 40)}
		}, all},
		{"a reading of another run", func(s *sheet.Sheet) {
			s.SetAsides = []sheet.SetAside{aside(1, made[domain.RunKind](2), &reading, false, 40)}
		}, all},
		{"every reading", func(s *sheet.Sheet) {
			for k := range byte(3) {
				id := made[domain.ReadingKind](k + 1)
				s.SetAsides = append(s.SetAsides, aside(k+1, one, &id, false, 40))
			}
		}, less(1, 3)},
		{"a correction is no further reading", corrected, all},
		{"what was said of the corrected reading holds", func(s *sheet.Sheet) {
			corrected(s)
			s.SetAsides = []sheet.SetAside{aside(1, one, &reading, false, 40)}
		}, less(0, 1)},
		{"the correction itself", func(s *sheet.Sheet) {
			corrected(s)
			s.SetAsides = []sheet.SetAside{aside(1, one, &correction, false, 40)}
		}, less(0, 1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := runs(2)
			c.change(&s)
			taken := s.Taken(sheet.Before)
			if got := sheet.CountOf(taken); got != c.want {
				t.Errorf("%+v, want %+v", got, c.want)
			}
			for _, run := range taken {
				for _, r := range run.Readings {
					if r.Used && (run.Aside != nil || r.Aside != nil) {
						t.Error("a reading set aside is used")
					}
				}
			}
		})
	}
}

func TestWhatAnIndicationShowed(t *testing.T) {
	r := runs(1).Readings[0]
	if shown, ok := r.Of(made[domain.IndicationKind](1)); !ok || shown.Value != 1 {
		t.Errorf("%+v, %v", shown, ok)
	}
	if _, ok := r.Of(made[domain.IndicationKind](2)); ok {
		t.Error("an indication that was not read is there")
	}
}
