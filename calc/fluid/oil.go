package fluid

import (
	"math"

	"rillmark/calc/fault"
)

// The codes of oils.
var (
	// GroupUnknown: no product group of that name is known.
	GroupUnknown = fault.Define("fluid.product-group-unknown", fault.T("product_group"), fault.T("known"))
	// GravityRange: the API gravity lies outside the product group.
	GravityRange = fault.Define("fluid.gravity-out-of-range", fault.N("api_gravity"), fault.N("lower"), fault.N("upper"))
)

// Group is a product group of API MPMS 11.1: it fixes how oil expands.
type Group string

// The product groups.
const (
	Crude       Group = "crude"
	Gasoline    Group = "gasoline"
	Transition  Group = "transition"
	Jet         Group = "jet"
	FuelOil     Group = "fuel-oil"
	Lubricating Group = "lubricating"
)

// Refined returns the product groups of refined products, the lightest first.
func Refined() []Group { return []Group{Gasoline, Transition, Jet, FuelOil} }

// oilGroups: K₀, K₁, K₂ and the range of the density at 60 °F in kg/m³. API MPMS 11.1-2004,
// table 1 (from memory). The refined ones are in order of density.
var oilGroups = []struct {
	group       Group
	k0, k1, k2  float64
	least, most float64
}{
	{Crude, 341.0957, 0, 0, 610.6, 1163.5},
	{Gasoline, 192.4571, 0.2438, 0, 610.6, 770.3520},
	{Transition, 1489.0670, 0, -0.00186840, 770.3520, 787.5195},
	{Jet, 330.3010, 0, 0, 787.5195, 838.3127},
	{FuelOil, 103.8720, 0.2701, 0, 838.3127, 1163.5},
	{Lubricating, 0, 0.34878, 0, 800.9, 1163.5},
}

const (
	waterAt60F    = 999.016 // kg/m³, API MPMS 11.1-2004
	psi           = 6894.757293168361
	atmosphere    = 101325.0
	oilLeastK     = iceK - 50
	oilMostK      = iceK + 150
	oilMostPa     = atmosphere + 1500*psi
	shift60       = 0.01374979547 // °F, of 60 °F between the scales of 1990 and 1968
	base60        = 60 + 0.0068749
	at15C         = iceK + 15
	oilSource     = "API MPMS 11.1-2004 (with addendum 2007), 11.1.6.1, not rounded"
	oilSoundFrom  = "Batzle and Wang, Geophysics 57 (1992) 1396, eq. 20a, dead oil"
	oilSoundShare = 0.02
)

// Base is what brings the volume of an oil to base conditions.
type Base struct {
	Group       Group
	Density60F  float64 // kg/m³ at 60 °F and one atmosphere
	Density15C  float64 // kg/m³ at 15 °C and one atmosphere
	Temperature float64 // CTL to 60 °F, dimensionless
	Pressure    float64 // CPL, dimensionless
	To60F       float64 // volume at 60 °F and one atmosphere over volume at the state
	To15C       float64 // the same for 15 °C
	Source      string
}

// Oil returns the properties of an oil of an API gravity (at 60 °F) and product group at
// the state, and the factors to base conditions. An empty group is that refined one whose
// range holds the density.
//
//	ρ₆₀ = 999.016·141.5/(G + 131.5);  ρ = ρ₆₀·CTL·CPL
//
// Valid from −50 °C to 150 °C and one atmosphere to 1500 psi above it. The viscosity is
// not given: gravity does not fix it. The speed of sound is that of oil without gas, and
// not given where ρ₆₀ reaches 1080 kg/m³.
//
// Standard uncertainties (from memory): density 0.05 % up to 65 °C, else 0.1 %; speed of
// sound 2 % (published data scatter by 2 % to 5 % about the correlation).
//
// Errors: GroupUnknown, GravityRange, TemperatureRange, PressureRange.
//
// Source: API MPMS 11.1-2004, 11.1.6.1; the speed of sound as named in the result.
func Oil(group Group, gravity float64, s State) (Properties, Base, error) {
	kelvins, pascals := s.Temperature.SI(), s.Pressure.SI()
	product, density60, err := oilOf(group, gravity)
	if err != nil {
		return Properties{}, Base{}, err
	}
	valid := Range{oilLeastK, oilMostK, atmosphere, oilMostPa}
	if err := valid.holds(s); err != nil {
		return Properties{}, Base{}, err
	}
	base := product.base(density60, kelvins, pascals)
	density := density60 * base.To60F
	share := 5e-4
	if kelvins > iceK+65 {
		share = 1e-3
	}
	p := Properties{Density: Property{density, density * share, oilSource, valid}}
	if sound := oilSoundSpeed(density60/waterAt60F, kelvins-iceK, pascals/1e6); sound > 0 {
		p.SoundSpeed = Property{sound, sound * oilSoundShare, oilSoundFrom, valid}
	}
	return p, base, nil
}

