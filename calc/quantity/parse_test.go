package quantity_test

import (
	"math"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

const (
	l  = quantity.KindLength
	th = quantity.KindTemperature
	td = quantity.KindTemperatureDifference
	q  = quantity.KindFlow
	v  = quantity.KindVolume
	p  = quantity.KindPressure
	c  = quantity.KindVelocity
	s  = quantity.KindTime
	i  = quantity.KindCurrent
)

// The expected values are the written number times the exact factor, by arithmetic.
var texts = []struct {
	text string
	kind quantity.Kind
	want float64
	unit string
}{
	{`3 5/8"`, l, 0.092075, "in"},
	{`3-5/8"`, l, 0.092075, "in"},
	{`3⅝″`, l, 0.092075, "in"},
	{"3 ⅝ in.", l, 0.092075, "in"},
	{"5/8 in", l, 0.015875, "in"},
	{"010/16 in", l, 0.015875, "in"},
	{"5 / 8 inch", l, 0.015875, "in"},
	{"5⁄8 in", l, 0.015875, "in"},
	{`1-1/2"`, l, 0.0381, "in"},
	{"1½ in", l, 0.0381, "in"},
	{"1-½ in", l, 0.0381, "in"},
	{"½''", l, 0.0127, "in"},
	{"5/4 in", l, 0.03175, "in"},
	{"20/10 in", l, 0.0508, "in"},
	{"1 234 1/2 in", l, 31.3563, "in"},
	{`6' 3 1/2"`, l, 1.9177, "ft in"},
	{`6'-3½"`, l, 1.9177, "ft in"},
	{"6 ft 3 in", l, 1.905, "ft in"},
	{"6 ft, 3.5 in", l, 1.9177, "ft in"},
	{"−6′ 3″", l, -1.905, "ft in"},
	{"6'", l, 1.8288, "ft"},
	{"8.625 in", l, 0.219075, "in"},
	{"168,3 mm", l, 0.1683, "mm"},
	{"168.3mm", l, 0.1683, "mm"},
	{"168.3 MM", l, 0.1683, "mm"},
	{".5 m", l, 0.5, "m"},
	{",5 m", l, 0.5, "m"},
	{"5. m", l, 5, "m"},
	{"+5 m", l, 5, "m"},
	{"- 5 m", l, -5, "m"},
	{"−5 m", l, -5, "m"},
	{"–5 m", l, -5, "m"},
	{"0,123 m", l, 0.123, "m"},
	{"1234,567 mm", l, 1.234567, "mm"},
	{"12,3456 mm", l, 0.0123456, "mm"},
	{"1 234 mm", l, 1.234, "mm"},
	{"1 234,567 mm", l, 1.234567, "mm"},
	{"1\u00a0234.5 mm", l, 1.2345, "mm"},
	{"1\u202f234\u2009567 mm", l, 1234.567, "mm"},
	{"1,234.5 mm", l, 1.2345, "mm"},
	{"1.234,5 mm", l, 1.2345, "mm"},
	{"1,234,567 mm", l, 1234.567, "mm"},
	{"1.234.567 mm", l, 1234.567, "mm"},
	{"1e3 mm", l, 1, "mm"},
	{"1.5E-3 m", l, 0.0015, "m"},
	{"25 µm", l, 25e-6, "µm"},
	{"25 μm", l, 25e-6, "µm"},
	{"10 thou", l, 0.000254, "mil"},
	{"20 °C", th, 293.15, "°C"},
	{"20 degC", th, 293.15, "°C"},
	{"20 ℃", th, 293.15, "°C"},
	{"20º C", th, 293.15, "°C"},
	{"−5 °C", th, 268.15, "°C"},
	{"293.15 K", th, 293.15, "K"},
	{"68F", th, 293.15, "°F"},
	{"68 °F", th, 293.15, "°F"},
	{"68 deg F", th, 293.15, "°F"},
	{"68 degF", th, 293.15, "°F"},
	{"18 °F", td, 10, "°F"},
	{"-2 °C", td, -2, "°C"},
	{"300 m3/h", q, 300.0 / 3600, "m³/h"},
	{"300 m³/h", q, 300.0 / 3600, "m³/h"},
	{"300 m^3 / hr", q, 300.0 / 3600, "m³/h"},
	{"300 M3/H", q, 300.0 / 3600, "m³/h"},
	{"0,25 L/s", q, 0.00025, "L/s"},
	{"15 l/min", q, 0.00025, "L/min"},
	{"15 litres per minute", q, 0.00025, "L/min"},
	{"15 lpm", q, 0.00025, "L/min"},
	{"1200 US gal/min", q, 0.07570823568, "US gal/min"},
	{"1200 U.S. gallons per minute", q, 0.07570823568, "US gal/min"},
	{"1200 gal (US)/min", q, 0.07570823568, "US gal/min"},
	{"1200 USGPM", q, 0.07570823568, "US gal/min"},
	{"1200 gpm (US)", q, 0.07570823568, "US gal/min"},
	{"100 imp gal/min", q, 0.454609 / 60, "imp gal/min"},
	{"100 imp gpm", q, 0.454609 / 60, "imp gal/min"},
	{"1 US MGD", q, 3785.411784 / 86400, "US Mgal/d"},
	{"86.4 ML/d", q, 1, "ML/d"},
	{"25 bbl/h", q, 25 * 0.158987294928 / 3600, "bbl/h"},
	{"35 cfs", q, 35 * 0.028316846592, "ft³/s"},
	{"250 ml", v, 0.00025, "mL"},
	{"2 ML", v, 2000, "ML"},
	{"42 US gal", v, 0.158987294928, "US gal"},
	{"1 oil barrel", v, 0.158987294928, "bbl"},
	{"5 bar(g)", p, 601325, "bar"},
	{"5 barg", p, 601325, "bar"},
	{"5 bar gauge", p, 601325, "bar"},
	{"5 bar (gauge)", p, 601325, "bar"},
	{"5 bar", p, 500000, "bar"},
	{"5 bara", p, 500000, "bar"},
	{"100 kPa gauge", p, 201325, "kPa"},
	{"100 kPa", p, 100000, "kPa"},
	{"10 psi abs", p, 68947.5729316836, "psi"},
	{"10 PSIA", p, 68947.5729316836, "psi"},
	{"10 psig", p, 170272.5729316836, "psi"},
	{"760 mmHg", p, 101325.0144354, "mmHg"},
	{"10 mmHg gauge", p, 102658.22387415, "mmHg"},
	{"0.5 MPa", p, 500000, "MPa"},
	{"5 mPa", p, 0.005, "mPa"},
	{"-0.5 bar g", p, 51325, "bar"},
	{"10 ft/s", c, 3.048, "ft/s"},
	{"10 fps", c, 3.048, "ft/s"},
	{"1.5 m per s", c, 1.5, "m/s"},
	{"5 min", s, 300, "min"},
	{"1 h 30 min", s, 5400, "h min"},
	{"2 min 15 s", s, 135, "min s"},
	{"1.5 h", s, 5400, "h"},
	{"3 µs", s, 3e-6, "µs"},
	{"0,4 %", quantity.KindRatio, 0.004, "%"},
	{"−0.3%", quantity.KindRatio, -0.003, "%"},
	{"2 ‰", quantity.KindRatio, 0.002, "‰"},
	{"250 ppm", quantity.KindRatio, 0.00025, "ppm"},
	{"38 °", quantity.KindAngle, 38 * math.Pi / 180, "°"},
	{"0.5 rad", quantity.KindAngle, 0.5, "rad"},
	{"1 MHz", quantity.KindFrequency, 1e6, "MHz"},
	{"500 kHz", quantity.KindFrequency, 5e5, "kHz"},
	{"20 dB", quantity.KindLevel, 20, "dB"},
	{"2,5 t", quantity.KindMass, 2500, "t"},
	{"10 lb", quantity.KindMass, 4.5359237, "lb"},
	{"3600 kg/h", quantity.KindMassFlow, 1, "kg/h"},
	{"3,6 t/h", quantity.KindMassFlow, 1, "t/h"},
	{"100 pph", quantity.KindMassFlow, 45.359237 / 3600, "lb/h"},
	{"998.2 kg/m³", quantity.KindDensity, 998.2, "kg/m³"},
	{"0,85 g/cm3", quantity.KindDensity, 850, "g/cm³"},
	{"62.4 lb/ft3", quantity.KindDensity, 62.4 * 0.45359237 / 0.028316846592, "lb/ft³"},
	{"1.002 mPa.s", quantity.KindDynamicViscosity, 0.001002, "mPa·s"},
	{"1.002 mPa·s", quantity.KindDynamicViscosity, 0.001002, "mPa·s"},
	{"30 cP", quantity.KindDynamicViscosity, 0.03, "cP"},
	{"30 cSt", quantity.KindKinematicViscosity, 3e-5, "cSt"},
	{"1 mm2/s", quantity.KindKinematicViscosity, 1e-6, "mm²/s"},
	{"12 345 pulses", quantity.KindPulses, 12345, "pulse"},
	{"10 pulses/L", quantity.KindPulseFactor, 10000, "pulse/L"},
	{"10 L/pulse", quantity.KindPulseFactor, 100, "L/pulse"},
	{"0,1 m3 per pulse", quantity.KindPulseFactor, 10, "m³/pulse"},
	{"60 pulses per US gallon", quantity.KindPulseFactor, 60 / 0.003785411784, "pulse/US gal"},
	{"4 mA", i, 0.004, "mA"},
	{"4 ma", i, 0.004, "mA"},
	{"20000 µA", i, 0.02, "µA"},
}

func TestParse(t *testing.T) {
	for _, r := range texts {
		got, err := quantity.Parse(r.text, r.kind, quantity.Options{})
		if err != nil || math.Abs(got.SI-r.want) > 4e-16*math.Abs(r.want) || got.Unit != r.unit {
			t.Errorf("%q: %.17g %s, %v, want %.17g %s", r.text, got.SI, got.Unit, err, r.want, r.unit)
		}
		if err == nil && (got.Text != strings.TrimSpace(r.text) || got.Kind != r.kind) {
			t.Errorf("%q is kept as %q, %s", r.text, got.Text, got.Kind)
		}
		if (r.kind == p) != (got.Reference != "") {
			t.Errorf("%q: reference %q", r.text, got.Reference)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	long := strings.Repeat("1", quantity.MaxText+1)
	for _, r := range []struct {
		text string
		kind quantity.Kind
		code *fault.Code
		with string // a text the fault's arguments must hold
	}{
		{"1,234 m3/h", q, quantity.AmbiguousNumber, "1234 m³/h"},
		{"1,234 m3/h", q, quantity.AmbiguousNumber, "1.234 m³/h"},
		{"-12,345 mm", l, quantity.AmbiguousNumber, "12.345 mm"},
		{"11/2 in", l, quantity.AmbiguousNumber, "5.5 in"},
		{"11/2 in", l, quantity.AmbiguousNumber, "1.5 in"},
		{"101/2 in", l, quantity.AmbiguousNumber, "10.5 in"},
		{"1200 gpm", q, quantity.AmbiguousGallon, "US gal/min"},
		{"1200 gal/min", q, quantity.AmbiguousGallon, "imp gal/min"},
		{"5 gallons", v, quantity.AmbiguousGallon, "imp gal"},
		{"2 MGD", q, quantity.AmbiguousGallon, "US Mgal/d"},
		{"5 gal/fortnight", q, quantity.AmbiguousGallon, "US gal/fortnight"},
		{"60 pulses/gal", quantity.KindPulseFactor, quantity.AmbiguousGallon, "pulse/imp gal"},
		{"2 gal/pulse", quantity.KindPulseFactor, quantity.AmbiguousGallon, "US gal/pulse"},
		{"0 L/pulse", quantity.KindPulseFactor, quantity.NotFinite, ""},
		{"5 pulses", quantity.KindPulseFactor, quantity.UnknownUnit, "pulses"},
		{"5 pulses/h", quantity.KindPulseFactor, quantity.UnknownUnit, ""},
		{"5 s/h", quantity.KindPulseFactor, quantity.UnknownUnit, ""},
		{"8.625", l, quantity.NoUnit, "mm"},
		{"3 5/8", l, quantity.NoUnit, "in"},
		{"20", th, quantity.NoUnit, "°C"},
		{"5", p, quantity.NoUnit, "gauge"},
		{"5 .", q, quantity.NoUnit, "m³/h"},
		{"20°", th, quantity.UnknownUnit, "°"},
		{"20 mm", th, quantity.UnknownUnit, "mm"},
		{"1e400 mm", l, quantity.BeyondReach, "1e400 mm"},
		{"1e400", q, quantity.BeyondReach, "1e400"},
		{"2E-999 m3/h", q, quantity.BeyondReach, ""},
		{"5 furlongs", l, quantity.UnknownUnit, "furlongs"},
		{"5 furlongs", l, quantity.UnknownUnit, "length"},
		{"5 m3", q, quantity.UnknownUnit, "m3"},
		{"5 m3/furlong", q, quantity.UnknownUnit, "m3/furlong"},
		{"5 kg/h", q, quantity.UnknownUnit, "kg/h"},
		{"5 mpa", p, quantity.UnknownUnit, "mpa"},
		{"5 MA", i, quantity.UnknownUnit, "MA"},
		{"5 xg", p, quantity.UnknownUnit, "xg"},
		{"1 234m²", l, quantity.UnknownUnit, "m²"},
		{"5 " + strings.Repeat("ü", 45), l, quantity.UnknownUnit, "…"},
		{"", l, quantity.Empty, "length"},
		{" \u00a0\t ", l, quantity.Empty, "length"},
		{long, l, quantity.TooLong, ""},
		{"mm", l, quantity.UnreadableNumber, "mm"},
		{"NaN m", l, quantity.UnreadableNumber, ""},
		{"Inf m", l, quantity.UnreadableNumber, ""},
		{"-", l, quantity.UnreadableNumber, ""},
		{"--5 m", l, quantity.UnreadableNumber, ""},
		{"10-20 mm", l, quantity.UnreadableNumber, ""},
		{"12 34 mm", l, quantity.UnreadableNumber, ""},
		{"1 2345 mm", l, quantity.UnreadableNumber, ""},
		{"1234 567 mm", l, quantity.UnreadableNumber, ""},
		{"1,23,456 mm", l, quantity.UnreadableNumber, ""},
		{"1.2.3 mm", l, quantity.UnreadableNumber, ""},
		{"1,234.567,8 mm", l, quantity.UnreadableNumber, ""},
		{"3 8/5 in", l, quantity.UnreadableNumber, ""},
		{"3 5/0 in", l, quantity.UnreadableNumber, ""},
		{"1/0 in", l, quantity.UnreadableNumber, ""},
		{"1/2/3 in", l, quantity.UnreadableNumber, ""},
		{`6' 15"`, l, quantity.UnreadableNumber, ""},
		{`6' 3`, l, quantity.UnreadableNumber, ""},
		{`6' 1,234"`, l, quantity.UnreadableNumber, ""},
		{"1 h 3 s", s, quantity.UnreadableNumber, ""},
		{"٣ m", l, quantity.UnreadableNumber, ""},
		{"-500 °C", th, quantity.BelowAbsoluteZero, ""},
		{"-2 bar g", p, quantity.BelowVacuum, ""},
		{"-1 kPa", p, quantity.BelowVacuum, ""},
		{"1 m", "weight", quantity.UnknownKind, "temperature-difference"},
	} {
		got, err := quantity.Parse(r.text, r.kind, quantity.Options{})
		f, _ := fault.Of(err)
		if f.Code != r.code || !strings.Contains(f.Error(), r.with) {
			t.Errorf("%q: got %v, %v, want %s with %q", r.text, got, err, r.code.Name(), r.with)
		}
		if got != (quantity.Entry{}) {
			t.Errorf("%q: a refused text gives %+v", r.text, got)
		}
	}
}

func TestOptionsSettleWhatIsOpen(t *testing.T) {
	gauge := quantity.Options{Pressure: quantity.Gauge}
	for name, r := range map[string]struct {
		text    string
		kind    quantity.Kind
		options quantity.Options
		want    float64
		entry   quantity.Entry
	}{
		"absolute by default": {"5 bar", p, quantity.Options{}, 500000, quantity.Entry{Unit: "bar", Reference: quantity.Absolute, ReferenceAssumed: true}},
		"absolute by option":  {"5 bar", p, quantity.Options{Pressure: quantity.Absolute}, 500000, quantity.Entry{Unit: "bar", Reference: quantity.Absolute, ReferenceAssumed: true}},
		"gauge by option":     {"5 bar", p, gauge, 601325, quantity.Entry{Unit: "bar", Reference: quantity.Gauge, ReferenceAssumed: true}},
		"the text wins":       {"5 bar abs", p, gauge, 500000, quantity.Entry{Unit: "bar", Reference: quantity.Absolute}},
		"the text says gauge": {"5 bar gauge", p, quantity.Options{}, 601325, quantity.Entry{Unit: "bar", Reference: quantity.Gauge}},
		"another atmosphere":  {"5 bar g", p, quantity.Options{Atmosphere: 90000}, 590000, quantity.Entry{Unit: "bar", Reference: quantity.Gauge}},
		"US gallon":           {"1 gal", v, quantity.Options{Gallon: quantity.GallonUS}, 0.003785411784, quantity.Entry{Unit: "US gal", GallonAssumed: true}},
		"imperial gallon":     {"60 gpm", q, quantity.Options{Gallon: quantity.GallonImperial}, 0.00454609, quantity.Entry{Unit: "imp gal/min", GallonAssumed: true}},
		"the text's gallon":   {"1 imp gal", v, quantity.Options{Gallon: quantity.GallonUS}, 0.00454609, quantity.Entry{Unit: "imp gal"}},
		"decimal comma":       {"1,234 m", l, quantity.Options{Mark: quantity.MarkComma}, 1.234, quantity.Entry{Unit: "m"}},
		"decimal point":       {"1,234 m", l, quantity.Options{Mark: quantity.MarkPoint}, 1234, quantity.Entry{Unit: "m"}},
		"point is a point":    {"1.234 m", l, quantity.Options{Mark: quantity.MarkPoint}, 1.234, quantity.Entry{Unit: "m"}},
	} {
		got, err := quantity.Parse(r.text, r.kind, r.options)
		r.entry.Kind, r.entry.SI, r.entry.Text = r.kind, r.want, r.text
		if err != nil || got != r.entry {
			t.Errorf("%s: %+v, %v, want %+v", name, got, err, r.entry)
		}
	}
	_, err := quantity.Parse("1.234 m", l, quantity.Options{Mark: quantity.MarkComma})
	if !fault.Has(err, quantity.AmbiguousNumber) {
		t.Errorf("a point between digits of a writer of commas: %v", err)
	}
}

func TestBadOptionsAreRefused(t *testing.T) {
	for name, r := range map[string]struct {
		options quantity.Options
		code    *fault.Code
	}{
		"reference":           {quantity.Options{Pressure: "relative"}, quantity.UnknownReference},
		"gallon":              {quantity.Options{Gallon: "wine"}, quantity.UnknownOption},
		"mark":                {quantity.Options{Mark: ";"}, quantity.UnknownOption},
		"NaN atmosphere":      {quantity.Options{Atmosphere: math.NaN()}, quantity.BadAtmosphere},
		"negative atmosphere": {quantity.Options{Atmosphere: -1}, quantity.BadAtmosphere},
	} {
		if _, err := quantity.Parse("1 m", l, r.options); !fault.Has(err, r.code) {
			t.Errorf("%s: Parse gave %v", name, err)
		}
		if _, err := quantity.Format(1, l, "m", 1, r.options); !fault.Has(err, r.code) {
			t.Errorf("%s: Format gave %v", name, err)
		}
	}
}
