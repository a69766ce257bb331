package evaluation_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// added appends a row to the method's budget.
func added(f *evaluation.Facts, r method.BudgetRow) {
	r.InCertificate, r.Basis = method.NotIncluded, "for a test"
	f.Method.Content.Budget = append(f.Method.Content.Budget, r)
}

// TestScopesOfARow: 1 % that is new at every reading (five count in each of three runs),
// in every run, or the same in all; on the reference, on the indication, on the velocity.
func TestScopesOfARow(t *testing.T) {
	base := second(evaluate(t, facts(t)))
	e := 1 + base.Error
	for _, c := range []struct {
		name  string
		row   method.BudgetRow
		part  float64
		scope string
	}{
		{"reading", method.BudgetRow{ActsOn: method.OnReference, Scope: method.ScopeReading, Value: 0.01}, e * 0.01 / math.Sqrt(15), "reading"},
		{"run", method.BudgetRow{ActsOn: method.OnReference, Scope: method.ScopeRun, Value: 0.01}, e * 0.01 / math.Sqrt(3), "run"},
		{"mounting", method.BudgetRow{ActsOn: method.OnReference, Scope: method.ScopeMounting, Value: 0.01}, e * 0.01, "mounting:01980000-0000-7000-8000-000a00000025"},
		{"kit", method.BudgetRow{ActsOn: method.OnReference, Scope: method.ScopeKit, Value: 0.01}, e * 0.01, "kit:01980000-0000-7000-8000-00080000000f"},
		{"indication", method.BudgetRow{ActsOn: method.OnIndication, Scope: method.ScopeVisit, Value: 0.01}, e * 0.01, "visit:01980000-0000-7000-8000-000200000002"},
		{"error", method.BudgetRow{ActsOn: method.OnError, Scope: method.ScopePoint, Value: 0.01}, 0.01, "point:01980000-0000-7000-8000-000300000003"},
		{"velocity", method.BudgetRow{ActsOn: method.OnVelocity, Scope: method.ScopeMounting, Value: 0.01}, e * 0.01 / base.Velocity, "mounting:01980000-0000-7000-8000-000a00000025"},
		{"exit point", method.BudgetRow{ActsOn: method.OnInput, Input: beam.ExitOffsetName, Scope: method.ScopeKit, Value: 0.0005}, e * 2 * 0.936457980 * 0.0005, "kit:01980000-0000-7000-8000-00080000000f"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := facts(t)
			c.row.Name, c.row.From, c.row.Distribution = "of a test", method.FromMethod, "standard"
			added(&f, c.row)
			p := second(evaluate(t, f))
			near(t, "contribution", component(t, p, "of a test").Contribution, c.part, 1e-4)
			near(t, "u", p.U.Standard, replaced(base, 0, c.part), 1e-5)
			if got := component(t, p, "of a test").Scope; got != c.scope {
				t.Errorf("scope %q, want %q", got, c.scope)
			}
		})
	}
}

// TestTwoMountings: what belongs to a mounting averages over two, calibration and bore do
// not; the point's runs are one on the first and two on the second mounting.
func TestTwoMountings(t *testing.T) {
	base := second(evaluate(t, facts(t)))
	f := facts(t)
	again := f.Sheet.Mountings[0]
	again.ID, again.Number = fresh[domain.MountingKind](2), 2
	f.Sheet.Mountings = append(f.Sheet.Mountings, again)
	for _, c := range f.Sheet.SetupChecks[:2] {
		c.ID, c.MountingID = fresh[domain.SetupCheckKind](c.ID.UUID[15]), again.ID
		f.Sheet.SetupChecks = append(f.Sheet.SetupChecks, c)
	}
	z := f.Sheet.ZeroChecks[0]
	z.ID, z.MountingID = fresh[domain.ZeroCheckKind](2), again.ID
	f.Sheet.ZeroChecks = append(f.Sheet.ZeroChecks, z)
	f.Sheet.Runs[4].MountingID, f.Sheet.Runs[5].MountingID = again.ID, again.ID
	r := evaluate(t, f)
	p := second(r)
	for name, share := range map[string]float64{"remounting": math.Sqrt(1.0/9 + 4.0/9), "velocity profile": math.Sqrt(5) / 3,
		"reference calibration": 1, "wall thickness": 1, "outside diameter": 1} {
		near(t, name, component(t, p, name).Contribution, share*component(t, base, name).Contribution, 1e-6)
	}
	if got := component(t, p, "remounting").Scope; got != "mounting" {
		t.Errorf("scope %q", got)
	}
	if len(r.Mountings) != 2 || !r.Conformity {
		t.Errorf("%d mountings, conformity %v", len(r.Mountings), r.Conformity)
	}
	for _, act := range p.Acts {
		if act.Code == evaluation.Remount && act.Count != 3 {
			t.Errorf("a third mounting is counted %d", act.Count)
		}
	}
}

