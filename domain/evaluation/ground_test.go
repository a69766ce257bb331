package evaluation_test

import (
	"slices"
	"testing"
	"time"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// ground is a change of the facts that takes away a ground for a statement, or adds a
// remark that does not.
type ground struct {
	name   string
	change func(*evaluation.Facts)
	code   *fault.Code
	whole  bool // the ground is of the whole, not of the flow points
	remark bool // only a remark: the statement stands
}

func flowCalibration(f *evaluation.Facts) *kit.Calibration {
	for i := range f.Calibrations {
		if f.Calibrations[i].Quantity == kit.Flow {
			return &f.Calibrations[i]
		}
	}
	return nil
}

func surveyed(f *evaluation.Facts, n sheet.Name) *sheet.SurveyValue {
	for i := range f.Sheet.Survey {
		if f.Sheet.Survey[i].Name == n {
			return &f.Sheet.Survey[i]
		}
	}
	return nil
}

func unsurvey(f *evaluation.Facts, n sheet.Name) {
	var kept []sheet.SurveyValue
	for _, v := range f.Sheet.Survey {
		if v.Name != n {
			kept = append(kept, v)
		}
	}
	f.Sheet.Survey = kept
}

// also adds a survey row of a number.
func also(f *evaluation.Facts, n byte, name sheet.Name, x float64) {
	v := *surveyed(f, sheet.StraightBefore)
	v.ID, v.Name, v.Value = fresh[domain.SurveyValueKind](n), name, &x
	f.Sheet.Survey = append(f.Sheet.Survey, v)
}

// walls makes every wall reading the same.
func walls(f *evaluation.Facts, x float64) {
	for i := range f.Sheet.Survey {
		if f.Sheet.Survey[i].Name == sheet.Wall {
			f.Sheet.Survey[i].Value = &x
		}
	}
}

func number(v float64) *float64 { return &v }

func text(n sheet.Name, entered string) func(*evaluation.Facts) {
	return func(f *evaluation.Facts) { surveyed(f, n).Entered = entered }
}

func covered(change func(*kit.Calibration)) func(*evaluation.Facts) {
	return func(f *evaluation.Facts) { change(flowCalibration(f)) }
}

var grounds = []ground{
	{name: "calibration lapsed", code: evaluation.CalibrationNotValid,
		change: covered(func(c *kit.Calibration) { c.ValidTo = time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC) })},
	{name: "calibration not yet", code: evaluation.CalibrationNotValid,
		change: covered(func(c *kit.Calibration) { c.ValidFrom = time.Date(2026, 6, 17, 0, 0, 0, 0, time.UTC) })},
	{name: "no calibration", code: evaluation.NoCalibration, change: covered(func(c *kit.Calibration) { c.Quantity = kit.Time })},
	{name: "another pair", code: evaluation.WrongSet, change: covered(func(c *kit.Calibration) { c.PairID = &c.KitID })},
	{name: "a cable that was not used", code: evaluation.WrongSet, change: covered(func(c *kit.Calibration) { c.CableID = &c.KitID })},
	{name: "bore too large", code: evaluation.DiameterNotCovered, change: covered(func(c *kit.Calibration) { c.MostInsideDiameter = number(0.15) })},
	{name: "too fast", code: evaluation.VelocityNotCovered, change: covered(func(c *kit.Calibration) { c.MostVelocity = number(0.25) })},
	{name: "beyond the points", code: evaluation.VelocityNotCovered, change: covered(func(c *kit.Calibration) { c.Points = c.Points[3:] })},
	{name: "Reynolds number", code: evaluation.ReynoldsNotCovered, change: covered(func(c *kit.Calibration) { c.LeastReynolds = number(1e6) })},
	{name: "traverses", code: evaluation.TraversesNotCovered, change: covered(func(c *kit.Calibration) { c.Traverses = []int{1, 4} })},
	{name: "out of service", code: evaluation.KitOutOfService, change: func(f *evaluation.Facts) {
		at := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
		f.Kit[1].OutOfServiceAt = &at
	}},
	{name: "transition", code: evaluation.InTransition, change: func(f *evaluation.Facts) { f.Method.Content.Transition.Upper = 1e6 }},
	{name: "check missing", code: evaluation.CheckMissing, change: func(f *evaluation.Facts) { f.Sheet.SetupChecks = f.Sheet.SetupChecks[1:] }},
	{name: "check failed", code: evaluation.CheckFailed, change: func(f *evaluation.Facts) { f.Sheet.SetupChecks[0].Outcome = sheet.Failed }},
	{name: "check failed after", code: evaluation.CheckFailedAfter, change: func(f *evaluation.Facts) { f.Sheet.SetupChecks[1].Outcome = sheet.Failed }},
	{name: "temperature missing", code: evaluation.ValueMissing, change: func(f *evaluation.Facts) { unsurvey(f, sheet.Temperature) }},
	{name: "fluid missing", code: evaluation.ValueMissing, change: func(f *evaluation.Facts) { unsurvey(f, sheet.Fluid) }},
	{name: "fluid unknown", code: evaluation.FluidUnknown, change: text(sheet.Fluid, "treacle")},
	{name: "wall missing", code: evaluation.ValueMissing, change: func(f *evaluation.Facts) { unsurvey(f, sheet.Wall) }},
	{name: "diameter missing", code: evaluation.ValueMissing, change: func(f *evaluation.Facts) { unsurvey(f, sheet.OutsideDiameter) }},
	{name: "material unknown", code: evaluation.ValueMissing, change: text(sheet.PipeMaterial, "cheese")},

	{name: "a wall beyond the radius", code: evaluation.BeyondRadius, change: func(f *evaluation.Facts) { walls(f, 0.09) }},
	{name: "water that boils", code: fluid.Boiling, change: func(f *evaluation.Facts) { surveyed(f, sheet.Temperature).Value = number(450) }},
	{name: "a wedge of no angle", code: beam.WedgeAngleRange, change: func(f *evaluation.Facts) { f.Kit[1].WedgeAngle = nil }},
	{name: "a coating the method says nothing of", code: evaluation.UncertaintyMissing, change: func(f *evaluation.Facts) {
		for i := range f.Sheet.Survey {
			if f.Sheet.Survey[i].Name == sheet.OutsideDiameter {
				f.Sheet.Survey[i].Name, f.Sheet.Survey[i].Value = sheet.Circumference, number(0.5314)
			}
		}
		also(f, 1, sheet.CoatingThickness, 0.0003)
		f.Method.Content.Survey = slices.DeleteFunc(f.Method.Content.Survey, func(u method.SurveyUncertainty) bool { return u.Name == sheet.CoatingThickness })
	}},

	{name: "nobody authorised", code: evaluation.PersonNotAuthorised, whole: true, change: func(f *evaluation.Facts) { f.Authorisations = nil }},
	{name: "authorised later", code: evaluation.PersonNotAuthorised, whole: true, change: func(f *evaluation.Facts) {
		f.Authorisations[0].From = time.Date(2026, 6, 16, 8, 1, 0, 0, time.UTC).AddDate(0, 0, 1)
	}},
	{name: "authorisation ended", code: evaluation.PersonNotAuthorised, whole: true, change: func(f *evaluation.Facts) {
		end := time.Date(2026, 6, 16, 9, 0, 0, 0, time.UTC)
		f.Authorisations[0].To = &end
	}},
	{name: "authorised to review only", code: evaluation.PersonNotAuthorised, whole: true, change: func(f *evaluation.Facts) { f.Authorisations[0].Act = "review" }},
	{name: "authorised for another method", code: evaluation.PersonNotAuthorised, whole: true, change: func(f *evaluation.Facts) {
		f.Authorisations[0].MethodID.UUID = f.Task.ID.UUID
	}},
	{name: "bypass unknown", code: evaluation.BypassUnknown, whole: true, change: text(sheet.Between, sheet.BetweenUnknown)},
	{name: "nobody looked for a bypass", code: evaluation.BypassUnknown, whole: true, change: func(f *evaluation.Facts) { unsurvey(f, sheet.Between) }},
	{name: "a branch", code: evaluation.FlowDiffers, whole: true, change: text(sheet.Between, sheet.BetweenOpen)},
	{name: "not full", code: evaluation.PipeNotFull, whole: true, change: text(sheet.PipeFull, sheet.FullNo)},
	{name: "a mass meter", code: evaluation.MeasurandNotVolume, whole: true, change: func(f *evaluation.Facts) { f.Task.Measurand = "mass" }},
	{name: "gauge lapsed", code: evaluation.InstrumentNotValid, whole: true, change: func(f *evaluation.Facts) {
		for i := range f.Calibrations {
			if f.Calibrations[i].CertificateNumber == "L 26-031" {
				f.Calibrations[i].ValidTo = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
			}
		}
	}},

	{name: "bypass shut", code: evaluation.BetweenClosed, whole: true, remark: true, change: text(sheet.Between, sheet.BetweenClosed)},
	{name: "a vessel", code: evaluation.BetweenStores, whole: true, remark: true, change: text(sheet.Between, sheet.BetweenStores)},
	{name: "perhaps full", code: evaluation.PipeFullUnknown, whole: true, remark: true, change: text(sheet.PipeFull, sheet.FullUnknown)},
	{name: "gauge not named", code: evaluation.NoInstrument, whole: true, remark: true, change: func(f *evaluation.Facts) { surveyed(f, sheet.Wall).KitID = nil }},
	{name: "from the client", code: evaluation.NotMeasured, whole: true, remark: true, change: func(f *evaluation.Facts) {
		v := surveyed(f, sheet.Temperature)
		v.Source, v.KitID = sheet.Client, nil
	}},
	{name: "wall below the minimum", code: evaluation.WallBelowMinimum, whole: true, remark: true, change: func(f *evaluation.Facts) {
		v := *surveyed(f, sheet.Wall)
		v.ID.UUID = f.Task.ID.UUID
		v.Name, v.Source, v.KitID, v.Value, v.Position = sheet.MinimumWall, sheet.Client, nil, number(0.0071), ""
		f.Sheet.Survey = append(f.Sheet.Survey, v)
	}},
	{name: "the meter itself stands badly", code: evaluation.MeterStraightShort, whole: true, remark: true, change: func(f *evaluation.Facts) {
		also(f, 1, sheet.MeterStraightBefore, 0.3)
		also(f, 2, sheet.MeterStraightAfter, 3)
	}},
	{name: "left before it was adjusted", code: evaluation.LeftBeforeAdjust, whole: true, remark: true, change: func(f *evaluation.Facts) {
		f.Sheet.Adjustments[0].CapturedAt = f.Sheet.Adjustments[0].CapturedAt.Add(time.Hour)
	}},
	{name: "adjusting not agreed", code: evaluation.AdjustedUnasked, whole: true, remark: true, change: func(f *evaluation.Facts) { f.Agreement.AdjustingAllowed = false }},
	{name: "inconclusive", code: evaluation.CheckInconclusive, remark: true, change: func(f *evaluation.Facts) { f.Sheet.SetupChecks[0].Outcome = sheet.Inconclusive }},
	{name: "check not made, nor required", code: evaluation.CheckNotMade, remark: true, change: func(f *evaluation.Facts) {
		f.Method.Content.SetupCheck.Required = false
		f.Sheet.SetupChecks = f.Sheet.SetupChecks[1:]
	}},
	{name: "not re-checked", code: evaluation.NotReChecked, remark: true, change: func(f *evaluation.Facts) { f.Sheet.SetupChecks = f.Sheet.SetupChecks[:1] }},
	{name: "sound speed changed", code: evaluation.SoundSpeedChanged, remark: true, change: func(f *evaluation.Facts) { f.Sheet.SetupChecks[1].SoundSpeed = number(1470) }},
	{name: "weak signal", code: evaluation.SignalWeak, remark: true, change: func(f *evaluation.Facts) { f.Sheet.SetupChecks[0].SNR = number(14) }},
	{name: "zero not possible", code: evaluation.ZeroNotPossible, remark: true, change: func(f *evaluation.Facts) {
		f.Sheet.ZeroChecks[0].Possible, f.Sheet.ZeroChecks[0].Action = false, "the line cannot be stopped"
	}},
	{name: "zero too short", code: evaluation.ZeroShort, remark: true, change: func(f *evaluation.Facts) { f.Sheet.ZeroChecks[0].Seconds = number(60) }},
	{name: "zero moved", code: evaluation.ZeroChanged, remark: true, change: func(f *evaluation.Facts) {
		z := f.Sheet.ZeroChecks[0]
		z.ID.UUID, z.Moment, z.MeanVelocity = f.Task.ID.UUID, sheet.After, number(0.006)
		f.Sheet.ZeroChecks = append(f.Sheet.ZeroChecks, z)
	}},
	{name: "pressure not surveyed", code: evaluation.PressureAssumed, remark: true, change: func(f *evaluation.Facts) { unsurvey(f, sheet.Pressure) }},
	{name: "straight length not stated", code: evaluation.StraightUnknown, remark: true, change: func(f *evaluation.Facts) {
		gentle(f)
		unsurvey(f, sheet.StraightAfter)
	}},
	{name: "a disturbance of no name", code: evaluation.DisturbanceUnknown, remark: true, change: func(f *evaluation.Facts) {
		gentle(f)
		surveyed(f, sheet.DisturbanceBefore).Entered = "a spaghetti bend"
	}},
	{name: "not steady", code: evaluation.NotSteady, remark: true, change: func(f *evaluation.Facts) { f.Method.Content.Criteria.SteadyFlow = 1e-4 }},
	{name: "not repeatable", code: evaluation.NotRepeatable, remark: true, change: func(f *evaluation.Facts) { f.Method.Content.Criteria.Repeatability = 1e-6 }},
	{name: "fewer runs than planned", code: evaluation.FewerRuns, remark: true, change: func(f *evaluation.Facts) { f.Sheet.Plans[0].Runs = 4 }},
	{name: "fewer runs than the method", code: evaluation.FewerThanMethod, remark: true, change: func(f *evaluation.Facts) {
		f.Method.Content.Runs.Least, f.Method.Content.Runs.PerPoint = 4, 4
	}},
	{name: "resolution unknown", code: evaluation.ResolutionUnknown, remark: true, change: func(f *evaluation.Facts) { f.Indications[0].Resolution = nil }},
}

