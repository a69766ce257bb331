package fluid

// Liquid is a fluid with what fixes it. The zero value is unknown.
type Liquid struct {
	Name         string  // one of LiquidNames; free with a table
	Salinity     float64 // absolute, g/kg, of sea water
	MassFraction float64 // of the glycol in a mixture with water
	APIGravity   float64 // at 60 °F, of oils
	Group        Group   // of a refined product; empty: by its density
	Table        *Table  // where it is there, it is the fluid
}

// Need is what fixes a fluid besides its name.
type Need string

// What a fluid may need.
const (
	NeedSalinity     Need = "salinity"
	NeedMassFraction Need = "mass-fraction"
	NeedAPIGravity   Need = "api-gravity"
	NeedGroup        Need = "product-group" // may be left out: then by the density
)

// needs are the fluids known without a table that need something.
var needs = map[string][]Need{
	"seawater":               {NeedSalinity},
	"ethylene-glycol-water":  {NeedMassFraction},
	"propylene-glycol-water": {NeedMassFraction},
	"crude-oil":              {NeedAPIGravity},
	"lubricating-oil":        {NeedAPIGravity},
	"refined-product":        {NeedAPIGravity, NeedGroup},
}

// NeedsOf returns what the fluid of a name needs besides it.
func NeedsOf(name string) []Need { return needs[name] }

// LiquidNames returns the names that Liquid knows without a table: water and mixtures with
// it, oils, then the common liquids.
func LiquidNames() []string {
	return append([]string{"water", "seawater", "ethylene-glycol-water", "propylene-glycol-water",
		"crude-oil", "refined-product", "lubricating-oil"}, CommonNames()...)
}

// At returns the liquid's properties at the state. A property that is not known has an
// empty source.
//
// Errors: Unknown, and those of the liquid's own function.
func (l Liquid) At(s State) (Properties, error) {
	if l.Table != nil {
		return l.Table.At(s.Temperature.SI())
	}
	switch l.Name {
	case "water":
		return Water(s.Temperature, s.Pressure)
	case "seawater":
		return Seawater(l.Salinity, s)
	}
	if _, mixture := glycols[l.Name]; mixture {
		return Glycol(l.Name, l.MassFraction, s)
	}
	if _, one := commons[l.Name]; one {
		return Common(l.Name, s)
	}
	if _, oil := l.group(); oil {
		p, _, err := l.Base(s)
		return p, err
	}
	return Properties{}, Unknown.At("fluid", l.Name, joined(LiquidNames()))
}

// group returns the product group of an oil, and whether the liquid is one.
func (l Liquid) group() (Group, bool) {
	switch l.Name {
	case "crude-oil":
		return Crude, true
	case "lubricating-oil":
		return Lubricating, true
	case "refined-product":
		return l.Group, true
	}
	return "", false
}

// Base returns an oil's properties at the state and its factors to base conditions; of
// another liquid there are none, and the error is Unknown.
//
// Errors: Unknown, and those of Oil.
func (l Liquid) Base(s State) (Properties, Base, error) {
	group, oil := l.group()
	if !oil || l.Table != nil {
		return Properties{}, Base{}, Unknown.At("fluid", l.Name, "crude-oil, lubricating-oil, refined-product")
	}
	return Oil(group, l.APIGravity, s)
}
