package planning_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/domain/visit"
	"rillmark/service/planning"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

var boss = access.System("test")

func newID[K any]() domain.ID[K] { return domain.NewID[K](storetest.IDs()) }

// office is a plan on a database of its own: two sites with two points each, of which the
// second at each site has no agreement; two people, two pieces of kit.
type office struct {
	*planning.Service
	t      *testing.T
	owner  *pgx.Conn
	store  *store.Store
	client domain.ClientID
	sites  [2]domain.SiteID
	points [2][2]domain.PointID
	people [2]domain.PersonID
	kit    [2]domain.KitID
}

func open(t *testing.T) *office {
	t.Helper()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	o := &office{Service: planning.New(planning.Config{Store: s, IDs: storetest.IDs()}), t: t, owner: db.Connect(t, store.Owner), store: s, client: newID[domain.ClientKind]()}
	o.exec(`INSERT INTO client (id, name, address, contact_name, contact_email, contact_phone, note, version, created_at, changed_at)
		VALUES ($1, 'Aldermere Water', '', '', '', '', '', 1, now(), now())`, o.client)
	method, edition := newID[domain.MethodKind](), newID[domain.MethodEditionKind]()
	o.exec(`INSERT INTO method (id, number, title, version, created_at, changed_at) VALUES ($1, 'M-01', 'Clamp-on', 1, now(), now())`, method)
	o.exec(`INSERT INTO method_edition (id, method_id, edition, content, in_force, version, created_at, changed_at)
		VALUES ($1, $2, 1, '{}', tstzrange(now(), NULL), 1, now(), now())`, edition, method)
	for i := range o.sites {
		o.sites[i] = newID[domain.SiteKind]()
		o.exec(`INSERT INTO site (id, client_id, name, address, time_zone, access_note, safety_note, version, created_at, changed_at)
			VALUES ($1, $2, $3, '', 'Europe/Oslo', '', '', 1, now(), now())`, o.sites[i], o.client, fmt.Sprintf("Works %d", i+1))
		for j := range o.points[i] {
			o.addPoint(i, j, edition)
		}
	}
	for i, name := range []string{"T. Okonjo", "I. Sørby"} {
		o.people[i] = newID[domain.PersonKind]()
		o.exec(`INSERT INTO person (id, login, name, roles, version, created_at, changed_at)
			VALUES ($1, $2, $3, '{technician}', 1, now(), now())`, o.people[i], fmt.Sprintf("p%d", i), name)
		o.kit[i] = newID[domain.KitKind]()
		o.exec(`INSERT INTO kit_item (id, kind, tag, maker, model, serial, firmware, note, version, created_at, changed_at)
			VALUES ($1, 'thermometer', $2, '', '', '', '', '', 1, now(), now())`, o.kit[i], fmt.Sprintf("T-%02d", i+1))
	}
	return o
}

func (o *office) addPoint(i, j int, edition domain.MethodEditionID) {
	p, m := newID[domain.PointKind](), newID[domain.MeterKind]()
	o.points[i][j] = p
	o.exec(`INSERT INTO measuring_point (id, client_id, site_id, tag, name, fluid, pipe, note, version, created_at, changed_at)
		VALUES ($1, $2, $3, $4, '', 'water', '', '', 1, now(), now())`, p, o.client, o.sites[i], fmt.Sprintf("FT-%d%d", i, j))
	o.exec(`INSERT INTO meter (id, client_id, principle, maker, model, serial, firmware, nominal_size, measurand, note, version, created_at, changed_at)
		VALUES ($1, $2, 'electromagnetic', '', '', $3, '', '', 'volume', '', 1, now(), now())`, m, o.client, fmt.Sprintf("S%d%d", i, j))
	o.exec(`INSERT INTO installation (id, client_id, meter_id, point_id, during, installed_by, install_reason, version, created_at, changed_at)
		VALUES ($1, $2, $3, $4, tstzrange('2020-01-01', NULL), 'the works crew', 'new', 1, now(), now())`, newID[domain.InstallationKind](), o.client, m, p)
	if j == 1 {
		return
	}
	o.exec(`INSERT INTO agreement (id, client_id, point_id, method_edition_id, order_number, rule, guard_factor, overall_rule, adjusting_allowed,
		interval_printed, public_shows, agreed_by, agreed_on, note, by, received_at)
		VALUES ($1, $2, $3, $4, '5512', 'simple', 0, 'worst-point', true, false, 'status', 'the client', '2026-01-01', '', 'system:test', now())`,
		newID[domain.AgreementKind](), o.client, p, edition)
}

