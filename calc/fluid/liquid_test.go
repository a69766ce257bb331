package fluid

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

func (r row) optional(t *testing.T, name string) float64 {
	if r[name] == "" {
		return 0
	}
	return r.number(t, name)
}

func TestLiquidsAgainstPublishedValues(t *testing.T) {
	for _, r := range read(t, "testdata/liquids.csv") {
		l := Liquid{Name: r["fluid"], Salinity: r.optional(t, "salinity_g_kg"), APIGravity: r.optional(t, "api_gravity"), Group: Group(r["product_group"])}
		s := state(t, r.number(t, "kelvins"), r.number(t, "pascals"))
		p, err := l.At(s)
		if err != nil {
			t.Errorf("%s: %v", r["id"], err)
			continue
		}
		_, base, _ := l.Base(s)
		got := map[string]float64{"density": p.Density.Value, "sound": p.SoundSpeed.Value, "viscosity": p.DynamicViscosity.Value,
			"ctl": base.Temperature, "cpl": base.Pressure, "density60": base.Density60F}[r["quantity"]]
		if want := r.number(t, "expected"); !(math.Abs(got-want) <= r.number(t, "tolerance")) {
			t.Errorf("%s: %s %.9g, want %.9g ± %s (%s; %s)", r["id"], r["quantity"], got, want, r["tolerance"], r["source"], r["basis"])
		}
	}
}

func TestSeawaterWithoutSaltIsWater(t *testing.T) {
	for _, c := range []float64{0, 12, 25, 40} {
		s := state(t, iceK+c, 3e5)
		sea, err := Liquid{Name: "seawater"}.At(s)
		if err != nil {
			t.Fatal(err)
		}
		water, err := Water(s.Temperature, s.Pressure)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(sea.Density.Value-water.Density.Value) > 1e-9 || math.Abs(sea.SoundSpeed.Value-water.SoundSpeed.Value) > 1e-7 ||
			sea.DynamicViscosity.Value != water.DynamicViscosity.Value {
			t.Errorf("%g °C: %+v is not %+v", c, sea, water)
		}
	}
}

func TestBaseConditionsOfOilsAreConsistent(t *testing.T) {
	for _, l := range []Liquid{{Name: "crude-oil", APIGravity: 35}, {Name: "refined-product", APIGravity: 50}, {Name: "lubricating-oil", APIGravity: 28}} {
		_, base, err := l.Base(state(t, at15C, atmosphere))
		if err != nil {
			t.Fatal(err)
		}
		if base.To15C != 1 {
			t.Errorf("%s at 15 °C: factor to 15 °C %v", l.Name, base.To15C)
		}
		if _, base, _ = l.Base(state(t, iceK+140.0/9, atmosphere)); math.Abs(base.To60F-1) > 1e-7 {
			t.Errorf("%s at 60 °F: factor to 60 °F %v", l.Name, base.To60F)
		}
	}
}

var cooled = Table{Source: "own table", RelativeUncertainty: 0.01, Rows: []TableRow{
	{iceK, 1000, 2e-3, 1500}, {iceK + 10, 998, 1.5e-3, 1520}, {iceK + 20, 995, 1e-3, 1510}, {iceK + 30, 991, 8e-4, 1480}}}

func TestTableKeepsItsRowsAndItsShape(t *testing.T) {
	for _, r := range cooled.Rows {
		p, err := cooled.At(r.Kelvins)
		if err != nil || p.Density.Value != r.Density || p.SoundSpeed.Value != r.SoundSpeed || p.Density.StandardUncertainty != r.Density*0.01 {
			t.Errorf("%g K: %+v %v", r.Kelvins, p, err)
		}
	}
	last := math.Inf(1)
	for k := iceK; k <= iceK+30; k += 0.5 {
		p, err := cooled.At(k)
		if err != nil || p.Density.Value > last || p.SoundSpeed.Value > 1520 {
			t.Errorf("%g K: %+v %v", k, p, err)
		}
		last = p.Density.Value
	}
}

