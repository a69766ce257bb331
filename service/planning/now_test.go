package planning_test

import (
	"fmt"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/visit"
)

// visitOn plans a visit of a day to the first point of a site and returns its task.
func (o *office) visitOn(site int, day string) (domain.VisitID, domain.TaskID) {
	o.t.Helper()
	c := o.plan(site, day+"T08:00", day+"T16:00")
	_, err := o.PlanVisit(o.t.Context(), boss, c)
	o.must(err)
	v, err := o.Visit(o.t.Context(), boss, c.ID)
	o.must(err)
	return c.ID, v.Tasks[0].ID
}

func (o *office) note(task domain.TaskID, kind, at string) {
	o.t.Helper()
	o.exec(`INSERT INTO task_note (id, client_id, task_id, kind, text, by, captured_at, received_at) VALUES ($1, $2, $3, $4, 'as agreed', $5, $6, now())`,
		newID[domain.TaskNoteKind](), o.client, task, kind, o.people[0], at)
}

func instant(text string) time.Time {
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return at
}

func TestUndoneIsWhatNobodyHasEnded(t *testing.T) {
	o, ctx := open(t), t.Context()
	_, untouched := o.visitOn(0, "2026-11-16")
	_, finished := o.visitOn(0, "2026-11-17")
	o.note(finished, "finished", "2026-11-17T12:00:00Z")
	_, back := o.visitOn(1, "2026-11-18")
	o.note(back, "finished", "2026-11-18T12:00:00Z")
	o.note(back, "sent-back", "2026-11-19T12:00:00Z")
	cancelled, _ := o.visitOn(0, "2026-11-20")
	o.must(o.step(cancelled, visit.Cancel, "the pumps are down"))
	_, begun := o.visitOn(0, "2026-11-21")
	o.exec(`INSERT INTO survey_value (id, client_id, task_id, name, position, entered, source, reason, by, captured_at, received_at)
		VALUES ($1, $2, $3, 'fluid', '', 'water', 'client', '', $4, '2026-11-21T09:00Z', now())`, newID[domain.SurveyValueKind](), o.client, begun, o.people[0])
	o.visitOn(0, "2026-11-26") // still going on
	got, err := o.Undone(ctx, boss, domain.PersonID{}, instant("2026-11-26T12:00:00Z"), 10)
	o.must(err)
	want := []struct {
		task            domain.TaskID
		begun, sentBack bool
	}{{begun, true, false}, {back, false, true}, {untouched, false, false}}
	if len(got) != len(want) {
		t.Fatalf("%d undone: %+v", len(got), got)
	}
	for i, w := range want {
		if g := got[i]; g.TaskID != w.task || g.Begun != w.begun || g.SentBack != w.sentBack || len(g.Crew) != 1 || g.Crew[0] != "T. Okonjo" {
			t.Errorf("%d: %+v, want %+v", i, g, w)
		}
	}
	for who, n := range map[domain.PersonID]int{o.people[0]: 3, o.people[1]: 0} {
		if mine, err := o.Undone(ctx, boss, who, instant("2026-11-26T12:00:00Z"), 10); err != nil || len(mine) != n {
			t.Errorf("of one person: %d, %v, want %d", len(mine), err, n)
		}
	}
	if _, err := o.Undone(ctx, access.Actor{}, domain.PersonID{}, time.Now(), 10); domain.KindOf(err) == domain.Internal || err == nil {
		t.Errorf("a stranger: %v", err)
	}
}

func TestDueByWhatWasAgreed(t *testing.T) {
	o, ctx := open(t), t.Context()
	now, ahead := instant("2027-03-01T00:00:00Z"), instant("2027-03-31T00:00:00Z")
	due := func() string {
		t.Helper()
		list, err := o.Due(ctx, boss, now, ahead, 10)
		o.must(err)
		text := ""
		for _, d := range list {
			text += fmt.Sprintf("%s %s %v;", d.Tag, d.At.UTC().Format(time.DateOnly), d.Last != nil)
		}
		return text
	}
	if got := due(); got != "" {
		t.Errorf("no interval is agreed, and due are %s", got)
	}
	o.exec("UPDATE agreement SET interval_months = 12 WHERE point_id = $1", o.points[0][0])
	o.exec("UPDATE agreement SET interval_months = 24 WHERE point_id = $1", o.points[1][0])
	if got := due(); got != "FT-00 2027-01-01 false;" { // agreed on 1 January 2026; the other in 2028
		t.Errorf("after the agreement: %s", got)
	}
	_, done := o.visitOn(0, "2026-03-20")
	o.note(done, "finished", "2026-03-20T12:00:00Z")
	if got := due(); got != "FT-00 2027-03-20 true;" {
		t.Errorf("after work was finished: %s", got)
	}
	planned, _ := o.visitOn(0, "2027-03-15")
	if got := due(); got != "" {
		t.Errorf("a visit is planned, and due are %s", got)
	}
	o.must(o.step(planned, visit.Cancel, "the pumps are down"))
	if got := due(); got != "FT-00 2027-03-20 true;" {
		t.Errorf("the visit is cancelled, and due are %s", got)
	}
}
