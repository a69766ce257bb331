package evaluation_test

import (
	"math"
	"testing"
	"time"

	"rillmark/calc/uncertainty"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// The flow point most tests look at: the second before adjustment. Its bore is 154.1 mm.
func second(r evaluation.Result) evaluation.PointResult { return r.Phases[0].Indications[0].Points[1] }

// budgetRow returns a row of the facts' method for a test to change.
func budgetRow(t testing.TB, f *evaluation.Facts, name string) *method.BudgetRow {
	t.Helper()
	for i := range f.Method.Content.Budget {
		if f.Method.Content.Budget[i].Name == name {
			return &f.Method.Content.Budget[i]
		}
	}
	t.Fatalf("no row %q", name)
	return nil
}

func component(t testing.TB, p evaluation.PointResult, name string) evaluation.Share {
	t.Helper()
	for _, c := range p.Components {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no component %q", name)
	return evaluation.Share{}
}

// near fails unless got is want within a relative tolerance.
func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s = %.10g, want %.10g", what, got, want)
	}
}

// replaced is the standard uncertainty of the error when one contribution is put in place
// of another: what the budget says it must become.
func replaced(p evaluation.PointResult, was, is float64) float64 {
	return math.Sqrt(p.U.Standard*p.U.Standard - was*was + is*is)
}

func TestTheKitsUncertaintyMovesU(t *testing.T) {
	was := second(evaluate(t, facts(t)))
	f := facts(t)
	for i := range f.Calibrations {
		for j := range f.Calibrations[i].Points {
			f.Calibrations[i].Points[j].Expanded *= 4
		}
	}
	is := second(evaluate(t, f))
	// By hand: v = 60.102 m³/h / A ≈ 0.895 m/s, where the certificate's U/2 is 0.16 %; four
	// times that, times 1 + E.
	old := 1.0290779584 * 0.0016048725
	near(t, "contribution before", component(t, was, "reference calibration").Contribution, old, 1e-4)
	near(t, "contribution after", component(t, is, "reference calibration").Contribution, 4*old, 1e-4)
	near(t, "u", is.U.Standard, replaced(was, old, 4*old), 1e-5)
	if is.U.Expanded <= was.U.Expanded {
		t.Error("U did not grow")
	}
}

func TestTheMethodsProfileMovesU(t *testing.T) {
	was := second(evaluate(t, facts(t)))
	f := facts(t)
	budgetRow(t, &f, "velocity profile").Value = 0.03
	is := second(evaluate(t, f))
	part := func(value float64) float64 {
		return (1 + was.Error) * math.Sqrt((value*value-0.004*0.004)/3) // the certificate holds 0.4 %
	}
	near(t, "u", is.U.Standard, replaced(was, part(0.01), part(0.03)), 1e-9)
	near(t, "contribution", component(t, is, "velocity profile").Contribution, part(0.03), 1e-9)
}

func TestWhatTheCertificateHoldsIsNotCountedAgain(t *testing.T) {
	was := second(evaluate(t, facts(t)))
	f := facts(t)
	row := budgetRow(t, &f, "velocity profile")
	row.InCertificate, row.CertificatePart = method.Included, 0
	is := second(evaluate(t, f))
	near(t, "u", is.U.Standard, replaced(was, component(t, was, "velocity profile").Contribution, 0), 1e-9)
	if got := component(t, is, "velocity profile").Contribution; got != 0 {
		t.Errorf("contribution %v, want 0", got)
	}
}

// assumed replaces the gauged wall by one that nobody measured, in force from the start.
func assumed(f *evaluation.Facts, metres float64) {
	var kept []sheet.SurveyValue
	for _, v := range f.Sheet.Survey {
		if v.Name != sheet.Wall {
			kept = append(kept, v)
			continue
		}
		if v.Position == "12" {
			v.Position, v.Source, v.KitID, v.Value = "", sheet.Assumed, nil, &metres
			kept = append(kept, v)
		}
	}
	f.Sheet.Survey = kept
}

func TestAGaugedWallMovesU(t *testing.T) {
	gauged := second(evaluate(t, facts(t)))
	f := facts(t)
	assumed(&f, 0.0071) // the mean of the gauged ones
	r := evaluate(t, f)
	is := second(r)
	// The slope is that of worked.csv; the assumed wall's half-width is 12.5 % of 7.1 mm.
	slope := 21.044060099383 * (1 + gauged.Error)
	uAssumed, uGauged := 0.125*0.0071/math.Sqrt(3), component(t, gauged, "wall thickness").StandardUncertainty
	near(t, "u", is.U.Standard, replaced(gauged, slope*uGauged, slope*uAssumed), 1e-5)
	near(t, "E", is.Error, gauged.Error, 2e-7) // a wall that was not measured stretches with the pressure
	if !r.Remarks.Has(evaluation.NotMeasured) {
		t.Error("an assumed wall is not marked")
	}
	// What gauging would buy is promised before: one reading of the gauge, without the
	// scatter that only several show.
	act := is.Acts[0]
	if act.Code != evaluation.Measure || act.Name != "wall" {
		t.Fatalf("the first act is %+v, want to gauge the wall", act)
	}
	near(t, "promised U", act.Expanded, 2*replaced(gauged, slope*uGauged, slope*0.0001), 1e-5)
	near(t, "promised gain", act.Less, is.U.Expanded-act.Expanded, 1e-9)
}

