package fluid

import (
	"rillmark/calc/fault"
	"rillmark/calc/num"
	"rillmark/calc/quantity"
)

// soundCells is into how many parts the range of temperature is cut in the search for a
// speed of sound; water's turns once (near 74 °C).
const soundCells = 36

// Temperatures returns every temperature at which the fluid of the given name has the
// given speed of sound under the absolute pressure p, rising; none is an empty list.
// In water the speed of sound rises to a maximum near 74 °C and falls beyond it, so one
// speed can belong to two temperatures: which of them holds, the speed cannot say.
//
// Errors: Unknown, PressureRange.
//
// Source: At, solved for the temperature between the ends of the liquid range.
func Temperatures(name string, speed quantity.Velocity, p quantity.Pressure) ([]quantity.Temperature, error) {
	lower, upper, err := liquidRange(name, p)
	if err != nil {
		return nil, err
	}
	above := func(kelvins float64) (float64, error) {
		c, err := soundSpeedAt(name, kelvins, p)
		return c - speed.SI(), err
	}
	roots, err := num.Roots(above, lower, upper, soundCells, num.Search{Tolerance: 1e-6})
	if err != nil {
		return nil, err
	}
	temperatures := make([]quantity.Temperature, len(roots))
	for i, kelvins := range roots {
		// A root inside the liquid range is a valid temperature.
		temperatures[i], _ = quantity.Kelvins(kelvins)
	}
	return temperatures, nil
}

// SoundSpeedSlope returns the change of the speed of sound with temperature at the
// state, at constant pressure, in m/s per kelvin: about 3 in water at 20 °C, 0 near
// 74 °C, negative above.
//
// Errors: those of At.
//
// Source: At, differentiated numerically.
func SoundSpeedSlope(name string, s State) (float64, error) {
	m := num.Model{Names: []string{"temperature_C"}, Eval: func(x []float64) (float64, error) {
		return soundSpeedAt(name, x[0], s.Pressure)
	}}
	slopes, err := m.Sensitivities([]float64{s.Temperature.SI()}, []float64{1})
	if err != nil {
		return 0, err
	}
	return slopes[0].Value, nil
}

func soundSpeedAt(name string, kelvins float64, p quantity.Pressure) (float64, error) {
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return 0, err
	}
	properties, err := At(name, State{t, p})
	return properties.SoundSpeed.Value, err
}

// liquidRange returns the ends, in kelvin, of the temperatures at which At answers for
// the fluid under the pressure. It asks At itself at the lower end, and takes the upper
// end from what At says of a temperature that is too high.
func liquidRange(name string, p quantity.Pressure) (lower, upper float64, err error) {
	if _, err := soundSpeedAt(name, waterLeastK, p); err != nil {
		return 0, 0, err
	}
	upper = waterMostK
	if _, err := soundSpeedAt(name, upper, p); fault.Has(err, Boiling) {
		upper, err = saturationTemperature(p.SI())
		if err != nil {
			return 0, 0, err
		}
		upper -= 1e-5 // the search for it may end this far on the other side
	}
	return waterLeastK, upper, nil
}
