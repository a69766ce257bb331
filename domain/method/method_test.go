package method_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/solid"
	"rillmark/calc/uncertainty"
	"rillmark/domain"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

func TestReadyIsValidAndKnown(t *testing.T) {
	c := method.Ready()
	if err := c.Validate(); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"not known", "none near", "single elbow", "pump, discharge side"} {
		if s, ok := c.Straight(name); !ok || s.Before <= 0 || s.Basis == "" {
			t.Errorf("%s: %+v", name, s)
		}
	}
	if len(c.Disturbances()) != len(c.StraightLengths) || c.Disturbances()[0] != "not known" {
		t.Errorf("%v", c.Disturbances())
	}
	if m, ok := c.Material("carbon steel"); !ok || m.Shear < 3000 || m.Longitudinal < 5000 {
		t.Errorf("%+v", m)
	}
	if _, ok := c.Straight("a spaghetti bend"); ok {
		t.Error("a disturbance of no name is known")
	}
	if _, ok := c.Material("cheese"); ok {
		t.Error("a material of no name is known")
	}
}

// TestEveryNumberNamesItsBasis: a value of the budget, of a survey, a length or a speed
// says what it rests on.
func TestEveryNumberNamesItsBasis(t *testing.T) {
	for i, r := range method.Ready().Budget {
		if len(r.Basis) < 8 {
			t.Errorf("row %d, %s: basis %q", i, r.Name, r.Basis)
		}
	}
}

