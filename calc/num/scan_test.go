package num_test

import (
	"errors"
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

func TestRootsFindsEvery(t *testing.T) {
	parabola := func(top, level float64) func(float64) float64 {
		return func(x float64) float64 { return level - (x-top)*(x-top) }
	}
	for name, c := range map[string]struct {
		f            func(float64) float64
		lower, upper float64
		cells        int
		want         []float64
	}{
		"sine":                      {math.Sin, 1, 10, 20, []float64{math.Pi, 2 * math.Pi, 3 * math.Pi}},
		"none":                      {math.Exp, 0, 1, 10, nil},
		"on the grid":               {func(x float64) float64 { return x * (x - 1) * (x - 2) }, 0, 2, 4, []float64{0, 1, 2}},
		"a pair inside a cell":      {parabola(0.523, 1e-4), 0, 1, 10, []float64{0.513, 0.533}},
		"a pair, from below":        {func(x float64) float64 { return -parabola(0.523, 1e-4)(x) }, 0, 1, 10, []float64{0.513, 0.533}},
		"a pair in the first":       {parabola(0.03, 1e-4), 0, 1, 10, []float64{0.02, 0.04}},
		"a pair beside the first":   {parabola(0.07, 1e-4), 0, 1, 10, []float64{0.06, 0.08}},
		"a pair beside the last":    {parabola(0.93, 1e-4), 0, 1, 10, []float64{0.92, 0.94}},
		"a pair between equals":     {parabola(0.375, 1e-4), 0, 1, 4, []float64{0.365, 0.385}},
		"a pair in two equal cells": {parabola(0.125, 1e-4), 0, 1, 4, []float64{0.115, 0.135}},
		"a pair in the last two":    {parabola(0.875, 1e-4), 0, 1, 4, []float64{0.865, 0.885}},
		"a pair in the last":        {parabola(0.97, 1e-4), 0, 1, 10, []float64{0.96, 0.98}},
		"a pair and one more":       {func(x float64) float64 { return parabola(0.523, 1e-4)(x) * (x - 0.81) }, 0, 1, 10, []float64{0.513, 0.533, 0.81}},
		"close but no root":         {parabola(0.523, -1e-9), 0, 1, 10, nil},
		"touching at a grid line":   {parabola(0.5, 0), 0, 1, 10, []float64{0.5}},
	} {
		got, err := num.Roots(plain(c.f), c.lower, c.upper, c.cells, num.Search{})
		if err != nil || len(got) != len(c.want) {
			t.Errorf("%s: got %v, %v, want %v", name, got, err, c.want)
			continue
		}
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-12 {
				t.Errorf("%s: root %d is %.15g, want %.15g", name, i, got[i], c.want[i])
			}
		}
	}
}

func TestRootsMeetsAnExactZeroInADip(t *testing.T) {
	// The first point the dip search tries below cell 5 of 10 is 0.5 − 0.382·0.1.
	bottom := 0.5 + 0.3819660112501051*(0.6-0.5)
	f := plain(func(x float64) float64 { return math.Abs(x - bottom) })
	got, err := num.Roots(f, 0, 1, 10, num.Search{})
	if err != nil || len(got) != 1 || math.Abs(got[0]-bottom) > 1e-9 {
		t.Errorf("got %v, %v, want %v", got, err, bottom)
	}
}

func TestRootsRefuses(t *testing.T) {
	roots := func(f num.Func, a, b float64, cells int, s num.Search) error {
		_, err := num.Roots(f, a, b, cells, s)
		return err
	}
	sine := plain(math.Sin)
	pair := plain(func(x float64) float64 { return 1e-4 - (x-0.523)*(x-0.523) })
	for name, c := range map[string]struct {
		err  error
		code *fault.Code
	}{
		"one cell":         {roots(sine, 0, 1, 1, num.Search{}), num.BadCount},
		"too many cells":   {roots(sine, 0, 1, num.MostCells+1, num.Search{}), num.BadCount},
		"reversed":         {roots(sine, 1, 0, 10, num.Search{}), num.BadInterval},
		"overflowing":      {roots(sine, -math.MaxFloat64, math.MaxFloat64, 10, num.Search{}), num.BadInterval},
		"NaN":              {roots(plain(func(float64) float64 { return math.NaN() }), 0, 1, 10, num.Search{}), num.NotFinite},
		"not converged":    {roots(sine, 1, 10, 10, num.Search{Limit: 1}), num.NotConverged},
		"pair unconverged": {roots(pair, 0, 1, 10, num.Search{Limit: 1}), num.NotConverged},
	} {
		if !fault.Has(c.err, c.code) {
			t.Errorf("%s: got %v, want %s", name, c.err, c.code.Name())
		}
	}
}

func TestRootsPassesTheModelsErrorOn(t *testing.T) {
	for _, hole := range []float64{0.5, 0.02, 0.52, 0.98} {
		f := func(x float64) (float64, error) {
			if math.Abs(x-hole) < 0.02 {
				return 0, errRefused
			}
			return 1 + (x-hole)*(x-hole), nil
		}
		if _, err := num.Roots(f, 0, 1, 10, num.Search{}); !errors.Is(err, errRefused) {
			t.Errorf("hole at %v: got %v", hole, err)
		}
	}
}
