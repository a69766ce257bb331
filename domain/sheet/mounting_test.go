package sheet_test

import (
	"slices"
	"testing"

	"rillmark/domain/sheet"
)

// A mounting that was taken down without a run that is used asks for nothing; one with a
// run does, however many come after it.
func TestMountingsThatNothingRestsOn(t *testing.T) {
	s := runs(2)
	first := s.Mountings[0]
	second := first
	second.ID.UUID[15]++
	second.Number = first.Number + 1
	for _, c := range []struct {
		name   string
		change func(*sheet.Sheet)
		want   bool
	}{
		{"the only mounting", func(*sheet.Sheet) {}, false},
		{"another after it, its runs used", func(s *sheet.Sheet) { s.Mountings = append(s.Mountings, second) }, false},
		{"another after it, its runs on that", func(s *sheet.Sheet) {
			s.Mountings = append(s.Mountings, second)
			for i := range s.Runs {
				s.Runs[i].MountingID = second.ID
			}
		}, true},
		{"another after it, its runs set aside", func(s *sheet.Sheet) {
			s.Mountings = append(s.Mountings, second)
			for _, r := range s.Runs {
				s.SetAsides = append(s.SetAsides, sheet.SetAside{RunID: r.ID, Reason: "the spacing was mistyped"})
			}
		}, true},
	} {
		now := s
		now.Mountings, now.Runs = slices.Clone(s.Mountings), slices.Clone(s.Runs)
		c.change(&now)
		if got := now.Superseded(first); got != c.want {
			t.Errorf("%s: superseded %v, want %v", c.name, got, c.want)
		}
	}
}
