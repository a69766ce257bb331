// Package pipe gives the actual dimensions of pipes by product standard, nominal size and
// schedule, and tells when an outside diameter somebody entered is really a nominal size.
//
// Here: ASME B36.10M (wrought steel, NPS 1/8 to 80), ASME B36.19M (stainless steel), EN
// 10220 series 1 (steel, with the walls of its preferred series), ASTM B88 (copper K, L,
// M), ASTM D1785 (PVC 40, 80), ISO 4427 (polyethylene, SDR 6 to 41), EN 545 (ductile iron,
// C classes, K9, K10) and AWWA C151 (ductile iron, pressure and thickness classes); a
// search for the pipes that fit measured dimensions. Where the inch dimensions are the base they are taken × 25.4 mm exactly;
// the standard's millimetre column is the same value rounded (219.1 mm for 8.625 in =
// 219.075 mm). ISO 4427 follows ISO 4065: wall = dn/(2 S + 1), S of the series R 10, to
// 0.01 mm and then up to 0.1 mm, with the exceptions its table has (from memory). EN 545:
// K class e = K·(0.5 + 0.001·DN), at least 6 mm; C class nominal = least wall + 1.3 mm +
// 0.001·DN, least wall = p·3·DE/(2·420 MPa + 3·p), at least 3 mm. Not here: the geometry of a beam through the wall, and any judgement whether
// a pipe is fit for its pressure. A gauged wall beats a table wall whenever a gauge is at
// hand; a dimension from a table is an assumption with the tolerance given.
package pipe

