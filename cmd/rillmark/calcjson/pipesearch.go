package calcjson

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
)

type searchAnswer struct {
	Outside float64      `json:"outside_diameter_m"`
	Found   int          `json:"found"`
	Fits    []fittedPipe `json:"fits"`
}

type fittedPipe struct {
	pipeAnswer
	OutsideDifference float64 `json:"outside_diameter_difference_m"`
	WallDifference    float64 `json:"wall_difference_m"`
	Distance          float64 `json:"distance"`
}

// maxFits is how many pipes an answer lists; "found" counts all.
const maxFits = 50

// pipeSearch is the kind "pipe-search": pipe.Search.
func pipeSearch(o *object, _ func(fault.Fault) string) (any, error) {
	outside, circumference := o.numberOr(outsideName, 0), o.numberOr("circumference_m", 0)
	switch {
	case o.has(outsideName) && o.has("circumference_m"):
		o.add(codeFieldsTogether.At("circumference_m", outsideName+", circumference_m"))
	case o.has("circumference_m"):
		outside = circumference / math.Pi
	default:
		o.need(outsideName)
	}
	var m pipe.Measured
	m.OutsideDiameter = o.metres(outsideName, outside)
	m.Wall = o.metres("wall_m", o.numberOr("wall_m", 0))
	if o.find("tolerances", isObject) != nil {
		t := o.inner("tolerances")
		m.OutsideTolerance = t.metres(outsideName, t.numberOr(outsideName, 0))
		m.WallTolerance = t.metres("wall_m", t.numberOr("wall_m", 0))
		t.done()
	}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	fits, err := pipe.Search(m)
	if err != nil {
		return nil, err
	}
	a := searchAnswer{Outside: outside, Found: len(fits), Fits: []fittedPipe{}}
	for _, f := range fits[:min(len(fits), maxFits)] {
		a.Fits = append(a.Fits, fittedPipe{tellPipe(f.Pipe), f.OutsideDifference, f.WallDifference, f.Distance})
	}
	return a, nil
}

// metres makes a length of a number that was read.
func (o *object) metres(name string, x float64) quantity.Length {
	l, err := quantity.Metres(x)
	for _, f := range fault.AllOf(err) {
		o.add(f.In(o.at(name)))
	}
	return l
}