func TestCanonicalComesBack(t *testing.T) {
	c := method.Ready()
	text, err := c.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	back, err := method.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	again, _ := back.Canonical()
	if !bytes.Equal(text, again) {
		t.Error("the content does not come back from its canonical JSON")
	}
	indented := bytes.Buffer{}
	if err := json.Indent(&indented, text, "", "  "); err != nil {
		t.Fatal(err)
	}
	other, err := method.Parse(indented.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	a, _ := c.Hash()
	b, _ := other.Hash()
	if a != b || len(a) != 64 {
		t.Errorf("hashes %s and %s", a, b)
	}
	other.Coverage = 0.95
	if b, _ = other.Hash(); a == b {
		t.Error("another content, the same hash")
	}
	other.Coverage = math.NaN()
	if _, err := other.Hash(); err == nil {
		t.Error("NaN has a hash")
	}
}

func TestParseRefuses(t *testing.T) {
	text, err := method.Ready().Canonical()
	if err != nil {
		t.Fatal(err)
	}
	for name, bad := range map[string]string{
		"no JSON":         "runs: 3",
		"misspelt":        strings.Replace(string(text), `"coverage"`, `"covrage"`, 1),
		"a wrong type":    strings.Replace(string(text), `"per_point":3`, `"per_point":"3"`, 1),
		"something after": string(text) + "{}",
	} {
		if _, err := method.Parse([]byte(bad)); !fault.Has(err, method.Unreadable) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := method.Parse([]byte("{}")); !fault.Has(err, method.RowMissing) || !fault.Has(err, method.TooFew) {
		t.Errorf("an empty content: %v", err)
	}
}

func TestSpeedsOfPipesAndLiners(t *testing.T) {
	c := method.Ready()
	for _, one := range []struct {
		of       func(string, beam.Wave) (float64, bool)
		material string
		wave     beam.Wave
		want     float64
	}{
		{c.PipeSpeed, "carbon steel", beam.Shear, 3230}, {c.PipeSpeed, "carbon steel", beam.Longitudinal, 5900},
		{c.PipeSpeed, "polyethylene", beam.Shear, 0}, {c.PipeSpeed, "cheese", beam.Shear, 0},
		{c.LinerSpeed, "cement mortar", beam.Shear, 2500}, {c.LinerSpeed, "cement mortar", beam.Longitudinal, 4190},
		{c.LinerSpeed, "rubber", beam.Shear, 1480}, {c.LinerSpeed, "cheese", beam.Shear, 0},
	} {
		if got, ok := one.of(one.material, one.wave); got != one.want || ok != (one.want > 0) {
			t.Errorf("%s, %s: %v, %v", one.material, one.wave, got, ok)
		}
	}
}

func TestShortLengths(t *testing.T) {
	c := method.Ready()
	for share, want := range map[float64]float64{1.5: 0, 1: 0, math.Nextafter(1, 0): 0.02, 0.5: 0.02, math.Nextafter(0.5, 0): 0.05, 0: 0.05, math.Inf(1): 0} {
		if got := c.Short(share); got != want {
			t.Errorf("share %v: %v, want %v", share, got, want)
		}
	}
	if got := (method.Content{}).Short(0.3); got != 0 {
		t.Errorf("without a table: %v", got)
	}
}

// TestSurveyUncertainty by JCGM 100:2008, 4.3.3 and 4.3.7, by hand.
func TestSurveyUncertainty(t *testing.T) {
	c := method.Ready()
	for _, one := range []struct {
		name   sheet.Name
		source sheet.Source
		value  float64
		want   float64
	}{
		{sheet.Wall, sheet.Measured, 0.0071, 0.0001},                             // 0.2 mm, k = 2
		{sheet.Wall, sheet.Assumed, 0.0071, 0.125 * 0.0071 / math.Sqrt(3)},       // the tolerance, rectangular
		{sheet.OutsideDiameter, sheet.Measured, 0.1683, 0.002 * 0.1683 / 2},      // 0.2 %, k = 2
		{sheet.Temperature, sheet.Client, 293.15, 5 / math.Sqrt(3)},              // 5 K, rectangular
		{sheet.PipeSoundSpeed, sheet.Standard, 3230, 0.02 * 3230 / math.Sqrt(3)}, // of the table of materials
	} {
		s, ok := c.SurveyOf(one.name, one.source)
		got, err := s.Of(one.value)
		if !ok || err != nil || math.Abs(got-one.want) > 1e-12*one.want {
			t.Errorf("%s, %s: %v, want %v (%v)", one.name, one.source, got, one.want, err)
		}
	}
	if _, ok := c.SurveyOf(sheet.Distance, sheet.Measured); ok {
		t.Error("a value that no budget needs has an uncertainty")
	}
	if _, err := method.StandardUncertainty("bell", 1, 0); !fault.Has(err, uncertainty.CodeDistributionUnknown) {
		t.Errorf("a distribution of no name: %v", err)
	}
}

func TestEveryProblemIsFound(t *testing.T) {
	half := 0.5
	row := func(c *method.Content, name string) *method.BudgetRow {
		for i := range c.Budget {
			if c.Budget[i].Name == name {
				return &c.Budget[i]
			}
		}
		t.Fatalf("no row %q", name)
		return nil
	}
	without := func(c *method.Content, from method.From) {
		var kept []method.BudgetRow
		for _, r := range c.Budget {
			if r.From != from {
				kept = append(kept, r)
			}
		}
		c.Budget = kept
	}
	for _, c := range []struct {
		name   string
		change func(*method.Content)
		code   *fault.Code
		field  string
	}{
		{"no runs", func(c *method.Content) { c.Runs.FlowPoints = 0 }, method.TooFew, "runs.flow_points"},
		{"fewer than the least", func(c *method.Content) { c.Runs.PerPoint = 2 }, method.TooFew, "runs.per_point"},
		{"no time", func(c *method.Content) { c.Runs.Seconds = 0 }, method.NotPositive, "runs.seconds"},
		{"time without end", func(c *method.Content) { c.Runs.Interval = math.Inf(1) }, method.NotFinite, "runs.interval_s"},
		{"negative averaging", func(c *method.Content) { c.Runs.Averaging = -1 }, method.Negative, "runs.averaging_s"},
		{"pooled freedom", func(c *method.Content) { c.Criteria.PooledFreedom = 0 }, method.BelowOne, "criteria.pooled_freedom"},
		{"between two runs", func(c *method.Content) { c.Criteria.BetweenRunsFrom = 2 }, method.TooFew, "criteria.between_runs_from"},
		{"transition", func(c *method.Content) { c.Transition.Upper = 1000 }, method.RangeReversed, "transition.upper_reynolds"},
		{"coverage in per cent", func(c *method.Content) { c.Coverage = 95.45 }, method.NotAFraction, "coverage"},
		{"tolerances crossed", func(c *method.Content) { c.SetupCheck.MaximumTolerance = 0.001 }, method.RangeReversed, "setup_check.maximum_tolerance"},
		{"tolerance in per cent", func(c *method.Content) { c.SetupCheck.Change = 1.5 }, method.NotAFraction, "setup_check.change"},
		{"survey of a text", func(c *method.Content) { c.Survey[0].Name = sheet.Fluid }, method.UnknownWord, "survey[0].name"},
		{"survey from nowhere", func(c *method.Content) { c.Survey[len(c.Survey)-1].Source = "rumour" }, method.UnknownWord, "survey[52].source"},
		{"both relative and absolute", func(c *method.Content) { c.Survey[0].Absolute = 1 }, method.OneOfTwo, "survey[0].relative"},
		{"normal without k", func(c *method.Content) { c.Survey[0].K = 0 }, method.FactorMissing, "survey[0].k"},
		{"a distribution of no name", func(c *method.Content) { c.Survey[0].Distribution = "bell" }, uncertainty.CodeDistributionUnknown, "survey[0].distribution"},
		{"said twice", func(c *method.Content) { c.Survey = append(c.Survey, c.Survey[0]) }, method.NamedTwice, "survey[53].name"},
		{"k of a rectangle", func(c *method.Content) { row(c, "ovality of the pipe").K = 2 }, method.FactorMissing, "budget[15].k"},
		{"a row twice", func(c *method.Content) { c.Budget = append(c.Budget, c.Budget[15]) }, method.NamedTwice, "budget[25].name"},
		{"no scope", func(c *method.Content) { c.Budget[15].Scope = "" }, method.UnknownWord, "budget[15].scope"},
		{"from nowhere", func(c *method.Content) { c.Budget[15].From = "rumour" }, method.UnknownWord, "budget[15].from"},
		{"acts on the weather", func(c *method.Content) { c.Budget[15].ActsOn = "weather" }, method.UnknownWord, "budget[15].acts_on"},
		{"an input that is not acted on", func(c *method.Content) { c.Budget[15].Input = "wall" }, method.InputMismatch, "budget[15].input"},
		{"no such survey value", func(c *method.Content) { row(c, "wall thickness").Input = "colour" }, method.UnknownWord, "budget[4].input"},
		{"no such input", func(c *method.Content) { row(c, "transducer spacing").Input = "colour_m" }, method.UnknownWord, "budget[10].input"},
		{"a value of a calibration", func(c *method.Content) { c.Budget[0].Value = 1 }, method.ValueUnused, "budget[0].value"},
		{"half a degree of freedom", func(c *method.Content) { c.Budget[15].Freedom = &half }, method.BelowOne, "budget[15].degrees_of_freedom"},
		{"a part of nothing", func(c *method.Content) { c.Budget[15].CertificatePart = 0.001 }, method.PartMismatch, "budget[15].certificate_part"},
		{"partly of nothing", func(c *method.Content) { c.Budget[15].InCertificate = method.Partly }, method.PartMismatch, "budget[15].certificate_part"},
		{"a part above the whole", func(c *method.Content) { row(c, "velocity profile").CertificatePart = 0.02 }, method.PartTooLarge, "budget[12].certificate_part"},
		{"no basis", func(c *method.Content) { c.Budget[15].Basis = "" }, domain.Required, "budget[15].basis"},
		{"no scatter", func(c *method.Content) { without(c, method.FromScatter) }, method.RowMissing, "budget"},
		{"no calibration", func(c *method.Content) { without(c, method.FromCalibration) }, method.RowMissing, "budget"},
		{"a source without uncertainty", func(c *method.Content) { c.Survey = c.Survey[1:] }, method.RowMissing, "budget[3].input"},
		{"a disturbance twice", func(c *method.Content) { c.StraightLengths = append(c.StraightLengths, c.StraightLengths[0]) }, method.NamedTwice, "straight_lengths[13].disturbance"},
		{"shares that rise", func(c *method.Content) { c.ShortLengths[0].Share = 1 }, method.SharesOrder, "short_lengths[0].share"},
		{"no last share", func(c *method.Content) { c.ShortLengths = c.ShortLengths[:1] }, method.SharesOrder, "short_lengths"},
		{"a silent material", func(c *method.Content) { c.Materials[0].Shear, c.Materials[0].Longitudinal = 0, 0 }, method.NoSpeed, "materials[0]"},
		{"no statement", func(c *method.Content) { c.Statements.Uncertainty = " " }, domain.Required, "statements.uncertainty"},
	} {
		t.Run(c.name, func(t *testing.T) {
			content := method.Ready()
			c.change(&content)
			err := content.Validate()
			for _, f := range fault.AllOf(err) {
				if f.Code == c.code && f.Field == c.field {
					return
				}
			}
			t.Errorf("%s in %s is not among %v", c.code.Name(), c.field, err)
		})
	}
}

// The company's fluids are tables that hold, with names of their own.
func TestFluidsOfTheCompany(t *testing.T) {
	c := method.Ready()
	c.Fluids = []method.FluidTable{{Name: "coolant", Basis: "supplier", StandardUncertainty: 0.003,
		Rows: []method.FluidTableRow{{Celsius: 0, Density: 1050, SoundSpeed: 1610}, {Celsius: 20, Density: 1040, SoundSpeed: 1600}}}}
	if err := c.Validate(); err != nil {
		t.Fatal(err)
	}
	table, own := c.Fluid("Coolant")
	if !own || table.Rows[1].Kelvins != 293.15 || table.Source != "supplier" || table.RelativeUncertainty != 0.003 {
		t.Errorf("%+v %v", table, own)
	}
	if _, own := c.Fluid("water"); own {
		t.Error("water is not the company's")
	}
	if names := c.FluidNames(); names[0] != "water" || names[1] != "coolant" || names[2] != "seawater" {
		t.Errorf("%v", names)
	}
	c.Fluids = append(c.Fluids, c.Fluids[0], method.FluidTable{Name: "Water", Basis: "ours"})
	err := c.Validate()
	for _, want := range []*fault.Code{method.FluidTaken, fluid.TableShort} {
		if !fault.Has(err, want) {
			t.Errorf("%s is not among %v", want.Name(), err)
		}
	}
}

// The ready materials agree with what open tables have of them.
func TestReadyMaterialsLieWithinTheTables(t *testing.T) {
	for _, m := range method.Ready().Materials {
		known, err := solid.Of(m.Name)
		if err != nil {
			t.Error(err)
			continue
		}
		for speed, spread := range map[float64]solid.Spread{m.Shear: known.Shear, m.Longitudinal: known.Longitudinal} {
			if speed > 0 && (speed < spread.Least || speed > spread.Most) {
				t.Errorf("%s: %g m/s is outside %+v", m.Name, speed, spread)
			}
		}
	}
}
