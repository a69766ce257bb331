package pipe_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/pipe"
)

func TestSearchRanksWhatFits(t *testing.T) {
	for _, c := range []struct{ outside, wall, standard, size, schedule string }{
		{"8.625 in", "0.322 in", "ASME B36.10M", "8", "STD"},
		{"219.1 mm", "6.3 mm", "EN 10220", "200", ""},
		{"222.2 mm", "6.4 mm", "EN 545", "200", "K9"},
		{"110.1 mm", "10.1 mm", "ISO 4427", "110", "11"},
		{"9.05 in", "0.331 in", "AWWA C151", "8", "52"},
		{"2.125 in", "0.07 in", "ASTM B88", "2", "L"},
	} {
		got, err := pipe.Search(pipe.Measured{OutsideDiameter: length(t, c.outside), Wall: length(t, c.wall)})
		if err != nil || len(got) == 0 {
			t.Errorf("%v: %d, %v", c, len(got), err)
			continue
		}
		if f := got[0]; f.Standard != c.standard || f.Size.Name != c.size || f.Schedule != c.schedule {
			t.Errorf("%v: first %s %s %s, %v", c, f.Standard, f.Size.Name, f.Schedule, f.Distance)
		}
		for i, f := range got[1:] {
			if f.Distance < got[i].Distance {
				t.Errorf("%v: not ranked at %d", c, i)
			}
		}
	}
}

// Every pipe of every standard is found by its own dimensions, at no distance.
func TestEveryPipeFitsItself(t *testing.T) {
	for _, r := range read(t, "testdata/standards.csv") {
		p, err := pipe.Lookup(r["standard"], r["size"], r["schedule"])
		if err != nil {
			t.Fatal(err)
		}
		got, err := pipe.Search(pipe.Measured{OutsideDiameter: p.Size.OutsideDiameter, Wall: p.Wall})
		found := false
		for _, f := range got {
			found = found || f.Standard == p.Standard && f.Size == p.Size && f.Distance < 1e-9
		}
		if err != nil || !found {
			t.Errorf("%s %s %s: not among %d, %v", p.Standard, p.Size.Label(), p.Schedule, len(got), err)
		}
	}
}

func TestSearchWithoutAWallAndWithTolerances(t *testing.T) {
	m := pipe.Measured{OutsideDiameter: length(t, "219.1 mm")}
	all, err := pipe.Search(m)
	if err != nil || len(all) < 30 {
		t.Fatalf("%d, %v", len(all), err)
	}
	m.Wall, m.WallTolerance, m.OutsideTolerance = length(t, "8.2 mm"), length(t, "0.05 mm"), length(t, "0.1 mm")
	few, err := pipe.Search(m)
	if err != nil || len(few) == 0 || len(few) >= len(all) {
		t.Fatalf("%d of %d, %v", len(few), len(all), err)
	}
	for _, f := range few {
		if math.Abs(f.WallDifference) > 0.0000501 || math.Abs(f.OutsideDifference) > 0.000101 {
			t.Errorf("%+v lies outside", f)
		}
	}
}

func TestSearchRefuses(t *testing.T) {
	good, negative := length(t, "200 mm"), length(t, "-1 mm")
	for name, c := range map[string]struct {
		m    pipe.Measured
		code *fault.Code
	}{
		"outside":           {pipe.Measured{}, pipe.BadOutsideDiameter},
		"wall":              {pipe.Measured{OutsideDiameter: good, Wall: good}, pipe.BadWall},
		"outside tolerance": {pipe.Measured{OutsideDiameter: good, OutsideTolerance: negative}, pipe.BadTolerance},
		"wall tolerance":    {pipe.Measured{OutsideDiameter: good, WallTolerance: negative}, pipe.BadTolerance},
	} {
		if _, err := pipe.Search(c.m); !fault.Has(err, c.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
