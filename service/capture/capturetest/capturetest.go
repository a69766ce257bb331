// Package capturetest prepares a database for tests of the work sheet: one client with a
// site, a point with its meter, kit with calibrations, a method, an agreement, and a visit
// of today with a task, by hand-written SQL. What it puts there is the ground of the
// example worked out in testdata/verification, so that a sheet filled in with that
// example's observations must come to its numbers. Production code cannot import it.
package capturetest

import (
	"encoding/json"
	"os"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/evaluation"
	"rillmark/service/store/storetest"
)

// Place is what was prepared.
type Place struct {
	Task       domain.TaskID
	Visit      domain.VisitID
	Point      domain.PointID
	Client     domain.ClientID
	Indication domain.IndicationID
	Current    domain.IndicationID // 4 to 20 mA, 0 to 200 m³/h
	Technician access.Actor        // of the crew
	Kit        map[string]domain.KitID
	Example    evaluation.Facts // of the worked example, as its file has them
	t          testing.TB
	conn       *pgx.Conn
}

// Facts reads the worked example; root leads to the module's folder.
func Facts(t testing.TB, root string) evaluation.Facts {
	t.Helper()
	text, err := os.ReadFile(root + "/testdata/verification/task.json")
	if err != nil {
		t.Fatal(err)
	}
	var f evaluation.Facts
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	return f
}

// Prepare fills the database. The technician is a person who is there already; the zero id
// makes one.
func Prepare(t testing.TB, db storetest.DB, root string, technician domain.PersonID) *Place {
	t.Helper()
	p := &Place{t: t, conn: db.Connect(t, ""), Kit: map[string]domain.KitID{}, Example: Facts(t, root)}
	f := p.Example
	if !technician.Valid() {
		technician = Person(t, db, "tech", access.Technician)
	}
	p.Technician = access.Actor{Person: technician, Roles: []access.Role{access.Technician}}
	p.Task, p.Visit, p.Point, p.Client = f.Task.ID, f.Task.VisitID, f.Task.PointID, id[domain.ClientKind]()
	p.Indication, p.Current = f.Indications[0].ID, id[domain.IndicationKind]()
	p.register(f)
	p.equipment(f)
	p.ground(f, technician)
	p.visit(f, technician)
	return p
}

func id[K any]() domain.ID[K] { return domain.NewID[K](storetest.IDs()) }

// Person makes a person of the role.
func Person(t testing.TB, db storetest.DB, login string, role access.Role) domain.PersonID {
	t.Helper()
	made := id[domain.PersonKind]()
	if _, err := db.Connect(t, "").Exec(t.Context(), `INSERT INTO person (id, login, name, roles, version, created_at, changed_at)
		VALUES ($1, $2, $3, $4, 1, now(), now())`, made, login, "Mirela Tidewell", []string{string(role)}); err != nil {
		t.Fatal(err)
	}
	return made
}

// SQL runs a statement as the superuser.
func (p *Place) SQL(statement string, args ...any) {
	p.t.Helper()
	if _, err := p.conn.Exec(p.t.Context(), statement, args...); err != nil {
		p.t.Fatalf("%s: %v", statement, err)
	}
}

// Count returns the number that a query gives.
func (p *Place) Count(query string, args ...any) int {
	p.t.Helper()
	var n int
	if err := p.conn.QueryRow(p.t.Context(), query, args...).Scan(&n); err != nil {
		p.t.Fatalf("%s: %v", query, err)
	}
	return n
}

