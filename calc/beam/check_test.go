package beam_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

// water is the sound speed of pure water at atmospheric pressure, temperature in K, by
// Marczak, JASA 102 (1997) 2776: 0–95 °C.
func water(temperature float64) (float64, error) {
	t := temperature - 273.15
	if t < 0 || t > 95 {
		return 0, errOutside
	}
	return 1402.385 + t*(5.038813+t*(-5.799136e-2+t*(3.287156e-4+t*(-1.398845e-6+t*2.787860e-9)))), nil
}

var errOutside = errors.New("outside 0–95 °C")

func TestWaterOfTheTests(t *testing.T) {
	for _, r := range rows(t, "sound_speed.csv", "marczak-") {
		c, err := water(r.input(t, "t_C") + 273.15)
		if err != nil {
			t.Fatal(err)
		}
		near(t, r.id, c, number(t, r.want, "c"), 1e-5)
	}
}

// surveyed is a check of the set-up as surveyed, set to the recommended spacing in water
// at celsius, with usual uncertainties; the measured value agrees with the table.
func surveyed(t *testing.T, s beam.Setup, celsius float64) beam.Check {
	t.Helper()
	c, err := water(celsius + 273.15)
	if err != nil {
		t.Fatal(err)
	}
	s.FluidSoundSpeed = c
	at := place(t, s)
	return beam.Check{
		Measured:        beam.Surveyed{Value: c, StandardUncertainty: 0.5},
		Tabulated:       beam.Surveyed{Value: c, StandardUncertainty: 0.3},
		OutsideDiameter: beam.Surveyed{Value: s.OutsideDiameter, StandardUncertainty: 0.0001},
		Wall:            beam.Surveyed{Value: s.Wall, StandardUncertainty: 0.0001},
		PipeSoundSpeed:  beam.Surveyed{Value: s.PipeSoundSpeed, StandardUncertainty: 30},
		PipeWave:        s.PipeWave,
		LinerThickness:  beam.Surveyed{Value: s.LinerThickness, StandardUncertainty: s.LinerThickness / 20},
		LinerSoundSpeed: beam.Surveyed{Value: s.LinerSoundSpeed, StandardUncertainty: s.LinerSoundSpeed / 50},
		WedgeSoundSpeed: beam.Surveyed{Value: s.WedgeSoundSpeed, StandardUncertainty: 10},
		WedgeAngle:      beam.Surveyed{Value: s.WedgeAngle, StandardUncertainty: 0.1 * degree},
		ExitOffset:      beam.Surveyed{Value: s.ExitOffset, StandardUncertainty: 0.0002},
		Spacing:         beam.Surveyed{Value: at.Spacing, StandardUncertainty: 0.0003},
		Temperature:     beam.Surveyed{Value: celsius + 273.15, StandardUncertainty: 0.3},
		Traverses:       s.Traverses,
		Way:             beam.WedgeAngleAndSpacing,
		SoundSpeedAt:    water,
	}
}

