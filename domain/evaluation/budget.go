package evaluation

import (
	"math"
	"time"

	"github.com/google/uuid"

	"rillmark/calc/uncertainty"
	"rillmark/calc/verification"
	"rillmark/domain/method"
)

// described is what a document says of a component beside its contribution.
type described struct {
	key    verification.Key // of the first run that has the component
	u      float64          // of the input, in unit
	unit   string
	source string
}

// sized is a component of one run: its standard uncertainty in its own unit, and the
// relative change of what it is on, per unit.
type sized struct {
	u           float64
	unit        string
	source      string
	sensitivity float64
}

// year is the mean length of a year in hours.
const year = 365.25 * 24

// size returns how large a row is at a run; false where it does not apply, as a survey
// value that the pipe does not have.
func (w *work) size(row method.BudgetRow, m *measured) (sized, bool) {
	own := func() float64 {
		u, _ := method.StandardUncertainty(row.Distribution, row.Value, row.K) // validated
		part, _ := method.StandardUncertainty(row.Distribution, row.CertificatePart, row.K)
		return verification.Excess(u, part)
	}
	s := sized{sensitivity: 1, unit: "1", source: "method"}
	switch row.From {
	case method.FromCalibration:
		s.u, s.source = m.correction.Standard, m.at.calibrated.CertificateNumber
	case method.FromInterpolation:
		s.u, s.source = own()*m.correction.Step, m.at.calibrated.CertificateNumber
	case method.FromDrift:
		s.u = own() * yearsSince(m.at.calibrated.CalibratedOn, m.run.CapturedAt)
	case method.FromStraight:
		s.u, _ = method.StandardUncertainty("rectangular", m.at.halfWidth, 0)
		return s, m.at.halfWidth > 0
	case method.FromZero:
		s.u, s.unit, s.sensitivity = m.at.zeroUncertainty(row), "m/s", 1/m.velocity
		if m.at.zero.checked {
			s.source = "zero check"
		}
	case method.FromSurvey:
		return surveySize(row, m)
	default:
		s.u = own()
		w.methodSensitivity(row, m, &s)
	}
	return s, true
}

func yearsSince(from, to time.Time) float64 { return math.Abs(to.Sub(from).Hours()) / year }

// surveySize takes over what the mounting worked out for a survey value.
func surveySize(row method.BudgetRow, m *measured) (sized, bool) {
	for _, in := range m.at.inputs {
		if in.Input == row.Input && in.Source != "method" {
			return sized{in.StandardUncertainty, unitOf(row.Input), in.Source, in.Sensitivity}, true
		}
	}
	return sized{}, false
}

func (w *work) methodSensitivity(row method.BudgetRow, m *measured, s *sized) {
	switch row.ActsOn {
	case method.OnVelocity:
		s.unit, s.sensitivity = "m/s", 1/m.velocity
	case method.OnInput:
		s.unit, s.sensitivity = unitOf(row.Input), 0
		for _, in := range m.at.inputs {
			if in.Input == row.Input && in.Source == "method" {
				s.sensitivity = in.Sensitivity
			}
		}
	}
}

// compare makes the comparison of a run from the rows of the template. Scatter and
// resolution belong to the flow point and are not here.
func (w *work) compare(m *measured, describe []described) verification.Comparison {
	c := verification.Comparison{Reference: m.Reference, Indication: m.Indication,
		OnReference: make([]verification.Part, 0, len(describe))}
	for i := range w.Method.Content.Budget {
		row := &w.Method.Content.Budget[i]
		if row.From == method.FromScatter || row.From == method.FromResolution {
			continue
		}
		s, applies := w.size(*row, m)
		if !applies {
			continue
		}
		if row.InCertificate == method.Included {
			s.u, s.source = 0, "in the certificate of the reference"
		}
		if row.Scope == method.ScopeReading {
			s.u /= math.Sqrt(math.Max(m.Effective, 1))
		}
		part := verification.Part{Key: verification.Key{Name: row.Name, Scope: w.scope(row.Scope, m)},
			Contribution: s.sensitivity * s.u, Freedom: freedom(*row)}
		if first := describe[i].key; first == (verification.Key{}) || first == part.Key {
			describe[i] = described{part.Key, s.u, s.unit, s.source}
		}
		switch row.ActsOn {
		case method.OnIndication:
			c.OnIndication = append(c.OnIndication, part)
		case method.OnError:
			c.OnError = append(c.OnError, part)
		default:
			c.OnReference = append(c.OnReference, part)
		}
	}
	return c
}

func freedom(row method.BudgetRow) float64 {
	if row.Freedom == nil {
		return uncertainty.Infinite
	}
	return *row.Freedom
}

// scope names what a component is of: results with the same one share it.
func (w *work) scope(s method.Scope, m *measured) string {
	at := scopeOf{scope: s}
	switch s {
	case method.ScopeReading, method.ScopeRun:
		at.of = m.RunID.UUID
	case method.ScopeMounting:
		at.of = m.at.ID.UUID
	case method.ScopePoint:
		at.of = w.Task.PointID.UUID
	case method.ScopeVisit:
		at.of = w.Task.VisitID.UUID
	case method.ScopeKit:
		at.of = m.at.calibrated.ID.UUID
	}
	name, known := w.scopes[at]
	if !known {
		name = string(s) + ":" + at.of.String()
		w.scopes[at] = name
	}
	return name
}

// scopeOf is a scope and what it is of.
type scopeOf struct {
	scope method.Scope
	of    uuid.UUID
}

// unitOf returns the unit of a model's input.
func unitOf(input string) string {
	switch input {
	case "temperature":
		return "K"
	case "pipe-sound-speed", "liner-sound-speed", "fluid-sound-speed", "wedge_sound_speed_m_s":
		return "m/s"
	case "wedge_angle_deg":
		return "°"
	}
	return "m"
}
