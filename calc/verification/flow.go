package verification

import (
	"math"

	"rillmark/calc/beam"
	"rillmark/calc/num"
)

// Clamp is a reference clamped to a pipe: what is true of the pipe, the fluid and the
// transducers, or what is believed of them.
type Clamp struct {
	beam.Setup
	Spacing float64 // m between the facing faces
}

// Names of the inputs of the model beside those of beam.Setup.
const spacingStep = 1e-4 // m, a typical change

// shown returns the flow that the reference shows when it believes one thing and another
// is true, relative to the true flow.
//
// The truth sends its sound with the flow; the reference makes a flow of the times with
// what it believes (beam.Setup.Flow). Velocity is a formality: it cancels.
func shown(believed, truth Clamp, way beam.Way) (float64, error) {
	const velocity = 1 // m/s
	t, err := truth.Transit(truth.Spacing, velocity)
	if err != nil {
		return 0, err
	}
	// A reference that cannot be told its spacing does not use it; one that was told
	// believes what was told.
	f, err := believed.Flow(beam.Reading{Spacing: believed.Spacing, TransitTime: t.Mean, TimeDifference: t.Difference, ProfileFactor: 1}, way)
	if err != nil {
		return 0, err
	}
	bore := truth.Bore()
	return f.Flow / (math.Pi / 4 * bore * bore * velocity), nil
}

// FlowFactor returns by what the flow shown by a reference must be multiplied when it
// believed one thing (what was entered in it) and another is true (what is known now):
// the true flow over the one shown, dimensionless. Where both are the same, and the
// reference can be told the spacing or stands at the recommended one, it is 1.
//
// Errors: those of beam.Setup's Transit and Flow.
//
// Source: the model of package beam.
func FlowFactor(believed, truth Clamp, way beam.Way) (float64, error) {
	if believed == truth && way != beam.WedgeAngle {
		return 1, nil // exactly: a round trip through the model loses a last digit
	}
	ratio, err := shown(believed, truth, way)
	if err != nil {
		return 0, err
	}
	return 1 / ratio, nil
}

// Slope is the relative change of the reference flow per unit of one input.
type Slope struct {
	Input string  // as package beam names it, its unit at the end
	Value float64 // 1/unit
}

// place is where an input lives in the model, and how many of its units make one of it.
type place struct {
	name  string
	perSI float64
	step  float64 // a typical change, in its unit
	of    func(*Clamp) *float64
}

var places = []place{
	{beam.OutsideDiameterName, 1, 1e-4, func(c *Clamp) *float64 { return &c.OutsideDiameter }},
	{beam.WallName, 1, 1e-5, func(c *Clamp) *float64 { return &c.Wall }},
	{beam.PipeSoundSpeedName, 1, 1, func(c *Clamp) *float64 { return &c.PipeSoundSpeed }},
	{beam.LinerThicknessName, 1, 1e-5, func(c *Clamp) *float64 { return &c.LinerThickness }},
	{beam.LinerSoundSpeedName, 1, 1, func(c *Clamp) *float64 { return &c.LinerSoundSpeed }},
	{beam.FluidSoundSpeedName, 1, 1, func(c *Clamp) *float64 { return &c.FluidSoundSpeed }},
	{beam.WedgeSoundSpeedName, 1, 1, func(c *Clamp) *float64 { return &c.WedgeSoundSpeed }},
	{beam.WedgeAngleName, 180 / math.Pi, 0.05, func(c *Clamp) *float64 { return &c.WedgeAngle }},
	{beam.ExitOffsetName, 1, 1e-4, func(c *Clamp) *float64 { return &c.ExitOffset }},
	{beam.SpacingName, 1, spacingStep, func(c *Clamp) *float64 { return &c.Spacing }},
}

// FlowSlopes returns the sensitivity of the reference flow to every input of the set-up,
// relative to the flow: what an input entered too large by one unit adds to it. They are
// numeric, through the whole chain from the sound in the true pipe to the flow shown:
// where the transit time is measured the flow goes about with the square of the bore,
// where the sound speed is entered about with the bore. The inputs of a liner are left out
// where there is none.
//
// Errors: those of beam.Setup's Transit and Flow; num.NoSensitivity.
//
// Source: JCGM 100:2008, 5.1.3 note 2.
func FlowSlopes(c Clamp, way beam.Way) ([]Slope, error) {
	inputs := places
	if c.LinerThickness == 0 {
		inputs = without(beam.LinerThicknessName, beam.LinerSoundSpeedName)
	}
	m, at, steps := model(c, way, inputs)
	slopes, err := m.Sensitivities(at, steps)
	if err != nil {
		return nil, err
	}
	all := make([]Slope, len(slopes))
	for i, s := range slopes {
		// The truth moves in the model; what was entered too large is a truth that is smaller.
		all[i] = Slope{Input: s.Name, Value: -s.Value}
		if math.Abs(s.Value)*steps[i] < negligible {
			all[i].Value = 0
		}
	}
	return all, nil
}

// negligible is a relative change of flow over a typical change of an input that is no
// more than the rounding of the model, and matters to nobody.
const negligible = 1e-9

func model(c Clamp, way beam.Way, inputs []place) (m num.Model, at, steps []float64) {
	for _, in := range inputs {
		m.Names = append(m.Names, in.name)
		at = append(at, *in.of(&c)*in.perSI)
		steps = append(steps, in.step)
	}
	m.Eval = func(x []float64) (float64, error) {
		truth := c
		for i, in := range inputs {
			if x[i] != at[i] { // through its unit and back an input could change in its last digit
				*in.of(&truth) = x[i] / in.perSI
			}
		}
		return shown(c, truth, way)
	}
	return m, at, steps
}

func without(names ...string) []place {
	var kept []place
	for _, p := range places {
		left := false
		for _, name := range names {
			left = left || p.name == name
		}
		if !left {
			kept = append(kept, p)
		}
	}
	return kept
}
