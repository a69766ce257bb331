package registry_test

import (
	"context"
	"errors"
	"sync"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/registry"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

var actor = access.System("test")

func newID[K any]() domain.ID[K] { return domain.NewID[K](storetest.IDs()) }

// ground is a client with a site of two points.
type ground struct {
	*registry.Service
	t      *testing.T
	db     storetest.DB
	store  *store.Store
	client domain.ClientID
	points [2]domain.PointID
}

func newGround(t *testing.T) ground {
	t.Helper()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	g := ground{Service: registry.New(s), t: t, db: db, store: s, client: newID[domain.ClientKind]()}
	g.client = g.addClient("Aldermere Water")
	site := newID[domain.SiteKind]()
	_, err := g.AddSite(t.Context(), actor, registry.AddSite{Operation: storetest.Operation(), ID: site, ClientID: g.client, Name: "Fenwick Lane", TimeZone: "Europe/Oslo"})
	g.must(err)
	for i, tag := range []string{"FT-101", "FT-102"} {
		g.points[i] = newID[domain.PointKind]()
		_, err := g.AddPoint(t.Context(), actor, registry.AddPoint{Operation: storetest.Operation(), ID: g.points[i], SiteID: site, PointTexts: register.PointTexts{Tag: tag}})
		g.must(err)
	}
	return g
}

func (g ground) must(err error) {
	g.t.Helper()
	if err != nil {
		g.t.Fatal(err)
	}
}

func (g ground) addClient(name string) domain.ClientID {
	g.t.Helper()
	id := newID[domain.ClientKind]()
	_, err := g.AddClient(g.t.Context(), actor, registry.AddClient{Operation: storetest.Operation(), ID: id, Name: name})
	g.must(err)
	return id
}

func (g ground) addMeter(of domain.ClientID, serial string) domain.MeterID {
	g.t.Helper()
	id := newID[domain.MeterKind]()
	_, err := g.AddMeter(g.t.Context(), actor, registry.AddMeter{Operation: storetest.Operation(), ID: id, ClientID: of, MeterTexts: meter(serial)})
	g.must(err)
	return id
}

func meter(serial string) register.MeterTexts {
	return register.MeterTexts{Principle: "electromagnetic", Maker: "Norrland Flow", Model: "N3", Serial: serial, Measurand: "volume"}
}

func install(m domain.MeterID, p domain.PointID, at string) registry.Install {
	return registry.Install{Operation: storetest.Operation(), ID: newID[domain.InstallationKind](), MeterID: m, PointID: p,
		InstallTexts: register.InstallTexts{InstalledAt: at, InstalledBy: "Works crew", InstallReason: "New line"}}
}

func remove(id domain.InstallationID, version int64, from, until string) registry.ChangeInstallation {
	return registry.ChangeInstallation{Operation: storetest.Operation(), ID: id, Version: version,
		RemoveTexts: register.RemoveTexts{InstalledAt: from, RemovedAt: until, RemovedBy: "T. Okonjo", RemoveReason: "Coil open"}}
}

func wantFault(t *testing.T, what string, err error, kind domain.Kind, code *fault.Code, args ...any) {
	t.Helper()
	f, ok := fault.Of(err)
	if !ok || f.Code != code || domain.KindOf(err) != kind {
		t.Errorf("%s: %v", what, err)
		return
	}
	for i, a := range code.Args() {
		if i < len(args) && f.Value(a.Name) != args[i] {
			t.Errorf("%s: %s is %v, want %v", what, a.Name, f.Value(a.Name), args[i])
		}
	}
}

func TestMeterIsAtOnePlaceAtATime(t *testing.T) {
	g := newGround(t)
	ctx := t.Context()
	a, b := g.addMeter(g.client, "61-00377"), g.addMeter(g.client, "61-00378")
	first := install(a, g.points[0], "2024-03-01T09:00")
	_, err := g.Install(ctx, actor, first)
	g.must(err)

	_, err = g.Install(ctx, actor, install(b, g.points[0], "2025-06-01T08:00"))
	wantFault(t, "a second meter in the slot", err, domain.Taken, register.SlotTaken, "Norrland Flow N3 61-00377", "1 March 2024, 09:00", "today")
	_, err = g.Install(ctx, actor, install(a, g.points[1], "2025-06-01T08:00"))
	wantFault(t, "the same meter elsewhere", err, domain.Taken, register.MeterElsewhere, "FT-101", "Fenwick Lane", "1 March 2024, 09:00", "today")
	beside := install(b, g.points[0], "2025-06-01T08:00")
	beside.Slot = "2"
	_, err = g.Install(ctx, actor, beside)
	g.must(err) // two meters in a row are two slots

	done, err := g.ChangeInstallation(ctx, actor, remove(first.ID, 1, "2024-03-01T09:00", "2025-06-02T10:00"))
	g.must(err)
	if done.Version != 2 {
		t.Errorf("version %d", done.Version)
	}
	_, err = g.Install(ctx, actor, install(a, g.points[1], "2025-06-02T09:59"))
	wantFault(t, "a minute before it was removed", err, domain.Taken, register.MeterElsewhere, "FT-101", "Fenwick Lane", "1 March 2024, 09:00", "2 June 2025, 10:00")
	_, err = g.Install(ctx, actor, install(a, g.points[1], "2025-06-02T10:00"))
	g.must(err)

	places, err := g.PlacesOf(ctx, actor, a)
	g.must(err)
	if len(places) != 2 || places[0].PointTag != "FT-102" || places[1].RemovedAt == nil || *places[1].RemoveReason != "Coil open" {
		t.Errorf("places of the meter: %+v", places)
	}
	if at := places[1].InstalledAt.UTC().Format("2006-01-02 15:04"); at != "2024-03-01 08:00" {
		t.Errorf("installed at %s UTC: the time is the site's", at)
	}
	there, err := g.InstalledAt(ctx, actor, g.points[0])
	g.must(err)
	if len(there) != 2 || there[0].Slot != 2 {
		t.Errorf("installed at the point: %+v", there)
	}
}

func TestRemovalIsTakenBackAndCorrected(t *testing.T) {
	g := newGround(t)
	ctx := t.Context()
	first := install(g.addMeter(g.client, "61-00377"), g.points[0], "2024-03-01T09:00")
	_, err := g.Install(ctx, actor, first)
	g.must(err)
	_, err = g.ChangeInstallation(ctx, actor, remove(first.ID, 1, "2024-03-01T09:00", "2024-02-01T09:00"))
	wantFault(t, "removed before it was installed", err, domain.Invalid, domain.EndsBefore)
	_, err = g.ChangeInstallation(ctx, actor, remove(first.ID, 1, "2024-03-01T09:00", "2025-06-02T10:00"))
	g.must(err)
	_, err = g.ChangeInstallation(ctx, actor, remove(first.ID, 1, "2024-03-01T09:00", "2025-06-03T10:00"))
	if current, ok := staleOf(err).(register.Installation); !ok || current.Version != 2 {
		t.Errorf("on an old version: %v", err)
	}
	second := install(g.addMeter(g.client, "61-00378"), g.points[0], "2025-06-02T10:30")
	_, err = g.Install(ctx, actor, second)
	g.must(err)
	back := registry.ChangeInstallation{Operation: storetest.Operation(), ID: first.ID, Version: 2, RemoveTexts: register.RemoveTexts{InstalledAt: "2024-03-01T09:00"}}
	_, err = g.ChangeInstallation(ctx, actor, back)
	wantFault(t, "taking the removal back under another meter", err, domain.Taken, register.SlotTaken, "Norrland Flow N3 61-00378")
}

func TestInstallationOfLongAgoIsNotedWithItsEnd(t *testing.T) {
	g := newGround(t)
	_, err := g.Install(t.Context(), actor, install(g.addMeter(g.client, "61-00377"), g.points[0], "2024-03-01T09:00"))
	g.must(err)
	old := install(g.addMeter(g.client, "58-20113"), g.points[0], "2012-06-11T08:00")
	_, err = g.Install(t.Context(), actor, old)
	wantFault(t, "no end", err, domain.Taken, register.SlotTaken)
	old.RemovedAt, old.RemovedBy, old.RemoveReason = "2024-03-01T08:00", "Works crew", "Liner worn"
	_, err = g.Install(t.Context(), actor, old)
	g.must(err)
	there, err := g.InstalledAt(t.Context(), actor, g.points[0])
	g.must(err)
	if len(there) != 2 || there[1].RemovedAt == nil || *there[1].RemovedBy != "Works crew" {
		t.Errorf("installed there: %+v", there)
	}
}

func staleOf(err error) any {
	var e *domain.Error
	if !errors.As(err, &e) || e.Kind != domain.Stale {
		return nil
	}
	return e.Current
}

func TestForeignMeterIsNotInstalled(t *testing.T) {
	g := newGround(t)
	other := g.addClient("Brackwell Dairies")
	_, err := g.Install(t.Context(), actor, install(g.addMeter(other, "61-00377"), g.points[0], "2024-03-01T09:00"))
	wantFault(t, "a meter of another client", err, domain.Invalid, register.OfOtherClient)
	empty := install(domain.MeterID{}, g.points[0], "2024-03-01T09:00")
	_, err = g.Install(t.Context(), actor, empty)
	wantFault(t, "no meter", err, domain.Invalid, domain.Required)
}

// TestPostgresHoldsThePlace goes round the friendly check: eight at once for one slot, and
// hand-written SQL.
func TestPostgresHoldsThePlace(t *testing.T) {
	g := newGround(t)
	var group sync.WaitGroup
	errs := make([]error, 8)
	for i := range errs {
		c := install(g.addMeter(g.client, "61-0040"+string(rune('0'+i))), g.points[0], "2024-03-01T09:00")
		group.Go(func() { _, errs[i] = g.Install(context.WithoutCancel(t.Context()), actor, c) })
	}
	group.Wait()
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
		} else {
			wantFault(t, "the slower ones", err, domain.Taken, register.SlotTaken)
		}
	}
	if won != 1 {
		t.Errorf("%d meters stand in one slot", won)
	}
	conn := g.db.Connect(t, store.App)
	_, err := conn.Exec(t.Context(), `INSERT INTO installation (id, client_id, meter_id, point_id, slot, during, installed_by, install_reason, version, created_at, changed_at)
		SELECT gen_random_uuid(), client_id, meter_id, point_id, slot, tstzrange('2025-01-01', '2025-02-01'), 'x', 'x', 1, now(), now() FROM installation LIMIT 1`)
	if err == nil {
		t.Error("Postgres let two meters stand in one slot")
	}
}