// expansion is how a product group expands.
type expansion struct {
	group      Group
	k0, k1, k2 float64
}

// oilOf returns the expansion of a group and the density at 60 °F in kg/m³.
func oilOf(group Group, gravity float64) (expansion, float64, error) {
	density := waterAt60F * 141.5 / (gravity + 131.5)
	known := ""
	for _, row := range oilGroups {
		known += ", " + string(row.group)
		inside := gravity > -131.5 && density >= row.least && density <= row.most
		chosen := group == row.group || group == "" && inside && row.group != Crude && row.group != Lubricating
		switch {
		case chosen && inside:
			return expansion{row.group, row.k0, row.k1, row.k2}, density, nil
		case chosen:
			return expansion{}, 0, GravityRange.At("api_gravity", gravity, gravityOf(row.most), gravityOf(row.least))
		}
	}
	if group == "" {
		return expansion{}, 0, GravityRange.At("api_gravity", gravity, gravityOf(1163.5), gravityOf(610.6))
	}
	return expansion{}, 0, GroupUnknown.At("product_group", string(group), known[2:])
}

func gravityOf(density float64) float64 { return 141.5*waterAt60F/density - 131.5 }

func (e expansion) base(density60, kelvins, pascals float64) Base {
	star := e.star(density60)
	scale := func(k float64) float64 { return toScaleOf1968(k-iceK)*1.8 + 32 }
	ctl := e.ctl(star, scale(kelvins))
	ctl15 := e.ctl(star, scale(at15C))
	cpl := oilCPL(star, scale(kelvins), (pascals-atmosphere)/psi)
	return Base{Group: e.group, Density60F: density60, Density15C: density60 * ctl15, Temperature: ctl, Pressure: cpl,
		To60F: ctl * cpl, To15C: ctl * cpl / ctl15, Source: oilSource}
}

// star returns ρ*: the density at 60 °F of the scale of 1968, on which K₀ to K₂ stand.
//
// Source: API MPMS 11.1-2004, 11.1.6.1, step 5.
func (e expansion) star(density float64) float64 {
	a := shift60 / 2 * ((e.k0/density+e.k1)/density + e.k2)
	b := (2*e.k0 + e.k1*density) / (e.k0 + (e.k1+e.k2*density)*density)
	return density * (1 + (math.Exp(a*(1+0.8*a))-1)/(1+a*(1+1.6*a)*b))
}

// ctl returns the volume correction for temperature at a temperature in °F, scale of 1968.
//
// Source: API MPMS 11.1-2004, 11.1.6.1, steps 6 and 7.
func (e expansion) ctl(star, fahrenheit float64) float64 {
	alpha := (e.k0/star+e.k1)/star + e.k2
	dt := fahrenheit - base60
	return math.Exp(-alpha * dt * (1 + 0.8*alpha*(dt+shift60)))
}

// oilCPL returns the volume correction for a gauge pressure in psi.
//
// Source: API MPMS 11.1-2004, 11.1.6.1, steps 8 and 9.
func oilCPL(star, fahrenheit, gauge float64) float64 {
	f := math.Exp(-1.9947 + 0.00013427*fahrenheit + (793920+2326*fahrenheit)/(star*star))
	return 1 / (1 - 1e-5*f*gauge)
}

// toScaleOf1968 returns the temperature in °C of IPTS-68 for one of ITS-90.
//
// Source: API MPMS 11.1-2004, 11.1.5.3.
func toScaleOf1968(t float64) float64 {
	x := t / 630
	sum := 0.0
	for _, a := range [...]float64{-3.536296, 7.438081, -1.871251, -4.089591, 1.269056, 1.080760, -0.267408, -0.148759} {
		sum = (sum + a) * x
	}
	return t - sum
}

// oilSoundSpeed returns the speed of sound in m/s in oil without gas, of a density at 60 °F
// in g/cm³ as the paper takes it (the relative density), at °C and MPa; 0 beyond the correlation.
//
// Source: Batzle and Wang 1992, equation 20a.
func oilSoundSpeed(d, celsius, megapascals float64) float64 {
	if d >= 1.08 {
		return 0
	}
	return 2096*math.Sqrt(d/(2.6-d)) - 3.7*celsius + 4.64*megapascals +
		0.0115*(4.12*math.Sqrt(1.08/d-1)-1)*celsius*megapascals
}
