package demo

import (
	"context"
	"crypto/rand"
	"maps"
	"slices"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/evaluation"
	"rillmark/domain/person"
	"rillmark/service/account"
	"rillmark/service/account/accounttest"
	"rillmark/service/agreeing"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/document"
	"rillmark/service/equipment"
	"rillmark/service/issuing"
	"rillmark/service/planning"
	"rillmark/service/registry"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func services(t *testing.T) (Services, *store.Store) {
	t.Helper()
	db := storetest.Clone(t)
	// The mark of a demo database, without which nothing is dated back.
	if _, err := db.Connect(t, "").Exec(t.Context(), "CREATE SCHEMA rillmark_demo"); err != nil {
		t.Fatal(err)
	}
	s := db.Open(t, store.App)
	all := Services{
		Account:   account.New(account.Config{Store: s, IDs: storetest.IDs(), Random: rand.Reader, Hashing: accounttest.Hashing()}),
		Registry:  registry.New(s),
		Equipment: equipment.New(s, time.UTC),
		Agreeing:  agreeing.New(s, time.UTC),
		Planning:  planning.New(planning.Config{Store: s, IDs: storetest.IDs()}),
		Capture:   capture.New(capture.Config{Store: s, IDs: storetest.IDs(), Version: "test"}),
	}
	all.Tracing = tracing.New(tracing.Config{Store: s, IDs: storetest.IDs(), Capture: all.Capture})
	all.Issuing = issuing.New(issuing.Config{Store: s, Random: rand.Reader, Company: Party(), Program: "Rillmark", Version: "test",
		PublicURL: "http://127.0.0.1:8080", Layout: document.Latest, Traces: all.Tracing.Annex, Render: document.Render,
		Facts: func(ctx context.Context, a access.Actor, id domain.TaskID) (evaluation.Facts, error) {
			w, err := all.Capture.Sheet(ctx, a, id)
			if err != nil {
				return evaluation.Facts{}, err
			}
			return w.Facts, nil
		}})
	return all, s
}

// counted are the tables whose rows a second filling must not add to.
var counted = []string{"person", "client", "site", "measuring_point", "meter", "indication", "installation", "kit_item", "calibration",
	"equipment_set", "method_edition", "authorisation", "agreement", "visit", "visit_step", "booking", "task", "survey_value", "mounting",
	"setup_check", "zero_check", "run", "reading", "log_file", "series", "series_chunk", "alignment", "stretch", "column_map", "adjustment", "task_note", "evaluation", "approval", "preparation", "certificate", "certificate_withdrawal", "operation", "audit.event"}

func rowsOf(t *testing.T, s *store.Store) map[string]int64 {
	t.Helper()
	counts := map[string]int64{}
	for _, table := range counted {
		n, err := store.Scalars[int64](t.Context(), s, "SELECT count(*) FROM "+table)
		if err != nil {
			t.Fatal(err)
		}
		counts[table] = n[0]
	}
	return counts
}

// wantLists looks that what the lists hold is there, and that the audit trail is whole and
// has one event for each write.
func wantLists(t *testing.T, s *store.Store) map[string]int64 {
	t.Helper()
	rows := rowsOf(t, s)
	for table, want := range map[string]int{
		"person": len(people), "client": len(clients), "site": len(sites), "measuring_point": len(points), "meter": len(meters),
		"installation": len(installations), "kit_item": len(items), "calibration": len(calibrations), "equipment_set": len(sets),
		"method_edition": len(editions), "authorisation": len(authorisations), "agreement": len(agreements), "visit": len(visits),
		"approval": 7, "certificate": len(judgements), "certificate_withdrawal": 1,
	} {
		if rows[table] != int64(want) {
			t.Errorf("%s has %d rows, want %d", table, rows[table], want)
		}
	}
	head, problems, err := s.Verify(t.Context())
	if err != nil || len(problems) > 0 || head.Seq != rows["operation"] || rows["audit.event"] != rows["operation"] {
		t.Errorf("audit trail: %d events for %d writes, problems %v, %v", head.Seq, rows["operation"], problems, err)
	}
	return rows
}

// Filling twice comes to the same. A killed start leaves a part; the next one writes the
// rest and nothing twice, with the days of the first start, however much later it comes.
func TestFillComesToTheSame(t *testing.T) {
	fresh, db := services(t)
	begin := time.Now()
	if err := Fill(t.Context(), fresh); err != nil {
		t.Fatal(err)
	}
	t.Logf("filled in %v", time.Since(begin))
	want := wantLists(t, db)
	if err := Fill(t.Context(), fresh); err != nil {
		t.Fatal(err)
	}
	if again := wantLists(t, db); !maps.Equal(want, again) {
		t.Errorf("filled again: %v, want %v", again, want)
	}
	for name, stopped := range map[string]func(*load) []func(context.Context) error{
		"among the visits": func(l *load) []func(context.Context) error { return append(l.chapters()[:16], part(l.visit, 1, 3)) },
		"before the last visit, and twice": func(l *load) []func(context.Context) error {
			return append(l.chapters()[:18], l.chapters()[:18]...)
		},
	} {
		t.Run(name, func(t *testing.T) {
			s, db := services(t)
			for _, write := range stopped(&load{Services: s}) {
				if err := write(t.Context()); err != nil {
					t.Fatal(err)
				}
			}
			if err := Fill(t.Context(), s); err != nil {
				t.Fatal(err)
			}
			if got := wantLists(t, db); !maps.Equal(got, want) {
				t.Errorf("%v, want %v", got, want)
			}
		})
	}
}

func TestOnePersonForEachRoleAndASecondTechnician(t *testing.T) {
	var roles []access.Role
	for _, p := range People() {
		roles = append(roles, p.Role)
		if err := person.CheckPassword(p.Login, Password); err != nil {
			t.Errorf("%s: %v", p.Login, err)
		}
	}
	if want := slices.Insert(slices.Clone(access.Roles), 3, access.Technician); !slices.Equal(roles, want) {
		t.Errorf("roles %v, want %v", roles, want)
	}
}

func TestIDsAreValidAndDistinct(t *testing.T) {
	seen := map[string]bool{}
	for s := personRow; s <= stretchRow; s++ {
		for i := range 20 {
			id := idOf[domain.PointKind](s, i)
			if !id.Valid() || seen[id.String()] {
				t.Errorf("series %d, %d: %s valid %v, seen %v", s, i, id, id.Valid(), seen[id.String()])
			}
			seen[id.String()] = true
		}
	}
	// Fixed for ever: a demo that is there is found by it.
	if got, want := idOf[domain.PointKind](pointRow, 9).String(), "019b8d2b-8c00-7000-8000-00070000000a"; got != want {
		t.Errorf("id %s, want %s", got, want)
	}
}
