package pipe

import (
	"encoding/csv"
	"math"
	"sort"
	"strconv"
	"strings"
	"sync"

	"rillmark/calc/quantity"
)

// table is one standard: its sizes with their walls, both rising.
type table struct {
	*standard
	entries []entry
}

type entry struct {
	size  Size
	nps   float64 // the nominal size in inches: NPS 1 1/2 is 1.5; a DN's by DN/25
	walls []wall
}

type wall struct {
	thickness    quantity.Length
	printed      string // as the standard prints it, with its unit
	designations []string
	basis        string
}

// build reads an embedded table; a row that cannot be read is a programmer's mistake.
func build(of *standard) *table {
	rows, err := csv.NewReader(strings.NewReader(*of.text)).ReadAll()
	if err != nil {
		panic("pipe: " + of.name + ": " + err.Error())
	}
	unit, column := "mm", map[string]int{}
	if of.inches {
		unit = "in"
	}
	for i, name := range rows[0] {
		column[name] = i
	}
	t := &table{standard: of}
	for _, r := range rows[1:] {
		of := func(name string) string { return r[column[name]] }
		if n := len(t.entries); n == 0 || t.entries[n-1].size.Name != of("size") {
			t.entries = append(t.entries, t.entry(of("size"), of("dn"), of("outside_diameter_"+unit)+" "+unit))
		}
		e := &t.entries[len(t.entries)-1]
		printed := of("wall_"+unit) + " " + unit
		e.walls = append(e.walls, wall{written(printed), printed, strings.Fields(of("designations")), of("basis")})
	}
	return t
}

func (t *table) entry(name, metric, outside string) entry {
	dn, err := strconv.Atoi(metric)
	if err != nil {
		panic("pipe: " + t.name + ": " + err.Error())
	}
	e := entry{size: Size{Name: name, DN: dn, OutsideDiameter: written(outside), naming: t.naming}, nps: float64(dn) / 25}
	if t.naming == byInch {
		e.nps, _ = npsOf(name)
	}
	return e
}

func written(text string) quantity.Length {
	e, err := quantity.Parse(text, quantity.KindLength, quantity.Options{})
	if err != nil {
		panic("pipe: " + err.Error())
	}
	x, _ := quantity.Length{}.From(e) // a length by its kind
	return x
}

// find returns the entry of the size a text names; what a label adds in brackets is passed over.
func (t *table) find(size string) (entry, error) {
	word, _, _ := strings.Cut(strings.ToUpper(strings.TrimSpace(size)), " (")
	wanted, ok := t.designation(strings.TrimSpace(word))
	for _, e := range t.entries {
		if ok && (wanted.dn > 0 && e.size.DN == wanted.dn || wanted.dn == 0 && math.Abs(wanted.nps-e.nps) < 1e-9) {
			return e, nil
		}
	}
	if wanted.dn > 0 {
		wanted.nps = float64(wanted.dn) / 25
	}
	return entry{}, t.unknownSize(size, wanted.nps, ok)
}

// designation is a size as painted: a DN (or the outside diameter of a plastic pipe), or
// a size in inches.
type designation struct {
	dn  int
	nps float64
}

func (t *table) designation(word string) (designation, bool) {
	if rest, metric := strings.CutPrefix(word, "DN"); metric {
		dn, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(rest, "MM")))
		return designation{dn: dn}, err == nil
	}
	if t.naming != byInch {
		if dn, err := strconv.Atoi(word); err == nil {
			return designation{dn: dn}, true
		}
		if entry, is := t.byOutside(word); is {
			return designation{dn: entry.size.DN}, true
		}
	}
	for _, prefix := range []string{"NPS", "NOMINAL"} {
		word = strings.TrimPrefix(word, prefix)
	}
	nps, ok := npsOf(strings.TrimSpace(word))
	if ok && t.naming == byMetre {
		// The steel table says which DN a size in inches is: NPS 8 is DN 200.
		steel, err := tables0().find(word)
		return designation{dn: steel.size.DN}, err == nil
	}
	return designation{nps: nps}, ok && t.naming == byInch
}

// tables0 is the steel pipe of ASME B36.10M, whose sizes have both names.
var tables0 = sync.OnceValue(func() *table { return build(&standards[0]) })

