package issuing

import (
	"cmp"
	"context"
	"fmt"
	"strings"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/register"
	"rillmark/service/store"
)

// around is what a document prints of the register and of what was agreed.
type around struct {
	Client        string         `db:"client"`
	ClientAddress string         `db:"client_address"`
	ContactName   string         `db:"contact_name"`
	ContactEmail  string         `db:"contact_email"`
	ContactPhone  string         `db:"contact_phone"`
	Site          string         `db:"site"`
	SiteAddress   string         `db:"site_address"`
	TimeZone      string         `db:"time_zone"`
	Tag           string         `db:"tag"`
	Point         string         `db:"point"`
	MeterID       domain.MeterID `db:"meter_id"`
	Principle     string         `db:"principle"`
	Maker         string         `db:"maker"`
	Model         string         `db:"model"`
	Serial        string         `db:"serial"`
	Firmware      string         `db:"firmware"`
	NominalSize   string         `db:"nominal_size"`
	OrderNumber   string         `db:"order_number"`
	MethodTitle   string         `db:"method_title"`
	AgreedBy      string         `db:"agreed_by"`
	AgreedOn      time.Time      `db:"agreed_on"`
	Consent       *string        `db:"consent"`
	Interval      *int           `db:"interval_months"`
	Printed       bool           `db:"interval_printed"`
	Shows         string         `db:"public_shows"`
}

func (s *Service) around(ctx context.Context, j Judged) (around, error) {
	return store.Row[around](ctx, s.Store, "task", `
		SELECT c.name AS client, c.address AS client_address, c.contact_name, c.contact_email, c.contact_phone,
		       s.name AS site, s.address AS site_address, s.time_zone, p.tag, p.name AS point,
		       m.id AS meter_id, m.principle, m.maker, m.model, m.serial, m.firmware, m.nominal_size,
		       a.order_number, d.title AS method_title, a.agreed_by, a.agreed_on, a.consent, a.interval_months, a.interval_printed, a.public_shows
		FROM task t JOIN measuring_point p ON p.id = t.point_id JOIN site s ON s.id = p.site_id JOIN client c ON c.id = t.client_id
		JOIN installation i ON i.id = t.installation_id JOIN meter m ON m.id = i.meter_id
		JOIN agreement a ON a.id = $2 JOIN method_edition e ON e.id = a.method_edition_id JOIN method d ON d.id = e.method_id
		WHERE t.id = $1`, j.TaskID, j.AgreementID)
}

// shown is one way in which the meter shows its flow.
type shown struct {
	Name        string   `db:"name"`
	Way         string   `db:"way"`
	Unit        string   `db:"unit"`
	LowSignal   *float64 `db:"low_signal"`
	HighSignal  *float64 `db:"high_signal"`
	FlowAtLow   *string  `db:"flow_at_low_entered"`
	FlowAtHigh  *string  `db:"flow_at_high_entered"`
	PulseVolume *string  `db:"pulse_volume_entered"`
}

// parameter says how the indication is scaled.
func (i shown) parameter() string {
	switch {
	case i.Way == "current" && i.LowSignal != nil && i.HighSignal != nil && i.FlowAtLow != nil && i.FlowAtHigh != nil:
		return fmt.Sprintf("%s: %g mA is %s, %g mA is %s", i.Name, *i.LowSignal*1000, *i.FlowAtLow, *i.HighSignal*1000, *i.FlowAtHigh)
	case i.Way == "pulse" && i.PulseVolume != nil:
		return fmt.Sprintf("%s: one pulse is %s", i.Name, *i.PulseVolume)
	}
	return fmt.Sprintf("%s: in %s", i.Name, i.Unit)
}

