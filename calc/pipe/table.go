package pipe

import (
	_ "embed"
	"encoding/csv"
	"math"
	"sort"
	"strconv"
	"strings"
	"sync"

	"rillmark/calc/quantity"
)

//go:embed b3610.csv
var b3610 string

const b3610Name = "ASME B36.10M"

// table is one standard: its sizes with their walls, both rising.
type table struct {
	name    string
	entries []entry
}

type entry struct {
	size  Size
	nps   float64 // the size's number: NPS 1 1/2 is 1.5
	walls []wall
}

type wall struct {
	thickness    quantity.Length
	inch         string // as printed, in inches
	designations []string
	basis        string
}

var b3610Table = sync.OnceValue(func() *table { return build(b3610Name, b3610) })

// tableOf finds the standard by its number, whatever year or body stands around it.
func tableOf(standard string) (*table, error) {
	word := strings.NewReplacer(" ", "", "-", "", "_", "", "/", "", "ASME", "", "ANSI", "").Replace(strings.ToUpper(standard))
	year := strings.TrimPrefix(strings.TrimPrefix(word, "B36.10"), "M")
	if _, err := strconv.Atoi(year); strings.HasPrefix(word, "B36.10") && (year == "" || err == nil && len(year) == 4) {
		return b3610Table(), nil
	}
	return nil, UnknownStandard.At("standard", clip(standard), list(Standards()))
}

// build reads an embedded table; a row that cannot be read is a programmer's mistake.
func build(name, text string) *table {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic("pipe: " + name + ": " + err.Error())
	}
	t := &table{name: name}
	for _, r := range rows[1:] {
		if n := len(t.entries); n == 0 || t.entries[n-1].size.Name != r[0] {
			dn, err := strconv.Atoi(r[1])
			if err != nil {
				panic("pipe: " + name + ": " + err.Error())
			}
			nps, _ := npsOf(r[0])
			t.entries = append(t.entries, entry{size: Size{r[0], dn, inches(r[2])}, nps: nps})
		}
		e := &t.entries[len(t.entries)-1]
		e.walls = append(e.walls, wall{inches(r[4]), r[4], strings.Fields(r[6]), r[7]})
	}
	return t
}

func inches(text string) quantity.Length {
	e, err := quantity.Parse(text+" in", quantity.KindLength, quantity.Options{})
	if err != nil {
		panic("pipe: " + err.Error())
	}
	x, _ := quantity.Length{}.From(e) // a length by its kind
	return x
}

// find returns the entry of the size a text names.
func (t *table) find(size string) (entry, error) {
	word := strings.ToUpper(strings.TrimSpace(size))
	if rest, metric := strings.CutPrefix(word, "DN"); metric {
		dn, err := strconv.Atoi(strings.TrimSpace(rest))
		for _, e := range t.entries {
			if err == nil && e.size.DN == dn {
				return e, nil
			}
		}
		return entry{}, t.unknownSize(size, float64(dn)/25, err == nil)
	}
	nps, ok := npsOf(strings.TrimSpace(strings.TrimPrefix(word, "NPS")))
	for _, e := range t.entries {
		if ok && math.Abs(nps-e.nps) < 1e-9 {
			return e, nil
		}
	}
	return entry{}, t.unknownSize(size, nps, ok)
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
		names[i] = w.inch + " in"
	}
	return names
}

// wallWithin is how far a thickness may be from the table's inch value and still name it:
// the millimetre column is rounded to 0.01 mm, once even past it (10.15 mm for 0.4 in).
const wallWithin = 0.0000111

// wall finds a wall by its schedule or by its thickness with a unit.
func (e entry) wall(schedule string) (w wall, name string, ok bool) {
	word := scheduleWord(schedule)
	for _, w := range e.walls {
		for _, d := range w.designations {
			if d == word {
				return w, d, true
			}
		}
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
func scheduleWord(text string) string {
	word := strings.ToUpper(text)
	for _, prefix := range []string{"SCHEDULE", "SCH"} {
		word = strings.TrimPrefix(strings.Trim(word, " ."), prefix)
	}
	word = strings.Trim(word, " .")
	switch strings.NewReplacer(" ", "", "-", "").Replace(word) {
	case "STANDARD":
		return "STD"
	case "XH", "EXTRASTRONG", "EXTRAHEAVY":
		return "XS"
	case "XXH", "DOUBLEEXTRASTRONG", "DOUBLEEXTRAHEAVY":
		return "XXS"
	}
	return word
}
