package tracing

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/service/capture"
	"rillmark/service/logfile"
	"rillmark/service/store"
)

// ColumnMap is how the company reads files of one layout.
type ColumnMap struct {
	ID      domain.ColumnMapID
	Version int // from 1, of its layout
	Mapping logfile.Mapping
	By      *domain.PersonID // nil: the program
	At      time.Time
}

type columnMapRow struct {
	ID      domain.ColumnMapID `db:"id"`
	Version int                `db:"version"`
	Mapping string             `db:"mapping"`
	By      *domain.PersonID   `db:"by"`
	At      time.Time          `db:"at"`
}

// remembered is the newest column map of a layout, nil where there is none.
func remembered(ctx context.Context, q store.Querier, fingerprint [32]byte) (*ColumnMap, error) {
	rows, err := store.Rows[columnMapRow](ctx, q, `SELECT id, version, mapping, by, at FROM column_map
		WHERE fingerprint = $1 ORDER BY version DESC LIMIT 1`, fingerprint[:])
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	m, err := logfile.ParseMapping([]byte(rows[0].Mapping))
	return &ColumnMap{rows[0].ID, rows[0].Version, m, rows[0].By, rows[0].At}, err
}

// toldMap is a column map as the trail tells it.
type toldMap struct {
	Version int    `db:"version"`
	Mapping string `db:"mapping"`
}

// remember keeps a mapping as the newest of its layout, unless it is that already, and
// returns the id of the map that holds.
func (s *Service) remember(ctx context.Context, r capture.Row, fingerprint [32]byte, m logfile.Mapping) (domain.ColumnMapID, error) {
	text, err := json.Marshal(m)
	if err != nil {
		return domain.ColumnMapID{}, fmt.Errorf("column map: %w", err)
	}
	// Two who confirm files of one layout at once take turns for its versions.
	if err := r.Run(ctx, "SELECT pg_advisory_xact_lock(7230113, hashtext($1))", fmt.Sprintf("%x", fingerprint)); err != nil {
		return domain.ColumnMapID{}, err
	}
	last, err := remembered(ctx, r, fingerprint)
	if err != nil {
		return domain.ColumnMapID{}, err
	}
	version := 1
	if last != nil {
		was, err := json.Marshal(last.Mapping)
		if err != nil || string(was) == string(text) {
			return last.ID, err
		}
		version = last.Version + 1
	}
	id := domain.NewID[domain.ColumnMapKind](s.ids)
	r.Wrote(audit.Kind("column_map"), id, toldMap{version, string(text)})
	return id, r.Run(ctx, "INSERT INTO column_map (id, fingerprint, version, mapping, by, at) VALUES ($1, $2, $3, $4, $5, $6)",
		id, fingerprint[:], version, string(text), r.Stamp.By, r.Now)
}
