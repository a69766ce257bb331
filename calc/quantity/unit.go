package quantity

import (
	"math/big"
	"strings"
)

// unit is one unit of a kind: SI value = number × factor + offset.
type unit struct {
	name    string // as printed
	factor  *big.Rat
	offset  *big.Rat // nil: none
	aliases []string // as read: no spaces, dots or carets; superscripts as digits, ° as deg, µ as u
	folds   bool     // upper and lower case may be mixed up: no prefix changes meaning by it
	gallon  Gallon   // set for a unit made of gallons
	inverse bool     // SI value = factor ÷ number: 10 L/pulse is 100 pulses/m³
}

// any of the two kinds of unit: one where case is of no matter, and one where it is.
func loose(name, factor, aliases string) unit {
	return unit{name: name, factor: ratio(factor), aliases: strings.Fields(aliases), folds: true}
}

func strict(name, factor, aliases string) unit {
	u := loose(name, factor, aliases)
	u.folds = false
	return u
}

func shifted(name, factor, offset, aliases string) unit {
	u := loose(name, factor, aliases)
	u.offset = ratio(offset)
	return u
}

func gallons(g Gallon, name, factor, aliases string) unit {
	u := loose(name, factor, aliases)
	u.gallon = g
	return u
}

func ratio(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic("quantity: bad factor " + text)
	}
	return r
}

// The exact factors that several units are made of.
const (
	usGallon       = "0.003785411784" // 231 in³
	imperialGallon = "0.00454609"
	oilBarrel      = "0.158987294928" // 42 US gallons
	cubicFoot      = "0.028316846592"
)

