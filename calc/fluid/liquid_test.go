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
		l := Liquid{Name: r["fluid"], Salinity: r.optional(t, "salinity_g_kg"), APIGravity: r.optional(t, "api_gravity"), Group: Group(r["product_group"]),
			MassFraction: r.optional(t, "mass_fraction")}
		s := state(t, r.number(t, "kelvins"), r.number(t, "pascals"))
		p, err := l.At(s)
		if err != nil {
			t.Errorf("%s: %v", r["id"], err)
			continue
		}
		_, base, _ := l.Base(s)
		slope, _ := l.SoundSpeedSlope(s)
		got := map[string]float64{"density": p.Density.Value, "sound": p.SoundSpeed.Value, "viscosity": p.DynamicViscosity.Value,
			"ctl": base.Temperature, "cpl": base.Pressure, "density60": base.Density60F, "slope": slope}[r["quantity"]]
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
		"methanol has one":             {Liquid{Name: "methanol"}, 1100, 1},
		"slower than acetone":          {Liquid{Name: "acetone"}, 900, 0},
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
		"unknown":               {Liquid{Name: "plasma"}, 300, 1e5, Unknown},
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
		"too little glycol":     {Liquid{Name: "ethylene-glycol-water", MassFraction: 0.19}, 280, 1e5, MassFractionRange},
		"too much glycol":       {Liquid{Name: "propylene-glycol-water", MassFraction: 0.53}, 280, 1e5, MassFractionRange},
		"glycol as per cent":    {Liquid{Name: "propylene-glycol-water", MassFraction: 35}, 280, 1e5, MassFractionRange},
		"glycol freezes":        {Liquid{Name: "ethylene-glycol-water", MassFraction: 0.20}, iceK - 7.9, 1e5, MixtureFreezing},
		"glycol too cold":       {Liquid{Name: "ethylene-glycol-water", MassFraction: 0.50}, iceK - 10.1, 1e5, TemperatureRange},
		"glycol too warm":       {Liquid{Name: "ethylene-glycol-water", MassFraction: 0.50}, iceK + 30.1, 1e5, TemperatureRange},
		"glycol under vacuum":   {Liquid{Name: "ethylene-glycol-water", MassFraction: 0.50}, iceK + 20, 1e3, PressureRange},
		"glycol pressed":        {Liquid{Name: "ethylene-glycol-water", MassFraction: 0.50}, iceK + 20, 2.1e6, PressureRange},
		"solid glycerol":        {Liquid{Name: "glycerol"}, iceK + 15, 101325, TemperatureRange},
		"methanol under vacuum": {Liquid{Name: "methanol"}, iceK + 15, 5e4, PressureRange},
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
	if _, err := Glycol("brandy", 0.4, state(t, 280, 1e5)); !fault.Has(err, Unknown) {
		t.Error(err)
	}
	if _, err := Common("brandy", state(t, 300, 1e5)); !fault.Has(err, Unknown) {
		t.Error(err)
	}
	mixture := Liquid{Name: "propylene-glycol-water", MassFraction: 0.3}
	if _, err := mixture.Temperatures(speed, state(t, 280, 3e5).Pressure); !fault.Has(err, NoSoundSpeed) {
		t.Error(err)
	}
	if _, err := mixture.SoundSpeedSlope(state(t, 280, 3e5)); !fault.Has(err, NoSoundSpeed) {
		t.Error(err)
	}
}

// Whatever is given says where it comes from, how sure it is, and where it holds; a mixture
// refuses to do without its share of glycol.
func TestEveryPropertyIsAccountedFor(t *testing.T) {
	whole := Liquid{Salinity: 35, MassFraction: 0.3, APIGravity: 35}
	for _, name := range LiquidNames() {
		l := whole
		l.Name = name
		s := state(t, iceK+25, 2e5)
		p, err := l.At(s)
		if err != nil || p.Density.Source == "" {
			t.Errorf("%s: %+v %v", name, p, err)
		}
		for what, one := range map[string]Property{"density": p.Density, "viscosity": p.DynamicViscosity, "sound speed": p.SoundSpeed} {
			if one.Source == "" {
				continue
			}
			if !(one.Value > 0) || !(one.StandardUncertainty > 0) || one.StandardUncertainty > 0.05*one.Value {
				t.Errorf("%s: %s %+v", name, what, one)
			}
			if one.Valid.holds(s) != nil || one.Valid.LeastK >= one.Valid.MostK || one.Valid.LeastPa >= one.Valid.MostPa {
				t.Errorf("%s: %s holds in %+v", name, what, one.Valid)
			}
		}
		if _, mixture := glycols[name]; mixture {
			if _, err := (Liquid{Name: name}).At(s); err == nil {
				t.Errorf("%s: given without what it needs", name)
			}
		}
	}
}

// Where a common liquid's viscosity is not known it is not given, and the rest is.
func TestViscosityOnlyBetweenItsNodes(t *testing.T) {
	for celsius, known := range map[float64]bool{10: false, 25: true, 40: true, 50: true} {
		p, err := Liquid{Name: "ethylene-glycol"}.At(state(t, iceK+celsius, 101325))
		if err != nil || (p.DynamicViscosity.Source != "") != known || p.SoundSpeed.Source == "" {
			t.Errorf("%g °C: %+v %v", celsius, p, err)
		}
	}
	p, err := Liquid{Name: "ethylene-glycol"}.At(state(t, iceK+50, 101325))
	if err != nil || math.Abs(p.DynamicViscosity.Value-6.554e-3) > 1e-9 {
		t.Errorf("at the node: %+v %v", p.DynamicViscosity, err)
	}
}

func TestGlycolsFreezeAsTabulated(t *testing.T) {
	for _, c := range []struct {
		name        string
		w, freezing float64 // ASHRAE Handbook Fundamentals, from memory
	}{
		{"ethylene-glycol-water", 0.2, -7.8}, {"ethylene-glycol-water", 0.3, -14.1}, {"ethylene-glycol-water", 0.5, -33.8},
		{"propylene-glycol-water", 0.2, -7.1}, {"propylene-glycol-water", 0.3, -12.7}, {"propylene-glycol-water", 0.5, -33.5},
	} {
		if got := glycols[c.name].freezesAt(c.w); math.Abs(got-c.freezing) > 1e-9 {
			t.Errorf("%s, %g: %g °C, want %g", c.name, c.w, got, c.freezing)
		}
	}
	if got := glycols["ethylene-glycol-water"].freezesAt(0.225); math.Abs(got+9.25) > 1e-9 {
		t.Errorf("between: %g", got)
	}
}
