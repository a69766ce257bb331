package sheet

import (
	"math"
	"slices"

	"rillmark/calc/fluid"
	"rillmark/calc/quantity"
)

// Name says which value of the survey a row holds. The zero value is none.
type Name string

// The names of survey values.
const (
	PipeStandard     Name = "pipe-standard" // the product standard the pipe is made to
	PipeSize         Name = "pipe-size"     // nominal
	PipeSchedule     Name = "pipe-schedule" // schedule or class
	PipeMaterial     Name = "pipe-material" // a material of the method's table
	OutsideDiameter  Name = "outside-diameter"
	Circumference    Name = "circumference"     // as the tape reads it, over any coating
	CoatingThickness Name = "coating-thickness" // of paint or wrapping under tape or transducer
	TapeThickness    Name = "tape-thickness"
	Wall             Name = "wall" // one row for each position around the pipe
	MinimumWall      Name = "minimum-wall"
	PipeSoundSpeed   Name = "pipe-sound-speed" // of the wave that the transducers send
	LinerMaterial    Name = "liner-material"
	LinerThickness   Name = "liner-thickness"
	LinerSoundSpeed  Name = "liner-sound-speed"
	PipeCondition    Name = "pipe-condition"

	Fluid              Name = "fluid"
	Salinity           Name = "salinity"      // absolute, of sea water
	MassFraction       Name = "mass-fraction" // of the glycol in a mixture with water
	APIGravity         Name = "api-gravity"   // of an oil, at 60 °F
	ProductGroup       Name = "product-group" // of a refined product
	Temperature        Name = "temperature"   // of the fluid
	Pressure           Name = "pressure"      // of the fluid, absolute
	FluidSoundSpeed    Name = "fluid-sound-speed"
	Density            Name = "density"             // of the fluid, where it is known better than by its table
	KinematicViscosity Name = "kinematic-viscosity" // likewise
	AmbientTemperature Name = "ambient-temperature"
	PipeFull           Name = "pipe-full"

	ReferencePosition     Name = "reference-position"
	Distance              Name = "distance"           // from the meter under test
	Side                  Name = "side"               // of the meter under test
	StraightBefore        Name = "straight-before"    // of the reference, upstream
	StraightAfter         Name = "straight-after"     // of the reference, downstream
	DisturbanceBefore     Name = "disturbance-before" // a disturbance of the method's table
	DisturbanceAfter      Name = "disturbance-after"  // likewise
	MeterStraightBefore   Name = "meter-straight-before"
	MeterStraightAfter    Name = "meter-straight-after"
	MeterDisturbance      Name = "meter-disturbance-before"
	MeterDisturbanceAfter Name = "meter-disturbance-after"
	Between               Name = "between" // what joins, leaves, stores or bypasses between the two
	BetweenNote           Name = "between-note"
)

// ValueKind says what a survey value is: a quantity, a text or one of a list.
type ValueKind string

// The kinds; the quantities have the names of package quantity.
const (
	KindText               ValueKind = "text"
	KindChoice             ValueKind = "choice"
	KindLength                       = ValueKind(quantity.KindLength)
	KindTemperature                  = ValueKind(quantity.KindTemperature)
	KindPressure                     = ValueKind(quantity.KindPressure)
	KindVelocity                     = ValueKind(quantity.KindVelocity)
	KindRatio                        = ValueKind(quantity.KindRatio)
	KindAPIGravity                   = ValueKind(quantity.KindAPIGravity)
	KindDensity                      = ValueKind(quantity.KindDensity)
	KindKinematicViscosity           = ValueKind(quantity.KindKinematicViscosity)
)

// Quantity returns the kind of quantity to parse, and whether it is one.
func (k ValueKind) Quantity() (quantity.Kind, bool) {
	if k == KindText || k == KindChoice || k == "" {
		return "", false
	}
	return quantity.Kind(k), true
}

