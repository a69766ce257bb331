package fluid

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/num"
	"rillmark/calc/quantity"
)

// NoSoundSpeed: the fluid's speed of sound is not known, or not there.
var NoSoundSpeed = fault.Define("fluid.no-sound-speed", fault.T("fluid"))

// soundCells is into how many parts the range of temperature is cut in the search for a
// speed of sound; water's turns once (near 74 °C).
const soundCells = 36

// Temperatures returns every temperature at which the liquid has the given speed of sound
// under the absolute pressure p, rising; none is an empty list. In water the speed of
// sound rises to a maximum near 74 °C and falls beyond it, so one speed can belong to two
// temperatures: which of them holds, the speed cannot say.
//
// Errors: NoSoundSpeed, and those of At.
//
// Source: At, solved for the temperature between the ends of its range.
func (l Liquid) Temperatures(speed quantity.Velocity, p quantity.Pressure) ([]quantity.Temperature, error) {
	above := func(kelvins float64) (float64, error) {
		c, err := l.soundSpeedAt(kelvins, p)
		return c - speed.SI(), err
	}
	lower, upper, err := l.soundRange(p)
	if err != nil {
		return nil, err
	}
	roots, err := num.Roots(above, lower, upper, soundCells, num.Search{Tolerance: 1e-6})
	if err != nil {
		return nil, err
	}
	temperatures := make([]quantity.Temperature, len(roots))
	for i, kelvins := range roots {
		temperatures[i], _ = quantity.Kelvins(kelvins) // inside the range: valid
	}
	return temperatures, nil
}

// SoundSpeedSlope returns the change of the speed of sound with temperature at the
// state, at constant pressure, in m/s per kelvin: about 3 in water at 20 °C, 0 near
// 74 °C, negative above; negative in nearly every other liquid.
//
// Errors: NoSoundSpeed, and those of At.
//
// Source: At, differentiated numerically.
func (l Liquid) SoundSpeedSlope(s State) (float64, error) {
	if c, one := commons[l.Name]; one && l.Table == nil {
		_, err := l.At(s)
		return c.soundSlope, err
	}
	m := num.Model{Names: []string{"temperature_C"}, Eval: func(x []float64) (float64, error) {
		return l.soundSpeedAt(x[0], s.Pressure)
	}}
	slopes, err := m.Sensitivities([]float64{s.Temperature.SI()}, []float64{1})
	if err != nil {
		return 0, err
	}
	return slopes[0].Value, nil
}

func (l Liquid) soundSpeedAt(kelvins float64, p quantity.Pressure) (float64, error) {
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return 0, err
	}
	properties, err := l.At(State{t, p})
	if err == nil && properties.SoundSpeed.Source == "" {
		err = NoSoundSpeed.At("fluid", l.Name)
	}
	return properties.SoundSpeed.Value, err
}

// soundRange returns the ends, in kelvin, of the temperatures with a speed of sound under
// the pressure, and what At says at the lower end.
func (l Liquid) soundRange(p quantity.Pressure) (lower, upper float64, err error) {
	c, common := commons[l.Name]
	_, oil := l.group()
	switch {
	case l.Table != nil && len(l.Table.Rows) > 0:
		lower, upper = l.Table.Rows[0].Kelvins, l.Table.Rows[len(l.Table.Rows)-1].Kelvins
	case l.Name == "water":
		lower, upper = waterLeastK, waterMostK
	case l.Name == "seawater":
		lower, upper = iceK, seaSoundMostK
	case common:
		lower, upper = iceK+c.least, iceK+c.most
	case oil:
		lower, upper = oilLeastK, oilMostK
	default: // a mixture has no speed; an unknown one says so by itself
		lower, upper = glycolMostK, glycolMostK
	}
	if _, err := l.soundSpeedAt(lower, p); err != nil {
		return 0, 0, err
	}
	if _, err := l.soundSpeedAt(upper, p); fault.Has(err, Boiling) {
		boiling, err := saturationTemperature(p.SI())
		if err != nil {
			return 0, 0, err
		}
		// The search for it may end this far on the other side.
		upper = math.Min(upper, boiling-1e-5)
	}
	return lower, upper, nil
}
