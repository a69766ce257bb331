package calcjson

import (
	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/uncertainty"
	"rillmark/domain/evaluation"
)

type checkContribution struct {
	Input               string  `json:"input"`
	Unit                string  `json:"unit"`
	StandardUncertainty float64 `json:"standard_uncertainty"`
	Sensitivity         float64 `json:"sensitivity"`
	Contribution        float64 `json:"contribution_m_s"`
	Share               float64 `json:"share"`
	Assumed             bool    `json:"assumed"`
}

type checkExplanation struct {
	Input               string   `json:"input"`
	Unit                string   `json:"unit"`
	Entered             float64  `json:"entered"`
	Needed              float64  `json:"needed"`
	Change              float64  `json:"change"`
	StandardUncertainty float64  `json:"standard_uncertainty"`
	Multiple            *float64 `json:"multiple_of_standard_uncertainty"`
	Message             string   `json:"message"`
}

type checkAnswer struct {
	Outcome             string              `json:"outcome"`
	Way                 string              `json:"way"`
	Expected            float64             `json:"expected_sound_speed_m_s"`
	Difference          float64             `json:"difference_m_s"`
	Tolerance           float64             `json:"tolerance_m_s"`
	ToleranceFrom       string              `json:"tolerance_from"`
	StandardUncertainty float64             `json:"standard_uncertainty_m_s"`
	Contributions       []checkContribution `json:"contributions"`
	Explanations        []checkExplanation  `json:"explanations"`
	Unable              []string            `json:"cannot_explain"`
	MeasureFirst        string              `json:"measure_first"`
	Remarks             []problem           `json:"remarks"`
}

// setupCheck is the kind "setup-check": beam.CheckSetup.
func setupCheck(o *object, say func(fault.Fault) string) (any, error) {
	check := beam.Check{
		Measured:        o.surveyed(beam.MeasuredName, true),
		OutsideDiameter: o.surveyed(beam.OutsideDiameterName, true),
		Wall:            o.surveyed(beam.WallName, true),
		PipeSoundSpeed:  o.surveyed(beam.PipeSoundSpeedName, true),
		PipeWave:        beam.Wave(o.word(beam.PipeWaveName)),
		LinerThickness:  o.surveyed(beam.LinerThicknessName, false),
		LinerSoundSpeed: o.surveyed(beam.LinerSoundSpeedName, false),
		WedgeSoundSpeed: o.surveyed(beam.WedgeSoundSpeedName, true),
		WedgeAngle:      o.surveyed(beam.WedgeAngleName, true),
		ExitOffset:      o.surveyed(beam.ExitOffsetName, true),
		Spacing:         o.surveyed(beam.SpacingName, true),
		Traverses:       o.count(beam.TraversesName),
		Way:             beam.Way(o.wordOr(beam.WayName, string(beam.WedgeAngleAndSpacing))),

		CompanyTolerance: o.numberOr(beam.CompanyToleranceName, 0) / 100,
		MaximumTolerance: o.numberOr(beam.MaximumToleranceName, 0) / 100,
	}
	check.WedgeAngle.Value *= degrees
	check.WedgeAngle.StandardUncertainty *= degrees
	check.Correlations = o.correlated()
	table := o.table()
	check.Tabulated, check.Temperature, check.SoundSpeedAt = table.tabulated, table.temperature, table.speedAt
	check.Composition = table.composition
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	result, err := beam.CheckSetup(check)
	if err != nil {
		return nil, err
	}
	return tellCheck(check, result, say), nil
}

// correlated reads the correlations of the inputs' errors.
func (o *object) correlated() []uncertainty.Correlation {
	var all []uncertainty.Correlation
	for _, c := range o.objects("correlations", maxCorrelations) {
		all = append(all, uncertainty.Correlation{A: c.word("a"), B: c.word("b"), R: c.number("r")})
		c.done()
	}
	return all
}

