package pipe

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

// Outside is what an entered outside diameter says about a pipe.
type Outside struct {
	// Actual are the sizes whose actual outside diameter this is, within tolerance.
	Actual []Size
	// Nominal are the sizes whose nominal size this is, in inches (NPS) or millimetres (DN),
	// while their actual outside diameter differs.
	Nominal []Size
	// Warnings say what a person should look at; none when the diameter is an actual one.
	Warnings fault.List
}

// IsNominal reports that the diameter can only be a nominal size taken for an actual one.
func (o Outside) IsNominal() bool { return len(o.Nominal) > 0 && len(o.Actual) == 0 }

// CheckOutside tells whether an outside diameter entered for a pipe of the standard is
// the actual one or a nominal size whose actual size differs: 8 in (203.2 mm) and DN 200
// (200 mm) are 8.625 in = 219.075 mm; from NPS 14 up the inch size is the actual one, but
// DN 350 is 355.6 mm, not 350 mm. size narrows the question to one nominal size, as
// SizeOf takes it; empty asks for all. Where the diameter is the actual one of one size
// and the nominal one of another (4.000 in: NPS 3 1/2 or NPS 4), both are listed with a
// warning. A diameter that is neither has no size; with a size given that is warned of.
//
// The diameter counts as actual within the mill tolerance, 1 % from NPS 2 and 0.4 mm
// below, and as nominal within 0.5 mm or 1 %, the smaller, as a whole number of
// millimetres is off.
//
// Errors: UnknownStandard, UnknownSize, BadOutsideDiameter.
//
// Source: ASME B36.10M dimensions; tolerance of the outside diameter by ASTM A53/A53M
// (from memory: ±1 % from NPS 2, ±1/64 in below).
func CheckOutside(standard, size string, outside quantity.Length) (Outside, error) {
	t, err := tableOf(standard)
	if err != nil {
		return Outside{}, err
	}
	if outside.SI() <= 0 {
		return Outside{}, BadOutsideDiameter.At("outside_diameter_m", outside.SI()*1000)
	}
	entries := t.entries
	if size != "" {
		e, err := t.find(size)
		if err != nil {
			return Outside{}, err
		}
		entries = []entry{e}
	}
	var found Outside
	for _, e := range entries {
		switch {
		case e.isActual(outside.SI()):
			found.Actual = append(found.Actual, e.size)
		case e.isNominal(outside.SI()):
			found.Nominal = append(found.Nominal, e.size)
		}
	}
	found.warn(outside, entries, size != "")
	return found, nil
}

func (e entry) isActual(metres float64) bool {
	return math.Abs(metres-e.size.OutsideDiameter.SI()) <= e.millTolerance()
}

// millTolerance is how far an outside diameter may be off, in metres.
func (e entry) millTolerance() float64 {
	if e.nps < 2 {
		return 0.0254 / 64
	}
	return 0.01 * e.size.OutsideDiameter.SI()
}

func (e entry) isNominal(metres float64) bool {
	nominals := []float64{e.nps * 0.0254, float64(e.size.DN) / 1000}
	if e.size.naming != byInch {
		nominals = nominals[1:]
	}
	for _, nominal := range nominals {
		// The last digits of a value that was converted are of no matter.
		if math.Abs(metres-nominal) <= math.Min(0.0005, 0.01*nominal)+1e-12 {
			return true
		}
	}
	return false
}

func (o *Outside) warn(outside quantity.Length, entries []entry, asked bool) {
	const field = "outside_diameter_m"
	entered := plain(outside.SI() * 1000)
	for _, s := range o.Nominal {
		mm, in := plain(s.OutsideDiameter.SI()*1000), plain(s.OutsideDiameter.SI()/0.0254)
		if len(o.Actual) > 0 {
			o.Warnings = append(o.Warnings, PerhapsNominalSize.At(field, entered, o.Actual[0].Label(), s.Label(), mm, in))
			continue
		}
		o.Warnings = append(o.Warnings, NominalSize.At(field, entered, s.Label(), mm, in))
	}
	if s := entries[0].size; asked && len(o.Actual) == 0 && len(o.Nominal) == 0 {
		mm, in := plain(s.OutsideDiameter.SI()*1000), plain(s.OutsideDiameter.SI()/0.0254)
		o.Warnings = append(o.Warnings, OtherOutsideDiameter.At(field, entered, s.Label(), mm, in))
	}
}

// plain drops the last digits that a conversion leaves: 8.625, not 8.625000000000002.
func plain(x float64) float64 { return math.Round(x*1e6) / 1e6 }