// Every temperature found must have the speed it was found for, and none may be missed.
func TestTemperaturesOfLiquids(t *testing.T) {
	for name, c := range map[string]struct {
		liquid Liquid
		speed  float64
		roots  int
	}{
		"both sides of a table's turn": {Liquid{Name: "own", Table: &cooled}, 1515, 2},
		"one side of it alone":         {Liquid{Name: "own", Table: &cooled}, 1490, 1},
		"beyond the table":             {Liquid{Name: "own", Table: &cooled}, 1600, 0},
		"water has two":                {Liquid{Name: "water"}, 1540, 2},
		"crude oil has one":            {Liquid{Name: "crude-oil", APIGravity: 30}, 1272.6, 1},
		"faster than sea water":        {Liquid{Name: "seawater", Salinity: 35}, 1700, 0},
		"sea water has one":            {Liquid{Name: "seawater", Salinity: 35.16504}, 1547.1, 1},
	} {
		speed, err := quantity.MetresPerSecond(c.speed)
		if err != nil {
			t.Fatal(err)
		}
		p := state(t, 300, 1101325).Pressure
		got, err := c.liquid.Temperatures(speed, p)
		if err != nil || len(got) != c.roots {
			t.Errorf("%s: %v %v, want %d", name, got, err, c.roots)
		}
		for i, root := range got {
			properties, err := c.liquid.At(State{root, p})
			if err != nil || math.Abs(properties.SoundSpeed.Value-c.speed) > 1e-4 {
				t.Errorf("%s: %g K: %g m/s, want %g (%v)", name, root.SI(), properties.SoundSpeed.Value, c.speed, err)
			}
			if i > 0 && root.SI() <= got[i-1].SI() {
				t.Errorf("%s: not rising: %v", name, got)
			}
		}
	}
}

func TestLiquidsRefuse(t *testing.T) {
	table := func(rows ...TableRow) Liquid { return Liquid{Name: "own", Table: &Table{Rows: rows, Source: "own"}} }
	row := func(k, d float64) TableRow { return TableRow{Kelvins: k, Density: d} }
	for name, c := range map[string]struct {
		liquid          Liquid
		kelvins, pascal float64
		want            *fault.Code
	}{
		"unknown":               {Liquid{Name: "mercury"}, 300, 1e5, Unknown},
		"too salty":             {Liquid{Name: "seawater", Salinity: 121}, 300, 1e5, SalinityRange},
		"negative salt":         {Liquid{Name: "seawater", Salinity: -1}, 300, 1e5, SalinityRange},
		"sea too hot":           {Liquid{Name: "seawater", Salinity: 35}, iceK + 81, 1e5, TemperatureRange},
		"warm sea too deep":     {Liquid{Name: "seawater", Salinity: 35}, iceK + 50, 3e6, PressureRange},
		"sea too cold":          {Liquid{Name: "seawater", Salinity: 35}, 260, 1e5, Freezing},
		"group":                 {Liquid{Name: "refined-product", APIGravity: 40, Group: "tar"}, 300, 101325, GroupUnknown},
		"gravity of group":      {Liquid{Name: "refined-product", APIGravity: 10, Group: Gasoline}, 300, 101325, GravityRange},
		"gravity of none":       {Liquid{Name: "refined-product", APIGravity: 200}, 300, 101325, GravityRange},
		"gravity below nothing": {Liquid{Name: "crude-oil", APIGravity: -140}, 300, 101325, GravityRange},
		"oil too hot":           {Liquid{Name: "crude-oil", APIGravity: 30}, iceK + 151, 101325, TemperatureRange},
		"oil under vacuum":      {Liquid{Name: "crude-oil", APIGravity: 30}, 300, 9e4, PressureRange},
		"one row":               {table(row(300, 1)), 300, 1e5, TableShort},
		"equal temperatures":    {table(row(300, 1), row(300, 2)), 300, 1e5, TableOrder},
		"negative density":      {table(row(300, 1), row(310, -2)), 300, 1e5, TableValue},
		"beyond the table":      {table(row(300, 1), row(310, 2)), 311, 1e5, TemperatureRange},
	} {
		if _, err := c.liquid.At(state(t, c.kelvins, c.pascal)); !fault.Has(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	speed, _ := quantity.MetresPerSecond(1400)
	_, err := table(row(300, 1), row(310, 2)).Temperatures(speed, state(t, 300, 1e5).Pressure)
	if !fault.Has(err, NoSoundSpeed) {
		t.Error(err)
	}
	if _, _, err := (Liquid{Name: "water"}).Base(state(t, 300, 1e5)); !fault.Has(err, Unknown) {
		t.Error(err)
	}
}
