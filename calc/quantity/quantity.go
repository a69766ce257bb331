// Package quantity holds typed quantities in SI base units, reads the texts people
// write for them, and prints them to a resolution with their unit.
//
// What is here: length, temperature, temperature difference, flow, volume, pressure,
// velocity, time, current, ratio, angle, frequency, level, mass, mass flow, density,
// viscosity, API gravity, pulses and pulse factor; exact conversion factors; parsing, which refuses a
// text that can be read in two ways and names both; formatting. What is not:
// locale-dependent printing, and any judgement whether a value is plausible. The kinds
// from ratio on have no typed quantity: their values are used as they are.
//
// Factors follow NIST Special Publication 811 (2008), appendix B, and the definitions
// behind it: inch = 25.4 mm and foot = 0.3048 m exactly, US gallon = 231 in³, imperial
// gallon = 4.54609 L, oil barrel = 42 US gallons. They are kept as ratios of integers
// and a value is rounded once, to the nearest float64.
package quantity

import (
	"math"
	"strings"
)

// Kind says what sort of quantity a value is. The zero value is no kind.
type Kind string

// The kinds. Their texts are what a person or a file calls them.
const (
	KindLength                Kind = "length"
	KindTemperature           Kind = "temperature"
	KindTemperatureDifference Kind = "temperature-difference"
	KindFlow                  Kind = "flow"
	KindVolume                Kind = "volume"
	KindPressure              Kind = "pressure"
	KindVelocity              Kind = "velocity"
	KindTime                  Kind = "time"
	KindCurrent               Kind = "current"
	KindRatio                 Kind = "ratio" // a part of a whole: 0,4 %
	KindAngle                 Kind = "angle"
	KindFrequency             Kind = "frequency"
	KindLevel                 Kind = "level" // of a signal, in decibel
	KindMass                  Kind = "mass"
	KindMassFlow              Kind = "mass-flow"
	KindDensity               Kind = "density"
	KindDynamicViscosity      Kind = "dynamic-viscosity"
	KindKinematicViscosity    Kind = "kinematic-viscosity"
	KindAPIGravity            Kind = "api-gravity"  // of an oil at 60 °F, 141.5/(relative density) − 131.5
	KindPulses                Kind = "pulses"       // a count
	KindPulseFactor           Kind = "pulse-factor" // pulses per volume, also written as volume per pulse
)

var siUnits = map[Kind]string{
	KindLength: "m", KindTemperature: "K", KindTemperatureDifference: "K", KindFlow: "m3/s",
	KindVolume: "m3", KindPressure: "Pa", KindVelocity: "m/s", KindTime: "s", KindCurrent: "A",
	KindRatio: "1", KindAngle: "rad", KindFrequency: "Hz", KindLevel: "dB",
	KindMass: "kg", KindMassFlow: "kg/s", KindDensity: "kg/m3", KindDynamicViscosity: "Pa.s", KindKinematicViscosity: "m2/s",
	KindAPIGravity: "degAPI", KindPulses: "pulse", KindPulseFactor: "pulse/m3",
}

// Kinds returns every kind, in the order of their declaration.
func Kinds() []Kind {
	return []Kind{KindLength, KindTemperature, KindTemperatureDifference, KindFlow, KindVolume,
		KindPressure, KindVelocity, KindTime, KindCurrent, KindRatio, KindAngle, KindFrequency, KindLevel,
		KindMass, KindMassFlow, KindDensity, KindDynamicViscosity, KindKinematicViscosity, KindAPIGravity, KindPulses, KindPulseFactor}
}

// KindOf returns the kind of the given name, as in "temperature-difference".
//
// Errors: UnknownKind.
func KindOf(name string) (Kind, error) {
	if _, known := siUnits[Kind(name)]; !known {
		return "", UnknownKind.At("kind", clip(name), kindNames())
	}
	return Kind(name), nil
}

