package profile_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/profile"
)

var short = []profile.Short{{Share: 0.5, HalfWidth: 0.02}, {Share: 0, HalfWidth: 0.05}}

func TestShareAndWhatItAdds(t *testing.T) {
	for _, c := range []struct {
		name                                string
		length, diameters, bore, share, add float64
	}{
		{"long enough", 2.5, 10, 0.2, 1.25, 0},
		{"just long enough", 2, 10, 0.2, 1, 0},
		{"a little short", 1.9, 10, 0.2, 0.95, 0.02},
		{"half", 1, 10, 0.2, 0.5, 0.02},
		{"less than half", 0.99, 10, 0.2, 0.495, 0.05},
		{"none", 0, 10, 0.2, 0, 0.05},
		{"nothing asked for", 0, 0, 0.2, math.Inf(1), 0},
	} {
		share, err := profile.Share(c.length, c.diameters, c.bore)
		if err != nil || !(share == c.share || math.Abs(share-c.share) < 1e-12) {
			t.Errorf("%s: share %g, %v", c.name, share, err)
		}
		if got := profile.Added(short, c.share); got != c.add {
			t.Errorf("%s: adds %g, want %g", c.name, got, c.add)
		}
	}
	if got := profile.Added(short, math.Nextafter(1, 0)); got != 0.02 {
		t.Errorf("an ulp short adds %g", got)
	}
	if got := profile.Added(short, math.Nextafter(0.5, 0)); got != 0.05 {
		t.Errorf("an ulp below half adds %g", got)
	}
	if got := profile.Added(nil, 0.1); got != 0 {
		t.Errorf("no table adds %g", got)
	}
}

func TestStraightRefuses(t *testing.T) {
	if _, err := profile.Share(-1, math.Inf(1), 0); len(fault.AllOf(err)) != 3 || !fault.Has(err, profile.NotPositive) {
		t.Errorf("%v", err)
	}
	for name, c := range map[string]struct {
		table []profile.Short
		code  *fault.Code
	}{
		"rising":     {[]profile.Short{{Share: 0, HalfWidth: 0.05}, {Share: 0.5, HalfWidth: 0.02}}, profile.SharesOrder},
		"no last":    {short[:1], profile.SharesOrder},
		"whole":      {[]profile.Short{{Share: 1, HalfWidth: 0.05}, {Share: 0, HalfWidth: 0.05}}, profile.SharesOrder},
		"below zero": {[]profile.Short{{Share: 0, HalfWidth: -0.05}}, profile.NotPositive},
	} {
		if err := profile.CheckShort(c.table); !fault.Has(err, c.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := profile.CheckShort(short); err != nil {
		t.Error(err)
	}
}