// TestAWallGaugedAfterTheRunsCorrectsTheReference: the reference ran with 7.1 mm entered;
// the wall then found is 6.9 mm, so the bore is 154.5 mm and the flow was larger.
func TestAWallGaugedAfterTheRunsCorrectsTheReference(t *testing.T) {
	f := facts(t)
	assumed(&f, 0.0071)
	was := second(evaluate(t, f))
	late := f.Sheet.Survey[3]
	thin := 0.0069
	late.ID, late.Value, late.Source, late.KitID = gaugeRow(t).ID, &thin, sheet.Measured, gaugeRow(t).KitID
	late.Name, late.Entered, late.CapturedAt = sheet.Wall, "6.90 mm", f.Sheet.Mountings[0].CapturedAt.Add(2*time.Hour)
	f.Sheet.Survey = append(f.Sheet.Survey, late)
	r := evaluate(t, f)
	is := second(r)
	// Closed form of README.md, second order included by the model: S_w·(−0.2 mm) ≈ 0.42 %.
	factor := 1 + 21.044060099383*0.0002
	near(t, "survey factor", r.Mountings[0].SurveyFactor, factor, 2e-5)
	near(t, "reference", is.Reference/was.Reference, factor, 2e-5)
	near(t, "bore", r.Mountings[0].Bore, 0.1545, 1e-12)
	near(t, "bore as entered", r.Mountings[0].EnteredBore, 0.1541, 1e-6) // and the pressure in it
	if !r.Mountings[0].Remarks.Has(evaluation.CorrectedForSurvey) {
		t.Error("the correction is not told")
	}
}

// gaugeRow is a wall reading as it was taken.
func gaugeRow(t testing.TB) sheet.SurveyValue {
	for _, v := range facts(t).Sheet.Survey {
		if v.Name == sheet.Wall && v.Position == "3" {
			return v
		}
	}
	t.Fatal("no wall reading")
	return sheet.SurveyValue{}
}

// TestChangeByAdjustment: before and after share all but scatter and timing.
func TestChangeByAdjustment(t *testing.T) {
	r := evaluate(t, facts(t))
	if len(r.Changes) != 3 {
		t.Fatalf("%d changes, want 3", len(r.Changes))
	}
	for i, change := range r.Changes {
		before, after := r.Phases[0].Indications[0].Points[i], r.Phases[1].Indications[0].Points[i]
		if change.U.Expanded >= before.U.Expanded/3 || change.U.Expanded >= after.U.Expanded/3 {
			t.Errorf("flow point %d: U of the change %v, of the errors %v and %v: the shared parts did not cancel",
				i+1, change.U.Expanded, before.U.Expanded, after.U.Expanded)
		}
		near(t, "change", change.Change, after.Error-before.Error, 1e-12)
	}
}

// TestCommonAndRandom: three flow points with 1 % in common and 0.3 % of their own give
// √(1² + 0.3²/3) = 1.01 % for their mean, through the whole of an evaluation.
func TestCommonAndRandom(t *testing.T) {
	f := facts(t)
	bare(&f)
	budgetRow(t, &f, "remounting").Value = 0.01 // standard, scope mounting
	timing := budgetRow(t, &f, "timing of the two readings")
	timing.Distribution, timing.Value = "standard", 0.003*math.Sqrt(3) // scope run, of three runs
	f.Method.Content.Capability = 0
	i := evaluate(t, f).Phases[1].Indications[0]
	for _, p := range i.Points {
		near(t, "u of a point", p.U.Standard, math.Hypot(0.01, 0.003), 1e-6)
	}
	if got := i.MeanError.U.Standard; math.Abs(got-0.0101) > 0.00005 || math.Abs(got-math.Sqrt(0.01*0.01+0.003*0.003/3)) > 1e-8 {
		t.Errorf("u of the mean %v, want 1.01 %%", got)
	}
}