var units = map[Kind][]unit{
	KindLength: {
		loose("m", "1", "m metre metres meter meters"),
		loose("mm", "1/1000", "mm millimetre millimetres millimeter millimeters"),
		loose("cm", "1/100", "cm centimetre centimetres centimeter centimeters"),
		loose("km", "1000", "km kilometre kilometres kilometer kilometers"),
		strict("µm", "1/1000000", "um micrometre micrometres micrometer micrometers micron microns"),
		loose("in", "0.0254", `in inch inches "`),
		loose("ft", "0.3048", "ft foot feet '"),
		loose("yd", "0.9144", "yd yard yards"),
		loose("mil", "0.0000254", "mil mils thou"),
	},
	KindTemperature: {
		loose("K", "1", "k kelvin kelvins degk"),
		shifted("°C", "1", "273.15", "degc c celsius degcelsius"),
		// T = (t + 459.67)·5/9; SP 811, B.8: t/°C = (t/°F − 32)/1.8.
		shifted("°F", "5/9", "45967/180", "degf f fahrenheit degfahrenheit"),
	},
	KindTemperatureDifference: {
		loose("K", "1", "k kelvin kelvins degk"),
		loose("°C", "1", "degc c celsius degcelsius"),
		loose("°F", "5/9", "degf f fahrenheit degfahrenheit"),
	},
	KindVolume: {
		loose("m³", "1", "m3 cubicmetre cubicmetres cubicmeter cubicmeters"),
		loose("L", "1/1000", "l litre litres liter liters dm3"),
		strict("mL", "1/1000000", "ml mL millilitre millilitres milliliter milliliters"),
		strict("ML", "1000", "ML Ml megalitre megalitres megaliter megaliters"),
		loose("cm³", "1/1000000", "cm3"),
		gallons(GallonUS, "US gal", usGallon, "usgal galus usgallon usgallons gallonus gallonsus usliquidgallon usliquidgallons"),
		gallons(GallonImperial, "imp gal", imperialGallon, "impgal galimp ukgal galuk igal impgallon impgallons imperialgal imperialgallon imperialgallons ukgallon ukgallons"),
		gallons(GallonUS, "US Mgal", "3785.411784", "usmgal mgalus"),
		gallons(GallonImperial, "imp Mgal", "4546.09", "impmgal mgalimp ukmgal mgaluk"),
		loose("bbl", oilBarrel, "bbl bbls barrel barrels oilbarrel oilbarrels oilbbl"),
		loose("ft³", cubicFoot, "ft3 cuft cubicfoot cubicfeet"),
		loose("in³", "0.000016387064", "in3 cuin cubicinch cubicinches"),
	},
	KindPressure: {
		loose("Pa", "1", "pa pascal pascals"),
		loose("hPa", "100", "hpa"),
		loose("kPa", "1000", "kpa"),
		strict("MPa", "1000000", "MPa MPA"),
		strict("mPa", "1/1000", "mPa"),
		loose("bar", "100000", "bar bars"),
		strict("mbar", "100", "mbar mBar millibar"),
		// 1 lbf/in² = 0.45359237 kg × 9.80665 m/s² / (0.0254 m)².
		loose("psi", "8896443230521/1290320000", "psi lbf/in2 lb/in2"),
		loose("atm", "101325", "atm"),
		loose("kgf/cm²", "98066.5", "kgf/cm2 kg/cm2"),
		// Conventional columns: standard gravity, mercury 13 595.1 kg/m³, water 1000 kg/m³.
		loose("mmHg", "133.322387415", "mmhg"),
		loose("inHg", "3386.388640341", "inhg"),
		strict("mH₂O", "9806.65", "mH2O mH₂O mWC"),
		loose("mmH₂O", "9.80665", "mmh2o mmh₂o"),
		loose("inH₂O", "249.08891", "inh2o inh₂o"),
	},
	KindTime: {
		loose("s", "1", "s sec secs second seconds"),
		strict("ms", "1/1000", "ms msec millisecond milliseconds"),
		strict("µs", "1/1000000", "us usec microsecond microseconds"),
		strict("ns", "1/1000000000", "ns nanosecond nanoseconds"),
		loose("min", "60", "min mins minute minutes"),
		loose("h", "3600", "h hr hrs hour hours"),
		loose("d", "86400", "d day days"),
	},
	KindCurrent: {
		loose("A", "1", "a amp amps ampere amperes"),
		strict("mA", "1/1000", "mA ma milliamp milliamps milliampere milliamperes"),
		strict("µA", "1/1000000", "uA microamp microamps microampere microamperes"),
	},
	KindRatio: {
		loose("%", "1/100", "% percent pct"),
		loose("‰", "1/1000", "‰ permille permil"),
		loose("ppm", "1/1000000", "ppm"),
		strict("g/kg", "1/1000", "g/kg"), // a share by mass, as of salt in sea water
	},
	KindAPIGravity: {loose("°API", "1", "degapi api")},
	KindAngle: {
		loose("rad", "1", "rad radian radians"),
		// π/180 to 40 digits: far beyond a float64, in which the value is rounded once.
		loose("°", "0.01745329251994329576923690768488612713443", "deg degree degrees"),
	},
	KindFrequency: {
		loose("Hz", "1", "hz hertz"),
		loose("kHz", "1000", "khz kilohertz"),
		strict("MHz", "1000000", "MHz MHZ Mhz megahertz"),
	},
	KindLevel: {loose("dB", "1", "db decibel decibels")},
	KindMass: {
		loose("kg", "1", "kg kgs kilogram kilograms kilogramme kilogrammes"),
		strict("g", "1/1000", "g gram grams"),
		strict("mg", "1/1000000", "mg milligram milligrams"),
		strict("t", "1000", "t tonne tonnes metricton metrictons"),
		loose("lb", pound, "lb lbs lbm pound pounds"),
		loose("oz", "0.028349523125", "oz ounce ounces"),
		loose("short ton", "907.18474", "shortton shorttons uston ustons"),
		loose("long ton", "1016.0469088", "longton longtons ukton uktons impton"),
	},
	KindDynamicViscosity: {
		strict("Pa·s", "1", "Pas Pa*s pas"),
		strict("mPa·s", "1/1000", "mPas mPa*s"),
		strict("µPa·s", "1/1000000", "uPas uPa*s"),
		strict("P", "1/10", "P poise"),
		loose("cP", "1/1000", "cp cps centipoise"),
	},
	KindKinematicViscosity: {
		loose("m²/s", "1", "m2/s"),
		loose("mm²/s", "1/1000000", "mm2/s"),
		strict("St", "1/10000", "St st stokes stoke"),
		loose("cSt", "1/1000000", "cst centistokes centistoke"),
		loose("ft²/s", "0.09290304", "ft2/s"),
		loose("ft²/h", "0.000025806400", "ft2/h ft2/hr"),
	},
	KindPulses: {loose("pulse", "1", "pulse pulses imp impulse impulses pls count counts")},
}