// surveyed reads a value with its standard uncertainty and whether it was assumed; a bare
// number is one without.
func (o *object) surveyed(name string, must bool) beam.Surveyed {
	if must {
		o.need(name)
	}
	if n := o.node.fields[name]; n.shape != isObject {
		return beam.Surveyed{Value: o.numberOr(name, 0)}
	}
	in := o.inner(name)
	s := beam.Surveyed{Value: in.number("value"), StandardUncertainty: in.numberOr("standard_uncertainty", 0), Assumed: in.flag("assumed")}
	in.done()
	return s
}

// soundSpeedTable is what is known of the fluid's sound speed.
type soundSpeedTable struct {
	tabulated, temperature beam.Surveyed
	speedAt                func(kelvins float64) (float64, error)
	composition            *beam.Composition
}

// table reads the fluid's sound speed: as a number, with or without its slope against
// temperature; or by the name of a fluid whose properties are known here, with what it needs, at a pressure.
func (o *object) table() soundSpeedTable {
	named := o.has("fluid")
	t := soundSpeedTable{
		tabulated:   o.surveyed(beam.TabulatedName, !named),
		temperature: o.surveyed(beam.TemperatureName, named || o.has(slopeName)),
	}
	celsius := t.temperature.Value
	t.temperature.Value += kelvin
	slope := o.numberOr(slopeName, 0)
	pascals := o.numberOr("pressure_Pa", 0)
	var liquid fluid.Liquid
	var part beam.Surveyed
	if named {
		liquid = o.liquidBy(func(name string) float64 {
			part = o.surveyed(name, true)
			return part.Value
		})
	}
	switch {
	case named && o.has(slopeName):
		o.add(codeFieldsTogether.At(slopeName, "fluid, "+slopeName))
	case named:
		o.need("pressure_Pa")
		t.speedAt = func(kelvins float64) (float64, error) {
			p, err := propertiesOf(liquid, kelvins, pascals)
			return p.SoundSpeed.Value, err
		}
		t.composition = evaluation.CompositionOf(liquid, part, func(l fluid.Liquid) (float64, error) {
			p, err := propertiesOf(l, celsius+kelvin, pascals)
			return p.SoundSpeed.Value, err
		})
		if !o.has(beam.TabulatedName) && o.err() == nil {
			t.tabulated = o.tabulated(liquid, celsius, pascals)
		}
	case o.has(slopeName):
		t.speedAt = beam.LinearSoundSpeed(t.temperature.Value, t.tabulated.Value, slope)
	}
	return t
}

const slopeName = "sound_speed_slope_m_s_K"

func (o *object) tabulated(l fluid.Liquid, celsius, pascals float64) beam.Surveyed {
	p, err := propertiesOf(l, celsius+kelvin, pascals)
	for _, f := range fault.AllOf(err) {
		o.add(f)
	}
	return beam.Surveyed{Value: p.SoundSpeed.Value, StandardUncertainty: p.SoundSpeed.StandardUncertainty}
}

func tellCheck(c beam.Check, r beam.CheckResult, say func(fault.Fault) string) checkAnswer {
	a := checkAnswer{
		Outcome: string(r.Outcome), Way: string(c.Way), Expected: r.Expected, Difference: r.Difference,
		Tolerance: r.Tolerance, ToleranceFrom: "company", StandardUncertainty: r.StandardUncertainty,
		Contributions: []checkContribution{}, Explanations: []checkExplanation{},
		Unable: append([]string{}, r.Unable...), MeasureFirst: r.MeasureFirst, Remarks: toldAll(r.Remarks, say),
	}
	if r.ToleranceFromBudget {
		a.ToleranceFrom = "uncertainty"
	}
	for _, c := range r.Contributions {
		a.Contributions = append(a.Contributions, checkContribution(c))
	}
	for _, e := range r.Explanations {
		one := checkExplanation{Input: e.Input, Unit: e.Unit, Entered: e.Entered, Needed: e.Needed, Change: e.Change,
			StandardUncertainty: e.StandardUncertainty, Message: say(e.Remark())}
		if e.StandardUncertainty > 0 {
			one.Multiple = &e.Multiple
		}
		a.Explanations = append(a.Explanations, one)
	}
	return a
}