func (o *office) exec(sql string, args ...any) {
	o.t.Helper()
	if _, err := o.owner.Exec(o.t.Context(), sql, args...); err != nil {
		o.t.Fatal(err)
	}
}

func (o *office) plan(site int, from, until string) planning.PlanVisit {
	return planning.PlanVisit{Operation: storetest.Operation(), ID: newID[domain.VisitKind](), SiteID: o.sites[site],
		Texts:  visit.Texts{From: from, Until: until},
		People: []domain.PersonID{o.people[0]}, Kit: []domain.KitID{o.kit[0]}, Points: []domain.PointID{o.points[site][0]}}
}

func (o *office) step(id domain.VisitID, s visit.Step, reason string) error {
	_, err := o.TakeStep(o.t.Context(), boss, planning.TakeStep{Operation: storetest.Operation(), ID: id, Step: s, Reason: reason})
	return err
}

func (o *office) must(err error) {
	o.t.Helper()
	if err != nil {
		o.t.Fatal(err)
	}
}

func TestAVisitFromPlanToCancelled(t *testing.T) {
	o, ctx := open(t), t.Context()
	c := o.plan(0, "2026-11-26T08:00", "2026-11-26T16:00")
	first, err := o.PlanVisit(ctx, boss, c)
	o.must(err)
	again, err := o.PlanVisit(ctx, boss, c)
	if err != nil || again != first {
		t.Fatalf("sent twice: %v, %v", again, err)
	}
	v, err := o.Visit(ctx, boss, c.ID)
	o.must(err)
	if v.State != visit.Planned || v.Site != "Works 1" || v.Client != "Aldermere Water" || len(v.Crew) != 1 || len(v.Tasks) != 1 || v.Tasks[0].Tag != "FT-00" {
		t.Errorf("planned: %+v", v)
	}
	if got := v.From.UTC().Format(time.RFC3339); got != "2026-11-26T07:00:00Z" {
		t.Errorf("08:00 at the site is %s", got)
	}
	if len(v.Gaps) != 2 || v.Gaps[0].Code != planning.NotAuthorised || v.Gaps[1].Code != kit.NoneOnRecord {
		t.Errorf("who is not authorised, and kit without a calibration, are not named: %v", v.Gaps)
	}
	o.must(o.step(c.ID, visit.Confirm, ""))
	o.must(o.step(c.ID, visit.Cancel, "the pumps are down"))
	if v, err = o.Visit(ctx, boss, c.ID); err != nil || v.State != visit.Cancelled || len(v.Crew) != 0 || len(v.Kit) != 0 {
		t.Errorf("cancelled: %+v, %v", v, err)
	}
	if len(v.Steps) != 2 || v.Steps[1].Reason != "the pumps are down" {
		t.Errorf("steps: %+v", v.Steps)
	}
	_, err = o.ChangeVisit(ctx, boss, planning.ChangeVisit{Operation: storetest.Operation(), ID: c.ID, Version: 1, Texts: c.Texts, People: c.People})
	if !fault.Has(err, visit.Over) {
		t.Errorf("changed after its end: %v", err)
	}
	events, err := o.store.Trail(ctx, &audit.Subject{Kind: audit.Visit, ID: c.ID.String()}, 0, 10)
	if err != nil || len(events) != 3 {
		t.Errorf("%d events, %v", len(events), err)
	}
}

