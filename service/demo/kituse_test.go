package demo

import (
	"testing"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/store"
)

// kitTellsItsCertificates looks that every certificate of the reference RM-1 is told with the
// state that it has: what is affected when the reference turns out to be wrong.
func kitTellsItsCertificates(t *testing.T, s Services, db *store.Store) {
	ids, err := store.Scalars[domain.KitID](t.Context(), db, "SELECT id FROM kit_item WHERE tag = 'RM-1'")
	if err != nil || len(ids) != 1 {
		t.Fatal(ids, err)
	}
	uses, more, err := s.Equipment.Uses(t.Context(), access.System("test"), ids[0])
	if err != nil || more {
		t.Fatal(more, err)
	}
	want, err := store.Scalars[int64](t.Context(), db, `SELECT count(*) FROM certificate c
		WHERE EXISTS (SELECT FROM mounting m WHERE m.task_id = c.task_id AND m.reference_id = $1)`, ids[0])
	if err != nil {
		t.Fatal(err)
	}
	states := map[string]int64{}
	for _, u := range uses {
		for _, c := range u.Certificates {
			states[c.State]++
		}
	}
	if n := states["issued"] + states["superseded"] + states["withdrawn"]; n != want[0] || states["issued"] == 0 || states["superseded"] == 0 || states["withdrawn"] == 0 {
		t.Errorf("%v of %d certificates", states, want[0])
	}
}
