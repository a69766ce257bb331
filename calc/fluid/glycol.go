package fluid

import (
	"math"

	"rillmark/calc/fault"
)

// The codes of mixtures with glycol.
var (
	// MassFractionRange: the share of glycol is beyond the values behind the curves.
	MassFractionRange = fault.Define("fluid.mass-fraction-out-of-range", fault.N("mass_fraction"), fault.N("lower"), fault.N("upper"))
	// MixtureFreezing: the mixture is at or below the temperature at which ice forms in it.
	MixtureFreezing = fault.Define("fluid.mixture-freezing", fault.N("temperature_C"), fault.N("freezing_C"), fault.N("mass_fraction"))
)

// The range of Glycol. The published values lie between 21 % and 51 % (ethylene) and 22 %
// and 52 % (propylene), from −10 °C to 30 °C: the curves reach at most 0.02 beyond them.
const (
	glycolLeast      = 0.20
	glycolMost       = 0.52
	glycolLeastK     = iceK - 10
	glycolMostK      = iceK + 30
	glycolMostPa     = 2e6
	glycolDensityU   = 0.003
	glycolViscosityU = 0.03
	glycolDensity    = "own curve through values of Melinder, Properties of Secondary Working Fluids (2010), one atmosphere"
	glycolFreezing   = "ASHRAE Handbook Fundamentals, freezing points by mass, from memory"
)

// term is a coefficient of (w − 0.4)ⁱ·((t − 15 °C)/25 °C)ʲ.
type term struct {
	i, j int
	c    float64
}

// glycol is what is known of one glycol with water.
type glycol struct {
	density, logViscosity []term
	freezing              []float64 // °C at 0.20, 0.25 … 0.50, 0.55
}

var glycols = map[string]glycol{
	"ethylene-glycol-water": {
		density: []term{{0, 0, 1054.901}, {1, 0, 139.115}, {2, 0, -10.865}, {0, 1, -11.344}, {1, 1, -22.124}, {0, 2, -1.589}, {1, 2, 5.437}},
		logViscosity: []term{{0, 0, -5.7069}, {1, 0, 2.9203}, {2, 0, 0.9359}, {0, 1, -0.8215}, {1, 1, -0.3818}, {0, 2, 0.1634},
			{0, 3, -0.0272}},
		freezing: []float64{-7.8, -10.7, -14.1, -17.9, -22.3, -27.5, -33.8, -41.1},
	},
	"propylene-glycol-water": {
		density: []term{{0, 0, 1035.050}, {1, 0, 78.519}, {2, 0, -84.960}, {0, 1, -12.786}, {1, 1, -24.943}, {0, 2, -1.854}, {1, 2, -0.257}},
		logViscosity: []term{{0, 0, -5.2161}, {1, 0, 4.0293}, {0, 1, -1.0789}, {0, 2, 0.2322}, {1, 1, -1.3233}, {0, 3, -0.0714},
			{1, 2, 0.3341}, {1, 3, 0.1946}},
		freezing: []float64{-7.1, -9.6, -12.7, -16.4, -21.1, -26.7, -33.5, -41.6},
	},
}

// Glycol returns the properties of a glycol with water, "ethylene-glycol-water" or
// "propylene-glycol-water", of a mass fraction of glycol: density in kg/m³, dynamic
// viscosity in Pa·s.
//
//	ρ, ln μ = Σ c·(w − 0.4)ⁱ·((t − 15)/25)ʲ, t in °C
//
// Valid from a mass fraction of 0.20 to 0.52, from −10 °C (or the freezing point, where
// that is higher) to 30 °C, up to 2 MPa; the pressure is not considered, which 2 MPa change
// by 0.1 %. The speed of sound is not given: no table of it was found that could be checked.
// Inhibited products differ, some by several per cent in viscosity.
//
// Standard uncertainties: density 0.3 %, viscosity 3 % (the source's estimates of 0.5 % and
// 5 % against data as half-widths). The curves meet the published values within 0.24 kg/m³
// and 0.5 %.
//
// Errors: Unknown, MassFractionRange, MixtureFreezing, TemperatureRange, PressureRange.
//
// Source: as named in the results; least squares through the published values that the
// tests hold. Freezing points: ASHRAE Handbook Fundamentals (from memory), read linearly.
func Glycol(name string, massFraction float64, s State) (Properties, error) {
	mixture, known := glycols[name]
	if !known {
		return Properties{}, Unknown.At("fluid", name, "ethylene-glycol-water, propylene-glycol-water")
	}
	kelvins := s.Temperature.SI()
	if !(massFraction >= glycolLeast && massFraction <= glycolMost) {
		return Properties{}, MassFractionRange.At("mass_fraction", massFraction, glycolLeast, glycolMost)
	}
	freezing := mixture.freezesAt(massFraction)
	if kelvins <= iceK+freezing {
		return Properties{}, MixtureFreezing.At("temperature_C", kelvins-iceK, freezing, massFraction)
	}
	valid := Range{glycolLeastK, glycolMostK, SaturationPressureOfWater(glycolMostK), glycolMostPa}
	if freezing+iceK > valid.LeastK {
		valid.LeastK = freezing + iceK
	}
	if err := valid.holds(s); err != nil {
		return Properties{}, err
	}
	density := sum(mixture.density, massFraction, kelvins)
	viscosity := math.Exp(sum(mixture.logViscosity, massFraction, kelvins))
	return Properties{
		Density:          Property{density, density * glycolDensityU, glycolDensity, valid},
		DynamicViscosity: Property{viscosity, viscosity * glycolViscosityU, glycolDensity, valid},
	}, nil
}

// freezesAt returns the freezing point in °C at a mass fraction within the range.
func (g glycol) freezesAt(massFraction float64) float64 {
	const first, step = 0.20, 0.05
	x := (massFraction - first) / step
	i := int(math.Max(0, math.Min(x, float64(len(g.freezing)-2))))
	return g.freezing[i] + (x-float64(i))*(g.freezing[i+1]-g.freezing[i])
}

func sum(terms []term, massFraction, kelvins float64) (total float64) {
	w, t := massFraction-0.4, (kelvins-iceK-15)/25
	for _, one := range terms {
		total += one.c * math.Pow(w, float64(one.i)) * math.Pow(t, float64(one.j))
	}
	return total
}
