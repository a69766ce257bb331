package fluid

import (
	"math"

	"rillmark/calc/fault"
)

// SalinityRange: the absolute salinity is beyond the formulation.
var SalinityRange = fault.Define("fluid.salinity-out-of-range", fault.N("salinity_g_kg"), fault.N("lower_g_kg"), fault.N("upper_g_kg"))

// The range of Seawater. Beyond seaSoundMostK and seaSoundMostGKg the release's second
// derivatives are an extrapolation that its own check value shows to be useless for the
// speed of sound (3961 m/s at 353 K and 100 g/kg), so there it is not given.
const (
	seaMostK        = iceK + 80
	seaMostGKg      = 120.0
	seaSoundMostK   = iceK + 40
	seaSoundMostGKg = 42.0
	seaMostPa       = 2e6   // of the whole range
	seaCoolMostPa   = 100e6 // up to seaSoundMostK and seaSoundMostGKg

	seaDensitySource   = "IAPWS R13-08 (TEOS-10) over IAPWS R6-95(2018), absolute salinity"
	seaViscositySource = "Sharqawy, Lienhard and Zubair, Desalin. Water Treat. 16 (2010) 354, eqs. 22 and 23, over IAPWS R12-08"
)

// Seawater returns the properties of sea water of an absolute salinity in g/kg at the
// state: density in kg/m³, dynamic viscosity in Pa·s, speed of sound in m/s.
//
//	g = g_water(T, p) + g_saline(S, T, p);  v = g_p;  w = v·√(g_TT/(g_Tp² − g_TT·g_pp))
//	μ = μ_water·(1 + A·S + B·S²), S in kg/kg
//
// Valid from 0 °C to 80 °C and 0 g/kg to 120 g/kg up to 2 MPa; to 100 MPa up to 40 °C and
// 42 g/kg. The speed of sound is given up to 40 °C and 42 g/kg only. The boiling of pure
// water is taken as the limit; sea water boils a little later.
//
// Standard uncertainties (from memory): density 0.001 % within 40 °C and 42 g/kg, else
// 0.02 %; speed of sound 0.05 m/s, to 10 MPa, else 0.2 m/s; viscosity 1.5 %.
//
// Errors: SalinityRange, and those of Water with the narrower range.
//
// Source: IAPWS R13-08, equations 4 and 5 and table 2; the viscosity as named in the result.
func Seawater(gramsPerKilogram float64, s State) (Properties, error) {
	kelvins, pascals := s.Temperature.SI(), s.Pressure.SI()
	if !(gramsPerKilogram >= 0 && gramsPerKilogram <= seaMostGKg) {
		return Properties{}, SalinityRange.At("salinity_g_kg", gramsPerKilogram, 0.0, seaMostGKg)
	}
	if kelvins > seaMostK {
		return Properties{}, TemperatureRange.At("temperature_C", kelvins-iceK, 0.0, seaMostK-iceK)
	}
	cool := kelvins <= seaSoundMostK && gramsPerKilogram <= seaSoundMostGKg
	if most := seaMostPa; !cool && pascals > most {
		return Properties{}, PressureRange.At("pressure_Pa", pascals, SaturationPressureOfWater(kelvins), most)
	}
	water, err := Water(s.Temperature, s.Pressure)
	if err != nil {
		return Properties{}, err
	}
	density, sound := seaDensityAndSound(gramsPerKilogram/1000, kelvins, pascals, water.Density.Value)
	viscosity := water.DynamicViscosity.Value * saltThickens(gramsPerKilogram/1000, kelvins-iceK)
	valid := Range{iceK, seaMostK, SaturationPressureOfWater(kelvins), seaMostPa}
	if cool {
		valid.MostPa = seaCoolMostPa
	}
	p := Properties{
		Density:          Property{density, density * 2e-4, seaDensitySource, valid},
		DynamicViscosity: Property{viscosity, viscosity * 0.015, seaViscositySource, valid},
	}
	if cool {
		p.Density.StandardUncertainty = density * 1e-5
		valid.MostK = seaSoundMostK
		p.SoundSpeed = Property{sound, 0.05, seaDensitySource, valid}
		if pascals > 10e6 {
			p.SoundSpeed.StandardUncertainty = 0.2
		}
	}
	return p, nil
}

