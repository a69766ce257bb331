package evaluation

import (
	"math"
	"strings"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/num"
	"rillmark/calc/quantity"
	"rillmark/calc/verification"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// pipe puts the survey's pipe into a set-up, and returns the names of the values that are
// missing for its bore.
func (w *work) pipe(s sheet.Survey) (beam.Setup, sheet.Name, []sheet.Name) {
	var setup beam.Setup
	var missing []sheet.Name
	metres, from, ok := s.Diameter()
	if !ok {
		missing = append(missing, sheet.OutsideDiameter)
	}
	if !s.Has(sheet.Wall) {
		missing = append(missing, sheet.Wall)
	}
	if len(missing) == 0 {
		setup.OutsideDiameter, setup.Wall = metres, s[sheet.Wall].Number
		setup.LinerThickness = s[sheet.LinerThickness].Number
	}
	return setup, from, missing
}

// clamp makes the model of a mounting from a survey, or says which values are missing.
func (w *work) clamp(at *mounted, s sheet.Survey) (verification.Clamp, fault.List) {
	setup, _, missing := w.pipe(s)
	setup.PipeWave = beam.Wave(text(at.pair.Wave))
	content, ok := w.Method.Content, false
	if setup.PipeSoundSpeed, ok = soundSpeed(s, sheet.PipeSoundSpeed, sheet.PipeMaterial, content.PipeSpeed, setup.PipeWave); !ok {
		missing = append(missing, sheet.PipeSoundSpeed)
	}
	if setup.LinerThickness > 0 {
		if setup.LinerSoundSpeed, ok = soundSpeed(s, sheet.LinerSoundSpeed, sheet.LinerMaterial, content.LinerSpeed, setup.PipeWave); !ok {
			missing = append(missing, sheet.LinerSoundSpeed)
		}
	}
	if setup.FluidSoundSpeed, ok = w.fluidSpeed(s); !ok {
		missing = append(missing, sheet.Temperature)
	}
	setup.WedgeAngle, setup.WedgeSoundSpeed = value(at.pair.WedgeAngle), value(at.pair.WedgeSoundSpeed)
	setup.ExitOffset, setup.Traverses = value(at.pair.ExitOffset), at.Traverses
	var l fault.List
	for _, name := range missing {
		l = append(l, ValueMissing.At(string(name), string(name)))
	}
	return verification.Clamp{Setup: setup, Spacing: at.Spacing}, l
}

// soundSpeed returns a solid's sound speed: the surveyed one, else that of its material in
// the method's table; and whether there is one.
func soundSpeed(s sheet.Survey, speed, material sheet.Name, table func(string, beam.Wave) (float64, bool), wave beam.Wave) (float64, bool) {
	if s.Has(speed) {
		return s[speed].Number, true
	}
	return table(s.Text(material), wave)
}

// liquid is what is known of the fluid at the day's temperature and pressure.
type liquid struct {
	known              bool
	density, viscosity float64
}

// liquid looks the fluid up; what is missing for its Reynolds number becomes a ground.
func (w *work) liquid(result *MountingResult) liquid {
	name := fluidName(w.now)
	if name == "" {
		result.Grounds.add(ValueMissing.At(string(sheet.Fluid), string(sheet.Fluid)))
		return liquid{}
	}
	if !w.now.Has(sheet.Temperature) {
		result.Grounds.add(ValueMissing.At(string(sheet.Temperature), string(sheet.Temperature)))
		return liquid{}
	}
	if !w.now.Has(sheet.Pressure) {
		result.Remarks.add(PressureAssumed.At(string(sheet.Pressure), w.Method.Content.AssumedPressure/1e5))
	}
	p, err := w.properties(w.now, w.now[sheet.Temperature].Number)
	if err != nil {
		for _, f := range fault.AllOf(err) {
			if f.Code == fluid.Unknown {
				f = FluidUnknown.At(string(sheet.Fluid), name)
			}
			result.Grounds.add(f)
		}
		return liquid{}
	}
	return liquid{true, p.Density.Value, p.DynamicViscosity.Value}
}

func fluidName(s sheet.Survey) string { return strings.ToLower(strings.TrimSpace(s.Text(sheet.Fluid))) }

// properties returns the fluid's properties at a temperature in kelvin.
func (w *work) properties(s sheet.Survey, kelvins float64) (fluid.Properties, error) {
	pascals := w.Method.Content.AssumedPressure
	if s.Has(sheet.Pressure) {
		pascals = s[sheet.Pressure].Number
	}
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return fluid.Properties{}, err
	}
	p, err := quantity.Pascals(pascals)
	if err != nil {
		return fluid.Properties{}, err
	}
	return fluid.At(fluidName(s), fluid.State{Temperature: t, Pressure: p})
}

// fluidSpeed returns the fluid's sound speed: the surveyed one, else the table's.
func (w *work) fluidSpeed(s sheet.Survey) (float64, bool) {
	if s.Has(sheet.FluidSoundSpeed) {
		return s[sheet.FluidSoundSpeed].Number, true
	}
	if !s.Has(sheet.Temperature) {
		return 0, false
	}
	p, err := w.properties(s, s[sheet.Temperature].Number)
	return p.SoundSpeed.Value, err == nil
}

// temperatureSlope is the change of the fluid's sound speed with temperature, m/s per
// kelvin; 0 where it was surveyed itself.
func (w *work) temperatureSlope() (float64, error) {
	if w.now.Has(sheet.FluidSoundSpeed) || !w.now.Has(sheet.Temperature) {
		return 0, nil
	}
	m := num.Model{Names: []string{string(sheet.Temperature)}, Eval: func(x []float64) (float64, error) {
		p, err := w.properties(w.now, x[0])
		return p.SoundSpeed.Value, err
	}}
	slopes, err := m.Sensitivities([]float64{w.now[sheet.Temperature].Number}, []float64{0.5})
	if err != nil {
		return 0, err
	}
	return slopes[0].Value, nil
}