func (p *Place) register(f evaluation.Facts) {
	site, meter := id[domain.SiteKind](), f.Task.MeterID
	p.SQL(`INSERT INTO client (id, name, address, contact_name, contact_email, contact_phone, note, version, created_at, changed_at)
		VALUES ($1, 'Brackmere Water', '', '', '', '', '', 1, now(), now())`, p.Client)
	p.SQL(`INSERT INTO site (id, client_id, name, address, time_zone, access_note, safety_note, version, created_at, changed_at)
		VALUES ($1, $2, 'Fenwick Lane pumping station', '', $3, 'Key at the gatehouse.', 'Pumps start without warning.', 1, now(), now())`,
		site, p.Client, f.Task.TimeZone)
	p.SQL(`INSERT INTO measuring_point (id, client_id, site_id, tag, name, fluid, pipe, note, version, created_at, changed_at)
		VALUES ($1, $2, $3, 'FT-204', 'rising main', 'drinking water', 'carbon steel, NPS 6', '', 1, now(), now())`, p.Point, p.Client, site)
	p.SQL(`INSERT INTO meter (id, client_id, principle, maker, model, serial, firmware, nominal_size, measurand, note, version, created_at, changed_at)
		VALUES ($1, $2, 'electromagnetic', 'Invented Meters', 'M-150', '77120', '2.1', 'DN 150', 'volume', '', 1, now(), now())`, meter, p.Client)
	p.SQL(`INSERT INTO indication (id, client_id, meter_id, name, way, unit, resolution, resolution_entered, version, created_at, changed_at)
		VALUES ($1, $2, $3, 'display', 'display', 'm3/h', $4, '0.1 m3/h', 1, now(), now())`,
		p.Indication, p.Client, meter, f.Indications[0].Resolution)
	p.SQL(`INSERT INTO installation (id, client_id, meter_id, point_id, during, installed_by, install_reason, version, created_at, changed_at)
		VALUES ($1, $2, $3, $4, tstzrange('2019-03-01', NULL), 'the works', 'new', 1, now(), now())`,
		installation, p.Client, meter, p.Point)
}

var installation = domain.InstallationID{UUID: uuid.MustParse("01980000-0000-7000-8000-001400000001")}

// WithCurrent gives the meter a current output as well: 4 to 20 mA for 0 to 200 m³/h.
func (p *Place) WithCurrent() {
	p.t.Helper()
	p.SQL(`INSERT INTO indication (id, client_id, meter_id, name, way, unit, low_signal, high_signal, flow_at_low, flow_at_low_entered,
			flow_at_high, flow_at_high_entered, version, created_at, changed_at)
		VALUES ($1, $2, $3, 'output', 'current', 'm3/h', 0.004, 0.02, 0, '0 m3/h', $4, '200 m3/h', 1, now() + interval '1 second', now())`,
		p.Current, p.Client, p.Example.Task.MeterID, 200.0/3600)
}

// Yesterday is the day on which a test places the example's observations.
func Yesterday() time.Time { return time.Now().UTC().Truncate(24*time.Hour).AddDate(0, 0, -1) }

// lifetime is when the kit was calibrated, as many days before Yesterday as the example's
// was before its day, and until when that holds.
func lifetime(f evaluation.Facts) (from, to time.Time) {
	day := f.Sheet.Controls[0].CapturedAt.Truncate(24 * time.Hour)
	from = Yesterday().Add(-day.Sub(f.Calibrations[0].CalibratedOn))
	return from, from.AddDate(1, 0, 0)
}

func (p *Place) equipment(f evaluation.Facts) {
	for _, k := range f.Kit {
		p.Kit[k.Tag] = k.ID
		p.SQL(`INSERT INTO kit_item (id, kind, tag, maker, model, serial, firmware, works_by, takes_spacing, least_snr_db, resolution, resolution_entered,
				averaging_s, wave, wedge_angle, wedge_sound_speed, exit_offset, frequency, graduation, note, version, created_at, changed_at)
			VALUES ($1, $2, $3, $4, $5, $6, '', $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, '', 1, now(), now())`,
			k.ID, k.Kind, k.Tag, k.Maker, k.Model, k.Serial, k.WorksBy, k.TakesSpacing, k.LeastSNR, k.Resolution, k.ResolutionEntered,
			k.Averaging, k.Wave, k.WedgeAngle, k.WedgeSoundSpeed, k.ExitOffset, k.Frequency, k.Graduation)
	}
	from, to := lifetime(f)
	for _, c := range f.Calibrations {
		p.SQL(`INSERT INTO calibration (id, kit_id, pair_id, cable_id, quantity, certificate_number, laboratory, route, calibrated_on, valid,
				least_inside_diameter, most_inside_diameter, least_velocity, most_velocity, least_reynolds, most_reynolds, traverses, by, received_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, tstzrange($10, $11), $12, $13, $14, $15, $16, $17, $18, 'system:test', now())`,
			c.ID, c.KitID, c.PairID, c.CableID, c.Quantity, c.CertificateNumber, c.Laboratory, c.Route, from, from, to,
			c.LeastInsideDiameter, c.MostInsideDiameter, c.LeastVelocity, c.MostVelocity, c.LeastReynolds, c.MostReynolds, c.Traverses)
		for _, at := range c.Points {
			p.SQL(`INSERT INTO calibration_point (calibration_id, n, at_value, at_entered, error, error_entered, expanded_uncertainty, expanded_entered, coverage_factor)
				VALUES ($1, $2, $3, '', $4, '', $5, '', $6)`, c.ID, at.N, at.At, at.Error, at.Expanded, at.K)
		}
	}
}

