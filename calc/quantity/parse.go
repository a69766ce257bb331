package quantity

import (
	"math/big"
	"regexp"
	"strings"
)

// MaxText is the greatest length in bytes of a text that Parse reads.
const MaxText = 120

// Reference says from where a pressure counts. The zero value stands for absolute.
type Reference string

// The references of a pressure.
const (
	Absolute Reference = "absolute"
	Gauge    Reference = "gauge"
)

// Gallon says which gallon a bare "gal" means. The zero value asks.
type Gallon string

// The gallons.
const (
	GallonAsk      Gallon = ""         // a bare gallon is refused with both readings
	GallonUS       Gallon = "US"       // 231 in³
	GallonImperial Gallon = "imperial" // 4.54609 L
)

// Mark says which decimal mark the writer uses, where that is known. The zero value asks
// where it matters.
type Mark string

// The decimal marks.
const (
	MarkAsk   Mark = ""  // "1,234" is refused with both readings; "1.234" has a decimal point
	MarkPoint Mark = "." // "1,234" has a thousands mark
	MarkComma Mark = "," // "1,234" has a decimal comma; "1.234" is refused with both readings
)

// StandardAtmosphere is what a gauge pressure counts from unless Options say otherwise,
// in pascals (10th CGPM, 1954, resolution 4).
const StandardAtmosphere = 101325

// Options settle what a text may leave open. The zero value asks where it must and takes
// pressures as absolute.
type Options struct {
	// Pressure is taken where the text says neither gauge nor absolute.
	Pressure Reference
	// Atmosphere is added to a gauge pressure, in pascals; 0 stands for StandardAtmosphere.
	Atmosphere float64
	// Gallon is taken where the text says gallon alone.
	Gallon Gallon
	// Mark is the decimal mark of the writer.
	Mark Mark
}

// Entry is a text that was read: its value beside what was entered, and what was taken
// for granted.
type Entry struct {
	Kind Kind
	SI   float64 // in Kind.SIUnit(); a pressure is absolute
	Text string  // as entered, without spaces at the ends
	Unit string  // the unit as it was understood: "US gal/min" for "usgpm"
	// Reference is what a pressure was taken as; empty for other kinds.
	Reference Reference
	// ReferenceAssumed reports that the text did not say it.
	ReferenceAssumed bool
	// GallonAssumed reports that the text said gallon alone; Unit names the one taken.
	GallonAssumed bool
}