// gentle makes short straight lengths cost little, so that the uncertainty is not what
// takes the statement away.
func gentle(f *evaluation.Facts) {
	for i := range f.Method.Content.ShortLengths {
		f.Method.Content.ShortLengths[i].HalfWidth = 0.001
	}
}

func TestGroundsAndRemarks(t *testing.T) {
	base := evaluate(t, facts(t))
	if !base.Conformity || len(base.Grounds) > 0 {
		t.Fatalf("the worked example lacks a ground: %v", base.Grounds)
	}
	for _, g := range grounds {
		t.Run(g.name, func(t *testing.T) {
			f := facts(t)
			g.change(&f)
			g.hold(t, evaluate(t, f))
		})
	}
}

func (g ground) hold(t *testing.T, r evaluation.Result) {
	p := second(r)
	in := map[[2]bool]evaluation.Findings{{true, false}: r.Grounds, {false, false}: p.Grounds,
		{true, true}: r.Remarks, {false, true}: append(slices.Clone(p.Remarks), r.Mountings[0].Remarks...)}[[2]bool{g.whole, g.remark}]
	if !in.Has(g.code) {
		t.Errorf("%s is not among %v", g.code.Name(), in)
	}
	if p.RunsTaken != 3 || p.RunsUsed != 3 || p.Error == 0 {
		t.Errorf("what was observed is lost: %d runs taken, %d used, error %v", p.RunsTaken, p.RunsUsed, p.Error)
	}
	stated := p.Decision.Verdict != "no-statement"
	if stated != g.remark || r.Conformity != g.remark {
		t.Errorf("verdict %q, conformity %v", p.Decision.Verdict, r.Conformity)
	}
	if !g.remark && r.Phases[0].Indications[0].MeanError != nil &&
		r.Phases[0].Indications[0].MeanError.Decision.Verdict != "no-statement" {
		t.Error("the mean error is judged without a ground")
	}
	if got := r.Phases[0].Indications[0].Overall.Verdict; (got != "no-statement") != g.remark {
		t.Errorf("overall %q", got)
	}
}

