package fluid

import (
	"math"

	"rillmark/calc/quantity"
)

// The range of Water. 0 °C is kept as its lower end although water at atmospheric
// pressure freezes at +0.0025 °C (air-free): the liquid there is the same within rounding.
const (
	iceK            = 273.15
	waterLeastK     = iceK
	waterMostK      = iceK + 180
	waterMostPa     = 100e6
	densitySource   = "IAPWS R6-95(2018), density solved from temperature and pressure, pure water"
	soundSource     = "IAPWS R6-95(2018), table 3, pure water"
	viscositySource = "IAPWS R12-08, without the critical enhancement (nil in this range), pure water"
)

// Water returns the properties of pure liquid water at temperature t and absolute
// pressure p: density in kg/m³, dynamic viscosity in Pa·s, speed of sound in m/s.
//
// Valid from 0 °C to 180 °C and from the saturation pressure to 100 MPa. A real water
// differs by what it carries: dissolved salts raise density and sound speed, free gas
// lowers the sound speed much; that is not in the uncertainty given.
//
// Standard uncertainties are the releases' estimates divided by their coverage factor 2,
// in wide regions rounded up (from memory): density 10 ppm up to 10 MPa and 150 °C, else
// 0.02 %; sound speed 0.005 % up to 1 MPa and 100 °C, else 0.1 %; viscosity 1 % up to
// 100 °C, else 2 % (all with coverage factor 2).
//
// Errors: Freezing, TemperatureRange, Boiling, PressureRange.
//
// Source: IAPWS R6-95(2018) for density and sound speed; IAPWS R12-08, eqs. 10 to 12, for
// viscosity.
func Water(t quantity.Temperature, p quantity.Pressure) (Properties, error) {
	if err := liquidWater(t.SI(), p.SI()); err != nil {
		return Properties{}, err
	}
	kelvins, pascals := t.SI(), p.SI()
	density, err := liquidDensity(kelvins, pascals)
	if err != nil {
		return Properties{}, err
	}
	density2, sound2, viscosity2 := waterUncertainty(kelvins, pascals)
	sound := atTemperature(kelvins).soundSpeed(density)
	viscosity := waterViscosity(kelvins, density)
	valid := Range{waterLeastK, waterMostK, SaturationPressureOfWater(kelvins), waterMostPa}
	return Properties{
		Density:          Property{density, density * density2 / 2, densitySource, valid},
		DynamicViscosity: Property{viscosity, viscosity * viscosity2 / 2, viscositySource, valid},
		SoundSpeed:       Property{sound, sound * sound2 / 2, soundSource, valid},
	}, nil
}

// waterUncertainty returns relative uncertainties with coverage factor 2.
func waterUncertainty(kelvins, pascals float64) (density, sound, viscosity float64) {
	density, sound, viscosity = 2e-4, 1e-3, 0.02
	if kelvins <= iceK+150 && pascals <= 10e6 {
		density = 1e-5
	}
	if kelvins <= iceK+100 && pascals <= 1e6 {
		sound = 5e-5
	}
	if kelvins <= iceK+100 {
		viscosity = 0.01
	}
	return density, sound, viscosity
}

// liquidWater refuses a state where water is not a liquid of the range.
func liquidWater(kelvins, pascals float64) error {
	celsius := kelvins - iceK
	lowest := SaturationPressureOfWater(waterLeastK)
	switch {
	case pascals > waterMostPa, pascals < lowest:
		return PressureRange.At("pressure_Pa", pascals, lowest, waterMostPa)
	case kelvins < waterLeastK:
		melting, err := meltingTemperature(math.Max(pascals, triplePa))
		if err != nil {
			return err
		}
		return Freezing.At("temperature_C", celsius, melting-iceK)
	case kelvins > waterMostK:
		return TemperatureRange.At("temperature_C", celsius, waterLeastK-iceK, waterMostK-iceK)
	}
	if saturation := SaturationPressureOfWater(kelvins); pascals < saturation {
		boiling, err := saturationTemperature(pascals)
		if err != nil {
			return err
		}
		return Boiling.At("temperature_C", celsius, pascals, boiling-iceK, saturation)
	}
	return nil
}
