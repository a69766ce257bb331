package beam_test

import (
	"math"
	"strings"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

func explanation(t *testing.T, r beam.CheckResult, input string) beam.Explanation {
	t.Helper()
	for _, e := range r.Explanations {
		if e.Input == input {
			return e
		}
	}
	t.Fatalf("%s explains nothing: %+v, unable %v", input, r.Explanations, r.Unable)
	return beam.Explanation{}
}

// The trade's example: cold water in an 80 mm pipe, measured 11 m/s below the table: a wall
// about 0.4 mm thinner than entered, or a fluid about 4 °C cooler. The model gives, in
// water at 20 °C, 0.39 mm (0.34 mm for a reference that does not know its spacing) and
// 3.4 °C (3.0 °C); in water at 10 °C, where sound speed rises faster, 0.40 mm and 2.7 °C.
func TestColdWaterInAnEightyMillimetrePipe(t *testing.T) {
	tests := []struct {
		way          beam.Way
		celsius      float64
		wall, cooler float64 // mm, K
	}{
		{beam.WedgeAngleAndSpacing, 20, 0.393, 3.42},
		{beam.WedgeAngleAndSpacing, 10, 0.398, 2.68},
		{beam.ConnectingRay, 20, 0.393, 3.42},
		{beam.WedgeAngle, 20, 0.344, 3.01},
	}
	for _, test := range tests {
		c := surveyed(t, steel(), test.celsius)
		c.Way = test.way
		c.Measured.Value -= 11
		r := check(t, c)
		name := string(test.way)
		if r.Outcome != beam.Failed || !fault.Has(r.Remarks.Err(), beam.CheckFailed) {
			t.Errorf("%s: %s", name, r.Outcome)
		}
		near(t, name+" difference", r.Difference, -11, 1e-9)
		wall, temperature := explanation(t, r, "wall_m"), explanation(t, r, "temperature_C")
		near(t, name+" wall in mm", wall.Change*1e3, -test.wall, 0.0006)
		near(t, name+" temperature", temperature.Change, -test.cooler, 0.006)
		near(t, name+" the trade's wall", wall.Change*1e3, -0.4, 0.06)
		if test.celsius == 20 {
			near(t, name+" the trade's temperature", temperature.Change, -4, 1)
		}
		// The gauge is good to 0.1 mm and the thermometer to 0.3 K: the wall is nearer.
		if r.MeasureFirst != "wall_m" || r.Explanations[0].Input != "wall_m" {
			t.Errorf("%s: measure %s first", name, r.MeasureFirst)
		}
	}
}

func TestCheckRanksByMultiplesOfTheUncertainty(t *testing.T) {
	c := surveyed(t, steel(), 20)
	c.Measured.Value -= 11
	c.Temperature.StandardUncertainty = 1 // a strap thermometer: now the temperature is nearer
	c.PipeSoundSpeed.StandardUncertainty = 0
	c.Wall.StandardUncertainty = 0
	r := check(t, c)
	if r.MeasureFirst != "temperature_C" {
		t.Errorf("measure %s first", r.MeasureFirst)
	}
	last := len(r.Explanations) - 1
	// Without an uncertainty: after the others, the wall (7 %) before its sound speed (15 %).
	if r.Explanations[last-1].Input != "wall_m" || r.Explanations[last].Input != "pipe_sound_speed_m_s" {
		t.Errorf("order %+v", r.Explanations)
	}
	for i, e := range r.Explanations {
		if e.StandardUncertainty == 0 {
			if e.Multiple != 0 || i < last-1 {
				t.Errorf("%+v", e)
			}
			continue
		}
		close(t, e.Input, e.Multiple, math.Abs(e.Change)/e.StandardUncertainty, 1e-12)
		if i > 0 && r.Explanations[i-1].Multiple > e.Multiple {
			t.Errorf("%s ranks behind a greater multiple", e.Input)
		}
	}
}

// alter returns the set-up, spacing and temperature (K) with one named input changed.
func alter(s beam.Setup, spacing, kelvin float64, input string, change float64) (beam.Setup, float64, float64) {
	switch input {
	case "outside_diameter_m":
		s.OutsideDiameter += change
	case "wall_m":
		s.Wall += change
	case "pipe_sound_speed_m_s":
		s.PipeSoundSpeed += change
	case "liner_thickness_m":
		s.LinerThickness += change
	case "liner_sound_speed_m_s":
		s.LinerSoundSpeed += change
	case "wedge_sound_speed_m_s":
		s.WedgeSoundSpeed += change
	case "wedge_angle_deg":
		s.WedgeAngle += change * degree
	case "exit_offset_m":
		s.ExitOffset += change
	case "spacing_m":
		spacing += change
	case "tabulated_sound_speed_m_s":
		s.FluidSoundSpeed += change
	case "temperature_C":
		kelvin += change
		s.FluidSoundSpeed, _ = water(kelvin)
	default:
		panic(input)
	}
	return s, spacing, kelvin
}

type wrongInput struct {
	input  string
	change float64
}

var wrongInputs = []wrongInput{
	{"outside_diameter_m", 0.0021}, {"outside_diameter_m", -0.0015},
	{"wall_m", -0.0009}, {"wall_m", 0.0011},
	{"pipe_sound_speed_m_s", -700}, {"pipe_sound_speed_m_s", 600},
	{"liner_thickness_m", -0.0013}, {"liner_thickness_m", 0.001},
	{"liner_sound_speed_m_s", -1000}, {"liner_sound_speed_m_s", 700},
	{"exit_offset_m", 0.004}, {"exit_offset_m", -0.003},
	{"spacing_m", 0.006}, {"spacing_m", -0.005},
	{"tabulated_sound_speed_m_s", 25}, {"tabulated_sound_speed_m_s", -40},
	{"temperature_C", -7}, {"temperature_C", 9},
	{"wedge_sound_speed_m_s", 200}, {"wedge_sound_speed_m_s", -150}, {"wedge_angle_deg", 3}, {"wedge_angle_deg", -4},
}

// Make one input wrong, let the reference measure, and the check must find that input
// with the sign and size it was made wrong by.
func TestCheckFindsTheWrongInput(t *testing.T) {
	found := map[string]int{}
	for name, s := range setups() {
		for _, way := range measuring {
			for _, wrong := range wrongInputs {
				if findsWrong(t, name, s, way, wrong) {
					found[wrong.input]++
				}
			}
		}
	}
	for _, one := range wrongInputs {
		if found[one.input] < 3 {
			t.Errorf("%s was found %d times", one.input, found[one.input])
		}
	}
}

// findsWrong makes the input wrong and reports whether the check named it. Every
// explanation must bring the reading back; that of the wrong input must have its size.
func findsWrong(t *testing.T, name string, s beam.Setup, way beam.Way, wrong wrongInput) (found bool) {
	t.Helper()
	c := surveyed(t, s, 20)
	c.CompanyTolerance = 1e-6 // so that every change shows
	quiet(&c)
	c.Way = way
	entered := s
	entered.FluidSoundSpeed = c.Tabulated.Value
	truth, spacing, _ := alter(entered, c.Spacing.Value, c.Temperature.Value, wrong.input, wrong.change)
	m, err := truth.Transit(spacing, 0)
	if err != nil {
		return false // no liner, or total reflection
	}
	c.Measured.Value = measured(t, entered, c.Spacing.Value, m.Mean, way)
	for _, e := range check(t, c).Explanations {
		again, spacing, _ := alter(entered, c.Spacing.Value, c.Temperature.Value, e.Input, e.Change)
		shows := measured(t, entered, c.Spacing.Value, transit(t, again, spacing, 0).Mean, way)
		near(t, name+" "+string(way)+" with "+e.Input, shows, c.Measured.Value, 1e-6)
		if e.Input != wrong.input {
			continue
		}
		found = true
		near(t, "needed", e.Needed, e.Entered+e.Change, 1e-9*math.Abs(e.Needed))
		if strings.HasPrefix(e.Input, "wedge") && e.Change*wrong.change < 0 {
			// Off its right value either way the wedge shows the same: the nearer one is named.
			if math.Abs(e.Change) > math.Abs(wrong.change) {
				t.Errorf("%s: %s %g is farther than %g", name, e.Input, e.Change, wrong.change)
			}
			continue
		}
		near(t, name+" "+string(way)+" "+e.Input, e.Change, wrong.change, math.Abs(wrong.change)*1e-5)
	}
	return found
}

// A root close to where the model ends (the wall's total reflection is at 4434 m/s) is
// not stepped over.
func TestCheckFindsARootAtTheEdge(t *testing.T) {
	c := surveyed(t, steel(), 20)
	quiet(&c)
	c.CompanyTolerance = 1e-6
	entered := steel()
	entered.FluidSoundSpeed = c.Tabulated.Value
	for _, speed := range []float64{4300, 4400, 4432} {
		truth := entered
		truth.PipeSoundSpeed = speed
		c.Measured.Value = measured(t, entered, c.Spacing.Value, transit(t, truth, c.Spacing.Value, 0).Mean, c.Way)
		near(t, "pipe sound speed", explanation(t, check(t, c), "pipe_sound_speed_m_s").Needed, speed, 1e-3)
	}
}

// The same with times from the least-time tracer, which shares nothing with the model.
func TestCheckFindsTheWrongWallByLeastTime(t *testing.T) {
	for name, s := range setups() {
		c := surveyed(t, s, 20)
		entered := s
		entered.FluidSoundSpeed = c.Tabulated.Value
		truth := entered
		truth.Wall -= 0.0008
		time := leastTime(inside(truth), c.Spacing.Value+2*s.ExitOffset)
		c.Measured.Value = measured(t, entered, c.Spacing.Value, time, beam.WedgeAngleAndSpacing)
		c.CompanyTolerance = 1e-6
		quiet(&c)
		r := check(t, c)
		near(t, name, explanation(t, r, "wall_m").Change, -0.0008, 0.00002)
	}
}

func TestCheckFindsAScaleNobodySaw(t *testing.T) {
	s := steel()
	s.LinerSoundSpeed = 3600
	c := surveyed(t, s, 20)
	c.LinerThickness = beam.Surveyed{Value: 0, StandardUncertainty: 0.0002, Assumed: true}
	entered := s
	entered.FluidSoundSpeed = c.Tabulated.Value
	truth := entered
	truth.LinerThickness = 0.0006
	c.Measured.Value = measured(t, entered, c.Spacing.Value, transit(t, truth, c.Spacing.Value, 0).Mean, c.Way)
	r := check(t, c)
	e := explanation(t, r, "liner_thickness_m")
	near(t, "scale", e.Change, 0.0006, 1e-9)
	close(t, "multiple", e.Multiple, 3, 1e-6)
	if c.LinerThickness.StandardUncertainty == 0 || r.MeasureFirst == "" {
		t.Errorf("%+v", r)
	}
}

func TestCheckFindsAnotherNumberOfTraverses(t *testing.T) {
	c := surveyed(t, steel(), 20)
	entered := steel()
	entered.FluidSoundSpeed = c.Tabulated.Value
	truth := entered
	truth.Traverses = 1
	c.Measured.Value = measured(t, entered, c.Spacing.Value, transit(t, truth, c.Spacing.Value, 0).Mean, c.Way)
	r := check(t, c)
	first := r.Explanations[0]
	if first.Input != "traverses" || first.Needed != 1 || first.Entered != 2 || first.Change != -1 || r.MeasureFirst != "traverses" {
		t.Errorf("%+v", first)
	}
	if remark := first.Remark(); remark.Code != beam.ExplainedByLower || remark.Field != "traverses" {
		t.Errorf("%v", remark)
	}
}

func TestCheckThatNothingExplains(t *testing.T) {
	s := plastic()
	c := surveyed(t, s, 20)
	c.Measured.Value = 4200
	r := check(t, c)
	if r.Outcome != beam.Failed {
		t.Fatal(r.Outcome)
	}
	if len(r.Explanations) > 0 || len(r.Unable) != len(r.Contributions)-1 {
		t.Errorf("explained by %+v, unable %v", r.Explanations, r.Unable)
	}
	if !inField(r.Remarks, beam.NothingExplains, "measured_sound_speed_m_s") || r.MeasureFirst != "measured_sound_speed_m_s" {
		t.Errorf("remarks %v, measure %q first", r.Remarks, r.MeasureFirst)
	}
}

// Every explanation stays inside what is physically possible, and the temperature inside
// the range of its table.
func TestExplanationsArePossible(t *testing.T) {
	for _, s := range setups() {
		for _, off := range []float64{-400, -200, -70, 60, 150, 400} {
			c := surveyed(t, s, 20)
			c.Measured.Value += off
			r := check(t, c)
			if listed := len(r.Explanations) + len(r.Unable); listed != len(r.Contributions)-1 {
				t.Errorf("%g: %d inputs listed of %d", off, listed, len(r.Contributions)-1)
			}
			for _, e := range r.Explanations {
				bad := math.IsNaN(e.Needed) || (e.Change < 0) != (e.Needed < e.Entered)
				switch e.Input {
				case "wall_m":
					bad = bad || e.Needed <= 0 || e.Needed >= s.OutsideDiameter/2-s.LinerThickness
				case "liner_thickness_m":
					bad = bad || e.Needed < 0 || e.Needed >= s.OutsideDiameter/2-s.Wall
				case "outside_diameter_m":
					bad = bad || e.Needed <= 2*(s.Wall+s.LinerThickness)
				case "exit_offset_m":
					bad = bad || e.Needed < 0 || e.Needed > 0.1
				case "spacing_m":
					bad = bad || e.Needed <= -2*s.ExitOffset
				case "temperature_C":
					bad = bad || e.Needed < 0 || e.Needed > 95
				case "tabulated_sound_speed_m_s":
					bad = bad || e.Needed < 500 || e.Needed > 2500
				}
				if bad {
					t.Errorf("%g m/s off: %+v", off, e)
				}
			}
		}
	}
}

// Of the two temperatures with one sound speed in water the nearer is named.
func TestExplanationIsTheNearestRoot(t *testing.T) {
	for _, celsius := range []float64{60, 88} {
		c := surveyed(t, steel(), celsius)
		quiet(&c)
		c.CompanyTolerance = 1e-4
		low, _ := water(55 + 273.15)
		c.Measured.Value = low
		r := check(t, c)
		got := explanation(t, r, "temperature_C").Needed
		c2, _ := water(got + 273.15)
		near(t, "sound speed there", c2, low, 1e-6)
		if (celsius == 60) != (got < 74) {
			t.Errorf("from %g °C to %g °C", celsius, got)
		}
	}
}

func TestCheckByASlope(t *testing.T) {
	c := surveyed(t, steel(), 20)
	c.Measured.Value -= 12
	c.SoundSpeedAt = beam.LinearSoundSpeed(293.15, c.Tabulated.Value, 3)
	e := explanation(t, check(t, c), "temperature_C")
	near(t, "change", e.Change, -4, 1e-6)
	near(t, "entered", e.Entered, 20, 1e-9)
	c.SoundSpeedAt, c.Temperature = nil, beam.Surveyed{}
	for _, e := range check(t, c).Explanations {
		if e.Input == "temperature_C" {
			t.Errorf("the temperature is blamed without a relation: %+v", e)
		}
	}
}

func TestRemarksOfExplanations(t *testing.T) {
	tests := []struct {
		e    beam.Explanation
		code *fault.Code
		size float64
		unit string
	}{
		{beam.Explanation{Input: "wall_m", Unit: "m", Change: -0.00039312}, beam.ExplainedByLower, 0.39, "mm"},
		{beam.Explanation{Input: "spacing_m", Unit: "m", Change: 0.1256}, beam.ExplainedByHigher, 130, "mm"},
		{beam.Explanation{Input: "temperature_C", Unit: "K", Change: -3.42}, beam.ExplainedByLower, 3.4, "K"},
		{beam.Explanation{Input: "wedge_angle_deg", Unit: "deg", Change: 2.04}, beam.ExplainedByHigher, 2, "°"},
		{beam.Explanation{Input: "pipe_sound_speed_m_s", Unit: "m/s", Change: 497.2}, beam.ExplainedByHigher, 500, "m/s"},
		{beam.Explanation{Input: "traverses", Unit: "1", Change: 1}, beam.ExplainedByHigher, 1, "traverse(s)"},
		{beam.Explanation{Input: "wall_m", Unit: "m"}, beam.ExplainedByHigher, 0, "mm"},
	}
	for _, test := range tests {
		f := test.e.Remark()
		if f.Code != test.code || f.Field != test.e.Input || f.Value("change") != test.size || f.Value("unit") != test.unit {
			t.Errorf("%+v: %v", test.e, f)
		}
	}
}