// The choices of Between, PipeFull and Side.
const (
	BetweenNothing = "nothing"         // nothing joins, leaves, stores or bypasses
	BetweenClosed  = "closed"          // what is there was shut, and shown to be tight
	BetweenStores  = "stores"          // a vessel or a long elastic line stores between them
	BetweenOpen    = "joins-or-leaves" // flow joins or leaves: the two do not see the same
	BetweenUnknown = "unknown"         // nobody could tell
	FullYes        = "yes"
	FullNo         = "no"
	FullUnknown    = "unknown"
	Upstream       = "upstream"
	Downstream     = "downstream"
)

// Meaning is what a name stands for.
type Meaning struct {
	Name     Name
	Kind     ValueKind
	Choices  []string // of KindChoice
	Several  bool     // taken at several positions, and averaged
	Least    float64  // the least value that is possible, SI
	Positive bool     // above zero, not zero
}

var meanings = []Meaning{
	{Name: PipeStandard, Kind: KindText}, {Name: PipeSize, Kind: KindText}, {Name: PipeSchedule, Kind: KindText},
	{Name: PipeMaterial, Kind: KindText},
	{Name: OutsideDiameter, Kind: KindLength, Positive: true, Several: true},
	{Name: Circumference, Kind: KindLength, Positive: true, Several: true},
	{Name: CoatingThickness, Kind: KindLength}, {Name: TapeThickness, Kind: KindLength},
	{Name: Wall, Kind: KindLength, Positive: true, Several: true},
	{Name: MinimumWall, Kind: KindLength, Positive: true},
	{Name: PipeSoundSpeed, Kind: KindVelocity, Positive: true},
	{Name: LinerMaterial, Kind: KindText}, {Name: LinerThickness, Kind: KindLength},
	{Name: LinerSoundSpeed, Kind: KindVelocity, Positive: true}, {Name: PipeCondition, Kind: KindText},
	{Name: Fluid, Kind: KindText},
	{Name: Salinity, Kind: KindRatio}, {Name: MassFraction, Kind: KindRatio},
	{Name: APIGravity, Kind: KindAPIGravity, Least: -30},
	{Name: ProductGroup, Kind: KindChoice, Choices: productGroups()},
	{Name: Temperature, Kind: KindTemperature, Positive: true}, {Name: Pressure, Kind: KindPressure},
	{Name: FluidSoundSpeed, Kind: KindVelocity, Positive: true},
	{Name: Density, Kind: KindDensity, Positive: true}, {Name: KinematicViscosity, Kind: KindKinematicViscosity, Positive: true},
	{Name: AmbientTemperature, Kind: KindTemperature, Positive: true},
	{Name: PipeFull, Kind: KindChoice, Choices: []string{FullYes, FullNo, FullUnknown}},
	{Name: ReferencePosition, Kind: KindText}, {Name: Distance, Kind: KindLength},
	{Name: Side, Kind: KindChoice, Choices: []string{Upstream, Downstream}},
	{Name: StraightBefore, Kind: KindLength}, {Name: StraightAfter, Kind: KindLength},
	{Name: DisturbanceBefore, Kind: KindText}, {Name: DisturbanceAfter, Kind: KindText},
	{Name: MeterStraightBefore, Kind: KindLength}, {Name: MeterStraightAfter, Kind: KindLength},
	{Name: MeterDisturbance, Kind: KindText}, {Name: MeterDisturbanceAfter, Kind: KindText},
	{Name: Between, Kind: KindChoice, Choices: []string{BetweenNothing, BetweenClosed, BetweenStores, BetweenOpen, BetweenUnknown}},
	{Name: BetweenNote, Kind: KindText},
}

// productGroups are those of refined products.
func productGroups() []string {
	groups := []string{}
	for _, g := range fluid.Refined() {
		groups = append(groups, string(g))
	}
	return groups
}

// Meanings returns what every name stands for, in the order of the survey.
func Meanings() []Meaning { return slices.Clone(meanings) }

// About returns what a name stands for, and whether it is known.
func About(n Name) (Meaning, bool) {
	for _, m := range meanings {
		if m.Name == n {
			return m, true
		}
	}
	return Meaning{}, false
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
