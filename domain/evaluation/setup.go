package evaluation

import (
	"math"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/domain/kit"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// SetupOf is the beam's set-up that a survey means for a transducer pair: the one model of
// pipe and fluid, for the spacing on site as for the evaluation. Traverses is left to the
// caller. Missing names the values that are needed and not there; faults say what cannot
// be: a wall that leaves no bore is never averaged away. SI units; a liner's sound speed
// is that of the wave which the pair sends.
func SetupOf(s sheet.Survey, pair kit.Item, c method.Content) (setup beam.Setup, missing []sheet.Name, faults fault.List) {
	need := func(name sheet.Name, x float64, known bool) float64 {
		if !known {
			missing = append(missing, name)
		}
		return x
	}
	setup = beam.Setup{PipeWave: beam.Shear, WedgeAngle: value(pair.WedgeAngle), WedgeSoundSpeed: value(pair.WedgeSoundSpeed),
		ExitOffset: value(pair.ExitOffset), LinerThickness: s[sheet.LinerThickness].Number}
	if pair.Wave != nil {
		setup.PipeWave = beam.Wave(*pair.Wave)
	}
	outside, _, known := s.Diameter()
	setup.OutsideDiameter = need(sheet.OutsideDiameter, outside, known)
	setup.Wall = need(sheet.Wall, s[sheet.Wall].Number, s.Has(sheet.Wall))
	if known && s.Has(sheet.Wall) {
		setup.OutsideDiameter, setup.Wall = Carry(s, c).Dimensions()
	}
	speed, known := SoundSpeedOf(s, sheet.PipeSoundSpeed, sheet.PipeMaterial, c.PipeSpeed, setup.PipeWave)
	setup.PipeSoundSpeed = need(sheet.PipeSoundSpeed, speed, known)
	if setup.LinerThickness > 0 {
		speed, known := SoundSpeedOf(s, sheet.LinerSoundSpeed, sheet.LinerMaterial, c.LinerSpeed, setup.PipeWave)
		setup.LinerSoundSpeed = need(sheet.LinerSoundSpeed, speed, known)
	}
	setup.FluidSoundSpeed, missing = soundSpeedOfFluid(s, c, missing)
	return setup, missing, Impossible(s)
}

// soundSpeedOfFluid is the surveyed one, else that of the surveyed fluid; what it needs for
// that is added to what is missing.
func soundSpeedOfFluid(s sheet.Survey, c method.Content, missing []sheet.Name) (float64, []sheet.Name) {
	if s.Has(sheet.FluidSoundSpeed) {
		return s[sheet.FluidSoundSpeed].Number, missing
	}
	if !s.Has(sheet.Fluid) {
		return 0, append(missing, sheet.Fluid)
	}
	if _, without := FluidOf(s, c); len(without) > 0 {
		return 0, append(missing, without...)
	}
	if !s.Has(sheet.Temperature) {
		return 0, append(missing, sheet.Temperature)
	}
	p, err := FluidProperties(s, c, s[sheet.Temperature].Number)
	switch {
	case fault.Has(err, fluid.Unknown), err == nil && p.SoundSpeed.Source == "":
		return 0, append(missing, sheet.FluidSoundSpeed)
	case err != nil: // its range: the temperature is the likeliest
		return 0, append(missing, sheet.Temperature)
	}
	return p.SoundSpeed.Value, missing
}

// boreOf is the clear bore of the surveyed pipe, m; 0 where it is not known.
func boreOf(s sheet.Survey) float64 {
	outside, _, known := s.Diameter()
	if !known || !s.Has(sheet.Wall) {
		return 0
	}
	return beam.Setup{OutsideDiameter: outside, Wall: s[sheet.Wall].Number, LinerThickness: s[sheet.LinerThickness].Number}.Bore()
}

// Impossible names every wall and liner reading that leaves no bore in the surveyed pipe.
func Impossible(s sheet.Survey) (l fault.List) {
	outside, _, known := s.Diameter()
	if !known {
		return nil
	}
	for _, name := range []sheet.Name{sheet.Wall, sheet.LinerThickness} {
		for _, row := range s[name].Rows {
			if row.Value != nil && *row.Value >= outside/2 {
				l = append(l, BeyondRadius.At(string(name), string(name), row.Entered, math.Round(outside/2*1e5)/1e2))
			}
		}
	}
	return l
}

// SoundSpeedOf is a solid's sound speed: the surveyed one, else that of its material in
// the method's table; and whether there is one.
func SoundSpeedOf(s sheet.Survey, speed, material sheet.Name, table func(string, beam.Wave) (float64, bool), wave beam.Wave) (float64, bool) {
	if s.Has(speed) {
		return s[speed].Number, true
	}
	return table(s.Text(material), wave)
}

// WayOf says how a reference finds the flow, as the model names it.
func WayOf(reference kit.Item) beam.Way {
	switch {
	case reference.WorksBy != nil && *reference.WorksBy == kit.EnteredSoundSpeed:
		return beam.SoundSpeedEntered
	case reference.TakesSpacing != nil && *reference.TakesSpacing:
		return beam.WedgeAngleAndSpacing
	}
	return beam.WedgeAngle
}