// saltThickens returns μ/μ_water at a salinity in kg/kg and a temperature in °C.
//
// Source: Sharqawy et al. 2010, equation 22; 0 °C to 180 °C, 0 kg/kg to 0.15 kg/kg.
func saltThickens(s, t float64) float64 {
	a := 1.541 + 1.998e-2*t - 9.52e-5*t*t
	b := 7.974 - 7.561e-2*t + 4.724e-4*t*t
	return 1 + a*s + b*s*s
}

// seaDensityAndSound returns the density in kg/m³ and the speed of sound in m/s at a
// salinity in kg/kg, for the density of pure water at the same temperature and pressure.
//
// Source: IAPWS R13-08, table 5 (density and speed of sound from the Gibbs function).
func seaDensityAndSound(s, kelvins, pascals, waterDensity float64) (density, sound float64) {
	g := waterGibbs(kelvins, waterDensity)
	g.addSaline(s, kelvins, pascals)
	return 1 / g.p, g.p * math.Sqrt(g.tt/(g.tp*g.tp-g.tt*g.pp))
}

// gibbs holds the derivatives of the specific Gibbs energy that density and speed of
// sound need, in SI units (J/kg, K, Pa).
type gibbs struct{ p, tt, tp, pp float64 }

// waterGibbs takes them from the Helmholtz energy of R6-95 at a density in kg/m³.
func waterGibbs(kelvins, density float64) gibbs {
	iso := atTemperature(kelvins)
	r := iso.residual(density)
	slope := gasConstant * kelvins * (1 + 2*r.d + r.dd) // ∂p/∂ρ
	mixed := 1 + r.d - r.dt
	byK := density * gasConstant * mixed // ∂p/∂T
	heat := gasConstant * (mixed*mixed/(1+2*r.d+r.dd) - iso.ideal() - r.tt)
	return gibbs{p: 1 / density, tt: -heat / kelvins, tp: byK / (density * density * slope), pp: -1 / (density * density * slope)}
}

// addSaline adds the saline part at a salinity in kg/kg.
//
// Source: IAPWS R13-08, equation 4.
func (g *gibbs) addSaline(s, kelvins, pascals float64) {
	if s == 0 {
		return // no salt, and the logarithm of the salinity does not exist
	}
	const normalS, normalK, normalPa = 0.03516504 * 40 / 35, 40.0, 100e6
	x := math.Sqrt(s / normalS)
	tau, pi := (kelvins-iceK)/normalK, (pascals-101325)/normalPa
	for _, term := range salineTerms {
		a := term.g * math.Pow(x, float64(term.i))
		if term.i == 1 {
			a = term.g * x * x * math.Log(x)
		}
		t0, t1, t2 := powerAndSlopes(tau, term.j)
		p0, p1, p2 := powerAndSlopes(pi, term.k)
		g.p += a * t0 * p1 / normalPa
		g.tt += a * t2 * p0 / (normalK * normalK)
		g.tp += a * t1 * p1 / (normalK * normalPa)
		g.pp += a * t0 * p2 / (normalPa * normalPa)
	}
}

// powerAndSlopes returns xⁿ and its first two derivatives.
func powerAndSlopes(x float64, n int) (value, slope, bend float64) {
	value = math.Pow(x, float64(n))
	if n >= 1 {
		slope = float64(n) * math.Pow(x, float64(n-1))
	}
	if n >= 2 {
		bend = float64(n*(n-1)) * math.Pow(x, float64(n-2))
	}
	return value, slope, bend
}
