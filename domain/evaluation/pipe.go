package evaluation

import (
	"math"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/num"
	"rillmark/calc/verification"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// clamp makes the model of a mounting from a survey, or says which values are missing.
func (w *work) clamp(at *mounted, s sheet.Survey) (verification.Clamp, fault.List) {
	setup, missing, l := SetupOf(s, at.pair, w.Method.Content)
	setup.Traverses = at.Traverses
	for _, name := range missing {
		l = append(l, ValueMissing.At(string(name), string(name)))
	}
	if !s.Has(sheet.Wall) || setup.OutsideDiameter == 0 { // half a bore is none
		setup.OutsideDiameter, setup.Wall, setup.LinerThickness = 0, 0, 0
	}
	return verification.Clamp{Setup: setup, Spacing: at.Spacing}, l
}

// liquid is what is known of the fluid at the day's temperature and pressure.
type liquid struct {
	known              bool
	density, viscosity float64
	soundSpeed         fluid.Property // of its table; without a source not known
}

// liquid looks the fluid up; what is missing for its Reynolds number becomes a ground.
func (w *work) liquid(result *MountingResult) liquid {
	name := w.now.FluidName()
	missing := func(n sheet.Name) liquid {
		result.Grounds.add(ValueMissing.At(string(n), string(n)))
		return liquid{}
	}
	switch {
	case name == "":
		return missing(sheet.Fluid)
	case !w.now.Has(sheet.Temperature):
		return missing(sheet.Temperature)
	case !w.now.Has(sheet.Pressure):
		result.Remarks.add(PressureAssumed.At(string(sheet.Pressure), w.Method.Content.AssumedPressure/1e5))
	}
	p, err := FluidProperties(w.now, w.Method.Content, w.now[sheet.Temperature].Number)
	if err != nil {
		for _, f := range fault.AllOf(err) {
			if f.Code == fluid.Unknown {
				f = FluidUnknown.At(string(sheet.Fluid), name)
			}
			result.Grounds.add(f)
		}
		return liquid{}
	}
	switch {
	case p.Density.Source == "":
		result.Grounds.add(FluidIncomplete.At(string(sheet.Density), "density"))
	case p.DynamicViscosity.Source == "":
		result.Grounds.add(FluidIncomplete.At(string(sheet.KinematicViscosity), "kinematic viscosity"))
	}
	return liquid{p.Density.Source != "" && p.DynamicViscosity.Source != "", p.Density.Value, p.DynamicViscosity.Value, p.SoundSpeed}
}

// temperatureSlope is the change of the fluid's sound speed with temperature, m/s per
// kelvin; 0 where it was surveyed itself.
func (w *work) temperatureSlope() (float64, error) {
	if w.now.Has(sheet.FluidSoundSpeed) || !w.now.Has(sheet.Temperature) {
		return 0, nil
	}
	m := num.Model{Names: []string{string(sheet.Temperature)}, Eval: func(x []float64) (float64, error) {
		p, err := FluidProperties(w.now, w.Method.Content, x[0])
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
	if name == sheet.FluidSoundSpeed && !w.now.Has(name) && one.Sensitivity == 0 {
		return false // a table's speed that such a reference does not use says nothing here
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
	case sheet.Wall:
		if u, known := StandardWall(w.now); known {
			return u, v.Source, v.Number, true
		}
	case sheet.FluidSoundSpeed:
		if table := at.fluid.soundSpeed; v.Count == 0 && table.Source != "" {
			return table.StandardUncertainty, sheet.Standard, table.Value, true
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

func value(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}