// bare takes every size out of the budget that a method may take out, and makes the
// others too small to see.
func bare(f *evaluation.Facts) {
	c := &f.Method.Content
	for i := range c.Budget {
		r := &c.Budget[i]
		r.Value, r.CertificatePart = 0, 0
		if r.InCertificate == method.Partly {
			r.InCertificate = method.NotIncluded
		}
		if r.From == method.FromResolution {
			r.InCertificate = method.Included
		}
	}
	for i := range c.Survey {
		c.Survey[i].Relative, c.Survey[i].Absolute = 0, 1e-9
	}
	for i := range f.Calibrations {
		for j := range f.Calibrations[i].Points {
			f.Calibrations[i].Points[j].Expanded, f.Calibrations[i].Points[j].Error = 1e-9, 0
		}
	}
	tiny := 1e-9
	f.Sheet.ZeroChecks[0].MeanVelocity, f.Sheet.ZeroChecks[0].UVelocity = &tiny, &tiny
	// Readings that are exactly the mean of their run have no scatter.
	for i := range f.Sheet.Readings {
		r := &f.Sheet.Readings[i]
		r.Reference = 0.01 + 0.001*float64(i/15)
		r.Indications[0].Value = r.Reference
	}
	// The two positions of a value must not scatter either.
	for i := range f.Sheet.Survey {
		switch v := &f.Sheet.Survey[i]; v.Name {
		case sheet.Wall:
			x := 0.0071
			v.Value = &x
		case sheet.OutsideDiameter:
			x := 0.1683
			v.Value = &x
		}
	}
}

func TestZeroCheckAndItsPromise(t *testing.T) {
	checked := second(evaluate(t, facts(t)))
	f := facts(t)
	f.Sheet.ZeroChecks = nil
	r := evaluate(t, f)
	is := second(r)
	v := is.Velocity
	with, none := math.Hypot(0.0006, 0.0003), 0.005/math.Sqrt(3)
	near(t, "u without a check", is.U.Standard, replaced(checked, 1.029*with/v, 1.029*none/v), 1e-4)
	if !r.Mountings[0].Remarks.Has(evaluation.ZeroNotMade) {
		t.Error("a zero check that was not made is not told")
	}
	found := false
	for _, act := range is.Acts {
		if act.Code == evaluation.ZeroIt {
			found = true
			near(t, "promised", act.Expanded, 2*replaced(is, 1.029*none/v, 1.029*0.001/v), 1e-4)
		}
	}
	if !found {
		t.Error("a zero check is not proposed")
	}
	// A check with the low-flow cut-off on shows zero whatever the reference reads.
	f = facts(t)
	f.Sheet.ZeroChecks[0].CutoffOff = false
	r = evaluate(t, f)
	near(t, "u with the cut-off on", second(r).U.Standard, is.U.Standard, 1e-12)
	if !r.Mountings[0].Remarks.Has(evaluation.ZeroHidden) {
		t.Error("a hidden zero is not told")
	}
}

func TestShortStraightLength(t *testing.T) {
	was := second(evaluate(t, facts(t)))
	f := facts(t)
	short := 1.2 // of 10 diameters of 154.1 mm asked for: 78 %
	for i := range f.Sheet.Survey {
		if f.Sheet.Survey[i].Name == sheet.StraightBefore {
			f.Sheet.Survey[i].Value = &short
		}
	}
	r := evaluate(t, f)
	is := second(r)
	near(t, "u", is.U.Standard, replaced(was, 0, 1.0290779584*0.02/math.Sqrt(3)), 1e-8)
	if !r.Mountings[0].Remarks.Has(evaluation.StraightShort) {
		t.Error("no remark")
	}
	if is.Acts[0].Code != evaluation.MoveAway {
		t.Errorf("first act %+v, want to move to a longer straight pipe", is.Acts[0])
	}
	near(t, "promised", is.Acts[0].Expanded, was.U.Expanded, 1e-9)
}

func TestDriftGrowsWithTime(t *testing.T) {
	was := second(evaluate(t, facts(t)))
	f := facts(t)
	for i := range f.Calibrations {
		if f.Calibrations[i].Quantity == kit.Flow {
			f.Calibrations[i].CalibratedOn = f.Calibrations[i].CalibratedOn.AddDate(-1, 0, 0)
		}
	}
	is := second(evaluate(t, f))
	const name = "reference drift since calibration"
	more := 0.003 / math.Sqrt(3) * (1 + was.Error) * 365 / 365.25
	near(t, "drift", component(t, is, name).Contribution, component(t, was, name).Contribution+more, 1e-9)
}

func TestCapabilityIsTheLeast(t *testing.T) {
	f := facts(t)
	f.Method.Content.Capability = 0.05
	p := second(evaluate(t, f))
	if !p.CapabilityGiven || p.U.Expanded != 0.05 || !p.Remarks.Has(evaluation.CapabilityGiven) {
		t.Errorf("U %v, %v", p.U.Expanded, p.Remarks)
	}
	near(t, "u", p.U.Standard*p.U.K, 0.05, 1e-12)
}

