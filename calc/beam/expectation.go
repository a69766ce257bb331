package beam

import "rillmark/calc/fault"

// surveyedInput is an input of the check with its uncertainty in its own unit.
type surveyedInput struct {
	input
	uncertainty float64
	assumed     bool
}

// expectation is the reading of the reference as a model of the true values of the inputs,
// the entered ones held.
type expectation struct {
	Model
	inputs  []surveyedInput
	world   world                        // as entered
	reading func(world) (float64, error) // m/s, for other true values
}

// survey pairs every input with what was surveyed. Without a sound speed the liner, and
// without a relation the temperature, is left out.
func (c Check) survey() []surveyedInput {
	var all []surveyedInput
	add := func(in input, x Surveyed) {
		all = append(all, surveyedInput{in, x.StandardUncertainty * in.perSI, x.Assumed})
	}
	diameter := outsideDiameter
	// Nobody takes a pipe for one of half or twice its size.
	diameter.lower, diameter.upper = c.OutsideDiameter.Value/2, c.OutsideDiameter.Value*2
	add(diameter, c.OutsideDiameter)
	add(wall, c.Wall)
	add(pipeSoundSpeed, c.PipeSoundSpeed)
	if c.LinerThickness.Value > 0 || c.LinerSoundSpeed.Value > 0 {
		add(linerThickness, c.LinerThickness)
	}
	if c.LinerThickness.Value > 0 {
		add(linerSoundSpeed, c.LinerSoundSpeed)
	}
	add(wedgeSoundSpeed, c.WedgeSoundSpeed)
	add(wedgeAngle, c.WedgeAngle)
	add(exitOffset, c.ExitOffset)
	add(spacingSet, c.Spacing)
	add(tabulated, c.Tabulated)
	if c.SoundSpeedAt != nil {
		add(temperature, c.Temperature)
	}
	if m := c.Composition; m != nil {
		add(input{m.Name, m.Unit, 1, m.Step, m.Least, m.Most, func(w *world) *float64 { return &w.composition }}, m.Surveyed)
	}
	return all
}

// entered is the set-up as the reference was told, with the table's sound speed.
func (c Check) entered() Setup {
	return Setup{
		OutsideDiameter: c.OutsideDiameter.Value,
		Wall:            c.Wall.Value,
		PipeSoundSpeed:  c.PipeSoundSpeed.Value,
		PipeWave:        c.PipeWave,
		LinerThickness:  c.LinerThickness.Value,
		LinerSoundSpeed: c.LinerSoundSpeed.Value,
		FluidSoundSpeed: c.Tabulated.Value,
		WedgeSoundSpeed: c.WedgeSoundSpeed.Value,
		WedgeAngle:      c.WedgeAngle.Value,
		ExitOffset:      c.ExitOffset.Value,
		Traverses:       c.Traverses,
	}
}

// kelvin is 0 °C in K, exact: SI Brochure 2.3.1.
const kelvin = 273.15

func (c Check) expectation() (expectation, error) {
	w := world{Setup: c.entered(), spacing: c.Spacing.Value, tabulated: c.Tabulated.Value,
		temperature: c.Temperature.Value - kelvin}
	at, mixed := 0.0, 0.0
	if c.SoundSpeedAt != nil {
		var err error
		if at, err = c.SoundSpeedAt(c.Temperature.Value); err != nil {
			return expectation{}, err
		}
	}
	if m := c.Composition; m != nil {
		var err error
		if mixed, err = m.SoundSpeedAt(m.Value); err != nil {
			return expectation{}, err
		}
		w.composition = m.Value
	}
	e := expectation{inputs: c.survey(), world: w}
	e.reading = func(truth world) (float64, error) {
		truth.FluidSoundSpeed = truth.tabulated
		if truth.temperature != w.temperature {
			now, err := c.SoundSpeedAt(truth.temperature + kelvin)
			if err != nil {
				return 0, err
			}
			truth.FluidSoundSpeed += now - at
		}
		if truth.composition != w.composition {
			now, err := c.Composition.SoundSpeedAt(truth.composition)
			if err != nil {
				return 0, err
			}
			truth.FluidSoundSpeed += now - mixed
		}
		if truth == w && c.Way == WedgeAngleAndSpacing {
			// There and back by the same formula; the digits lost on the way are not a difference.
			return w.tabulated, nil
		}
		t, err := truth.Transit(truth.spacing, 0)
		if err != nil {
			return 0, err
		}
		return w.MeasuredSoundSpeed(w.spacing, t.Mean, c.Way)
	}
	inputs := make([]input, len(e.inputs))
	for i, x := range e.inputs {
		inputs[i] = x.input
	}
	e.Model = w.model(inputs, e.reading)
	return e, nil
}

