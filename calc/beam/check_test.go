package beam_test

import (
	"errors"
	"math"
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

// quiet makes the uncertainties so small that only the company's tolerance counts.
func quiet(c *beam.Check) {
	for _, x := range []*beam.Surveyed{&c.Measured, &c.Tabulated, &c.OutsideDiameter, &c.Wall, &c.PipeSoundSpeed, &c.LinerThickness,
		&c.LinerSoundSpeed, &c.WedgeSoundSpeed, &c.WedgeAngle, &c.ExitOffset, &c.Spacing, &c.Temperature} {
		x.StandardUncertainty *= 1e-6
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
		{"unusual liquid", func(c *beam.Check) { on(c, 0); c.Tabulated.Value, c.Measured.Value = 2600, 2600 }, beam.Passed, beam.UnusualSoundSpeed, "tabulated_sound_speed_m_s"},
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

// A reference told its spacing is expected to show the table's sound speed, to the last digit.
func TestCheckExpectsTheTable(t *testing.T) {
	for name, s := range setups() {
		for celsius := 1.0; celsius < 95; celsius += 7.3 {
			c := surveyed(t, s, celsius)
			if r := check(t, c); r.Expected != c.Tabulated.Value || r.Difference != 0 {
				t.Errorf("%s at %g °C: expected %.17g, table %.17g", name, celsius, r.Expected, c.Tabulated.Value)
			}
		}
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
