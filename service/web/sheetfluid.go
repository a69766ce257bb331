package web

import (
	"slices"
	"strconv"
	"strings"

	"rillmark/calc/fluid"
	"rillmark/calc/solid"
	"rillmark/domain/method"
)

// fluidWord is what a fluid is called: in words where it is known without a table, as the
// company wrote it where it has one.
func (x *exchange) fluidWord(name string, own bool) string {
	if known := strings.ToLower(strings.TrimSpace(name)); !own && slices.Contains(fluid.LiquidNames(), known) {
		return x.text("sheet.fluid-" + known)
	}
	return name
}

// fluidMore is what a fluid asks for besides its name, or whose table it is.
func (x *exchange) fluidMore(name string, own bool) string {
	if own {
		return x.text("sheet.fluid-own")
	}
	if needs := fluid.NeedsOf(name); len(needs) > 0 {
		return x.text("sheet.fluid-needs-" + string(needs[0]))
	}
	return ""
}

// speeds tells a material's sound speeds by the method, with the spread of open tables.
func (x *exchange) speeds(m method.Material) string {
	wave := func(key string, speed float64, spread solid.Spread) string {
		if speed == 0 {
			return ""
		}
		words := x.text("sheet.speed-"+key, "speed", whole(speed))
		if spread.Known() {
			words += " " + x.text("sheet.speed-spread", "least", whole(spread.Least), "most", whole(spread.Most))
		}
		return words
	}
	known, _ := solid.Of(m.Name) // of one that is not known there is no spread
	return joined(" · ", wave("shear", m.Shear, known.Shear), wave("longitudinal", m.Longitudinal, known.Longitudinal))
}

func whole(speed float64) string { return strconv.FormatFloat(speed, 'f', 0, 64) }
