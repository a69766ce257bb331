package beam

import "rillmark/calc/num"

// Model is a model of named inputs taken at given values: the same function serves the
// value and the sensitivities. Each input is in the unit its name ends in.
type Model struct {
	num.Model
	At    []float64 // the inputs' values, in the order of Names
	Steps []float64 // a typical change of each, for the first difference
}

// Here returns the model's value at its inputs, in the unit of the model.
//
// Errors: as the function it was made from.
func (m Model) Here() (float64, error) { return m.Value(m.At) }

// Slopes returns the sensitivity to every input at its value, in the unit of the model per
// unit of the input, by differences (see num.Model.Sensitivities).
//
// Errors: as Here, and num.NoSensitivity.
func (m Model) Slopes() ([]num.Sensitivity, error) { return m.Sensitivities(m.At, m.Steps) }

// world is everything the models of this package depend on.
type world struct {
	Setup
	Reading
	spacing     float64 // m, really set
	tabulated   float64 // m/s, at the temperature entered
	temperature float64 // °C
	composition float64 // in its own unit; 0 where there is none
}

// input is one named input of a model: where it lives in the world, how many of its own
// units make one of the world's, a typical change, and bounds outside which no search goes.
type input struct {
	name         string
	unit         string // of a change
	perSI        float64
	step         float64 // in its own unit
	lower, upper float64 // in its own unit
	place        func(*world) *float64
}

func (i input) get(w world) float64 { return *i.place(&w) * i.perSI }

func (i input) set(w *world, x float64) { *i.place(w) = x / i.perSI }

// The inputs. The bounds are wide on purpose: they hold what is physically possible or
// what any such pipe, wedge or liquid has (plausible.go), not what is likely. A wall is
// further bounded by the radius, a liner by the bore: the set-up refuses them.
var (
	outsideDiameter = input{OutsideDiameterName, "m", 1, 1e-4, 1e-3, mostDiameter,
		func(w *world) *float64 { return &w.OutsideDiameter }}
	wall = input{WallName, "m", 1, 1e-5, 1e-5, mostDiameter / 2,
		func(w *world) *float64 { return &w.Wall }}
	pipeSoundSpeed = input{PipeSoundSpeedName, "m/s", 1, 1, leastShear, mostLong,
		func(w *world) *float64 { return &w.PipeSoundSpeed }}
	linerThickness = input{LinerThicknessName, "m", 1, 1e-5, 0, mostDiameter / 2,
		func(w *world) *float64 { return &w.LinerThickness }}
	linerSoundSpeed = input{LinerSoundSpeedName, "m/s", 1, 1, leastShear, mostLong,
		func(w *world) *float64 { return &w.LinerSoundSpeed }}
	fluidSoundSpeed = input{FluidSoundSpeedName, "m/s", 1, 1, leastFluidSpeed, mostFluidSpeed,
		func(w *world) *float64 { return &w.FluidSoundSpeed }}
	wedgeSoundSpeed = input{WedgeSoundSpeedName, "m/s", 1, 1, leastWedge, mostWedge,
		func(w *world) *float64 { return &w.WedgeSoundSpeed }}
	wedgeAngle = input{WedgeAngleName, "deg", degreesPerRadian, 0.05, 1, 89,
		func(w *world) *float64 { return &w.WedgeAngle }}
	exitOffset = input{ExitOffsetName, "m", 1, 1e-4, 0, 0.1,
		func(w *world) *float64 { return &w.ExitOffset }}
	spacingSet = input{SpacingName, "m", 1, 1e-4, -0.5, 5,
		func(w *world) *float64 { return &w.spacing }}
	temperature = input{TemperatureName, "K", 1, 0.1, -100, 400,
		func(w *world) *float64 { return &w.temperature }}
	tabulated = input{TabulatedName, "m/s", 1, 1, leastFluidSpeed, mostFluidSpeed,
		func(w *world) *float64 { return &w.tabulated }}
)

// geometry are the inputs of pipe, fluid and wedge; those of a liner only where there is one.
func (s Setup) geometry() []input {
	all := []input{outsideDiameter, wall, pipeSoundSpeed}
	if s.LinerThickness > 0 {
		all = append(all, linerThickness, linerSoundSpeed)
	}
	return append(all, fluidSoundSpeed, wedgeSoundSpeed, wedgeAngle, exitOffset)
}

// model binds a function of the world to some of its inputs, the others held.
func (w world) model(inputs []input, value func(world) (float64, error)) Model {
	var m Model
	for _, in := range inputs {
		m.Names = append(m.Names, in.name)
		m.At = append(m.At, in.get(w))
		m.Steps = append(m.Steps, in.step)
	}
	m.Eval = func(x []float64) (float64, error) {
		moved := w
		for i, in := range inputs {
			// Through its unit and back an input could change in its last digit.
			if x[i] != m.At[i] {
				in.set(&moved, x[i])
			}
		}
		return value(moved)
	}
	return m
}

// SpacingModel is the recommended spacing (m) as a model of the set-up's inputs.
func SpacingModel(s Setup) Model {
	return world{Setup: s}.model(s.geometry(), func(w world) (float64, error) {
		if err := w.Validate(); err != nil {
			return 0, err
		}
		return w.recommended(), nil
	})
}

// FlowModel is the flow (m³/s) the reference computes in the way stated, as a model of
// the set-up and the reading entered; the measured times are inputs like the others.
func FlowModel(s Setup, r Reading, way Way) Model {
	read := func(name, unit string, step float64, place func(*world) *float64) input {
		return input{name: name, unit: unit, perSI: 1, step: step, place: place}
	}
	inputs := append(s.geometry(),
		read(SpacingName, "m", 1e-4, func(w *world) *float64 { return &w.Reading.Spacing }),
		read(TransitTimeName, "s", 1e-8, func(w *world) *float64 { return &w.TransitTime }),
		read(TimeDifferenceName, "s", 1e-10, func(w *world) *float64 { return &w.TimeDifference }),
		read(ProfileFactorName, "1", 1e-3, func(w *world) *float64 { return &w.ProfileFactor }),
	)
	return world{Setup: s, Reading: r}.model(inputs, func(w world) (float64, error) {
		f, err := w.Setup.Flow(w.Reading, way)
		return f.Flow, err
	})
}