// TestACircumference: D = C/π − 2·coating − tape, and u(D) = √((u(C)/π)² + (2·u(coating))² + u(tape)²).
func TestACircumference(t *testing.T) {
	f := facts(t)
	var kept []sheet.SurveyValue
	for _, v := range f.Sheet.Survey {
		if v.Name != sheet.OutsideDiameter {
			kept = append(kept, v)
		}
	}
	taken := *surveyed(&f, sheet.OutsideDiameter)
	taken.Position = ""
	for n, one := range []struct {
		name  sheet.Name
		value float64
	}{{sheet.Circumference, 0.5314}, {sheet.CoatingThickness, 0.0003}, {sheet.TapeThickness, 0.0002}} {
		row := taken
		row.ID, row.Name, row.Value = fresh[domain.SurveyValueKind](byte(n+1)), one.name, number(one.value)
		kept = append(kept, row)
	}
	f.Sheet.Survey = kept
	r := evaluate(t, f)
	near(t, "bore", r.Mountings[0].Bore, 0.5314/math.Pi-0.0006-0.0002-0.0142, 1e-12)
	want := math.Sqrt(math.Pow(0.002*0.5314/2/math.Pi, 2) + math.Pow(2*0.00005, 2) + math.Pow(0.000025, 2))
	near(t, "u(D)", component(t, second(r), "outside diameter").StandardUncertainty, want, 1e-9)
}

// TestALiner: its thickness takes bore away and brings its own uncertainty; without a
// material or a sound speed of it the beam cannot be followed.
func TestALiner(t *testing.T) {
	f := facts(t)
	lined := func(n byte, name sheet.Name, x *float64, entered string) {
		v := *surveyed(&f, sheet.PipeMaterial)
		v.ID, v.Name, v.Value, v.Entered, v.Source = fresh[domain.SurveyValueKind](n), name, x, entered, sheet.Client
		f.Sheet.Survey = append(f.Sheet.Survey, v)
	}
	lined(1, sheet.LinerThickness, number(0.003), "3 mm")
	if r := evaluate(t, f); !second(r).Grounds.Has(evaluation.ValueMissing) || second(r).U != nil {
		t.Errorf("a liner of unknown sound: %v", second(r).Grounds)
	}
	lined(2, sheet.LinerMaterial, nil, "cement mortar")
	r := evaluate(t, f)
	near(t, "bore", r.Mountings[0].Bore, 0.1541-0.006, 1e-12)
	p := second(r)
	near(t, "u", component(t, p, "liner thickness").StandardUncertainty, 0.3*0.003/math.Sqrt(3), 1e-9)
	near(t, "u", component(t, p, "sound speed of the liner").StandardUncertainty, 0.1*2500/math.Sqrt(3), 1e-9)
	if p.Acts[0].Name != "liner-thickness" {
		t.Errorf("the first act is %+v, want to measure the liner", p.Acts[0])
	}
}

// TestASpacingThatWasNotTold: a reference that cannot be told the spacing took the
// recommended one, 117.08 mm; at 113 mm the sound came sooner than it believed, and its
// flow is corrected by what that does.
func TestASpacingThatWasNotTold(t *testing.T) {
	f := facts(t)
	no := false
	f.Kit[0].TakesSpacing = &no
	f.Sheet.Mountings[0].Spacing = 0.113
	r := evaluate(t, f)
	setup := beam.Setup{OutsideDiameter: 0.1683, Wall: 0.0071, PipeSoundSpeed: 3230, PipeWave: beam.Shear, FluidSoundSpeed: 1482.8406396542632,
		WedgeSoundSpeed: 2480, WedgeAngle: 38 * math.Pi / 180, ExitOffset: 0.012, Traverses: 2}
	change, err := beam.FlowChange(setup, beam.WedgeAngle, 0.113-0.1170774310)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "factor", r.Mountings[0].SurveyFactor, 1/(1+change), 1e-7)
	if !r.Mountings[0].Remarks.Has(evaluation.CorrectedForSurvey) {
		t.Error("the correction is not told")
	}
}