const pound = "0.45359237"

// ratios are the kinds whose units are one unit over a time.
var ratios = map[Kind]Kind{KindFlow: KindVolume, KindVelocity: KindLength,
	KindMassFlow: KindMass, KindDensity: KindMass, KindPulseFactor: KindPulses}

// unders are what the units of a ratio are over, where it is not a time.
var unders = map[Kind]Kind{KindDensity: KindVolume, KindPulseFactor: KindVolume}

// single words for a unit over a time.
var rates = map[Kind][]struct{ word, over, per string }{
	KindFlow: {
		{"usgpm", "usgal", "min"}, {"gpmus", "usgal", "min"}, {"gpm", "gal", "min"},
		{"impgpm", "impgal", "min"}, {"gpmimp", "impgal", "min"}, {"ukgpm", "impgal", "min"}, {"igpm", "impgal", "min"},
		{"mgd", "mgal", "d"}, {"usmgd", "usmgal", "d"}, {"mgdus", "usmgal", "d"}, {"impmgd", "impmgal", "d"}, {"mgdimp", "impmgal", "d"},
		{"lpm", "l", "min"}, {"lps", "l", "s"}, {"cfm", "ft3", "min"}, {"cfs", "ft3", "s"},
		{"bph", "bbl", "h"}, {"bpd", "bbl", "d"}, {"cmh", "m3", "h"},
	},
	KindVelocity: {{"fps", "ft", "s"}},
	KindMassFlow: {{"kgph", "kg", "h"}, {"tph", "t", "h"}, {"pph", "lb", "h"}},
}

// bareGallons are the words that do not say which gallon, with the words that do.
var bareGallons = map[string]struct{ us, imperial string }{
	"gal": {"usgal", "impgal"}, "gals": {"usgal", "impgal"}, "gallon": {"usgal", "impgal"},
	"gallons": {"usgal", "impgal"}, "mgal": {"usmgal", "impmgal"},
}

// shown are the units a message offers, the usual ones first.
var shown = map[Kind]string{
	KindLength:                "mm, cm, m, km, µm, in, ft, yd, mil",
	KindTemperature:           "°C, °F, K",
	KindTemperatureDifference: "K, °C, °F",
	KindFlow:                  "m³/h, m³/s, L/s, L/min, L/h, ML/d, US gal/min, imp gal/min, US Mgal/d, bbl/h, bbl/d, ft³/s, ft³/min",
	KindVolume:                "m³, L, mL, ML, cm³, US gal, imp gal, bbl, ft³, in³",
	KindPressure:              "Pa, hPa, kPa, MPa, mbar, bar, psi, atm, kgf/cm², mmHg, inHg, mH₂O, inH₂O, each with gauge or absolute",
	KindVelocity:              "m/s, mm/s, m/min, ft/s, ft/min, in/s, km/h",
	KindTime:                  "s, ms, µs, ns, min, h, d",
	KindCurrent:               "mA, µA, A",
	KindRatio:                 "%, ‰, ppm",
	KindAngle:                 "°, rad",
	KindFrequency:             "MHz, kHz, Hz",
	KindLevel:                 "dB",
	KindMass:                  "kg, g, mg, t, lb, oz, short ton, long ton",
	KindMassFlow:              "kg/h, kg/s, kg/min, t/h, g/s, lb/h, lb/min",
	KindDensity:               "kg/m³, kg/L, g/cm³, g/mL, lb/ft³, lb/US gal",
	KindDynamicViscosity:      "mPa·s, cP, Pa·s, µPa·s, P",
	KindKinematicViscosity:    "mm²/s, cSt, m²/s, St, ft²/s, ft²/h",
	KindAPIGravity:            "°API",
	KindPulses:                "pulse",
	KindPulseFactor:           "pulse/L, pulse/m³, pulse/US gal, pulse/imp gal, pulse/bbl, pulse/ft³, L/pulse, m³/pulse, mL/pulse, US gal/pulse",
}

// Units returns the units a person may use for the kind, as a message lists them; empty
// for no kind.
func (k Kind) Units() string { return shown[k] }