func TestSentTwiceInstallsOnce(t *testing.T) {
	g := newGround(t)
	c := install(g.addMeter(g.client, "61-00377"), g.points[0], "2024-03-01T09:00")
	one, err := g.Install(t.Context(), actor, c)
	g.must(err)
	two, err := g.Install(t.Context(), actor, c)
	g.must(err)
	if one != two {
		t.Errorf("%v, then %v", one, two)
	}
}

func TestTrailOfAnInstallationIsThePointsAndTheMeters(t *testing.T) {
	g := newGround(t)
	m := g.addMeter(g.client, "61-00377")
	c := install(m, g.points[0], "2024-03-01T09:00")
	_, err := g.Install(t.Context(), actor, c)
	g.must(err)
	changed := meter("61-00377")
	changed.Firmware = "4.2"
	_, err = g.ChangeMeter(t.Context(), actor, registry.ChangeMeter{Operation: storetest.Operation(), ID: m, Version: 1, MeterTexts: changed})
	g.must(err)
	for kind, id := range map[audit.Kind]string{audit.Meter: m.String(), audit.Point: g.points[0].String(), audit.Installation: c.ID.String(), audit.Client: g.client.String()} {
		events, err := g.History(t.Context(), actor, audit.Subject{Kind: kind, ID: id}, 0)
		g.must(err)
		want := map[audit.Kind]int{audit.Meter: 3, audit.Point: 3, audit.Installation: 1, audit.Client: 7}[kind]
		if len(events) != want {
			t.Errorf("%s has %d events, want %d", kind, len(events), want)
		}
		for _, e := range events { // names of persons stand apart, so that they can be erased
			for _, change := range e.Event.Changes {
				for _, f := range change.Fields {
					if f.Name == "installed_by" && (f.After == nil || f.After.Private == nil) {
						t.Errorf("who installed it stands in the chained trail: %+v", f)
					}
				}
			}
		}
	}
}
