package num

import "math"

// Func is a function of one variable that may refuse a value. Its unit is the caller's.
type Func func(x float64) (float64, error)

// DefaultLimit is the number of iterations after which a search gives up when no other
// limit is set. Brent's method needs about 10 on a simple root, a few times as
// many as bisection on one where the function is flat.
const DefaultLimit = 200

// Search says how well and how long to look for a root.
type Search struct {
	// Tolerance is the absolute tolerance on the root, in the unit of x; 0 asks for the
	// rounding limit of about 4e-16·|x|.
	Tolerance float64
	// Limit is the greatest number of iterations; 0 stands for DefaultLimit.
	Limit int
}

func (s Search) limit() int {
	if s.Limit <= 0 {
		return DefaultLimit
	}
	return s.Limit
}

// Root returns the x in [lower, upper] where f is zero, by Brent's method (inverse
// quadratic interpolation guarded by bisection), in the unit of the interval. f must be
// continuous and have different signs, or a zero, at the ends.
//
// Errors: BadInterval, NotFinite, NotBracketed, NotConverged, and whatever f returns.
//
// Source: R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4.
func Root(f Func, lower, upper float64, s Search) (float64, error) {
	if !finite(lower) || !finite(upper) || lower >= upper {
		return 0, BadInterval.At("lower", lower, upper)
	}
	flow, err := call(f, lower)
	if err != nil {
		return 0, err
	}
	fup, err := call(f, upper)
	if err != nil {
		return 0, err
	}
	if flow != 0 && fup != 0 && (flow > 0) == (fup > 0) {
		return 0, NotBracketed.At("", lower, upper)
	}
	return brent(f, point{lower, flow}, point{upper, fup}, s)
}

type point struct{ x, y float64 }

// call evaluates f and refuses a value that is not finite, so that no comparison below
// meets a NaN.
func call(f Func, x float64) (float64, error) {
	y, err := f(x)
	if err != nil {
		return 0, err
	}
	if !finite(y) {
		return 0, NotFinite.At("", x)
	}
	return y, nil
}

// brent keeps b the best point, a the one before it, and c with the sign opposite to b.
func brent(f Func, a, b point, s Search) (float64, error) {
	c, step, before := a, b.x-a.x, b.x-a.x
	for range s.limit() {
		if math.Abs(c.y) < math.Abs(b.y) {
			a, b, c = b, c, b
		}
		tolerance := 2*epsilon*math.Abs(b.x) + s.Tolerance/2
		half := (c.x - b.x) / 2
		if b.y == 0 || math.Abs(half) <= tolerance {
			return b.x, nil
		}
		if math.Abs(before) < tolerance || math.Abs(a.y) <= math.Abs(b.y) {
			step, before = half, half
		} else {
			step, before = interpolate(a, b, c, half, step, before, tolerance)
		}
		a = b
		if math.Abs(step) > tolerance {
			b.x += step
		} else {
			b.x += math.Copysign(tolerance, half)
		}
		y, err := call(f, b.x)
		if err != nil {
			return 0, err
		}
		b.y = y
		if (b.y > 0) == (c.y > 0) {
			c = a
			step, before = b.x-a.x, b.x-a.x
		}
	}
	return 0, NotConverged.At("", s.limit(), s.Tolerance)
}

const epsilon = 0x1p-52

// interpolate proposes the next step: secant or inverse quadratic, or half the interval
// where that would leave the bracket or shrink it too slowly.
func interpolate(a, b, c point, half, step, before, tolerance float64) (next, last float64) {
	r := b.y / a.y
	p, q := 2*half*r, 1-r
	if a.x != c.x {
		q = a.y / c.y
		t := b.y / c.y
		p = r * (2*half*q*(q-t) - (b.x-a.x)*(t-1))
		q = (q - 1) * (t - 1) * (r - 1)
	}
	if p > 0 {
		q = -q
	}
	p = math.Abs(p)
	if 2*p < math.Min(3*half*q-math.Abs(tolerance*q), math.Abs(before*q)) {
		return p / q, step
	}
	return half, half
}
