package capture

import (
	"context"

	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// RecordValue is the command to add one value of the survey. Corrects names the row that
// it corrects; a correction says why.
type RecordValue struct {
	At
	ID       domain.SurveyValueID `json:"id" form:"id"`
	Name     string               `json:"name" form:"name"`
	Position string               `json:"position" form:"position"`
	Entered  string               `json:"entered" form:"entered"`
	Source   string               `json:"source" form:"source"`
	KitID    domain.KitID         `json:"kit_id" form:"kit_id"`
	Corrects domain.SurveyValueID `json:"corrects" form:"corrects"`
	Reason   string               `json:"reason" form:"reason"`
}

// PickPipe is the command to take a pipe's dimensions from its product standard.
type PickPipe struct {
	At
	Standard string `json:"standard" form:"standard"`
	Size     string `json:"size" form:"size"`
	Schedule string `json:"schedule" form:"schedule"`
	Source   string `json:"source" form:"source"` // how size and schedule are known: read from a marking, from the client, assumed
}

// UnitOf is the unit at the end of a value's line, empty for a text or a choice.
func UnitOf(n sheet.Name) string {
	switch about, _ := sheet.About(n); about.Kind {
	case sheet.KindLength:
		switch n {
		case sheet.StraightBefore, sheet.StraightAfter, sheet.MeterStraightBefore, sheet.MeterStraightAfter, sheet.Distance:
			return "m"
		}
		return "mm"
	case sheet.KindTemperature:
		return "°C"
	case sheet.KindPressure:
		return "bar gauge"
	case sheet.KindVelocity:
		return "m/s"
	case sheet.KindRatio:
		if n == sheet.Salinity {
			return "g/kg"
		}
		return "%"
	case sheet.KindAPIGravity:
		return "°API"
	case sheet.KindDensity:
		return "kg/m³"
	case sheet.KindKinematicViscosity:
		return "cSt"
	}
	return ""
}

// readValue turns the command into a row, without its stamp.
func (c RecordValue) readValue() (sheet.SurveyValue, error) {
	var r reader
	v := sheet.SurveyValue{ID: c.ID, Name: sheet.Name(c.Name), Position: domain.Line(c.Position), Entered: domain.Lines(c.Entered),
		Source: sheet.Source(c.Source), Corrects: orNil(c.Corrects), Reason: domain.Lines(c.Reason)}
	if v.Source == sheet.Measured {
		v.KitID = orNil(c.KitID)
	}
	if !v.ID.Valid() {
		r.Add(domain.NotAnID.At("id"))
	}
	about, _ := sheet.About(v.Name)
	if kind, is := about.Kind.Quantity(); is {
		si, entered := r.quantity("entered", c.Entered, kind, UnitOf(v.Name))
		v.Value, v.Entered = &si, entered
	}
	if err := r.Err(); err != nil {
		return v, err
	}
	// The stamp is the transaction's; a stand-in lets everything else be checked before it.
	checked := v
	checked.Stamp = standIn
	return v, renamed(checked.Validate(), "value", "entered")
}

// RecordValue adds one value of the survey.
func (s *Service) RecordValue(ctx context.Context, a access.Actor, c RecordValue) (Written, error) {
	value, err := c.readValue()
	if err != nil {
		return Written{}, domain.Wrap("survey.value", err)
	}
	return record(ctx, s, a, "survey.value", c.At, c, func(ctx context.Context, p *pen) (Written, error) {
		value := value
		if value.Corrects != nil {
			if err := p.correctable(ctx, "survey_value", value.Corrects.UUID); err != nil {
				return Written{}, err
			}
		}
		if value.KitID != nil {
			if err := p.measures(ctx, value.Name, *value.KitID); err != nil {
				return Written{}, err
			}
		}
		return Written{ID: value.ID.String()}, p.putValue(ctx, value)
	})
}

func (p *pen) putValue(ctx context.Context, v sheet.SurveyValue) error {
	v.Stamp = p.stamp()
	p.wrote("survey_value", v.ID, v)
	return p.Run(ctx, `INSERT INTO survey_value (id, client_id, task_id, name, position, value, entered, source, kit_id,
			corrects, reason, by, captured_at, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		v.ID, v.ClientID, v.TaskID, v.Name, v.Position, v.Value, v.Entered, v.Source, v.KitID,
		v.Corrects, v.Reason, v.By, v.CapturedAt, v.ReceivedAt)
}

// correctable looks that the row a correction names is of this task and was not corrected.
func (p *pen) correctable(ctx context.Context, table string, id any) error {
	query := map[string]string{
		"survey_value": `SELECT EXISTS (SELECT FROM survey_value n WHERE n.corrects = o.id) AS done FROM survey_value o WHERE o.id = $1 AND o.task_id = $2`,
		"reading":      `SELECT EXISTS (SELECT FROM reading n WHERE n.corrects = o.id) AS done FROM reading o WHERE o.id = $1 AND o.task_id = $2`,
		"adjustment":   `SELECT EXISTS (SELECT FROM adjustment n WHERE n.corrects = o.id) AS done FROM adjustment o WHERE o.id = $1 AND o.task_id = $2`,
	}
	done, err := store.Scalars[bool](ctx, p, query[table], id, p.task.ID)
	switch {
	case err != nil:
		return err
	case len(done) == 0:
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("corrects", "row"))
	case done[0]:
		return domain.Refuse(domain.Taken, AlreadyCorrected.At(""))
	}
	return nil
}

// PickPipe takes outside diameter and wall from the product standard, with the texts that
// name the pipe. A size or schedule that the standard has not is refused with those it has.
func (s *Service) PickPipe(ctx context.Context, a access.Actor, c PickPipe) (Written, error) {
	values, err := c.values()
	if err != nil {
		return Written{}, domain.Wrap("survey.pipe", err)
	}
	return record(ctx, s, a, "survey.pipe", c.At, c, func(ctx context.Context, p *pen) (Written, error) {
		first := ""
		for _, v := range values {
			v.ID = domain.NewID[domain.SurveyValueKind](s.ids)
			if first == "" {
				first = v.ID.String()
			}
			if err := p.putValue(ctx, v); err != nil {
				return Written{}, err
			}
		}
		return Written{ID: first}, nil
	})
}

func (c PickPipe) values() ([]sheet.SurveyValue, error) {
	var r reader
	source := sheet.Source(c.Source)
	if source != sheet.Nameplate && source != sheet.Client && source != sheet.Assumed {
		r.Add(sheet.UnknownSource.At("source", clipped(c.Source)))
	}
	for field, text := range map[string]string{"size": c.Size, "schedule": c.Schedule} {
		r.Line(field, domain.Line(text), 60, true)
	}
	if err := r.Err(); err != nil {
		return nil, err
	}
	found, err := pipe.Lookup(domain.Line(c.Standard), domain.Line(c.Size), domain.Line(c.Schedule))
	if err != nil {
		return nil, err
	}
	outside, wall := found.Size.OutsideDiameter.SI(), found.Wall.SI()
	length := func(n sheet.Name, si float64) (sheet.SurveyValue, error) {
		text, err := quantity.Format(si, quantity.KindLength, "mm", 0.001, quantity.Options{})
		return sheet.SurveyValue{Name: n, Value: &si, Entered: text, Source: sheet.Standard}, err
	}
	text := func(n sheet.Name, entered string) sheet.SurveyValue {
		return sheet.SurveyValue{Name: n, Entered: entered, Source: source}
	}
	od, err := length(sheet.OutsideDiameter, outside)
	if err != nil {
		return nil, err
	}
	thickness, err := length(sheet.Wall, wall)
	return []sheet.SurveyValue{text(sheet.PipeStandard, found.Standard), text(sheet.PipeSize, found.Size.Label()),
		text(sheet.PipeSchedule, domain.Line(c.Schedule)), od, thickness}, err
}