// paper gathers what the document prints beside facts and result.
func (s *Service) paper(ctx context.Context, j Judged) (certificate.Paper, around, error) {
	a, err := s.around(ctx, j)
	if err != nil {
		return certificate.Paper{}, a, err
	}
	zone, err := time.LoadLocation(a.TimeZone)
	if err != nil {
		return certificate.Paper{}, a, err
	}
	indications, err := store.Rows[shown](ctx, s.Store, `SELECT name, way, unit, low_signal, high_signal, flow_at_low_entered, flow_at_high_entered,
		pulse_volume_entered FROM indication WHERE meter_id = $1 ORDER BY created_at, id`, a.MeterID)
	if err != nil {
		return certificate.Paper{}, a, err
	}
	var parameters, units []string
	for _, i := range indications {
		units = append(units, i.Unit)
		parameters = append(parameters, i.parameter())
	}
	p := certificate.Paper{
		Kind:     certificate.First,
		Editions: certificate.Editions{Program: s.Program, Version: s.Version, Tables: j.Facts.Method.Number, Layout: s.Layout},
		Company:  s.Company,
		Client:   certificate.Party{Name: a.Client, Address: lines(a.ClientAddress), Contact: joined(a.ContactName, a.ContactEmail, a.ContactPhone)},
		Place:    certificate.Place{Site: a.Site, Address: lines(a.SiteAddress), Tag: a.Tag, Point: a.Point, Zone: a.TimeZone},
		Meter: certificate.Meter{Principle: a.Principle, Maker: a.Maker, Model: a.Model, Serial: a.Serial, Firmware: a.Firmware,
			NominalSize: a.NominalSize, Seals: seals(j), Parameters: parameters},
		OrderNumber: a.OrderNumber, MethodTitle: a.MethodTitle, AgreedBy: a.AgreedBy, AgreedOn: a.AgreedOn,
		FlowUnit: register.FlowUnit(units...), Zone: zone, Say: s.Say,
	}
	if a.Consent != nil {
		p.Consent = *a.Consent
	}
	if a.Interval != nil && a.Printed {
		p.Interval = fmt.Sprintf("%d months", *a.Interval)
	}
	if s.Traces != nil {
		if p.Traces, err = s.Traces(ctx, access.System("issuing"), j.TaskID, p.FlowUnit, zone); err != nil {
			return p, a, err
		}
	}
	return p, a, s.people(ctx, j, &p)
}

// seals are those that the meter bore when it was left: of the last adjustment.
func seals(j Judged) (seal string) {
	for _, a := range j.Facts.Sheet.AdjustmentsInForce() {
		seal = cmp.Or(a.SealAfter, seal)
	}
	return seal
}

// people names everybody whom the sheet or the approval names.
func (s *Service) people(ctx context.Context, j Judged, p *certificate.Paper) error {
	type named struct {
		ID    domain.PersonID `db:"id"`
		Name  string          `db:"name"`
		Roles []string        `db:"roles"`
	}
	rows, err := store.Rows[named](ctx, s.Store, `SELECT id, name, roles FROM person WHERE id IN (
		SELECT person_id FROM evaluation_contributor WHERE evaluation_id = $1
		UNION SELECT by FROM survey_value WHERE task_id = $2 UNION SELECT by FROM task_note WHERE task_id = $2
		UNION SELECT by FROM control_note WHERE task_id = $2 UNION SELECT by FROM set_aside WHERE task_id = $2
		UNION SELECT by FROM run WHERE task_id = $2 UNION SELECT by FROM reading WHERE task_id = $2
		UNION SELECT approved_by FROM approval WHERE evaluation_id = $1)`, j.ID, j.TaskID)
	if err != nil {
		return err
	}
	p.Names, p.Functions = map[domain.PersonID]string{}, map[domain.PersonID]string{}
	for _, r := range rows {
		p.Names[r.ID], p.Functions[r.ID] = r.Name, strings.Join(r.Roles, ", ")
		if j.ApprovedBy != nil && *j.ApprovedBy == r.ID {
			p.Approver = &certificate.Person{Name: r.Name, Function: "approver", At: certificate.In(s.Zone, *j.ApprovedAt)}
		}
	}
	return nil
}

func lines(text string) (all []string) {
	for _, l := range strings.Split(text, "\n") {
		if l = strings.TrimSpace(l); l != "" {
			all = append(all, l)
		}
	}
	return all
}

func joined(parts ...string) string {
	var kept []string
	for _, p := range parts {
		if p != "" {
			kept = append(kept, p)
		}
	}
	return strings.Join(kept, ", ")
}
