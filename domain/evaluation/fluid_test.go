package evaluation_test

import (
	"math"
	"slices"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// surveyOf is a survey of the values given: numbers in SI, texts, all by one source.
func surveyOf(source sheet.Source, values map[sheet.Name]any) sheet.Survey {
	s := sheet.Survey{}
	for name, v := range values {
		row := sheet.Value{Name: name, Source: source, Count: 1}
		switch v := v.(type) {
		case float64:
			row.Number = v
		case string:
			row.Text = v
		}
		s[name] = row
	}
	return s
}

const zeroC = 273.15

var plant = method.Content{AssumedPressure: 4e5, Fluids: []method.FluidTable{{Name: "Plant coolant", StandardUncertainty: 0.003, Basis: "supplier",
	Rows: []method.FluidTableRow{{Celsius: 0, Density: 1052, DynamicViscosity: 4.8e-3, SoundSpeed: 1613}, {Celsius: 20, Density: 1044, DynamicViscosity: 2.4e-3, SoundSpeed: 1606}}}}}

// Each fluid of the survey is the one of package fluid with what fixes it; what is
// missing for it is named, and nothing is guessed.
func TestSurveyedFluids(t *testing.T) {
	for name, c := range map[string]struct {
		values  map[sheet.Name]any
		density float64
		within  float64 // sources of the densities: the tests of package fluid
		missing sheet.Name
	}{
		"water above 100 °C": {map[sheet.Name]any{sheet.Fluid: "Water ", sheet.Temperature: zeroC + 120, sheet.Pressure: 1e6}, 943.5, 0.2, ""},
		"sea water":          {map[sheet.Name]any{sheet.Fluid: "seawater", sheet.Salinity: 0.03516504, sheet.Temperature: zeroC, sheet.Pressure: 101325.0}, 1028.1072, 0.001, ""},
		"fresh sea water":    {map[sheet.Name]any{sheet.Fluid: "seawater", sheet.Temperature: zeroC + 10}, 0, 0, sheet.Salinity},
		"glycol":             {map[sheet.Name]any{sheet.Fluid: "ethylene-glycol-water", sheet.MassFraction: 0.31, sheet.Temperature: zeroC + 10}, 1043.954, 0.25, ""},
		"glycol, no share":   {map[sheet.Name]any{sheet.Fluid: "propylene-glycol-water", sheet.Temperature: zeroC + 10}, 0, 0, sheet.MassFraction},
		"crude":              {map[sheet.Name]any{sheet.Fluid: "crude-oil", sheet.APIGravity: 35.0, sheet.Temperature: zeroC + 340.0/9, sheet.Pressure: 101325.0}, 849.0136 * 0.9809637, 0.01, ""},
		"crude, no gravity":  {map[sheet.Name]any{sheet.Fluid: "crude-oil", sheet.Temperature: zeroC + 40}, 0, 0, sheet.APIGravity},
		"product by density": {map[sheet.Name]any{sheet.Fluid: "refined-product", sheet.APIGravity: 30.0, sheet.Temperature: zeroC + 140.0/9, sheet.Pressure: 101325.0}, 875.2988, 0.001, ""},
		"the company's":      {map[sheet.Name]any{sheet.Fluid: "plant COOLANT", sheet.Temperature: zeroC + 20}, 1044, 1e-9, ""},
		"methanol":           {map[sheet.Name]any{sheet.Fluid: "methanol", sheet.Temperature: zeroC + 25}, 786.6, 1e-9, ""},
	} {
		s := surveyOf(sheet.Client, c.values)
		p, err := evaluation.FluidProperties(s, plant, s[sheet.Temperature].Number)
		if c.missing != "" {
			f, _ := fault.Of(err)
			if f.Code != evaluation.ValueMissing || f.Field != string(c.missing) {
				t.Errorf("%s: %v, want %s missing", name, err, c.missing)
			}
			continue
		}
		if err != nil || math.Abs(p.Density.Value-c.density) > c.within {
			t.Errorf("%s: %g kg/m³, want %g (%v)", name, p.Density.Value, c.density, err)
		}
	}
}

// The group that a technician names is the one that counts.
func TestTheProductGroupCounts(t *testing.T) {
	s := surveyOf(sheet.Client, map[sheet.Name]any{sheet.Fluid: "refined-product", sheet.APIGravity: 30.0, sheet.ProductGroup: "gasoline", sheet.Temperature: zeroC + 20})
	if _, err := evaluation.FluidProperties(s, plant, zeroC+20); !fault.Has(err, fluid.GravityRange) {
		t.Errorf("gasoline of 30 °API: %v", err)
	}
}

// What was measured of the fluid itself goes before its table; of a fluid that is not known
// here, all three make it known.
func TestSurveyedPropertiesGoBeforeTheTable(t *testing.T) {
	own := map[sheet.Name]any{sheet.Density: 870.0, sheet.KinematicViscosity: 12e-6, sheet.FluidSoundSpeed: 1390.0, sheet.Temperature: zeroC + 30}
	for _, name := range []string{"crude-oil", "black liquor"} {
		own[sheet.Fluid], own[sheet.APIGravity] = name, 35.0
		p, err := evaluation.FluidProperties(surveyOf(sheet.Client, own), plant, zeroC+30)
		if err != nil || p.Density.Value != 870 || p.SoundSpeed.Value != 1390 || math.Abs(p.DynamicViscosity.Value-870*12e-6) > 1e-15 {
			t.Errorf("%s: %+v %v", name, p, err)
		}
	}
	delete(own, sheet.KinematicViscosity)
	if _, err := evaluation.FluidProperties(surveyOf(sheet.Client, own), plant, zeroC+30); !fault.Has(err, fluid.Unknown) {
		t.Errorf("an unknown fluid without a viscosity: %v", err)
	}
}

// The set-up names what is missing for the fluid, in order: what the fluid needs, then its
// own sound speed where no table has one.
func TestSetupAsksForWhatTheFluidNeeds(t *testing.T) {
	f := facts(t)
	pair := pairOf(t, f, beam.Shear)
	for name, c := range map[string]struct {
		values map[sheet.Name]any
		want   []sheet.Name
	}{
		"sea water":        {map[sheet.Name]any{sheet.Fluid: "seawater"}, []sheet.Name{sheet.Salinity}},
		"glycol":           {map[sheet.Name]any{sheet.Fluid: "ethylene-glycol-water", sheet.MassFraction: 0.3}, []sheet.Name{sheet.FluidSoundSpeed}},
		"not known":        {map[sheet.Name]any{sheet.Fluid: "brandy"}, []sheet.Name{sheet.FluidSoundSpeed}},
		"beyond its range": {map[sheet.Name]any{sheet.Fluid: "water", sheet.Temperature: zeroC + 190}, []sheet.Name{sheet.Temperature}},
		"measured":         {map[sheet.Name]any{sheet.Fluid: "brandy", sheet.FluidSoundSpeed: 1300.0}, nil},
	} {
		s := f.Sheet.Now()
		for n, v := range surveyOf(sheet.Client, c.values) {
			s[n] = v
		}
		_, missing, faults := evaluation.SetupOf(s, pair, f.Method.Content)
		if !slices.Equal(missing, c.want) || len(faults) > 0 {
			t.Errorf("%s: missing %v, want %v (%v)", name, missing, c.want, faults)
		}
	}
}

// A fluid whose viscosity is not known leaves the regime open: results are for information.
func TestAnOilWithoutViscosityIsForInformation(t *testing.T) {
	f := facts(t)
	change(&f, sheet.Fluid, func(v *sheet.SurveyValue) { v.Entered = "crude-oil" })
	add(&f, sheet.SurveyValue{Name: sheet.APIGravity, Value: number(35), Entered: "35 °API", Source: sheet.Client})
	r := evaluate(t, f)
	if r.Conformity || !r.Mountings[0].Grounds.Has(evaluation.FluidIncomplete) {
		t.Errorf("conformity %v, %v", r.Conformity, r.Mountings[0].Grounds)
	}
	add(&f, sheet.SurveyValue{Name: sheet.KinematicViscosity, Value: number(6e-6), Entered: "6 cSt", Source: sheet.Client})
	if r = evaluate(t, f); !r.Conformity {
		t.Errorf("with a viscosity: %v %v", r.Grounds, r.Mountings[0].Grounds)
	}
}

// change alters the rows of a name; add takes over the stamp of the first row.
func change(f *evaluation.Facts, name sheet.Name, how func(*sheet.SurveyValue)) {
	f.Sheet.Survey = slices.Clone(f.Sheet.Survey)
	for i := range f.Sheet.Survey {
		if f.Sheet.Survey[i].Name == name {
			how(&f.Sheet.Survey[i])
		}
	}
}

func add(f *evaluation.Facts, v sheet.SurveyValue) {
	v.Stamp = f.Sheet.Survey[0].Stamp
	v.ID = f.Sheet.Survey[0].ID
	v.ID.UUID[15] += byte(100 + len(f.Sheet.Survey))
	f.Sheet.Survey = append(slices.Clone(f.Sheet.Survey), v)
}

// A vague sound speed of the fluid's table counts where the reference's flow rests on it.
func TestTheTablesSoundSpeedCountsWhereItIsUsed(t *testing.T) {
	f := facts(t)
	change(&f, sheet.Fluid, func(v *sheet.SurveyValue) { v.Entered = "crude-oil" })
	add(&f, sheet.SurveyValue{Name: sheet.APIGravity, Value: number(35), Entered: "35 °API", Source: sheet.Client})
	add(&f, sheet.SurveyValue{Name: sheet.KinematicViscosity, Value: number(6e-6), Entered: "6 cSt", Source: sheet.Client})
	way := kit.EnteredSoundSpeed
	for i := range f.Kit {
		if f.Kit[i].WorksBy != nil {
			f.Kit[i].WorksBy = &way
		}
	}
	r := evaluate(t, f)
	i := slices.IndexFunc(r.Mountings[0].Sensitivity, func(s evaluation.Sensitivity) bool { return s.Input == "fluid-sound-speed" })
	if i < 0 {
		t.Fatalf("no sound speed of the fluid among %+v", r.Mountings[0].Sensitivity)
	}
	one := r.Mountings[0].Sensitivity[i]
	if one.Source != "standard" || math.Abs(one.StandardUncertainty/one.Value-0.02) > 1e-12 || one.Sensitivity == 0 {
		t.Errorf("%+v", one)
	}
}
