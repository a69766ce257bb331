package beam

import (
	"math"
	"sort"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

// Explanation is one input that, wrong by Change and all others right, would make the
// reference show exactly what it showed. It is the root nearest to the entered value of
// the full model, not of its slope, inside bounds that are physically possible: a wall
// above zero and below the radius, a liner inside the bore, a distance between the points
// of entry above zero, the fluid's table within its range, sound speeds and angles within
// what such materials and wedges have (wall and liner 500–7000 m/s, wedge 1000–4000 m/s,
// fluid 500–2500 m/s, wedge angle 1–89°, exit offset 0–0.1 m, diameter from half to
// twice the entered one, spacing −0.5–5 m, temperature −100–400 °C).
//
// The number of traverses is tried as well: it explains when another number brings the
// expected reading within the tolerance of the measured one.
type Explanation struct {
	Input               string
	Unit                string  // of the values below; "K" of a change of temperature in °C, "1" of traverses
	Entered             float64 // in the unit of the input's name
	Needed              float64 // in the unit of the input's name
	Change              float64 // needed − entered, in Unit
	StandardUncertainty float64 // of the entered value, in Unit; 0 where none is stated
	Multiple            float64 // |change| / standard uncertainty; 0 where none is stated
}

// Remark is the explanation as a fault in the field of its input: ExplainedByLower or
// ExplainedByHigher with the size of the change to two digits in millimetres, kelvins,
// degrees, metres per second, traverses, or percentage points of a part in one.
func (e Explanation) Remark() fault.Fault {
	size, unit := math.Abs(e.Change), e.Unit
	switch {
	case unit == "m":
		size, unit = size*1e3, "mm"
	case unit == "deg":
		unit = "°"
	case e.Input == TraversesName:
		unit = "traverse(s)"
	case unit == "1":
		size, unit = size*100, "percentage points"
	}
	code := ExplainedByHigher
	if e.Change < 0 {
		code = ExplainedByLower
	}
	return code.At(e.Input, twoDigits(size), unit)
}

// twoDigits rounds to two significant digits.
func twoDigits(x float64) float64 {
	if x == 0 {
		return 0
	}
	decimals := 1 - int(math.Floor(math.Log10(math.Abs(x))))
	scale := math.Pow10(max(decimals, 0))
	down := math.Pow10(max(-decimals, 0))
	return math.Round(x*scale/down) * down / scale
}

// explain fills in explanations, most plausible first: by |change| in multiples of the
// standard uncertainty; inputs without one after those, by relative change.
func (c Check) explain(r *CheckResult, e expectation) error {
	all := e.otherTraverses(c, r)
	for _, x := range e.inputs {
		needed, ok, err := e.nearest(x, c.Measured.Value)
		if err != nil {
			return err
		}
		if !ok {
			r.Unable = append(r.Unable, x.name)
			continue
		}
		one := Explanation{Input: x.name, Unit: x.unit, Entered: x.get(e.world), Needed: needed,
			StandardUncertainty: x.uncertainty}
		one.Change = needed - one.Entered
		if x.uncertainty > 0 {
			one.Multiple = math.Abs(one.Change) / x.uncertainty
		}
		all = append(all, one)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].before(all[j]) })
	r.Explanations = all
	if len(all) == 0 {
		r.Remarks = append(r.Remarks, NothingExplains.At(MeasuredName))
		r.MeasureFirst = MeasuredName
		return nil
	}
	r.MeasureFirst = all[0].Input
	return nil
}

// before ranks another number of traverses first (to fit by chance would be a rare
// coincidence), then by multiple, then by relative change.
func (e Explanation) before(o Explanation) bool {
	rank := func(e Explanation) int {
		switch {
		case e.Input == TraversesName:
			return 0
		case e.StandardUncertainty > 0:
			return 1
		}
		return 2
	}
	if a, b := rank(e), rank(o); a != b {
		return a < b
	} else if a == 1 {
		return e.Multiple < o.Multiple
	}
	// Entered may be 0 (an offset, a liner): then any change is infinitely large.
	return math.Abs(e.Change*o.Entered) < math.Abs(o.Change*e.Entered)
}

// mostTraverses bounds the numbers of traverses that are tried.
const mostTraverses = usualTraverses

func (e expectation) otherTraverses(c Check, r *CheckResult) []Explanation {
	var all []Explanation
	for n := 1; n <= mostTraverses; n++ {
		truth := e.world
		truth.Traverses = n
		// A number for which the reference would show nothing explains nothing.
		reading, err := e.reading(truth)
		if err != nil || n == c.Traverses || math.Abs(reading-c.Measured.Value) > r.Tolerance {
			continue
		}
		all = append(all, Explanation{Input: TraversesName, Unit: "1", Entered: float64(c.Traverses),
			Needed: float64(n), Change: float64(n - c.Traverses)})
	}
	return all
}

// How the nearest root is looked for: outward from the entered value in steps that grow
// from the input's typical change by a quarter each, until the sign changes, a bound is
// reached or the model refuses the next typical change.
const (
	searchGrowth = 1.25
	searchLimit  = 200 // 1.25^200 spans 19 decades, more than any bound
)

// nearest returns the value of the input nearest to the entered one at which the expected
// reading is the measured one.
func (e expectation) nearest(x surveyedInput, measured float64) (needed float64, ok bool, err error) {
	start := x.get(e.world)
	off := func(v float64) (float64, error) {
		truth := e.world
		if v != start {
			x.set(&truth, v)
		}
		reading, err := e.reading(truth)
		return reading - measured, err
	}
	for _, bound := range []float64{x.lower, x.upper} {
		near, far, found := bracket(off, start, bound, x.step)
		if !found {
			continue
		}
		root, err := num.Root(off, math.Min(near, far), math.Max(near, far), num.Search{})
		if err != nil {
			return 0, false, err
		}
		if !ok || math.Abs(root-start) < math.Abs(needed-start) {
			needed, ok = root, true
		}
	}
	return needed, ok, nil
}

// bracket walks from start towards the bound and returns the first step over which f
// changes sign.
func bracket(f num.Func, start, bound, step float64) (near, far float64, found bool) {
	towards := math.Copysign(1, bound-start)
	near = start
	y, err := f(near)
	least := step
	for range searchLimit {
		if err != nil || (bound-near)*towards <= 0 {
			break
		}
		far = near + towards*math.Min(step, math.Abs(bound-near))
		next, refused := f(far)
		if refused != nil && step < least {
			break
		}
		if refused != nil {
			step /= 4
			continue
		}
		if (next > 0) != (y > 0) || next == 0 {
			return near, far, true
		}
		near, y, step = far, next, step*searchGrowth
	}
	return 0, 0, false
}