// beamNames are the model's names of survey values.
var beamNames = map[sheet.Name]string{
	sheet.OutsideDiameter: beam.OutsideDiameterName, sheet.Wall: beam.WallName,
	sheet.LinerThickness: beam.LinerThicknessName, sheet.PipeSoundSpeed: beam.PipeSoundSpeedName,
	sheet.LinerSoundSpeed: beam.LinerSoundSpeedName, sheet.FluidSoundSpeed: beam.FluidSoundSpeedName,
	sheet.Temperature: beam.FluidSoundSpeedName,
}

// sensitivities pairs the model's slopes with the uncertainties of survey and method.
func (w *work) sensitivities(at *mounted, known verification.Clamp, slopes []verification.Slope) {
	slope := map[string]float64{}
	for _, s := range slopes {
		slope[s.Input] = s.Value
	}
	for _, row := range w.Method.Content.Budget {
		if row.ActsOn != method.OnInput {
			continue
		}
		one := Sensitivity{Input: row.Input, Sensitivity: slope[row.Input], Source: "method"}
		if row.From == method.FromSurvey {
			if !w.surveyed(at, known, &one, slope) {
				continue
			}
		} else {
			one.StandardUncertainty, _ = method.StandardUncertainty(row.Distribution, row.Value, row.K) // validated
			one.Value = inputValue(known, row.Input)
		}
		at.inputs = append(at.inputs, one)
	}
}

// surveyed fills in a survey value's uncertainty and slope; false where the survey has no
// such value, as of a liner where there is none.
func (w *work) surveyed(at *mounted, known verification.Clamp, one *Sensitivity, slope map[string]float64) bool {
	name := sheet.Name(one.Input)
	one.Sensitivity = slope[beamNames[name]]
	if name == sheet.Temperature {
		perKelvin, err := w.temperatureSlope()
		if err != nil {
			at.refuse(err)
			return false
		}
		one.Sensitivity *= perKelvin
	}
	u, source, number, ok := w.uncertaintyOf(at, known, name)
	if !ok {
		return false
	}
	one.StandardUncertainty, one.Source, one.Value = u, string(source), number
	return true
}

// uncertaintyOf returns standard uncertainty, source and value of one survey value.
func (w *work) uncertaintyOf(at *mounted, known verification.Clamp, name sheet.Name) (u float64, source sheet.Source, number float64, ok bool) {
	v := w.now[name]
	switch name {
	case sheet.OutsideDiameter:
		return w.diameterUncertainty(at)
	case sheet.PipeSoundSpeed, sheet.LinerSoundSpeed:
		if name == sheet.LinerSoundSpeed && known.LinerThickness == 0 {
			return 0, "", 0, false
		}
		if v.Count == 0 { // from the table of materials
			v = sheet.Value{Name: name, Number: known.PipeSoundSpeed, Source: sheet.Standard, Count: 1}
			if name == sheet.LinerSoundSpeed {
				v.Number = known.LinerSoundSpeed
			}
		}
	case sheet.LinerThickness:
		if v.Number == 0 {
			return 0, "", 0, false
		}
	}
	if v.Count == 0 {
		return 0, "", 0, false
	}
	u, ok = w.defaultUncertainty(at, v)
	return u, v.Source, v.Number, ok
}

// defaultUncertainty is the method's for name and source, with the scatter of several
// rows: √(u² + s²/n).
func (w *work) defaultUncertainty(at *mounted, v sheet.Value) (float64, bool) {
	row, ok := w.Method.Content.SurveyOf(v.Name, v.Source)
	if !ok {
		at.result.Grounds.add(UncertaintyMissing.At(string(v.Name), string(v.Name), string(v.Source)))
		at.ready = false
		return 0, false
	}
	u, _ := row.Of(v.Number) // validated
	return math.Hypot(u, v.Scatter/math.Sqrt(float64(max(v.Count, 1)))), true
}

// diameterUncertainty is that of the outside diameter, through the circumference where
// it comes from one: √((u_C/π)² + (2·u_coating)² + u_tape²).
func (w *work) diameterUncertainty(at *mounted) (u float64, source sheet.Source, number float64, ok bool) {
	number, from, known := w.now.Diameter()
	if !known {
		return 0, "", 0, false
	}
	if u, ok = w.defaultUncertainty(at, w.now[from]); !ok || from == sheet.OutsideDiameter {
		return u, w.now[from].Source, number, ok
	}
	u /= math.Pi
	for name, weight := range map[sheet.Name]float64{sheet.CoatingThickness: 2, sheet.TapeThickness: 1} {
		if v := w.now[name]; v.Count > 0 && v.Number > 0 {
			part, ok := w.defaultUncertainty(at, v)
			if !ok {
				return 0, "", 0, false
			}
			u = math.Hypot(u, weight*part)
		}
	}
	return u, w.now[from].Source, number, true
}

// inputValue is the value of one of the beam's own inputs, in its unit.
func inputValue(c verification.Clamp, input string) float64 {
	switch input {
	case beam.SpacingName:
		return c.Spacing
	case beam.WedgeSoundSpeedName:
		return c.WedgeSoundSpeed
	case beam.WedgeAngleName:
		return c.WedgeAngle * 180 / math.Pi
	case beam.ExitOffsetName:
		return c.ExitOffset
	}
	return 0
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func value(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}
