package num_test

import (
	"errors"
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

func model(eval func(x []float64) float64, names ...string) num.Model {
	return num.Model{Names: names, Eval: func(x []float64) (float64, error) { return eval(x), nil }}
}

func TestSensitivitiesAgainstTheAnalyticOnes(t *testing.T) {
	for name, c := range map[string]struct {
		model    num.Model
		x, steps []float64
		want     []float64
	}{
		"product":      {model(func(x []float64) float64 { return x[0] * x[0] * x[1] }, "d", "v"), []float64{0.2, 1.5}, []float64{1e-3, 0.1}, []float64{0.6, 0.04}},
		"sine":         {model(func(x []float64) float64 { return math.Sin(x[0]) }, "angle"), []float64{1}, []float64{0.1}, []float64{math.Cos(1)}},
		"exponential":  {model(func(x []float64) float64 { return math.Exp(-x[0]) }, "x"), []float64{3}, []float64{1}, []float64{-math.Exp(-3)}},
		"no influence": {model(func(x []float64) float64 { return x[0] + 0*x[1] }, "a", "b"), []float64{1e5, 7}, []float64{1, 1}, []float64{1, 0}},
		"flat top":     {model(math1(func(x float64) float64 { return 1 - x*x }), "x"), []float64{0}, []float64{0.1}, []float64{0}},
		"zero value":   {model(func(x []float64) float64 { return 3*x[0] - 2*x[1] }, "a", "b"), []float64{2, 3}, []float64{0.5, 0.5}, []float64{3, -2}},
		"small numbers": {model(func(x []float64) float64 { return x[0] / x[1] }, "path", "speed"),
			[]float64{0.1, 1480}, []float64{1e-4, 2}, []float64{1.0 / 1480, -0.1 / 1480 / 1480}},
	} {
		got, err := c.model.Sensitivities(c.x, c.steps)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for i, s := range got {
			if s.Name != c.model.Names[i] || math.Abs(s.Value-c.want[i]) > 2e-11*math.Abs(c.want[i])+1e-12 {
				t.Errorf("%s: ∂/∂%s = %.15g ± %g, want %.15g", name, s.Name, s.Value, s.Error, c.want[i])
			}
		}
	}
}

func math1(f func(float64) float64) func([]float64) float64 {
	return func(x []float64) float64 { return f(x[0]) }
}

// half is defined on one side of a limit alone, as a liner of thickness 0 is.
func half(limit, sign float64) num.Model {
	return num.Model{Names: []string{"liner"}, Eval: func(x []float64) (float64, error) {
		if (x[0]-limit)*sign < 0 {
			return 0, errRefused
		}
		return math.Exp(2 * x[0]), nil
	}}
}

func TestSensitivitiesAtTheEdgeOfTheModel(t *testing.T) {
	for name, c := range map[string]struct {
		model num.Model
		at    float64
	}{
		"upper side only":          {half(0, 1), 0},
		"lower side only":          {half(0, -1), 0},
		"nearer than a step":       {half(0, 1), 0.05},
		"a narrow window":          {window(0.01), 0},
		"a narrower window to try": {window(0.0005), 0},
	} {
		got, err := c.model.Sensitivities([]float64{c.at}, []float64{0.1})
		want := 2 * math.Exp(2*c.at)
		if err != nil || math.Abs(got[0].Value/want-1) > 1e-7 {
			t.Errorf("%s: got %v, %v, want %v", name, got, err, want)
		}
	}
}

func window(width float64) num.Model {
	return num.Model{Names: []string{"x"}, Eval: func(x []float64) (float64, error) {
		if math.Abs(x[0]) > width {
			return 0, errRefused
		}
		return math.Exp(2 * x[0]), nil
	}}
}

func TestModelValueLeavesTheInputsAlone(t *testing.T) {
	m := model(func(x []float64) float64 { x[0] = 99; return 1 }, "x")
	in := []float64{5}
	if _, err := m.Value(in); err != nil || in[0] != 5 {
		t.Errorf("input became %v, %v", in[0], err)
	}
}

func TestModelRefuses(t *testing.T) {
	nan := math.NaN()
	m := model(func(x []float64) float64 { return math.Log(x[0]) * x[1] }, "a", "b")
	value := func(x ...float64) error { _, err := m.Value(x); return err }
	slope := func(m num.Model, x, steps []float64) error { _, err := m.Sensitivities(x, steps); return err }
	noisy := 0.0
	rough := model(func(x []float64) float64 { noisy++; return math.Mod(noisy*0.7, 1) }, "a")
	for name, c := range map[string]struct {
		err  error
		code *fault.Code
	}{
		"an input missing":   {value(1), num.LengthsDiffer},
		"NaN input":          {value(1, nan), num.NotFinite},
		"value not finite":   {value(0, 1), num.NotFinite},
		"a step missing":     {slope(m, []float64{1, 1}, []float64{1}), num.LengthsDiffer},
		"inputs wrong":       {slope(m, []float64{1}, []float64{1, 1}), num.LengthsDiffer},
		"step zero":          {slope(m, []float64{1, 1}, []float64{0.1, 0}), num.BadStep},
		"step NaN":           {slope(m, []float64{1, 1}, []float64{0.1, nan}), num.BadStep},
		"step lost in input": {slope(m, []float64{1, 1e20}, []float64{0.1, 1}), num.BadStep},
		"no derivative":      {slope(rough, []float64{1}, []float64{0.1}), num.NoSensitivity},
		"both sides refused": {slope(window(0), []float64{0}, []float64{0.1}), num.NoSensitivity},
	} {
		if !fault.Has(c.err, c.code) {
			t.Errorf("%s: got %v, want %s", name, c.err, c.code.Name())
		}
	}
	if err := slope(half(0, 1), []float64{-1}, []float64{0.1}); !errors.Is(err, errRefused) {
		t.Errorf("refused at the point itself: %v", err)
	}
}

// Central differences have no odd terms in their error; using that halves the work.
func TestSensitivitiesAreFrugal(t *testing.T) {
	calls := 0
	m := model(func(x []float64) float64 { calls++; return math.Exp(-x[0]) }, "x")
	got, err := m.Sensitivities([]float64{1}, []float64{0.5})
	if err != nil || math.Abs(got[0].Value/-math.Exp(-1)-1) > 1e-12 {
		t.Errorf("got %v, %v", got, err)
	}
	if calls > 15 {
		t.Errorf("%d calls of the model for one input", calls)
	}
}