func TestADoubleBookingIsNamed(t *testing.T) {
	o, ctx := open(t), t.Context()
	_, err := o.PlanVisit(ctx, boss, o.plan(0, "2026-11-26T08:00", "2026-11-26T12:00"))
	o.must(err)
	_, err = o.PlanVisit(ctx, boss, o.plan(1, "2026-11-26T11:00", "2026-11-26T16:00"))
	if domain.KindOf(err) != domain.Taken || !fault.Has(err, planning.PersonBooked) || !fault.Has(err, planning.KitBooked) {
		t.Fatalf("booked twice: %v", err)
	}
	if text := err.Error(); !strings.Contains(text, "Works 1") || !strings.Contains(text, "26 November 2026, 08:00") {
		t.Errorf("the other visit is not named: %s", text)
	}
	later := o.plan(1, "2026-11-26T12:00", "2026-11-26T16:00")
	_, err = o.PlanVisit(ctx, boss, later)
	o.must(err)

	change := planning.ChangeVisit{Operation: storetest.Operation(), ID: later.ID, Version: 1, Texts: visit.Texts{From: "2026-11-26T10:00", Until: "2026-11-26T16:00"},
		People: later.People, Kit: later.Kit}
	if _, err := o.ChangeVisit(ctx, boss, change); domain.KindOf(err) != domain.Taken {
		t.Errorf("moved into another visit: %v", err)
	}
	change.Operation, change.People, change.Kit = storetest.Operation(), []domain.PersonID{o.people[1]}, []domain.KitID{o.kit[1]}
	w, err := o.ChangeVisit(ctx, boss, change)
	if err != nil || w.Version != 2 {
		t.Fatalf("with another crew: %v, %v", w, err)
	}
	change.Operation = storetest.Operation()
	if _, err := o.ChangeVisit(ctx, boss, change); domain.KindOf(err) != domain.Stale {
		t.Errorf("stale: %v", err)
	}
}

// TestPostgresHoldsTheBookings goes past the service: the rule is the database's.
func TestPostgresHoldsTheBookings(t *testing.T) {
	o := open(t)
	a, b := o.plan(0, "2026-11-26T08:00", "2026-11-26T12:00"), o.plan(1, "2026-11-27T08:00", "2026-11-27T12:00")
	for _, c := range []planning.PlanVisit{a, b} {
		_, err := o.PlanVisit(t.Context(), boss, c)
		o.must(err)
	}
	_, err := store.Write(t.Context(), o.store, store.Command{Actor: boss, Action: "test.move", Operation: storetest.Operation()},
		func(ctx context.Context, tx *store.Tx) (string, error) {
			return "", tx.Run(ctx, "UPDATE visit SET during = tstzrange('2026-11-26T08:00Z', '2026-11-26T09:00Z') WHERE id = $1", b.ID)
		})
	if err == nil || !strings.Contains(err.Error(), "booking_person_one_visit") && domain.KindOf(err) != domain.Taken {
		t.Errorf("the booking drifted into another: %v", err)
	}
}

func TestManyBookAtOnce(t *testing.T) {
	o := open(t)
	var wait sync.WaitGroup
	var mu sync.Mutex
	done, refused := 0, 0
	for i := range 12 {
		c := o.plan(i%2, "2026-11-26T08:00", "2026-11-26T12:00")
		wait.Go(func() {
			_, err := o.PlanVisit(context.WithoutCancel(t.Context()), boss, c)
			mu.Lock()
			defer mu.Unlock()
			switch {
			case err == nil:
				done++
			case domain.KindOf(err) == domain.Taken:
				refused++
			default:
				t.Errorf("neither done nor refused: %v", err)
			}
		})
	}
	wait.Wait()
	if done != 1 || refused != 11 {
		t.Errorf("%d done, %d refused", done, refused)
	}
}

