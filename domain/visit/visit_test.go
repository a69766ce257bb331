package visit_test

import (
	"slices"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/visit"
)

func TestADayInSteps(t *testing.T) {
	state := visit.StateAfter("")
	for _, c := range []struct {
		step visit.Step
		want visit.State
	}{
		{visit.Confirm, visit.Confirmed}, {visit.Arrive, visit.OnSite}, {visit.Leave, visit.InReview},
		{visit.SendBack, visit.OnSite}, {visit.Leave, visit.InReview}, {visit.Close, visit.Closed},
	} {
		if !slices.Contains(state.Steps(), c.step) {
			t.Fatalf("%s is not offered while %s", c.step, state)
		}
		if err := c.step.Check(state, "a reason", 0); err != nil {
			t.Fatalf("%s while %s: %v", c.step, state, err)
		}
		if state = visit.StateAfter(c.step); state != c.want {
			t.Fatalf("after %s: %s, want %s", c.step, state, c.want)
		}
	}
	if !state.Ended() || len(state.Steps()) != 0 {
		t.Errorf("a closed visit goes on: %v", state.Steps())
	}
}

func TestStepsThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		name   string
		step   visit.Step
		now    visit.State
		reason string
		open   int
		want   *fault.Code
	}{
		{"cancel on site", visit.Cancel, visit.OnSite, "rain", 0, visit.StepNotNow},
		{"cancel without a reason", visit.Cancel, visit.Planned, "", 0, visit.ReasonMissing},
		{"send back without a reason", visit.SendBack, visit.InReview, "", 0, visit.ReasonMissing},
		{"close with open tasks", visit.Close, visit.InReview, "", 2, visit.OpenTasks},
		{"nothing of the kind", "teleported", visit.Planned, "", 0, visit.StepUnknown},
		{"control character", visit.Cancel, visit.Planned, "no\x07", 0, domain.ControlChar},
	} {
		if err := c.step.Check(c.now, c.reason, c.open); !fault.Has(err, c.want) {
			t.Errorf("%s: %v, want %s", c.name, err, c.want.Name())
		}
	}
}

func TestRead(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Amsterdam")
	if err != nil {
		t.Fatal(err)
	}
	v, err := visit.Visit{}.Read(visit.Texts{From: "2026-11-25T08:00", Until: "2026-11-25 16:30", Note: " ring first \r\n"}, zone)
	if err != nil {
		t.Fatal(err)
	}
	if got := v.From.Format(time.RFC3339); got != "2026-11-25T07:00:00Z" || v.Note != "ring first" {
		t.Errorf("read %s, %q", got, v.Note)
	}
	if got := v.Texts(zone); got.From != "2026-11-25T08:00" || got.Until != "2026-11-25T16:30" {
		t.Errorf("texts %+v", got)
	}
	for name, c := range map[string]struct {
		texts visit.Texts
		want  *fault.Code
	}{
		"ends before":  {visit.Texts{From: "2026-11-25T08:00", Until: "2026-11-25T08:00"}, domain.EndsBefore},
		"a slip":       {visit.Texts{From: "2026-11-25T08:00", Until: "2027-11-25T08:00"}, visit.TooLong},
		"no start":     {visit.Texts{Until: "2026-11-25T08:00"}, domain.Required},
		"not a moment": {visit.Texts{From: "tomorrow", Until: "2026-11-25T08:00"}, domain.TimeForm},
	} {
		if _, err := (visit.Visit{}).Read(c.texts, zone); !fault.Has(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