// Validate returns every problem of the check at once, nil when there is none.
func (c Check) Validate() error {
	l := ofTable(c.entered().problems())
	positive(&l, MeasuredName, c.Measured.Value)
	c.entered().checkSpacing(&l, c.Spacing.Value)
	if c.Way == SoundSpeedEntered {
		l = append(l, NothingMeasured.At(WayName, string(c.Way)))
	} else if !c.Way.known() {
		l = append(l, UnknownWay.At(WayName, string(c.Way)))
	}
	c.checkTemperature(&l)
	if m := c.Composition; m != nil && !finite(m.Value) {
		l = append(l, NotFinite.At(m.Name))
	}
	if c.LinerThickness.Value == 0 && (c.LinerThickness.StandardUncertainty != 0 || c.LinerSoundSpeed.Value != 0) {
		// There may be a liner or scale nobody saw; its effect needs its sound speed.
		positive(&l, LinerSoundSpeedName, c.LinerSoundSpeed.Value)
	}
	notNegative(&l, MeasuredName+UncertaintySuffix, c.Measured.StandardUncertainty)
	for _, x := range c.survey() {
		notNegative(&l, x.name+UncertaintySuffix, x.uncertainty)
	}
	c.checkTolerances(&l)
	return l.Err()
}

// ofTable calls the fluid's sound speed what the check calls it.
func ofTable(l fault.List) fault.List {
	var renamed fault.List
	for _, f := range l {
		if f.Field == FluidSoundSpeedName {
			f = f.In(TabulatedName)
		}
		renamed = append(renamed, f)
	}
	return renamed
}

// UncertaintySuffix makes the field of an input's standard uncertainty from the input's name.
const UncertaintySuffix = ".standard_uncertainty"

func (c Check) checkTemperature(l *fault.List) {
	if c.SoundSpeedAt != nil {
		if t := c.Temperature.Value; !finite(t) {
			*l = append(*l, NotFinite.At(TemperatureName))
		} else if t <= 0 {
			*l = append(*l, NotPositive.At(TemperatureName, t))
		}
		return
	}
	if c.Temperature.StandardUncertainty != 0 {
		*l = append(*l, TemperatureRelationMissing.At(TemperatureName))
	}
}

// Names of the tolerances in faults.
const (
	CompanyToleranceName = "company_tolerance_percent"
	MaximumToleranceName = "maximum_tolerance_percent"
)

func (c Check) checkTolerances(l *fault.List) {
	before := len(*l)
	for _, one := range []struct {
		field string
		x     float64
	}{{CompanyToleranceName, c.CompanyTolerance}, {MaximumToleranceName, c.MaximumTolerance}} {
		if !finite(one.x) {
			*l = append(*l, NotFinite.At(one.field))
		} else if one.x < 0 || one.x >= 1 {
			*l = append(*l, ToleranceRange.At(one.field, one.x*100))
		}
	}
	company, maximum := or(c.CompanyTolerance, DefaultTolerance), or(c.MaximumTolerance, DefaultMaximum)
	if len(*l) == before && company > maximum {
		*l = append(*l, TolerancesCrossed.At(CompanyToleranceName, company*100, maximum*100))
	}
}
