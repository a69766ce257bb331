package pipe_test

import (
	"math"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/pipe"
)

func TestLookupAgainstTheStandards(t *testing.T) {
	for _, r := range read(t, "testdata/standards.csv") {
		got, err := pipe.Lookup(r["standard"], r["size"], r["schedule"])
		if err != nil {
			t.Errorf("%v: %v", r, err)
			continue
		}
		one := 0.001
		if r["unit"] == "in" {
			one = 0.0254
		}
		outside, wall := r.number(t, "outside_diameter"), r.number(t, "wall")
		if math.Abs(got.Size.OutsideDiameter.SI()/one-outside) > 1e-9 || math.Abs(got.Wall.SI()/one-wall) > 1e-9 ||
			math.Abs(got.InsideDiameter.SI()/one-outside+2*wall) > 1e-9 {
			t.Errorf("%s %s %s: %v × %v %s, want %v × %v", r["standard"], r["size"], r["schedule"],
				got.Size.OutsideDiameter.SI()/one, got.Wall.SI()/one, r["unit"], outside, wall)
		}
	}
}

// Every wall of every standard leaves a bore, can be named by each of its designations and
// by its thickness, and its size by its label.
func TestEveryRowIsFound(t *testing.T) {
	for _, standard := range pipe.Standards() {
		all, err := pipe.Sizes(standard)
		if err != nil || len(all) == 0 {
			t.Fatalf("%s: %d, %v", standard, len(all), err)
		}
		for _, s := range all {
			names, err := pipe.Schedules(standard, s.Label())
			if err != nil {
				t.Errorf("%s %s: %v", standard, s.Label(), err)
			}
			last := 0.0
			for _, name := range names {
				p, err := pipe.Lookup(standard, s.Label(), name)
				if err != nil || p.InsideDiameter.SI() <= 0 || p.Wall.SI() < last || p.WallOverPercent <= 0 {
					t.Errorf("%s %s %s: %+v, %v", standard, s.Label(), name, p, err)
				}
				last = p.Wall.SI()
			}
		}
	}
}

func TestMetricSizesAsPainted(t *testing.T) {
	for _, c := range []struct{ standard, size, schedule, label string }{
		{"EN 10220:2003", "DN 200", "6.3", "DN 200"}, {"DIN EN 10220", "dn200", "6,3", "DN 200"}, {"EN 10220", "200", "6.3 mm", "DN 200"},
		{"EN 10220", "219.1 mm", "6.3", "DN 200"}, {"EN 10220", `8"`, "6.3", "DN 200"}, {"EN 10220", "NPS 8", "6.3", "DN 200"},
		{"ISO 4427-2", "110", "11", "dn 110"}, {"ISO 4427", "dn 110", "SDR 13,6", "dn 110"}, {"iso 4427", "110 mm", "SDR-11", "dn 110"},
		{"EN 12201-2", "DN 110", "sdr 17.0", "dn 110"}, {"EN 545:2010", "DN200", "k 9", "DN 200"}, {"ISO 2531", "200", "Class 40", "DN 200"},
		{"ANSI/AWWA C151/A21.51", "8", "Pressure Class 350", "NPS 8 (DN 200)"}, {"AWWA C151", "DN 200", "52", "NPS 8 (DN 200)"},
		{"B88", `1 1/2"`, "l", "NPS 1 1/2 (DN 40)"}, {"ASTM D1785", "8 in", "schedule 80", "NPS 8 (DN 200)"},
	} {
		got, err := pipe.Lookup(c.standard, c.size, c.schedule)
		if err != nil || got.Size.Label() != c.label {
			t.Errorf("%v: %s, %v", c, got.Size.Label(), err)
		}
	}
	for _, c := range [][3]string{{"EN 10220", "40 in", "5"}, {"EN 10220", "DN 210", "5"}, {"ISO 4427", "8 in", "11"}, {"EN 10220", "DN 200", "0.3"}, {"EN 545", "DN 2000", "C100"}} {
		if got, err := pipe.Lookup(c[0], c[1], c[2]); err == nil && c[1] != "40 in" {
			t.Errorf("%v: %+v", c, got)
		}
	}
}

func TestALeastWallHasNoUnderTolerance(t *testing.T) {
	got, err := pipe.Lookup("ISO 4427", "dn 110", "SDR 11")
	if err != nil || !got.WallIsMinimum || got.WallTolerancePercent != 0 || math.Abs(got.WallOverPercent-12) > 1e-9 {
		t.Errorf("%+v, %v", got, err)
	}
	iron, err := pipe.Lookup("EN 545", "DN 200", "K9")
	if err != nil || math.Abs(iron.WallTolerancePercent-100*1.5/6.3) > 1e-5 || !strings.Contains(iron.Source, "1.3 mm") {
		t.Errorf("%+v, %v", iron, err)
	}
}

// Every wall that Walls lists is found again by the name it gives.
func TestWallsAreFoundAgain(t *testing.T) {
	for _, standard := range pipe.Standards() {
		sizes, err := pipe.Sizes(standard)
		if err != nil {
			t.Fatal(err)
		}
		for _, size := range sizes {
			all, err := pipe.Walls(standard, size.Name)
			if err != nil || len(all) == 0 {
				t.Fatalf("%s %s: %d walls, %v", standard, size.Name, len(all), err)
			}
			last := 0.0
			for _, p := range all {
				found, err := pipe.Lookup(standard, size.Name, p.Schedule)
				if err != nil || found.Wall != p.Wall || p.Wall.SI() < last {
					t.Errorf("%s %s %q: %v, want %v after %g (%v)", standard, size.Name, p.Schedule, found.Wall, p.Wall, last, err)
				}
				last = p.Wall.SI()
			}
		}
	}
	if _, err := pipe.Walls("nobody's", "8"); !fault.Has(err, pipe.UnknownStandard) {
		t.Error(err)
	}
	if _, err := pipe.Walls("EN 10220", "DN 3"); !fault.Has(err, pipe.UnknownSize) {
		t.Error(err)
	}
}
