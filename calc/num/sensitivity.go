package num

import "math"

// Model is one measurement model: a function of named inputs. The same Eval serves the
// value and the sensitivities, so the two cannot disagree.
type Model struct {
	// Names are the inputs' names, in the order of Eval's argument.
	Names []string
	// Eval returns the value for the inputs x. It must not keep or change x, and returns
	// an error for inputs it does not hold for.
	Eval func(x []float64) (float64, error)
}

// Sensitivity is the partial derivative of a model with respect to one input.
type Sensitivity struct {
	Name  string
	Value float64 // ∂f/∂x, in the unit of f per unit of the input
	Error float64 // estimate of the numerical error of Value, same unit
}

// Relative bounds inside which a sensitivity is accepted: the estimated error of the
// derivative is at most sensitivityTolerance of it, or moves the model over one typical
// step by less than sensitivityFloor of the model's value.
const (
	sensitivityTolerance = 1e-6
	sensitivityFloor     = 1e-9
	// stepTrials is how often the typical step is cut to a sixteenth before giving up, for
	// a model whose range ends close by.
	stepTrials = 3
)

// Value returns the model's value at x, in the model's unit.
//
// Errors: LengthsDiffer, NotFinite (an input or the value), and whatever Eval returns.
func (m Model) Value(x []float64) (float64, error) {
	if len(x) != len(m.Names) {
		return 0, LengthsDiffer.At("x", len(m.Names), len(x))
	}
	for i := range x {
		if !finite(x[i]) {
			return 0, NotFinite.At(m.Names[i], x[i])
		}
	}
	y, err := m.Eval(append([]float64(nil), x...))
	if err != nil {
		return 0, err
	}
	if !finite(y) {
		return 0, NotFinite.At("", y)
	}
	return y, nil
}

// Sensitivities returns the partial derivative of the model at x for every input, by
// central differences over shrinking steps extrapolated to step zero (Ridders' tableau).
// Where the model refuses one side, as at a liner of thickness 0, differences from the
// other side alone are used.
//
// steps[i] is a typical change of input i in its own unit, positive; its standard
// uncertainty is the usual choice. It sets where the first difference is taken, and must
// be small enough that the model is smooth over it.
//
// Errors: LengthsDiffer, BadStep, NotFinite, NoSensitivity (the differences do not
// settle, or the model refuses both sides), and what Eval returns at x itself.
//
// Source: C. J. F. Ridders, Adv. Eng. Software 4 (1982) 75–76; used as the numerical
// evaluation of sensitivity coefficients allowed by JCGM 100:2008, 5.1.3, note 2.
func (m Model) Sensitivities(x, steps []float64) ([]Sensitivity, error) {
	if len(steps) != len(m.Names) {
		return nil, LengthsDiffer.At("steps", len(m.Names), len(steps))
	}
	centre, err := m.Value(x)
	if err != nil {
		return nil, err
	}
	all := make([]Sensitivity, len(x))
	for i, name := range m.Names {
		if !finite(steps[i]) || steps[i] <= 0 || x[i]+steps[i] == x[i] {
			return nil, BadStep.At(name, name, steps[i])
		}
		s, ok := m.slope(x, i, steps[i], centre)
		if !ok {
			return nil, NoSensitivity.At(name, name)
		}
		all[i] = s
	}
	return all, nil
}

// slope tries both sides, then the upper, then the lower side, then smaller steps.
func (m Model) slope(x []float64, i int, step, centre float64) (Sensitivity, bool) {
	at := func(h float64) (float64, error) {
		moved := append([]float64(nil), x...)
		moved[i] += h
		return m.Value(moved)
	}
	central := func(h float64) (float64, error) {
		up, err := at(h)
		if err != nil {
			return 0, err
		}
		down, err := at(-h)
		return (up - down) / (2 * h), err
	}
	side := func(sign float64) Func {
		return func(h float64) (float64, error) {
			y, err := at(sign * h)
			return (y - centre) / (sign * h), err
		}
	}
	ways := []struct {
		difference Func
		order      float64
	}{{central, 2}, {side(1), 1}, {side(-1), 1}}
	for range stepTrials {
		for _, way := range ways {
			value, wrong, err := ridders(way.difference, step, way.order)
			small := sensitivityFloor * math.Abs(centre) / step
			if err == nil && wrong <= math.Max(sensitivityTolerance*math.Abs(value), small) {
				return Sensitivity{m.Names[i], value, wrong}, true
			}
		}
		step /= 16
	}
	return Sensitivity{}, false
}

// ridders extrapolates the difference quotient d(h) to h = 0. The error of d is a power
// series in h^order. Steps shrink until the estimate of the error no longer improves.
func ridders(d Func, step, order float64) (value, wrong float64, err error) {
	const shrink, rows, worse = 1.6, 14, 2.0
	var before, now [rows]float64
	wrong = math.Inf(1)
	for j, h := 0, step; j < rows; j, h = j+1, h/shrink {
		if now[0], err = call(d, h); err != nil {
			return 0, wrong, err
		}
		factor := 1.0
		for k := 1; k <= j; k++ {
			factor *= math.Pow(shrink, order)
			now[k] = (factor*now[k-1] - before[k-1]) / (factor - 1)
			e := math.Max(math.Abs(now[k]-now[k-1]), math.Abs(now[k]-before[k-1]))
			if e <= wrong {
				wrong, value = e, now[k]
			}
		}
		if j > 0 && math.Abs(now[j]-before[j-1]) >= worse*wrong {
			break
		}
		before = now
	}
	return value, wrong, nil
}