func (p *Place) ground(f evaluation.Facts, technician domain.PersonID) {
	content, err := f.Method.Content.Canonical()
	if err != nil {
		p.t.Fatal(err)
	}
	p.SQL(`INSERT INTO method (id, number, title, version, created_at, changed_at) VALUES ($1, $2, 'Verification in place, clamp-on reference', 1, now(), now())`,
		f.Method.ID, f.Method.Number)
	p.SQL(`INSERT INTO method_edition (id, method_id, edition, content, in_force, version, created_at, changed_at)
		VALUES ($1, $2, $3, $4, tstzrange('2020-01-01', NULL), 1, now(), now())`, f.Method.EditionID, f.Method.ID, f.Method.Edition, string(content))
	p.SQL(`INSERT INTO authorisation (id, person_id, method_id, act, during, ground, version, created_at, changed_at)
		VALUES ($1, $2, $3, 'perform', tstzrange('2020-01-01', NULL), 'trained and watched', 1, now(), now())`,
		id[domain.AuthorisationKind](), technician, f.Method.ID)
	a := f.Agreement
	p.SQL(`INSERT INTO agreement (id, client_id, point_id, method_edition_id, order_number, rule, guard_factor, no_statement_ratio, overall_rule,
			adjusting_allowed, interval_months, interval_printed, public_shows, agreed_by, agreed_on, note, by, received_at)
		VALUES ($1, $2, $3, $4, 'PO 4711', $5, $6, $7, $8, $9, 24, false, 'status', 'the client', '2026-01-10', '', 'system:test', now())`,
		a.ID, p.Client, p.Point, f.Method.EditionID, a.Rule, a.GuardFactor, a.NoStatementRatio, a.OverallRule, a.AdjustingAllowed)
	for _, l := range a.Limits {
		var to *string
		if l.ToFlow != nil {
			text := "as agreed"
			to = &text
		}
		p.SQL(`INSERT INTO agreement_limit (agreement_id, client_id, n, phase, from_flow, from_entered, to_flow, to_entered, kind, lower_limit, upper_limit, span,
			combine, other_kind, other_limit, other_span)
			VALUES ($1, $2, $3, $4, $5, '', $6, $7, $8, $9, $10, $11, nullif($12, ''), nullif($13, ''), $14, $15)`, a.ID, p.Client, l.N, l.Phase,
			l.FromFlow, l.ToFlow, to, l.Kind, l.Lower, l.Upper, l.Span, l.Combine, l.OtherKind, l.Other, l.OtherSpan)
	}
}

// visit makes the visit of today, whole day, with the technician and the kit booked.
func (p *Place) visit(f evaluation.Facts, technician domain.PersonID) {
	from := time.Now().UTC().Truncate(24 * time.Hour)
	p.SQL(`INSERT INTO visit (id, client_id, site_id, during, note, version, created_at, changed_at)
		SELECT $1, $2, site_id, tstzrange($3, $4), '', 1, now(), now() FROM measuring_point WHERE id = $5`, p.Visit, p.Client, from, from.Add(24*time.Hour), p.Point)
	book := func(person *domain.PersonID, item *domain.KitID) {
		p.SQL(`INSERT INTO booking (id, client_id, visit_id, during, person_id, kit_id) VALUES ($1, $2, $3, tstzrange($4, $5), $6, $7)`,
			id[domain.BookingKind](), p.Client, p.Visit, from, from.Add(24*time.Hour), person, item)
	}
	book(&technician, nil)
	for _, k := range f.Kit {
		book(nil, &k.ID)
	}
	p.SQL(`INSERT INTO task (id, client_id, visit_id, point_id, installation_id, agreement_id, created_at) VALUES ($1, $2, $3, $4, $5, $6, now())`,
		p.Task, p.Client, p.Visit, p.Point, installation, f.Agreement.ID)
}

// Has returns the kit id of a tag.
func (p *Place) Has(tag string) domain.KitID {
	p.t.Helper()
	found, there := p.Kit[tag]
	if !there {
		p.t.Fatalf("no kit %s", tag)
	}
	return found
}