import (
	"strconv"
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

// The codes of this package. The field is the one the command line and the forms use.
var (
	// UnknownStandard: no table is held for the standard.
	UnknownStandard = fault.Define("pipe.unknown-standard", fault.T("standard"), fault.T("known"))
	// UnknownSize: the standard has no such nominal size.
	UnknownSize = fault.Define("pipe.unknown-size", fault.T("size"), fault.T("standard"), fault.T("nearest"))
	// UnknownSchedule: the size has no such schedule.
	UnknownSchedule = fault.Define("pipe.unknown-schedule", fault.T("schedule"), fault.T("size"), fault.T("schedules"), fault.T("walls"))
	// BadOutsideDiameter: an outside diameter is not positive.
	BadOutsideDiameter = fault.Define("pipe.bad-outside-diameter", fault.N("outside_diameter_mm"))
	// BadWall: a wall leaves no bore, or is negative.
	BadWall = fault.Define("pipe.bad-wall", fault.N("wall_mm"), fault.N("outside_diameter_mm"))
	// BadTolerance: a tolerance is negative.
	BadTolerance = fault.Define("pipe.bad-tolerance", fault.N("tolerance_mm"))
	// NominalSize: a warning; the outside diameter entered is a nominal size whose actual size differs.
	NominalSize = fault.Define("pipe.nominal-size", fault.N("entered_mm"), fault.T("size"), fault.N("actual_mm"), fault.N("actual_in"))
	// PerhapsNominalSize: a warning; the outside diameter entered is the actual one of one
	// size and the nominal one of another.
	PerhapsNominalSize = fault.Define("pipe.perhaps-nominal-size", fault.N("entered_mm"), fault.T("actual_of"), fault.T("size"), fault.N("actual_mm"), fault.N("actual_in"))
	// OtherOutsideDiameter: a warning; the outside diameter entered is not the one of the size.
	OtherOutsideDiameter = fault.Define("pipe.other-outside-diameter", fault.N("entered_mm"), fault.T("size"), fault.N("actual_mm"), fault.N("actual_in"))
)

// Size is a nominal size with its actual outside diameter.
type Size struct {
	Name            string // as the standard writes it: "8", "1 1/2" (NPS)
	DN              int    // the metric designation of the same size
	OutsideDiameter quantity.Length
	naming          naming
}

// Label is the size as people say it: "NPS 8 (DN 200)"; "DN 200" and "dn 110" where the
// standard has metric sizes.
func (s Size) Label() string {
	switch s.naming {
	case byMetre:
		return "DN " + s.Name
	case byOuter:
		return "dn " + s.Name
	}
	return "NPS " + s.Name + " (DN " + strconv.Itoa(s.DN) + ")"
}

// Pipe is a pipe as its product standard has it.
type Pipe struct {
	Standard     string
	Size         Size
	Schedule     string   // as understood; empty when the wall was named by its thickness
	Designations []string // every schedule of the same wall; empty for a wall without one
	// Wall is the nominal wall thickness, InsideDiameter = outside diameter − 2·wall.
	Wall, InsideDiameter quantity.Length
	// WallTolerancePercent is by how much the wall may be thinner at any point, 0 where the
	// table's wall is the least; WallOverPercent by how much it may be thicker.
	WallTolerancePercent, WallOverPercent float64
	// WallIsMinimum reports that the standard gives the least wall, not a nominal one.
	WallIsMinimum bool
	Source        string
}

// Sizes returns the nominal sizes of the standard, rising.
//
// Errors: UnknownStandard.
func Sizes(standard string) ([]Size, error) {
	t, err := tableOf(standard)
	if err != nil {
		return nil, err
	}
	sizes := make([]Size, len(t.entries))
	for i, e := range t.entries {
		sizes[i] = e.size
	}
	return sizes, nil
}

// SizeOf returns the nominal size that a text names, as people paint and write it: "8",
// `8"`, "NPS 8", "1 1/2", "1-1/2", "1½", "1.5", "DN 200", "dn 110", "219.1 mm". A bare number is an NPS,
// where the standard has metric sizes a DN, and an outside diameter for ISO 4427.
//
// Errors: UnknownStandard, UnknownSize.
func SizeOf(standard, size string) (Size, error) {
	t, err := tableOf(standard)
	if err != nil {
		return Size{}, err
	}
	e, err := t.find(size)
	return e.size, err
}

// Schedules returns the schedules of a size in order of wall thickness, the weight
// classes STD, XS and XXS among them; empty for a size that has walls only.
//
// Errors: UnknownStandard, UnknownSize.
func Schedules(standard, size string) ([]string, error) {
	t, err := tableOf(standard)
	if err != nil {
		return nil, err
	}
	e, err := t.find(size)
	return e.schedules(), err
}

// Walls returns every pipe of a size in order of wall thickness, those without a schedule
// named by their wall.
//
// Errors: UnknownStandard, UnknownSize.
func Walls(standard, size string) ([]Pipe, error) {
	t, err := tableOf(standard)
	if err != nil {
		return nil, err
	}
	e, err := t.find(size)
	if err != nil {
		return nil, err
	}
	pipes := make([]Pipe, len(e.walls))
	for i, w := range e.walls {
		name := w.printed
		if len(w.designations) > 0 {
			name = w.designations[0]
		}
		pipes[i] = t.pipe(e, w, name)
	}
	return pipes, nil
}

// Lookup returns the dimensions of the pipe of the given standard, nominal size and
// schedule: outside diameter, wall and inside diameter in metres, and the under-tolerance
// of the wall in percent. The standard is named as in "ASME B36.10M", the size as SizeOf
// takes it; the schedule as in "40", "Sch 80", "STD", "XS" or "XXS" (also "XH", "XXH"),
// "40S", "Type L", "SDR 11", "K9", "C40", "Class 52", "PC 350", for EN 10220 "6.3", or as one of the standard's wall thicknesses with its unit: "0.25 in", "6.35 mm".
//
// Errors: UnknownStandard, UnknownSize, UnknownSchedule; the first two name what exists.
//
// Source: the standard, dimensions as facts; each row says how sure its values are, see
// Pipe.Source.
func Lookup(standard, size, schedule string) (Pipe, error) {
	t, err := tableOf(standard)
	if err != nil {
		return Pipe{}, err
	}
	e, err := t.find(size)
	if err != nil {
		return Pipe{}, err
	}
	w, name, ok := t.wall(e, schedule)
	if !ok {
		return Pipe{}, UnknownSchedule.At("schedule", clip(schedule), e.size.Label(),
			list(e.schedules()), list(e.wallNames()))
	}
	return t.pipe(e, w, name), nil
}

func (t *table) pipe(e entry, w wall, name string) Pipe {
	// The table holds no wall beyond the radius, so the difference is a valid length.
	inside, _ := quantity.Metres(e.size.OutsideDiameter.SI() - 2*w.thickness.SI())
	dimensions := "dimensions in mm"
	if t.inches {
		dimensions = "inch dimensions × 25.4 mm"
	}
	return Pipe{
		Standard: t.name, Size: e.size, Schedule: name, Designations: append([]string(nil), w.designations...),
		Wall: w.thickness, InsideDiameter: inside, WallIsMinimum: t.isMinimum,
		WallTolerancePercent: percent(t.under, w.thickness.SI(), e.size.DN),
		WallOverPercent:      percent(t.over, w.thickness.SI(), e.size.DN),
		Source:               t.name + ", " + dimensions + " (" + w.basis + "); " + t.tolerance,
	}
}

func list(names []string) string {
	if len(names) == 0 {
		return "none"
	}
	return strings.Join(names, ", ")
}

// clip shortens a text that goes into a message.
func clip(text string) string {
	const most = 40
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}