func kindNames() string {
	names := make([]string, 0, len(siUnits))
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// SIUnit returns the text of the SI unit in which values of the kind are kept: "m", "K",
// "m3/s", "m3", "Pa", "m/s", "s", "A", "1", "rad", "Hz", "dB", "kg", "kg/s", "kg/m3",
// "Pa.s", "m2/s", "degAPI", "pulse" or "pulse/m3"; empty for no kind.
func (k Kind) SIUnit() string { return siUnits[k] }

// words is the kind as a sentence calls it: "temperature difference".
func (k Kind) words() string { return strings.ReplaceAll(string(k), "-", " ") }

// dimension marks the type of a quantity; each has one kind.
type dimension interface{ kind() Kind }

type (
	length                struct{}
	temperature           struct{}
	temperatureDifference struct{}
	flow                  struct{}
	volume                struct{}
	pressure              struct{}
	velocity              struct{}
	duration              struct{}
	current               struct{}
)

func (length) kind() Kind                { return KindLength }
func (temperature) kind() Kind           { return KindTemperature }
func (temperatureDifference) kind() Kind { return KindTemperatureDifference }
func (flow) kind() Kind                  { return KindFlow }
func (volume) kind() Kind                { return KindVolume }
func (pressure) kind() Kind              { return KindPressure }
func (velocity) kind() Kind              { return KindVelocity }
func (duration) kind() Kind              { return KindTime }
func (current) kind() Kind               { return KindCurrent }

// Quantity is a value of one kind in its SI unit. It is always finite. The zero value is
// 0 of the unit, which for a temperature is absolute zero and for a pressure a vacuum.
type Quantity[D dimension] struct{ si float64 }

// The quantities, each in the SI unit of its kind. A Pressure is absolute.
type (
	Length                = Quantity[length]                // metre
	Temperature           = Quantity[temperature]           // kelvin
	TemperatureDifference = Quantity[temperatureDifference] // kelvin
	Flow                  = Quantity[flow]                  // cubic metre per second
	Volume                = Quantity[volume]                // cubic metre
	Pressure              = Quantity[pressure]              // pascal, absolute
	Velocity              = Quantity[velocity]              // metre per second
	Time                  = Quantity[duration]              // second
	Current               = Quantity[current]               // ampere
)

// SI returns the value in the SI unit of its kind.
func (q Quantity[D]) SI() float64 { return q.si }

// Kind returns the kind of the quantity.
func (q Quantity[D]) Kind() Kind {
	var d D
	return d.kind()
}

// From returns the quantity that an entry holds, as in quantity.Length{}.From(entry).
//
// Errors: WrongKind when the entry is of another kind.
func (q Quantity[D]) From(e Entry) (Quantity[D], error) {
	if e.Kind != q.Kind() {
		return Quantity[D]{}, WrongKind.At("", e.Kind.words(), q.Kind().words())
	}
	return of[D](e.SI)
}

func of[D dimension](si float64) (Quantity[D], error) {
	q := Quantity[D]{si}
	if err := valid(q.Kind(), si); err != nil {
		return Quantity[D]{}, err
	}
	return q, nil
}

// valid refuses what no quantity of the kind can be.
func valid(k Kind, si float64) error {
	switch {
	case math.IsNaN(si) || math.IsInf(si, 0):
		return NotFinite.At("", k.words())
	case k == KindTemperature && si < 0:
		return BelowAbsoluteZero.At("", si)
	case k == KindPressure && si < 0:
		return BelowVacuum.At("", si)
	}
	return nil
}

// Metres returns a length of x metres. Errors: NotFinite.
func Metres(x float64) (Length, error) { return of[length](x) }

// Kelvins returns a temperature of x kelvins, x ≥ 0. Errors: NotFinite, BelowAbsoluteZero.
func Kelvins(x float64) (Temperature, error) { return of[temperature](x) }

// KelvinsDifference returns a temperature difference of x kelvins. Errors: NotFinite.
func KelvinsDifference(x float64) (TemperatureDifference, error) {
	return of[temperatureDifference](x)
}

// CubicMetresPerSecond returns a flow of x m³/s. Errors: NotFinite.
func CubicMetresPerSecond(x float64) (Flow, error) { return of[flow](x) }

// CubicMetres returns a volume of x m³. Errors: NotFinite.
func CubicMetres(x float64) (Volume, error) { return of[volume](x) }

// Pascals returns an absolute pressure of x pascals, x ≥ 0. Errors: NotFinite, BelowVacuum.
func Pascals(x float64) (Pressure, error) { return of[pressure](x) }

// MetresPerSecond returns a velocity of x m/s. Errors: NotFinite.
func MetresPerSecond(x float64) (Velocity, error) { return of[velocity](x) }

// Seconds returns a time of x seconds. Errors: NotFinite.
func Seconds(x float64) (Time, error) { return of[duration](x) }

// Amperes returns a current of x amperes. Errors: NotFinite.
func Amperes(x float64) (Current, error) { return of[current](x) }
