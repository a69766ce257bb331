package pipe

import (
	_ "embed"
	"regexp"
	"strings"
	"sync"
)

// The tables, dimensions as facts; each row says how sure it is.
var (
	//go:embed b3610.csv
	b3610 string
	//go:embed b3619.csv
	b3619 string
	//go:embed en10220.csv
	en10220 string
	//go:embed b88.csv
	b88 string
	//go:embed d1785.csv
	d1785 string
	//go:embed iso4427.csv
	iso4427 string
	//go:embed en545.csv
	en545 string
	//go:embed c151.csv
	c151 string
)

// b3610Name is the standard that is taken where none is named.
const b3610Name = "ASME B36.10M"

// naming is how a standard calls its sizes.
type naming int

const (
	byInch  naming = iota // a bare number is a nominal size in inches: NPS 8
	byMetre               // a bare number is a DN: DN 200
	byOuter               // a bare number is the outside diameter in mm: dn 110
)

// standard is a product standard with what holds for all its pipes.
type standard struct {
	name   string
	known  *regexp.Regexp // the names people give it, upper case, without spaces and bodies
	text   *string
	naming naming
	inches bool // dimensions of the table
	prefix []string
	// the wall may be so much thinner and thicker, at any point, in percent of the wall
	// plus millimetres, plus millimetres per metre of DN
	under, over  [3]float64
	isMinimum    bool // the table's wall is the least, not the nominal one
	tolerance    string
	bareIsWall   bool // a bare number as schedule is a wall in mm
	classesOfOne bool // C40 may be written 40
}

// standards are all that Lookup knows. The tolerances are from memory.
var standards = []standard{
	{name: b3610Name, known: regexp.MustCompile(`^B36\.?10M?(\d{4})?$`), text: &b3610, inches: true,
		under: [3]float64{12.5}, over: [3]float64{12.5}, prefix: []string{"SCHEDULE", "SCH"},
		tolerance: "wall at any point not more than 12.5 % under nominal, ASTM A53/A53M and A106/A106M (from memory)"},
	{name: "ASME B36.19M", known: regexp.MustCompile(`^B36\.?19M?(\d{4})?$`), text: &b3619, inches: true,
		under: [3]float64{12.5}, over: [3]float64{12.5}, prefix: []string{"SCHEDULE", "SCH"},
		tolerance: "wall at any point not more than 12.5 % under nominal, ASTM A312/A312M (from memory)"},
	{name: "EN 10220", known: regexp.MustCompile(`^(EN10220|4200)(\d{4})?(SERIES1)?$`), text: &en10220, naming: byMetre, bareIsWall: true,
		under: [3]float64{12.5}, over: [3]float64{12.5}, prefix: []string{"WALL", "T", "E"},
		tolerance: "wall ± 12.5 %, EN 10216 seamless pipe (from memory; welded pipe to EN 10217 is held to 10 % and less)"},
	{name: "ASTM B88", known: regexp.MustCompile(`^B88M?(\d{2,4})?$`), text: &b88, inches: true,
		under: [3]float64{10}, over: [3]float64{10}, prefix: []string{"TYPE"},
		tolerance: "wall ± 10 %, the widest of ASTM B88, table 1 (from memory)"},
	{name: "ASTM D1785", known: regexp.MustCompile(`^D1785(\d{2,4})?$`), text: &d1785, inches: true, isMinimum: true,
		over: [3]float64{12, 0.1}, prefix: []string{"SCHEDULE", "SCH"},
		tolerance: "the table's wall is the least; up to about 12 % more, ASTM D1785, table 2 (from memory)"},
	{name: "ISO 4427", known: regexp.MustCompile(`^(4427|EN12201)(2)?(\d{4})?$`), text: &iso4427, naming: byOuter, isMinimum: true,
		over: [3]float64{10, 0.2}, prefix: []string{"SDR"},
		tolerance: "the table's wall is the least; up to 10 % and 0.2 mm more, ISO 11922-1, grade V (from memory)"},
	{name: "EN 545", known: regexp.MustCompile(`^(EN545|2531)(\d{4})?$`), text: &en545, naming: byMetre, classesOfOne: true,
		under: [3]float64{0, 1.3, 1}, over: [3]float64{0, 1.3, 1}, prefix: []string{"CLASS"},
		tolerance: "wall not more than 1.3 mm + 0.001 DN under nominal, EN 545 (from memory); over it is not limited and taken alike"},
	{name: "AWWA C151", known: regexp.MustCompile(`^C151(A21\.?51)?(\d{2,4})?$|^A21\.?51(\d{2,4})?$`), text: &c151, inches: true,
		under: [3]float64{0, 1.1, 0.8}, over: [3]float64{0, 1.1, 0.8},
		prefix:    []string{"PRESSURECLASS", "THICKNESSCLASS", "SPECIALTHICKNESSCLASS", "PC", "TC", "CLASS", "CL"},
		tolerance: "casting tolerance of the wall 0.05 in (NPS 3) to 0.09 in (NPS 54 and up), ANSI/AWWA C151/A21.51 (from memory, as 1.1 mm + 0.0008 DN); over it is not limited and taken alike"},
}

var tables = sync.OnceValue(func() []*table {
	all := make([]*table, len(standards))
	for i := range standards {
		all[i] = build(&standards[i])
	}
	return all
})

// Standards returns the names of the standards Lookup knows; the first is the one taken
// where none is named.
func Standards() []string {
	names := make([]string, len(standards))
	for i, s := range standards {
		names[i] = s.name
	}
	return names
}

// bodies are what stands around the number of a standard.
var bodies = strings.NewReplacer(" ", "", "-", "", "_", "", "/", "", ":", "", "(", "", ")", "",
	"ASME", "", "ANSI", "", "ASTM", "", "AWWA", "", "ISO", "", "DIN", "", "BS", "")

// tableOf finds the standard by its number, whatever year or body stands around it.
func tableOf(name string) (*table, error) {
	word := bodies.Replace(strings.ToUpper(name))
	for _, t := range tables() {
		if t.known.MatchString(word) {
			return t, nil
		}
	}
	return nil, UnknownStandard.At("standard", clip(name), list(Standards()))
}

// percent is the tolerance of a wall in percent of it, each part in its unit.
func percent(parts [3]float64, wallMetres float64, dn int) float64 {
	return plain(parts[0] + 100*(parts[1]+parts[2]*float64(dn)/1000)/(wallMetres*1000))
}