// TestEnteredSoundSpeed: a reference that computes from the sound speed entered goes with
// the bore, not with its square: slopes 1/d and −2/d, and (2 − 1/cos²θ)/c for the sound.
func TestEnteredSoundSpeed(t *testing.T) {
	f := facts(t)
	by := kit.EnteredSoundSpeed
	f.Kit[0].WorksBy = &by
	r := evaluate(t, f)
	const d, c, cos2 = 0.1541, 1482.8406396542632, 0.864490583
	want := map[string]float64{"outside-diameter": 1 / d, "wall": -2 / d, "spacing_m": 0}
	for _, s := range r.Mountings[0].Sensitivity {
		if w, held := want[s.Input]; held && !(math.Abs(s.Sensitivity-w) <= 1e-6*math.Abs(w)) {
			t.Errorf("%s: slope %v, want %v", s.Input, s.Sensitivity, w)
		}
		if s.Input == "temperature" {
			// Water gains (1496.70 − 1465.93)/10 m/s per kelvin between 15 °C and 25 °C
			// (Bilaniuk and Wong 1993, from memory).
			near(t, "slope of temperature", s.Sensitivity, 3.077*(2-1/cos2)/c, 0.005)
		}
	}
}

// TestMoreRunsArePromised: runs that scatter by 1 % among themselves; as many again halve
// the variance and bring 2m − 1 degrees of freedom.
func TestMoreRunsArePromised(t *testing.T) {
	f := facts(t)
	for run, factor := range map[int]float64{4: 0.99, 6: 1.01} {
		for number := 1; number <= 5; number++ {
			f.Sheet.Readings[readingOf(&f, run, number)].Indications[0].Value *= factor
		}
	}
	p := second(evaluate(t, f))
	if p.TypeA.Basis != "between-runs" {
		t.Fatalf("basis %q", p.TypeA.Basis)
	}
	timing := component(t, p, "timing of the two readings").Contribution
	scatter := p.TypeA.Standard / math.Sqrt2
	u := math.Sqrt(p.U.Standard*p.U.Standard - p.TypeA.Standard*p.TypeA.Standard - timing*timing/2 + scatter*scatter)
	freedom := math.Pow(u, 4) / (math.Pow(scatter, 4) / 5)
	k, err := uncertainty.CoverageFactor(0.9545, freedom)
	if err != nil {
		t.Fatal(err)
	}
	for _, act := range p.Acts {
		if act.Code == evaluation.MoreRuns {
			near(t, "promised U", act.Expanded, k*u, 1e-9)
			if act.Count != 6 {
				t.Errorf("%d runs", act.Count)
			}
			return
		}
	}
	t.Error("more runs are not proposed")
}

// TestLongerRunsArePromised: readings that swing by 2 % within runs that agree among
// themselves. A run as many times longer as the square of the ratio brings the scatter to a
// third of the rest.
func TestLongerRunsArePromised(t *testing.T) {
	f := facts(t)
	for run := 4; run <= 6; run++ {
		for number := 1; number <= 5; number++ {
			swing := 1 + 0.02*float64(number%2*2-1)*float64(5-number/5)/5
			f.Sheet.Readings[readingOf(&f, run, number)].Indications[0].Value *= swing
		}
	}
	p := second(evaluate(t, f))
	if p.TypeA.Basis != "within-runs" {
		t.Fatalf("basis %q, %+v", p.TypeA.Basis, p.TypeA)
	}
	rest := math.Sqrt(p.U.Standard*p.U.Standard - p.TypeA.Standard*p.TypeA.Standard)
	ratio := math.Pow(p.TypeA.Standard/(rest/3), 2)
	if ratio <= 1 {
		t.Fatalf("the scatter %g is small beside %g already", p.TypeA.Standard, rest)
	}
	for _, act := range p.Acts {
		if act.Code != evaluation.Longer {
			continue
		}
		near(t, "promised U", act.Expanded, 2*rest*math.Sqrt(1+1.0/9), 0.02) // k for many degrees of freedom
		plan, _ := f.Sheet.Plan("before")
		if want := math.Ceil(ratio*5*plan.Interval/60) * 60; act.Seconds != want {
			t.Errorf("%g s, want %g", act.Seconds, want)
		}
		if act.Seconds != p.RunSeconds {
			t.Errorf("the act says %g s, the point %g", act.Seconds, p.RunSeconds)
		}
		return
	}
	t.Errorf("longer runs are not proposed: %+v", p.Acts)
}