func TestWhatATaskNeeds(t *testing.T) {
	o, ctx := open(t), t.Context()
	for name, c := range map[string]struct {
		change func(*planning.PlanVisit)
		want   *fault.Code
	}{
		"no agreement":     {func(c *planning.PlanVisit) { c.Points = append(c.Points, o.points[0][1]) }, planning.NoAgreement},
		"another site's":   {func(c *planning.PlanVisit) { c.Points = []domain.PointID{o.points[1][0]} }, planning.OtherSite},
		"twice the same":   {func(c *planning.PlanVisit) { c.Points = append(c.Points, c.Points[0]) }, planning.TaskThere},
		"no point":         {func(c *planning.PlanVisit) { c.Points = nil }, planning.NoPoint},
		"nobody goes":      {func(c *planning.PlanVisit) { c.People = nil }, planning.NoCrew},
		"before the meter": {func(c *planning.PlanVisit) { c.From, c.Until = "2019-01-01T08:00", "2019-01-01T09:00" }, planning.NoMeterThere},
		"unknown point":    {func(c *planning.PlanVisit) { c.Points = []domain.PointID{newID[domain.PointKind]()} }, domain.NoSuchThing},
	} {
		plan := o.plan(0, "2026-11-26T08:00", "2026-11-26T12:00")
		c.change(&plan)
		if _, err := o.PlanVisit(ctx, boss, plan); !fault.Has(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	o.exec("UPDATE person SET disabled_at = now() WHERE id = $1", o.people[0])
	if _, err := o.PlanVisit(ctx, boss, o.plan(0, "2026-11-26T08:00", "2026-11-26T12:00")); !fault.Has(err, planning.PersonDisabled) {
		t.Errorf("a disabled person goes: %v", err)
	}
}

func TestAClosedVisitHasNoOpenTask(t *testing.T) {
	o, ctx := open(t), t.Context()
	c := o.plan(0, "2026-11-26T08:00", "2026-11-26T12:00")
	_, err := o.PlanVisit(ctx, boss, c)
	o.must(err)
	o.must(o.step(c.ID, visit.Arrive, ""))
	o.must(o.step(c.ID, visit.Leave, ""))
	if err := o.step(c.ID, visit.Close, ""); !fault.Has(err, visit.OpenTasks) {
		t.Fatalf("closed with an open task: %v", err)
	}
	v, err := o.Visit(ctx, boss, c.ID)
	o.must(err)
	o.exec(`INSERT INTO task_note (id, client_id, task_id, kind, text, by, captured_at, received_at)
		VALUES ($1, $2, $3, 'finished', 'done', $4, now(), now())`, newID[domain.TaskNoteKind](), o.client, v.Tasks[0].ID, o.people[0])
	o.must(o.step(c.ID, visit.Close, ""))
}

func TestTheListGoesOn(t *testing.T) {
	o, ctx := open(t), t.Context()
	for day := range 5 {
		_, err := o.PlanVisit(ctx, boss, o.plan(day%2, fmt.Sprintf("2026-12-%02dT08:00", day+1), fmt.Sprintf("2026-12-%02dT12:00", day+1)))
		o.must(err)
	}
	var seen []string
	for f := (planning.Filter{Filter: store.Filter{Limit: 2}, Person: o.people[0]}); ; {
		p, err := o.Visits(ctx, boss, f)
		o.must(err)
		for _, r := range p.Items {
			seen = append(seen, r.From.In(r.Zone()).Format("02"))
			if r.State() != visit.Planned || len(r.Crew) != 1 || len(r.Tags) != 1 || r.Open != 1 {
				t.Errorf("row %+v", r)
			}
		}
		if f.After = p.Next; f.After == "" {
			break
		}
	}
	if got := strings.Join(seen, " "); got != "01 02 03 04 05" {
		t.Errorf("days %s", got)
	}
	p, err := o.Visits(ctx, boss, planning.Filter{Site: o.sites[1], From: time.Date(2026, 12, 3, 0, 0, 0, 0, time.UTC)})
	if err != nil || len(p.Items) != 1 {
		t.Errorf("%d visits at the second site from the third on, %v", len(p.Items), err)
	}
	if _, err := o.Visits(ctx, boss, planning.Filter{Filter: store.Filter{After: "?"}}); !fault.Has(err, store.MarkMalformed) {
		t.Errorf("malformed mark: %v", err)
	}
	if p, err := o.Visits(ctx, boss, planning.Filter{Person: o.people[1]}); err != nil || len(p.Items) != 0 {
		t.Errorf("visits of who goes nowhere: %v, %v", p.Items, err)
	}
}

func TestWhoMayPlan(t *testing.T) {
	o, ctx := open(t), t.Context()
	technician := access.Actor{Person: o.people[0], Roles: []access.Role{access.Technician}}
	var known *domain.Error
	c := o.plan(0, "2026-11-26T08:00", "2026-11-26T12:00")
	if _, err := o.PlanVisit(ctx, technician, c); !errors.As(err, &known) || known.Kind != domain.Forbidden {
		t.Errorf("a technician plans: %v", err)
	}
	_, err := o.PlanVisit(ctx, boss, c)
	o.must(err)
	if _, err := o.TakeStep(ctx, technician, planning.TakeStep{Operation: storetest.Operation(), ID: c.ID, Step: visit.Cancel, Reason: "rain"}); domain.KindOf(err) != domain.Forbidden {
		t.Errorf("a technician cancels: %v", err)
	}
	if _, err := o.TakeStep(ctx, technician, planning.TakeStep{Operation: storetest.Operation(), ID: c.ID, Step: visit.Arrive}); err != nil {
		t.Errorf("a technician arrives: %v", err)
	}
	if _, err := o.Visits(ctx, access.Actor{}, planning.Filter{}); domain.KindOf(err) != domain.Unauthenticated {
		t.Errorf("nobody reads the plan: %v", err)
	}
}
