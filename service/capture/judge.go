package capture

import (
	"encoding/json"
	"math"

	"rillmark/calc/beam"
	"rillmark/calc/fluid"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// checkBasis is what the outcome of a set-up check was computed from, so that it can be
// computed again.
type checkBasis struct {
	Check    *checkInput    `json:"check,omitempty"`
	Liquid   *fluid.Liquid  `json:"liquid,omitempty"`
	Pressure float64        `json:"pressure_pa,omitempty"` // absolute
	Part     *beam.Surveyed `json:"composition,omitempty"` // salinity of sea water, g/kg
	Missing  []sheet.Name   `json:"missing,omitempty"`     // why it could not be computed
	Refused  string         `json:"refused,omitempty"`
}

// checkInput is a beam.Check as JSON holds it: without the function of temperature.
type checkInput struct {
	beam.Check
	SoundSpeedAt *struct{} `json:"SoundSpeedAt,omitempty"` // hides the function
}

// judgeCheck computes the sound speed where transit times were read, and the outcome.
func (w *Work) judgeCheck(m sheet.Mounting, row *sheet.SetupCheck) {
	survey := w.Facts.Sheet.Now()
	reference, _ := w.kit(m.ReferenceID)
	pair, _ := w.kit(m.PairID)
	setup, missing, faults := w.setup(survey, pair)
	setup.Traverses = m.Traverses
	row.Outcome = sheet.Inconclusive
	if len(missing)+len(faults) > 0 {
		basis := checkBasis{Missing: missing}
		if len(faults) > 0 {
			basis.Refused = faults.Error()
		}
		row.Basis = asJSON(basis)
		return
	}
	way := evaluation.WayOf(reference)
	if way == beam.SoundSpeedEntered {
		way = beam.WedgeAngle // what is measured is worked out here, by the wedge's angle
	}
	if row.SoundSpeed == nil {
		speed, err := setup.MeasuredSoundSpeed(m.Spacing, (*row.TransitUp+*row.TransitDown)/2, way)
		if err != nil {
			row.Basis = asJSON(checkBasis{Refused: err.Error()})
			return
		}
		row.SoundSpeed = &speed
	}
	basis := w.checkOf(survey, setup, pair, m, way, *row.SoundSpeed)
	result, err := basis.result()
	if err != nil {
		row.Basis = asJSON(checkBasis{Refused: err.Error()})
		return
	}
	row.Outcome, row.Basis = sheet.Outcome(result.Outcome), asJSON(basis)
}

// checkOf gathers a check's inputs with their uncertainties by name and source.
func (w *Work) checkOf(survey sheet.Survey, s beam.Setup, pair kit.Item, m sheet.Mounting, way beam.Way, measured float64) checkBasis {
	content := w.Facts.Method.Content
	_, from, _ := survey.Diameter()
	wall := w.surveyed(survey[sheet.Wall], s.Wall)
	if u, known := evaluation.StandardWall(survey); known {
		wall.StandardUncertainty = u
	}
	c := checkInput{Check: beam.Check{Measured: beam.Surveyed{Value: measured}, Tabulated: beam.Surveyed{Value: s.FluidSoundSpeed},
		OutsideDiameter: w.surveyed(survey[from], s.OutsideDiameter), Wall: wall, PipeWave: s.PipeWave,
		PipeSoundSpeed:  w.surveyedOr(survey, sheet.PipeSoundSpeed, s.PipeSoundSpeed),
		LinerThickness:  w.surveyed(survey[sheet.LinerThickness], s.LinerThickness),
		LinerSoundSpeed: w.surveyedOr(survey, sheet.LinerSoundSpeed, s.LinerSoundSpeed),
		WedgeSoundSpeed: beam.Surveyed{Value: s.WedgeSoundSpeed, StandardUncertainty: ofMethod(content, beam.WedgeSoundSpeedName)},
		WedgeAngle:      beam.Surveyed{Value: s.WedgeAngle, StandardUncertainty: ofMethod(content, beam.WedgeAngleName) * math.Pi / 180},
		ExitOffset:      beam.Surveyed{Value: s.ExitOffset, StandardUncertainty: ofMethod(content, beam.ExitOffsetName)},
		Spacing:         beam.Surveyed{Value: m.Spacing, StandardUncertainty: ofMethod(content, beam.SpacingName)},
		Temperature:     w.surveyed(survey[sheet.Temperature], survey[sheet.Temperature].Number),
		Traverses:       m.Traverses, Way: way,
		CompanyTolerance: content.SetupCheck.CompanyTolerance, MaximumTolerance: content.SetupCheck.MaximumTolerance}}
	basis := checkBasis{Check: &c}
	if !survey.Has(sheet.FluidSoundSpeed) {
		p, _ := evaluation.FluidProperties(survey, content, c.Temperature.Value) // it was found for the set-up already
		c.Tabulated.StandardUncertainty = p.SoundSpeed.StandardUncertainty
		liquid, _ := evaluation.FluidOf(survey, content)
		basis.Liquid, basis.Pressure = &liquid, content.AssumedPressure
		if survey.Has(sheet.Pressure) {
			basis.Pressure = survey[sheet.Pressure].Number
		}
		basis.Part = w.composition(survey, liquid)
	}
	return basis
}

// composition is how much salt the surveyed sea water holds, in g/kg; nil of other fluids.
func (w *Work) composition(survey sheet.Survey, l fluid.Liquid) *beam.Surveyed {
	if evaluation.CompositionOf(l, beam.Surveyed{}, nil) == nil {
		return nil
	}
	s := w.surveyed(survey[sheet.Salinity], survey[sheet.Salinity].Number)
	s.Value, s.StandardUncertainty = s.Value*1000, s.StandardUncertainty*1000
	return &s
}

// surveyed is a value with the method's uncertainty for its name and source.
func (w *Work) surveyed(v sheet.Value, number float64) beam.Surveyed {
	if v.Count == 0 {
		return beam.Surveyed{Value: number, Assumed: true}
	}
	s := beam.Surveyed{Value: number, Assumed: v.Source != sheet.Measured && v.Source != sheet.Nameplate}
	if row, known := w.Facts.Method.Content.SurveyOf(v.Name, v.Source); known {
		s.StandardUncertainty, _ = row.Of(v.Number) // the method's content was validated
	}
	if v.Name == sheet.Circumference {
		s.StandardUncertainty /= math.Pi
	}
	s.StandardUncertainty = math.Hypot(s.StandardUncertainty, v.Scatter/math.Sqrt(float64(v.Count)))
	return s
}

// surveyedOr is a sound speed of the survey, or of the method's table of materials.
func (w *Work) surveyedOr(survey sheet.Survey, n sheet.Name, number float64) beam.Surveyed {
	if survey.Has(n) {
		return w.surveyed(survey[n], number)
	}
	return w.surveyed(sheet.Value{Name: n, Number: number, Source: sheet.Standard, Count: 1}, number)
}

// ofMethod is the standard uncertainty of one of the beam's own inputs by the budget
// template, in the unit its name ends in; 0 where it has none.
func ofMethod(content method.Content, input string) float64 {
	for _, row := range content.Budget {
		if row.Input == input && row.From == method.FromMethod {
			u, _ := method.StandardUncertainty(row.Distribution, row.Value, row.K) // validated
			return u
		}
	}
	return 0
}

// result computes the check of a basis.
func (b checkBasis) result() (beam.CheckResult, error) {
	c := b.Check.Check
	if b.Liquid != nil {
		c.SoundSpeedAt = func(t float64) (float64, error) { return soundSpeedAt(*b.Liquid, t, b.Pressure) }
		if b.Part != nil {
			c.Composition = evaluation.CompositionOf(*b.Liquid, *b.Part, func(l fluid.Liquid) (float64, error) { return soundSpeedAt(l, c.Temperature.Value, b.Pressure) })
		}
	}
	return beam.CheckSetup(c)
}

// CheckAgain computes a kept check again from its basis: what would explain it and what to
// measure first. ok is false where there was nothing to compute.
func CheckAgain(c sheet.SetupCheck) (result beam.CheckResult, missing []sheet.Name, ok bool) {
	var b checkBasis
	if json.Unmarshal([]byte(c.Basis), &b) != nil || b.Check == nil {
		return result, b.Missing, false
	}
	result, err := b.result()
	return result, nil, err == nil
}