// TestALapsedKitCarriesNothing: it is not among the kit the evaluation stands on, and the
// numbers are given for information.
func TestALapsedKitCarriesNothing(t *testing.T) {
	f := facts(t)
	c := flowCalibration(&f)
	c.ValidTo = time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	r := evaluate(t, f)
	for _, use := range r.Kit {
		if use.CalibrationID == c.ID {
			t.Error("a lapsed calibration is listed as a ground")
		}
	}
	if p := second(r); p.U == nil || len(p.Components) == 0 {
		t.Error("no uncertainty is given for information")
	}
}

func TestAFailedCheckThatAnotherResolved(t *testing.T) {
	f := facts(t)
	failed := f.Sheet.SetupChecks[0]
	failed.ID.UUID, failed.Outcome = f.Task.ID.UUID, sheet.Failed
	failed.CapturedAt = failed.CapturedAt.Add(-time.Minute)
	f.Sheet.SetupChecks = append(f.Sheet.SetupChecks, failed)
	r := evaluate(t, f)
	if !r.Conformity || !r.Mountings[0].Remarks.Has(evaluation.CheckEarlierFailed) {
		t.Errorf("conformity %v, remarks %v", r.Conformity, r.Mountings[0].Remarks)
	}
}

func TestNominalForActual(t *testing.T) {
	f := facts(t)
	for i := range f.Sheet.Survey {
		switch v := &f.Sheet.Survey[i]; v.Name {
		case sheet.OutsideDiameter:
			v.Value = number(0.1524) // 6 in, the size; the pipe is 168.3 mm
		}
	}
	if r := evaluate(t, f); len(r.Remarks) < 1 || r.Remarks[len(r.Remarks)-1].Field != string(sheet.OutsideDiameter) {
		t.Errorf("a nominal diameter is not pointed out: %v", r.Remarks)
	}
}

// TestTheLaterCalibrationCarries: of two valid ones of the same set the later holds.
func TestTheLaterCalibrationCarries(t *testing.T) {
	f := facts(t)
	later := *flowCalibration(&f)
	later.ID.UUID = f.Task.ID.UUID
	later.CalibratedOn, later.CertificateNumber = later.CalibratedOn.AddDate(0, 1, 0), "F 26-200"
	f.Calibrations = append(f.Calibrations, later)
	if got := component(t, second(evaluate(t, f)), "reference calibration").Source; got != "F 26-200" {
		t.Errorf("carried by %q", got)
	}
}
