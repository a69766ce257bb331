package web

import (
	"math"
	"strconv"

	"rillmark/calc/quantity"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/capture"
)

// inUnit prints an SI value in a unit to a resolution of that unit; the empty text where
// the unit says nothing.
func inUnit(si float64, kind quantity.Kind, unit string, resolution float64) string {
	text, err := quantity.Format(si, kind, unit, resolution, quantity.Options{Pressure: quantity.Gauge})
	if err != nil {
		return strconv.FormatFloat(si, 'g', 6, 64)
	}
	return text
}

// flow prints a flow in the task's unit with four significant digits.
func flow(w *capture.Work, si float64) string {
	unit := w.FlowUnit()
	one, err := quantity.Parse("1 "+unit, quantity.KindFlow, quantity.Options{})
	if err != nil || one.SI == 0 {
		return inUnit(si, quantity.KindFlow, "m³/h", 0.01)
	}
	return inUnit(si, quantity.KindFlow, unit, step(si/one.SI, 4))
}

// step is the place of the last of so many significant digits, a power of ten.
func step(x float64, digits int) float64 {
	if x == 0 {
		return 1
	}
	return math.Pow10(int(math.Floor(math.Log10(math.Abs(x)))) - digits + 1)
}

// percents prints an error and its uncertainty in percent, as a document would.
func percents(e float64, u *evaluation.Expanded) (value, expanded string) {
	r := certificate.Round(e, expandedOf(u), 2, true, nil)
	return r.Value, r.Expanded
}

func expandedOf(u *evaluation.Expanded) float64 {
	if u == nil {
		return math.NaN()
	}
	return u.Expanded
}

// reads says an error as people say it: "2.7 % low". The words are in the catalogue.
func (x *exchange) reads(e float64, u *evaluation.Expanded) string {
	size := certificate.Round(math.Abs(e), expandedOf(u), 2, false, nil).Value
	if u == nil { // without an uncertainty nothing is concluded, not even that it reads right
		switch {
		case e > 0 && !zeroText(size):
			return x.text("sheet.reads-high-so-far", "percent", size)
		case e < 0 && !zeroText(size):
			return x.text("sheet.reads-low-so-far", "percent", size)
		}
		return x.text("sheet.reads-right-so-far")
	}
	key := "sheet.reads-right"
	switch {
	case zeroText(size):
	case e > 0:
		key = "sheet.reads-high"
	case e < 0:
		key = "sheet.reads-low"
	}
	return x.text(key, "percent", size)
}

func zeroText(text string) bool {
	v, err := strconv.ParseFloat(text, 64)
	return err == nil && v == 0
}