// plainer brings signs, quotes and fractions into their plain forms.
var plainer = strings.NewReplacer(
	"\u2212", "-", "\u2010", "-", "\u2011", "-", "\u2013", "-", "\u2044", "/",
	"″", `"`, "”", `"`, "“", `"`, "′", "'", "’", "'",
	"½", " 1/2", "⅓", " 1/3", "⅔", " 2/3", "¼", " 1/4", "¾", " 3/4", "⅕", " 1/5", "⅖", " 2/5",
	"⅗", " 3/5", "⅘", " 4/5", "⅙", " 1/6", "⅚", " 5/6", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// plain also makes every run of white space, of whatever width, one space.
func plain(text string) string { return strings.Join(strings.Fields(plainer.Replace(text)), " ") }

// Parse reads a quantity of the given kind as people write it: `3 5/8"`, `6' 3 1/2"`,
// `168,3 mm`, `1 234.5 L/min`, `68F`, `−5 °C`, `1200 US gal/min`, `5 bar(g)`, `25 bbl/h`.
//
// The number may have a decimal point or comma, thousands parted by spaces, or by commas
// or points where only one reading is possible, a fraction, or an exponent of at most
// two digits. A gauge pressure has the atmosphere added. The value is exact until it is
// rounded once to a float64.
//
// Errors: UnknownKind, UnknownReference, UnknownOption, BadAtmosphere, Empty, TooLong,
// UnreadableNumber, AmbiguousNumber, NoUnit, UnknownUnit, AmbiguousGallon,
// BelowAbsoluteZero, BelowVacuum.
//
// Source: factors of NIST SP 811 (2008), appendix B; °F by its B.8; see units.
func Parse(text string, k Kind, o Options) (Entry, error) {
	if err := o.check(k); err != nil {
		return Entry{}, err
	}
	if len(text) > MaxText {
		return Entry{}, TooLong.At("", len(text), MaxText)
	}
	entry := Entry{Kind: k, Text: strings.TrimSpace(text)}
	rest := plain(text)
	if rest == "" {
		return Entry{}, Empty.At("", k.words(), k.Units())
	}
	negative := false
	if rest[0] == '-' || rest[0] == '+' {
		negative, rest = rest[0] == '-', strings.TrimPrefix(rest[1:], " ")
	}
	value, err := entry.read(rest, o)
	if err != nil {
		return Entry{}, err
	}
	if err := entry.settle(value, negative, o); err != nil {
		return Entry{}, err
	}
	return entry, nil
}

func (o Options) check(k Kind) error {
	if _, err := KindOf(string(k)); err != nil {
		return err
	}
	switch {
	case o.Pressure != "" && o.Pressure != Absolute && o.Pressure != Gauge:
		return UnknownReference.At("pressure", clip(string(o.Pressure)))
	case o.Gallon != GallonAsk && o.Gallon != GallonUS && o.Gallon != GallonImperial:
		return UnknownOption.At("gallon", "gallon", clip(string(o.Gallon)), "US, imperial")
	case o.Mark != MarkAsk && o.Mark != MarkPoint && o.Mark != MarkComma:
		return UnknownOption.At("mark", "decimal mark", clip(string(o.Mark)), "point, comma")
	case o.Atmosphere != 0 && valid(KindPressure, o.Atmosphere) != nil:
		return BadAtmosphere.At("atmosphere", o.Atmosphere)
	}
	return nil
}

// amount is an exact number with the unit it counts.
type amount struct {
	number *big.Rat
	unit   unit
}

// read finds the unit and returns the amount; the unit's name and what was assumed go
// into the entry.
func (e *Entry) read(text string, o Options) (amount, error) {
	if sum, name, is := compound(text, e.Kind, o.Mark); is {
		if name == "" {
			return amount{}, UnreadableNumber.At("", clip(e.Text))
		}
		e.Unit = name
		return sum, nil
	}
	r, rest, ok := scan(text, o.Mark)
	if !ok {
		return amount{}, UnreadableNumber.At("", clip(e.Text))
	}
	if vastPower.MatchString(rest) {
		return amount{}, BeyondReach.At("", clip(e.Text))
	}
	rest = strings.TrimSpace(rest)
	if e.Kind == KindPressure {
		rest, e.Reference, e.ReferenceAssumed = reference(rest, o)
	}
	u, assumed, err := find(e.Kind, rest, o.Gallon)
	if err != nil {
		return amount{}, err
	}
	if r.second != nil {
		first, second := r.texts()
		return amount{}, AmbiguousNumber.At("", clip(e.Text), first+" "+u.name, second+" "+u.name)
	}
	e.Unit, e.GallonAssumed = u.name, assumed
	return amount{r.value, u}, nil
}

// settle turns the amount into SI and rounds it.
func (e *Entry) settle(a amount, negative bool, o Options) error {
	if negative {
		a.number.Neg(a.number)
	}
	if a.unit.inverse {
		if a.number.Sign() == 0 {
			return NotFinite.At("", e.Kind.words())
		}
		a.number.Inv(a.number)
	}
	si := new(big.Rat).Mul(a.number, a.unit.factor)
	if a.unit.offset != nil {
		si.Add(si, a.unit.offset)
	}
	if e.Reference == Gauge {
		si.Add(si, o.atmosphere())
	}
	e.SI, _ = si.Float64()
	return valid(e.Kind, e.SI)
}

func (o Options) atmosphere() *big.Rat {
	if o.Atmosphere == 0 {
		return big.NewRat(StandardAtmosphere, 1)
	}
	return new(big.Rat).SetFloat64(o.Atmosphere)
}

// references are the ways to say gauge or absolute behind a unit of pressure, the longer
// ones first.
var references = []struct {
	word string
	is   Reference
}{
	{"absolute", Absolute}, {"gauge", Gauge}, {"gage", Gauge}, {"abs", Absolute}, {"g", Gauge}, {"a", Absolute},
}

// reference takes gauge or absolute off the text of a unit of pressure. A unit whose own
// name ends in one of the letters, as kPa and mmHg do, keeps it.
func reference(text string, o Options) (unit string, r Reference, assumed bool) {
	word := spell.Replace(text)
	if _, whole := match(units[KindPressure], word); !whole {
		for _, ref := range references {
			cut := len(word) - len(ref.word)
			if cut > 0 && strings.EqualFold(word[cut:], ref.word) {
				if _, ok := match(units[KindPressure], word[:cut]); ok {
					return word[:cut], ref.is, false
				}
			}
		}
	}
	if o.Pressure == Gauge {
		return text, Gauge, true
	}
	return text, Absolute, true
}

// compounds are the pairs of units that are written one after the other, with how many
// of the second make one of the first.
var compounds = map[Kind][]struct {
	first, second string
	holds         int64
}{
	KindLength: {{"ft", "in", 12}},
	KindTime:   {{"h", "min", 60}, {"min", "s", 60}},
}

var compoundShape = regexp.MustCompile(`^(\d+) ?([a-zA-Z.']+)[ ,-]*(\d.*)$`)

// compound reads a text such as `6' 3 1/2"` or `1 h 30 min`; is reports that the text is
// of that sort. An empty name says that it cannot be read: `6' 15"`.
func compound(text string, k Kind, m Mark) (sum amount, name string, is bool) {
	parts := compoundShape.FindStringSubmatch(text)
	if parts == nil {
		return amount{}, "", false
	}
	u, _ := match(units[k], spell.Replace(parts[2]))
	for _, c := range compounds[k] {
		if u.name != c.first {
			continue
		}
		r, rest, ok := scan(parts[3], m)
		second, known := match(units[k], spell.Replace(rest))
		if !ok || r.second != nil || !known || second.name != c.second || r.value.Cmp(big.NewRat(c.holds, 1)) >= 0 {
			return amount{}, "", true
		}
		whole, _ := exactly(parts[1])
		number := whole.value.Mul(whole.value, big.NewRat(c.holds, 1))
		return amount{number.Add(number, r.value), second}, c.first + " " + c.second, true
	}
	return amount{}, "", false
}