// byOutside finds a metric size by its outside diameter: 219.1 mm.
func (t *table) byOutside(word string) (entry, bool) {
	e, err := quantity.Parse(strings.TrimPrefix(word, "Ø"), quantity.KindLength, quantity.Options{})
	for _, one := range t.entries {
		if err == nil && e.Unit == "mm" && math.Abs(one.size.OutsideDiameter.SI()-e.SI) < 1e-9 {
			return one, true
		}
	}
	return entry{}, false
}

// npsOf reads a nominal size in inches, with or without the inch mark.
func npsOf(text string) (float64, bool) {
	for _, attempt := range []string{text, text + " in"} {
		e, err := quantity.Parse(attempt, quantity.KindLength, quantity.Options{})
		if err == nil {
			return e.SI / 0.0254, e.Unit == "in"
		}
	}
	return 0, false
}

// unknownSize names the nearest sizes where the text is a number, every size otherwise.
func (t *table) unknownSize(size string, nps float64, known bool) error {
	const near = 3
	sizes := append([]entry(nil), t.entries...)
	if known {
		sort.SliceStable(sizes, func(i, j int) bool {
			return math.Abs(sizes[i].nps-nps) < math.Abs(sizes[j].nps-nps)
		})
		sizes = sizes[:near]
		sort.Slice(sizes, func(i, j int) bool { return sizes[i].nps < sizes[j].nps })
	}
	labels := make([]string, len(sizes))
	for i, e := range sizes {
		labels[i] = e.size.Name
		if known {
			labels[i] = e.size.Label()
		}
	}
	return UnknownSize.At("size", clip(size), t.name, list(labels))
}

func (e entry) schedules() []string {
	var names []string
	for _, w := range e.walls {
		names = append(names, w.designations...)
	}
	return names
}

func (e entry) wallNames() []string {
	names := make([]string, len(e.walls))
	for i, w := range e.walls {
		names[i] = w.printed
	}
	return names
}

// wallWithin is how far a thickness may be from the table's inch value and still name it:
// the millimetre column is rounded to 0.01 mm, once even past it (10.15 mm for 0.4 in).
const wallWithin = 0.0000111

// wall finds a wall by its schedule, class, type or SDR, or by its thickness with a unit.
func (t *table) wall(e entry, schedule string) (w wall, name string, ok bool) {
	word := t.scheduleWord(schedule)
	for _, w := range e.walls {
		for _, d := range w.designations {
			if d == word || t.classesOfOne && d == "C"+word {
				return w, d, true
			}
		}
	}
	if t.bareIsWall && strings.IndexAny(word, "0123456789") == 0 && !strings.HasSuffix(word, "MM") {
		schedule = word + " mm"
	}
	asked, err := quantity.Parse(schedule, quantity.KindLength, quantity.Options{})
	if err != nil {
		return wall{}, "", false
	}
	for _, w := range e.walls {
		if math.Abs(w.thickness.SI()-asked.SI) <= wallWithin {
			return w, "", true
		}
	}
	return wall{}, "", false
}

// scheduleWord brings a schedule to the standard's word for it. Extra heavy is the older
// name of extra strong (common practice, no source).
func (t *table) scheduleWord(text string) string {
	word := strings.Trim(strings.ToUpper(text), " .")
	squeezed := strings.NewReplacer(" ", "", "-", "").Replace(word)
	switch squeezed {
	case "STANDARD":
		return "STD"
	case "XH", "EXTRASTRONG", "EXTRAHEAVY":
		return "XS"
	case "XXH", "DOUBLEEXTRASTRONG", "DOUBLEEXTRAHEAVY":
		return "XXS"
	}
	for _, prefix := range t.prefix {
		if strings.HasPrefix(squeezed, prefix) {
			// The words of the prefix may have spaces; those of the rest count.
			rest := word
			for _, letter := range prefix {
				rest = strings.TrimPrefix(strings.TrimLeft(rest, " -."), string(letter))
			}
			return t.decimal(strings.Trim(rest, " .-="))
		}
	}
	return t.decimal(word)
}

// decimal brings SDR 13,6 to 13.6, and DR 11 and 11.0 to 11.
func (t *table) decimal(word string) string {
	if t.naming == byOuter {
		word = strings.TrimSuffix(strings.Replace(strings.TrimPrefix(word, "DR"), ",", ".", 1), ".0")
	}
	if t.classesOfOne {
		word = strings.ReplaceAll(word, " ", "")
	}
	return strings.TrimSpace(word)
}
