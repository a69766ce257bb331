package capture

import (
	"context"
	"slices"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/register"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// Head says where a task is and what it is about.
type Head struct {
	TaskID      domain.TaskID      `db:"task_id"`
	VisitID     domain.VisitID     `db:"visit_id"`
	PointID     domain.PointID     `db:"point_id"`
	ClientID    domain.ClientID    `db:"client_id"`
	SiteID      domain.SiteID      `db:"site_id"`
	MeterID     domain.MeterID     `db:"meter_id"`
	AgreementID domain.AgreementID `db:"agreement_id"`
	Client      string             `db:"client"`
	Site        string             `db:"site"`
	TimeZone    string             `db:"time_zone"`
	AccessNote  string             `db:"access_note"`
	SafetyNote  string             `db:"safety_note"`
	Tag         string             `db:"tag"`
	Point       string             `db:"point"`
	Fluid       string             `db:"fluid"`
	Pipe        string             `db:"pipe"`
	OnFile
	Principle    string                 `db:"principle"`
	Maker        string                 `db:"maker"`
	Model        string                 `db:"model"`
	Serial       string                 `db:"serial"`
	Measurand    string                 `db:"measurand"`
	OrderNumber  string                 `db:"order_number"`
	MethodNumber string                 `db:"method_number"`
	MethodTitle  string                 `db:"method_title"`
	From         time.Time              `db:"from_time"`
	To           time.Time              `db:"to_time"`
	Interval     *int                   `db:"interval_months"`
	Adjusting    bool                   `db:"adjusting_allowed"`
	Edition      domain.MethodEditionID `db:"edition_id"`
}

// OnFile is what the register has of the point's pipe: an earlier visit's or the client's.
type OnFile struct {
	Outside      *float64 `db:"outside_diameter"` // m
	OutsideText  *string  `db:"outside_diameter_entered"`
	WallOnFile   *float64 `db:"wall"`
	WallText     *string  `db:"wall_entered"`
	BeforeOnFile *float64 `db:"straight_before"`
	BeforeText   *string  `db:"straight_before_entered"`
	AfterOnFile  *float64 `db:"straight_after"`
	AfterText    *string  `db:"straight_after_entered"`
}

// Indication is one way in which the meter shows its flow, with its scaling.
type Indication struct {
	ID          domain.IndicationID `db:"id"`
	Name        string              `db:"name"`
	Way         string              `db:"way"`
	Unit        string              `db:"unit"`
	Resolution  *float64            `db:"resolution"` // m³/s
	LowSignal   *float64            `db:"low_signal"` // A
	HighSignal  *float64            `db:"high_signal"`
	FlowAtLow   *float64            `db:"flow_at_low"` // m³/s
	FlowAtHigh  *float64            `db:"flow_at_high"`
	PulseVolume *float64            `db:"pulse_volume"` // m³
}

// Last is a value of an earlier visit, offered with its date.
type Last struct {
	sheet.Value
	At time.Time
}

// Evaluated is an evaluation that is kept.
type Evaluated struct {
	ID         domain.EvaluationID `db:"id"`
	Number     int                 `db:"number"`
	Input      string              `db:"input"` // hexadecimal
	Conformity bool                `db:"conformity"`
	By         domain.PersonID     `db:"evaluated_by"`
	At         time.Time           `db:"at"`
	Approved   bool                `db:"-"`
}

// Work is a whole task: what the page shows and what an evaluation rests on.
type Work struct {
	Head
	Facts       evaluation.Facts
	Indications []Indication
	Kit         []kit.Item // booked for the visit, then what the sheet names, by tag
	People      map[domain.PersonID]string
	Crew        []domain.PersonID
	LastVisit   map[sheet.Name]Last
	Evaluations []Evaluated // newest first

	calibrations   []kit.Calibration          // of all of Kit
	authorisations []evaluation.Authorisation // of crew and writers
}

// Sheet reads a whole task.
func (s *Service) Sheet(ctx context.Context, a access.Actor, id domain.TaskID) (*Work, error) {
	if err := access.May(a, access.SeeSheet); err != nil {
		return nil, err
	}
	w, err := s.work(ctx, id)
	return w, domain.Wrap("sheet", err)
}

// work reads a task in one snapshot's worth of queries. They are not one transaction: rows
// are only ever added, so a later query can at most see a row more.
func (s *Service) work(ctx context.Context, id domain.TaskID) (*Work, error) {
	w := &Work{People: map[domain.PersonID]string{}}
	for _, read := range []func(context.Context, *Work, domain.TaskID) error{s.readHead, s.readIndications, s.readSheet, s.readMethod,
		s.readAgreement, s.readKit, s.readPeople, s.readLast, s.readEvaluations} {
		if err := read(ctx, w, id); err != nil {
			return nil, err
		}
	}
	inUTC(w)
	return w, nil
}

func (s *Service) readHead(ctx context.Context, w *Work, id domain.TaskID) (err error) {
	w.Head, err = store.Row[Head](ctx, s.store, "task", `
		SELECT t.id AS task_id, t.visit_id, t.point_id, t.client_id, s.id AS site_id, i.meter_id, t.agreement_id,
		       c.name AS client, s.name AS site, s.time_zone, s.access_note, s.safety_note,
		       p.tag, p.name AS point, p.fluid, p.pipe, p.outside_diameter, p.outside_diameter_entered, p.wall, p.wall_entered,
		       p.straight_before, p.straight_before_entered, p.straight_after, p.straight_after_entered, m.principle, m.maker, m.model, m.serial, m.measurand,
		       a.order_number, a.interval_months, a.adjusting_allowed, a.method_edition_id AS edition_id,
		       d.number AS method_number, d.title AS method_title,
		       lower(v.during) AS from_time, upper(v.during) AS to_time
		FROM task t
		JOIN visit v ON v.id = t.visit_id
		JOIN measuring_point p ON p.id = t.point_id
		JOIN site s ON s.id = p.site_id
		JOIN client c ON c.id = t.client_id
		JOIN installation i ON i.id = t.installation_id
		JOIN meter m ON m.id = i.meter_id
		JOIN agreement a ON a.id = t.agreement_id
		JOIN method_edition e ON e.id = a.method_edition_id
		JOIN method d ON d.id = e.method_id
		WHERE t.id = $1`, id)
	w.Facts.Task = evaluation.Task{ID: w.TaskID, VisitID: w.VisitID, PointID: w.PointID, MeterID: w.MeterID,
		TimeZone: w.TimeZone, Measurand: w.Measurand}
	return err
}

func (s *Service) readIndications(ctx context.Context, w *Work, _ domain.TaskID) (err error) {
	w.Indications, err = store.Rows[Indication](ctx, s.store, `
		SELECT id, name, way, unit, resolution, low_signal, high_signal, flow_at_low, flow_at_high, pulse_volume
		FROM indication WHERE meter_id = $1 ORDER BY created_at, id`, w.MeterID)
	for _, i := range w.Indications {
		w.Facts.Indications = append(w.Facts.Indications, evaluation.Indication{ID: i.ID, Name: i.Name, Way: i.Way, Resolution: i.Resolution})
	}
	return err
}

// Indication returns the indication of the id, and whether the meter has it.
func (w *Work) Indication(id string) (Indication, bool) {
	i := slices.IndexFunc(w.Indications, func(i Indication) bool { return i.ID.String() == id })
	if i < 0 {
		return Indication{}, false
	}
	return w.Indications[i], true
}

// FlowUnit is the unit at the end of the reference's line: that of the meter's first
// indication that has a unit of flow.
func (w *Work) FlowUnit() string {
	units := make([]string, len(w.Indications))
	for n, i := range w.Indications {
		units[n] = i.Unit
	}
	return register.FlowUnit(units...)
}

// flowUnit is the indication's unit where it is one of flow.
func (i Indication) flowUnit() string {
	if !register.IsFlowUnit(i.Unit) {
		return ""
	}
	return i.Unit
}

// ReadUnit is the unit at the end of the indication's line.
func (i Indication) ReadUnit() string {
	switch unit := i.flowUnit(); {
	case i.Way == "current":
		return "mA"
	case unit != "":
		return unit
	case i.Way == "pulse":
		return "Hz"
	}
	return "m³/h"
}

// Read reads what an indication showed: a flow; of a current output a current too, scaled;
// of pulses a frequency too, times the volume of one. In m³/s, with the text as typed.
func (i Indication) Read(text string) (flow float64, entered string, err error) {
	unit := i.ReadUnit()
	switch {
	case i.Way == "current" && !hasFlowUnit(text):
		amperes, entered, err := typed(text, quantity.KindCurrent, unit)
		if err != nil {
			return 0, entered, err
		}
		s, scaled := i.scaling()
		if !scaled {
			return 0, entered, SignalUnscaled.At("", i.Name)
		}
		return s.Flow(amperes), entered, nil
	case i.Way == "pulse" && (unit == "Hz" || strings.HasSuffix(strings.ToLower(domain.Line(text)), "hz")):
		hertz, entered, err := typed(text, quantity.KindFrequency, "Hz")
		if err == nil && i.PulseVolume == nil {
			err = SignalUnscaled.At("", i.Name)
		}
		if err != nil {
			return 0, entered, err
		}
		return hertz * *i.PulseVolume, entered, nil
	}
	return typed(text, quantity.KindFlow, unit)
}

func hasFlowUnit(text string) bool {
	_, err := quantity.Parse(domain.Line(text), quantity.KindFlow, options)
	return err == nil
}

// faultsIn returns the faults of an error, in a field; an empty text is a missing one.
func faultsIn(err error, field string) fault.List {
	faults := fault.AllOf(err)
	for i, f := range faults {
		if f.Code == quantity.Empty {
			f = domain.Required.At(field)
		}
		faults[i] = f.In(field)
	}
	return faults
}