func check(t *testing.T, c beam.Check) beam.CheckResult {
	t.Helper()
	r, err := beam.CheckSetup(c)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

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

// Make one input wrong, let the reference measure, and the check must find that input
// with the sign and size it was made wrong by.
func TestCheckFindsTheWrongInput(t *testing.T) {
	changes := []struct {
		input  string
		change float64
	}{
		{"outside_diameter_m", 0.0021}, {"outside_diameter_m", -0.0015},
		{"wall_m", -0.0009}, {"wall_m", 0.0011},
		{"pipe_sound_speed_m_s", -700}, {"pipe_sound_speed_m_s", 600},
		{"liner_thickness_m", -0.0013}, {"liner_thickness_m", 0.001},
		{"liner_sound_speed_m_s", -1500},
		{"exit_offset_m", 0.004}, {"exit_offset_m", -0.003},
		{"spacing_m", 0.006}, {"spacing_m", -0.005},
		{"tabulated_sound_speed_m_s", 25}, {"tabulated_sound_speed_m_s", -40},
		{"temperature_C", -7}, {"temperature_C", 9},
		{"wedge_sound_speed_m_s", 200}, {"wedge_angle_deg", 3},
	}
	found := map[string]int{}
	for name, s := range setups() {
		for _, way := range measuring {
			for _, one := range changes {
				c := surveyed(t, s, 20)
				c.CompanyTolerance = 1e-6 // so that every change shows
				quiet(&c)
				c.Way = way
				entered := s
				entered.FluidSoundSpeed = c.Tabulated.Value
				truth, spacing, _ := alter(entered, c.Spacing.Value, c.Temperature.Value, one.input, one.change)
				m, err := truth.Transit(spacing, 0)
				if err != nil {
					continue // no liner, or total reflection
				}
				c.Measured.Value = measured(t, entered, c.Spacing.Value, m.Mean, way)
				r := check(t, c)
				if r.Outcome != beam.Failed {
					continue
				}
				for _, e := range r.Explanations {
					again, spacing, _ := alter(entered, c.Spacing.Value, c.Temperature.Value, e.Input, e.Change)
					shows := measured(t, entered, c.Spacing.Value, transit(t, again, spacing, 0).Mean, way)
					near(t, name+" "+string(way)+" with "+e.Input, shows, c.Measured.Value, 1e-6)
					if e.Input != one.input {
						continue
					}
					if wedge := strings.HasPrefix(e.Input, "wedge"); wedge && e.Change*one.change < 0 {
						// Off its right value either way the wedge shows the same: the nearer one is named.
						if math.Abs(e.Change) > math.Abs(one.change) {
							t.Errorf("%s: %s %g is farther than %g", name, e.Input, e.Change, one.change)
						}
						found[one.input]++
						continue
					}
					near(t, name+" "+string(way)+" "+one.input, e.Change, one.change, math.Abs(one.change)*1e-5)
					near(t, "needed", e.Needed, e.Entered+e.Change, 1e-9*math.Abs(e.Needed))
					found[one.input]++
				}
			}
		}
	}
	for _, one := range changes {
		if found[one.input] < 3 {
			t.Errorf("%s was found %d times", one.input, found[one.input])
		}
	}
}

// quiet makes the uncertainties so small that only the company's tolerance counts.
func quiet(c *beam.Check) {
	for _, x := range []*beam.Surveyed{&c.Measured, &c.Tabulated, &c.OutsideDiameter, &c.Wall, &c.PipeSoundSpeed, &c.LinerThickness,
		&c.LinerSoundSpeed, &c.WedgeSoundSpeed, &c.WedgeAngle, &c.ExitOffset, &c.Spacing, &c.Temperature} {
		x.StandardUncertainty *= 1e-6
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

// The uncertainty against the derivatives of the model by hand: with A = cosθ/c and
// n·d·A the part of the time the fluid takes across, c = 1/√(A² + p²).
func TestCheckUncertaintyByHand(t *testing.T) {
	c := surveyed(t, steel(), 20)
	r := check(t, c)
	s := steel()
	s.FluidSoundSpeed = c.Tabulated.Value
	at := place(t, s)
	p := math.Sin(s.WedgeAngle) / s.WedgeSoundSpeed
	a := math.Cos(at.FluidAngle) / s.FluidSoundSpeed
	n, d := 2.0, s.Bore()
	perTime := -math.Pow(s.FluidSoundSpeed, 3) * a / (n * d) // ∂c/∂(time across)
	wallA := math.Cos(at.PipeAngle) / s.PipeSoundSpeed
	want := map[string]float64{
		"measured_sound_speed_m_s":  1,
		"tabulated_sound_speed_m_s": 1,
		"outside_diameter_m":        perTime * n * a,
		"wall_m":                    perTime * (2*wallA - 2*n*a),
		"pipe_sound_speed_m_s":      -perTime * 2 * s.Wall / (math.Pow(s.PipeSoundSpeed, 2) * math.Cos(at.PipeAngle)),
		"spacing_m":                 perTime * p,
		"exit_offset_m":             2 * perTime * p,
		"temperature_C":             3.0711, // slope of water at 20 °C, m/s per K
	}
	u2 := 0.0
	share := 0.0
	for _, one := range r.Contributions {
		if one.Input == "wedge_sound_speed_m_s" || one.Input == "wedge_angle_deg" {
			// At the recommended spacing the ray is the quickest one: no first-order effect.
			if one.Sensitivity != 0 || one.Contribution != 0 {
				t.Errorf("%+v", one)
			}
			continue
		}
		close(t, one.Input, one.Sensitivity, want[one.Input], 1e-5)
		part := want[one.Input] * one.StandardUncertainty
		close(t, one.Input+" contribution", one.Contribution, math.Abs(part), 1e-5)
		u2 += part * part
		share += one.Share
	}
	close(t, "u", r.StandardUncertainty, math.Sqrt(u2), 1e-5)
	near(t, "shares", share, 1, 1e-9)
	close(t, "tolerance", r.Tolerance, math.Max(0.005*r.Expected, 2*math.Sqrt(u2)), 1e-5)
}

// An angle's uncertainty is in degrees beside its name, whatever the caller's unit.
func TestCheckReportsTheWedgeAngleInDegrees(t *testing.T) {
	c := surveyed(t, steel(), 20)
	c.Spacing.Value += 0.004 // off the recommended spacing the wedge counts
	for _, one := range check(t, c).Contributions {
		if one.Input == "wedge_angle_deg" {
			close(t, "u", one.StandardUncertainty, 0.1, 1e-12)
			if one.Unit != "deg" || one.Contribution == 0 {
				t.Errorf("%+v", one)
			}
		}
	}
}

func TestCheckOutcomes(t *testing.T) {
	on := func(c *beam.Check, difference float64) {
		c.Tabulated.Value, c.SoundSpeedAt, c.Temperature = 1500, nil, beam.Surveyed{}
		quiet(c)
		c.Measured.Value = 1500 + difference
	}
	loose := func(c *beam.Check) { c.Wall.StandardUncertainty, c.Wall.Assumed = 0.0004, true }
	tests := []struct {
		name    string
		change  func(*beam.Check)
		outcome beam.Outcome
		code    *fault.Code
		field   string
	}{
		{"agrees", func(*beam.Check) {}, beam.Passed, nil, ""},
		{"on the limit", func(c *beam.Check) { on(c, 7.5) }, beam.Passed, nil, ""},
		{"on the lower limit", func(c *beam.Check) { on(c, -7.5) }, beam.Passed, nil, ""},
		{"one step above", func(c *beam.Check) { on(c, 7.5); c.Measured.Value = math.Nextafter(1507.5, 2e3) }, beam.Failed, beam.CheckFailed, "measured_sound_speed_m_s"},
		{"one step below", func(c *beam.Check) { on(c, -7.5); c.Measured.Value = math.Nextafter(1492.5, 0) }, beam.Failed, beam.CheckFailed, "measured_sound_speed_m_s"},
		{"company's own tolerance", func(c *beam.Check) { on(c, 8); c.CompanyTolerance = 0.01 }, beam.Passed, nil, ""},
		{"rests on an assumed wall", loose, beam.Inconclusive, beam.CheckRestsOnAssumed, "wall_m"},
		{"gauged wall of the same uncertainty", func(c *beam.Check) { loose(c); c.Wall.Assumed = false }, beam.Passed, nil, ""},
		{"assumed, but within the company's tolerance", func(c *beam.Check) { c.Wall.Assumed, c.CompanyTolerance = true, 0.01 }, beam.Passed, nil, ""},
		{"assumed, but not ruling", func(c *beam.Check) { c.PipeSoundSpeed.Assumed = true }, beam.Passed, nil, ""},
		{"too uncertain", func(c *beam.Check) { c.Wall.StandardUncertainty = 0.0008 }, beam.Inconclusive, beam.CheckTooUncertain, "wall_m"},
		{"too uncertain for a strict company", func(c *beam.Check) { c.CompanyTolerance, c.MaximumTolerance = 0.003, 0.005 }, beam.Inconclusive, beam.CheckTooUncertain, "wall_m"},
		{"differs beyond even a large uncertainty", func(c *beam.Check) { c.Wall.StandardUncertainty, c.Measured.Value = 0.0008, 1380 }, beam.Failed, beam.CheckFailed, "measured_sound_speed_m_s"},
		{"unusual liquid", func(c *beam.Check) { on(c, 0); c.Tabulated.Value, c.Measured.Value = 2600, 2600 }, beam.Passed, beam.UnusualSoundSpeed, "fluid_sound_speed_m_s"},
	}
	for _, test := range tests {
		c := surveyed(t, steel(), 20)
		test.change(&c)
		r := check(t, c)
		if r.Outcome != test.outcome {
			t.Errorf("%s: %s, difference %g, tolerance %g", test.name, r.Outcome, r.Difference, r.Tolerance)
		}
		if test.code == nil && len(r.Remarks) > 0 || test.code != nil && !inField(r.Remarks, test.code, test.field) {
			t.Errorf("%s: remarks %v", test.name, r.Remarks)
		}
		if (r.Outcome == beam.Failed) != (len(r.Explanations) > 0) || (r.Outcome == beam.Passed) != (r.MeasureFirst == "") {
			t.Errorf("%s: %d explanations, measure %q first", test.name, len(r.Explanations), r.MeasureFirst)
		}
		if r.Outcome == beam.Inconclusive && r.MeasureFirst != test.field {
			t.Errorf("%s: measure %q first", test.name, r.MeasureFirst)
		}
	}
}

// Of two assumed inputs the greater is named, though a measured one contributes more.
func TestCheckNamesTheGreaterAssumedInput(t *testing.T) {
	c := surveyed(t, steel(), 20)
	c.Wall.StandardUncertainty = 0.00015
	c.OutsideDiameter = beam.Surveyed{Value: c.OutsideDiameter.Value, StandardUncertainty: 0.00022, Assumed: true}
	c.PipeSoundSpeed = beam.Surveyed{Value: c.PipeSoundSpeed.Value, StandardUncertainty: 150, Assumed: true}
	r := check(t, c)
	if r.Outcome != beam.Inconclusive || r.MeasureFirst != "outside_diameter_m" {
		t.Errorf("%s, measure %s first: %+v", r.Outcome, r.MeasureFirst, r.Contributions)
	}
}

func TestCheckWithoutAnyUncertainty(t *testing.T) {
	c := surveyed(t, steel(), 20)
	for range 60 {
		quiet(&c)
	}
	r := check(t, c)
	if r.Outcome != beam.Passed || r.StandardUncertainty != 0 || r.ToleranceFromBudget {
		t.Errorf("%+v", r)
	}
	close(t, "tolerance", r.Tolerance, 0.005*c.Tabulated.Value, 1e-15)
	for _, one := range r.Contributions {
		if one.Share != 0 {
			t.Errorf("%+v", one)
		}
	}
}

// A spacing off the recommended one that the reference cannot be told shifts what it
// should show; the check knows and does not blame anything for it.
func TestCheckExpectsWhatAnUntoldReferenceShows(t *testing.T) {
	c := surveyed(t, steel(), 20)
	c.Way = beam.WedgeAngle
	c.Spacing.Value += 0.005
	s := steel()
	s.FluidSoundSpeed = c.Tabulated.Value
	c.Measured.Value = measured(t, s, c.Spacing.Value, transit(t, s, c.Spacing.Value, 0).Mean, beam.WedgeAngle)
	r := check(t, c)
	if r.Outcome != beam.Passed || math.Abs(r.Difference) > 1e-9 || math.Abs(r.Expected-c.Tabulated.Value) < 5 {
		t.Errorf("%s, expected %g, difference %g", r.Outcome, r.Expected, r.Difference)
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
		{beam.Explanation{Input: "traverses", Unit: "1", Change: 1}, beam.ExplainedByHigher, 1, "×"},
		{beam.Explanation{Input: "wall_m", Unit: "m"}, beam.ExplainedByHigher, 0, "mm"},
	}
	for _, test := range tests {
		f := test.e.Remark()
		if f.Code != test.code || f.Field != test.e.Input || f.Value("change") != test.size || f.Value("unit") != test.unit {
			t.Errorf("%+v: %v", test.e, f)
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		name   string
		change func(*beam.Check)
		code   *fault.Code
		field  string
	}{
		{"measured zero", func(c *beam.Check) { c.Measured.Value = 0 }, beam.NotPositive, "measured_sound_speed_m_s"},
		{"measured NaN", func(c *beam.Check) { c.Measured.Value = nan }, beam.NotFinite, "measured_sound_speed_m_s"},
		{"tabulated zero", func(c *beam.Check) { c.Tabulated.Value = 0 }, beam.NotPositive, "tabulated_sound_speed_m_s"},
		{"tabulated so fast that it reflects", func(c *beam.Check) { c.Tabulated.Value = 5000 }, beam.TotalReflection, "tabulated_sound_speed_m_s"},
		{"wall beyond the radius", func(c *beam.Check) { c.Wall.Value = 0.05 }, beam.WallBeyondRadius, "wall_m"},
		{"spacing short", func(c *beam.Check) { c.Spacing.Value = -0.1 }, beam.SpacingShort, "spacing_m"},
		{"way missing", func(c *beam.Check) { c.Way = "" }, beam.UnknownWay, "way"},
		{"nothing measured", func(c *beam.Check) { c.Way = beam.SoundSpeedEntered }, beam.NothingMeasured, "way"},
		{"temperature NaN", func(c *beam.Check) { c.Temperature.Value = nan }, beam.NotFinite, "temperature_C"},
		{"temperature zero", func(c *beam.Check) { c.Temperature.Value = 0 }, beam.NotPositive, "temperature_C"},
		{"relation missing", func(c *beam.Check) { c.SoundSpeedAt = nil }, beam.TemperatureRelationMissing, "temperature_C"},
		{"uncertainty of the reading negative", func(c *beam.Check) { c.Measured.StandardUncertainty = -1 }, beam.Negative, "measured_sound_speed_m_s.standard_uncertainty"},
		{"uncertainty of the wall negative", func(c *beam.Check) { c.Wall.StandardUncertainty = -1 }, beam.Negative, "wall_m.standard_uncertainty"},
		{"uncertainty of the angle NaN", func(c *beam.Check) { c.WedgeAngle.StandardUncertainty = nan }, beam.NotFinite, "wedge_angle_deg.standard_uncertainty"},
		{"scale without its sound speed", func(c *beam.Check) { c.LinerThickness.StandardUncertainty = 0.001 }, beam.NotPositive, "liner_sound_speed_m_s"},
		{"scale with a bad sound speed", func(c *beam.Check) { c.LinerSoundSpeed.Value = nan }, beam.NotFinite, "liner_sound_speed_m_s"},
		{"tolerance NaN", func(c *beam.Check) { c.CompanyTolerance = nan }, beam.NotFinite, "company_tolerance_percent"},
		{"tolerance negative", func(c *beam.Check) { c.CompanyTolerance = -0.01 }, beam.ToleranceRange, "company_tolerance_percent"},
		{"tolerance in per cent", func(c *beam.Check) { c.MaximumTolerance = 2 }, beam.ToleranceRange, "maximum_tolerance_percent"},
		{"tolerances crossed", func(c *beam.Check) { c.CompanyTolerance = 0.03 }, beam.TolerancesCrossed, "company_tolerance_percent"},
	}
	for _, test := range tests {
		c := surveyed(t, steel(), 20)
		test.change(&c)
		_, err := beam.CheckSetup(c)
		faults := fault.AllOf(err)
		if len(faults) != 1 || faults[0].Code != test.code || faults[0].Field != test.field {
			t.Errorf("%s: got %v", test.name, err)
		}
	}
	c := surveyed(t, steel(), 20)
	c.Temperature.Value = 373
	if _, err := beam.CheckSetup(c); !errors.Is(err, errOutside) {
		t.Errorf("temperature outside the table: %v", err)
	}
}
