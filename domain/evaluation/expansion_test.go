package evaluation_test

import (
	"math"
	"testing"

	"rillmark/calc/pipe"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
)

// A pipe by its standard grows from 20 °C: carbon steel by 11.7e-6 per kelvin, here 100 K,
// without pressure; what was measured on the running pipe stays.
func TestDimensionsAreCarriedWhereTheyWereNotMeasured(t *testing.T) {
	values := map[sheet.Name]any{sheet.OutsideDiameter: 0.2191, sheet.Wall: 0.0063, sheet.PipeMaterial: "carbon steel", sheet.Temperature: zeroC + 120, sheet.Pressure: 101325.0}
	const grown = 1.00117
	for name, c := range map[string]struct {
		measured      []sheet.Name
		outside, wall float64
	}{
		"both by standard":  {nil, 0.2191 * grown, 0.0063 * grown},
		"wall gauged":       {[]sheet.Name{sheet.Wall}, 0.2191 * grown, 0.0063},
		"diameter measured": {[]sheet.Name{sheet.OutsideDiameter}, 0.2191, 0.0063 * grown},
		"both measured":     {[]sheet.Name{sheet.OutsideDiameter, sheet.Wall}, 0.2191, 0.0063},
	} {
		s := surveyOf(sheet.Standard, values)
		for _, n := range c.measured {
			v := s[n]
			v.Source = sheet.Measured
			s[n] = v
		}
		got := evaluation.Carry(s, plant)
		if math.Abs(got.Outside-c.outside) > 1e-12 || math.Abs(got.Wall-c.wall) > 1e-12 || len(got.Refused) > 0 {
			t.Errorf("%s: %+v, want %g and %g", name, got, c.outside, c.wall)
		}
		if want := ((c.outside-2*c.wall)/(0.2191-2*0.0063) - 1) * 100; math.Abs(got.Percent-want) > 1e-9 {
			t.Errorf("%s: %g %%, want %g", name, got.Percent, want)
		}
	}
}

// Where nothing can be carried the dimensions stay, and why is said once it matters.
func TestWhatCannotBeCarriedStays(t *testing.T) {
	for name, c := range map[string]struct {
		values map[sheet.Name]any
		said   bool
	}{
		"no temperature":  {map[sheet.Name]any{sheet.PipeMaterial: "PVC"}, false},
		"no material":     {map[sheet.Name]any{sheet.Temperature: zeroC + 20}, false},
		"unknown":         {map[sheet.Name]any{sheet.PipeMaterial: "wood", sheet.Temperature: zeroC + 20}, true},
		"too hot for PVC": {map[sheet.Name]any{sheet.PipeMaterial: "PVC", sheet.Temperature: zeroC + 70}, true},
		"no bore":         {map[sheet.Name]any{sheet.PipeMaterial: "PVC", sheet.Temperature: zeroC + 20, sheet.Wall: 0.06}, false},
		"below zero":      {map[sheet.Name]any{sheet.PipeMaterial: "PVC", sheet.Temperature: -1.0}, true},
	} {
		s := surveyOf(sheet.Standard, map[sheet.Name]any{sheet.OutsideDiameter: 0.11, sheet.Wall: 0.005})
		for n, v := range surveyOf(sheet.Client, c.values) {
			s[n] = v
		}
		got := evaluation.Carry(s, plant)
		if got.Outside != 0.11 || got.Wall != s[sheet.Wall].Number || got.Percent != 0 || (len(got.Refused) > 0) != c.said {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// A wall by its standard is as sure as that standard makes it.
func TestAWallByItsStandard(t *testing.T) {
	s := surveyOf(sheet.Standard, map[sheet.Name]any{sheet.PipeStandard: "ASTM B88", sheet.PipeSize: "NPS 2 (DN 50)", sheet.PipeSchedule: "L", sheet.Wall: 0.07 * 0.0254})
	if u, known := evaluation.StandardWall(s); !known || math.Abs(u-0.1*0.07*0.0254/math.Sqrt(3)) > 1e-9 {
		t.Errorf("copper, ± 10 %%: %g %v", u, known)
	}
	p, err := pipe.Lookup("ISO 4427", "dn 110", "SDR 11")
	if err != nil {
		t.Fatal(err)
	}
	s = surveyOf(sheet.Standard, map[sheet.Name]any{sheet.PipeStandard: "ISO 4427", sheet.PipeSize: "dn 110", sheet.PipeSchedule: "SDR 11", sheet.Wall: p.Wall.SI()})
	if u, known := evaluation.StandardWall(s); !known || math.Abs(u-0.0012/math.Sqrt(3)) > 1e-6 { // 10 % of 10 mm and 0.2 mm
		t.Errorf("polyethylene: %g %v", u, known)
	}
	for _, other := range []map[sheet.Name]any{{sheet.Wall: 0.009}, {sheet.PipeSize: "dn 3"}} {
		for n, v := range surveyOf(sheet.Standard, other) {
			was := s[n]
			s[n] = v
			if _, known := evaluation.StandardWall(s); known {
				t.Errorf("%v is taken for the standard's", other)
			}
			s[n] = was
		}
	}
	gauged := s[sheet.Wall]
	gauged.Source = sheet.Measured
	s[sheet.Wall] = gauged
	if _, known := evaluation.StandardWall(s); known {
		t.Error("a gauged wall is taken for the standard's")
	}
}
