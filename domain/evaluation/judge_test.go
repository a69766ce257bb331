package evaluation_test

import (
	"math"
	"testing"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
	"rillmark/domain/evaluation"
)

// limits replaces the agreement's limits before adjustment.
func limits(f *evaluation.Facts, l ...evaluation.Limit) {
	for i := range l {
		l[i].N = i + 1
		if l[i].Phase == "" {
			l[i].Phase = evaluation.LimitBefore
		}
	}
	f.Agreement.Limits = l
}

func both(x float64) (lower, upper *float64) {
	minus := -x
	return &minus, &x
}

func of(kind evaluation.LimitKind, x float64) evaluation.Limit {
	lower, upper := both(x)
	return evaluation.Limit{Kind: kind, Lower: lower, Upper: upper}
}

// TestLimitsOfSpanAndFlow: the error of the second flow point is 2.908 % of 59.969 m³/h,
// 1.744 m³/h. In parts of a span its reference part goes with the reference flow, not with
// the indication: u = √((q_ref·u_ref)² + (q_ind·u_ind)² + (q_ref·u_A)²)/span.
func TestLimitsOfSpanAndFlow(t *testing.T) {
	base := second(evaluate(t, facts(t)))
	onReference := math.Sqrt(base.U.Standard*base.U.Standard-own(t, base)) / (1 + base.Error)
	flowU := base.Reference * math.Sqrt(onReference*onReference+own(t, base))
	const span = 0.04
	for _, c := range []struct {
		name      string
		limit     evaluation.Limit
		value, u  float64
		verdict   string
		lowerPart float64 // the lower limit relative to the reference flow
	}{
		{"span, wide", of(evaluation.OfSpan, 0.03), base.Error * base.Reference / span, flowU / span, "pass", -0.03 * span / base.Reference},
		{"flow, narrow", of(evaluation.OfFlow, 0.0003), base.Error * base.Reference, flowU, "conditional-fail", -0.0003 / base.Reference},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := facts(t)
			if c.limit.Kind == evaluation.OfSpan {
				c.limit.Span = number(span)
			}
			limits(&f, c.limit)
			p := second(evaluate(t, f))
			near(t, "value", p.Limits.Value, c.value, 1e-9)
			near(t, "U", p.Limits.Expanded, p.U.K*c.u, 2e-4)
			near(t, "lower limit", *p.Limits.LowerError, c.lowerPart, 1e-12)
			if p.Decision.Verdict != c.verdict {
				t.Errorf("verdict %s, want %s", p.Decision.Verdict, c.verdict)
			}
		})
	}
}

// TestCombinedLimits: at the second flow point, 2.908 % of 59.969 m³/h, with limits worked
// out by hand. They are judged as limits of the relative error.
func TestCombinedLimits(t *testing.T) {
	base := second(evaluate(t, facts(t)))
	q := base.Reference
	for _, c := range []struct {
		name    string
		limit   evaluation.Limit
		upper   float64
		verdict string
	}{
		// 2 % + 0.5 % · 0.04/q
		{"sum", evaluation.Limit{Combine: conformity.Sum, OtherKind: evaluation.OfSpan, Other: number(0.005), OtherSpan: number(0.04)}, 0.02 + 0.005*0.04/q, "conditional-pass"},
		{"greater, the second", evaluation.Limit{Combine: conformity.Greater, OtherKind: evaluation.OfFlow, Other: number(0.001)}, 0.001 / q, "pass"},
		{"greater, the first", evaluation.Limit{Combine: conformity.Greater, OtherKind: evaluation.OfFlow, Other: number(0.0001)}, 0.02, "conditional-fail"},
	} {
		f := facts(t)
		l := of(evaluation.OfReading, 0.02)
		l.Combine, l.OtherKind, l.Other, l.OtherSpan = c.limit.Combine, c.limit.OtherKind, c.limit.Other, c.limit.OtherSpan
		limits(&f, l)
		p := second(evaluate(t, f))
		near(t, c.name+": upper", *p.Limits.UpperError, c.upper, 1e-12)
		near(t, c.name+": lower", *p.Limits.LowerError, -c.upper, 1e-12)
		near(t, c.name+": value", p.Limits.Value, base.Error, 1e-15)
		if p.Decision.Verdict != c.verdict || p.Limits.Kind != evaluation.Combined {
			t.Errorf("%s: %s, %s; want %s (U %v)", c.name, p.Decision.Verdict, p.Limits.Kind, c.verdict, p.Limits.Expanded)
		}
		if c.name == "sum" && p.AdjustAdvised {
			t.Error("nothing was agreed for adjusting")
		}
	}
	f := facts(t)
	l := of(evaluation.OfReading, 0.02)
	l.Combine, l.OtherKind, l.Other = conformity.Sum, evaluation.OfReading, number(0.01)
	limits(&f, l)
	if _, err := evaluation.Evaluate(f); !fault.Has(err, evaluation.LimitIncomplete) {
		t.Errorf("two terms of one part: %v", err)
	}
}

// own is the variance of the parts that are not on the reference: scatter, timing and the
// reading path of the indication, whose factor 1 + E is left in (0.0002 of it matters nothing).
func own(t *testing.T, p evaluation.PointResult) float64 {
	sum := 0.0
	for _, name := range []string{"scatter", "timing of the two readings", "reading path of the indication"} {
		c := component(t, p, name).Contribution
		sum += c * c
	}
	return sum
}

// TestZoneBoundary: 59.97 m³/h lies in the upper zone, by less than its U from 36 m³/h or
// from 59.5; the tighter limit of the two zones holds and it is said.
func TestZoneBoundary(t *testing.T) {
	zones := func(boundary, below, above float64) func(*evaluation.Facts) {
		return func(f *evaluation.Facts) {
			low, high := of(evaluation.OfReading, below), of(evaluation.OfReading, above)
			low.ToFlow, high.FromFlow = number(boundary/3600), boundary/3600
			limits(f, low, high)
		}
	}
	for _, c := range []struct {
		name   string
		change func(*evaluation.Facts)
		n      int
		said   bool
	}{
		{"far above", zones(36, 0.05, 0.03), 2, false},
		{"just above, tighter below", zones(59.5, 0.02, 0.05), 1, true},
		{"just above, tighter here", zones(59.5, 0.05, 0.02), 2, true},
		{"just below, tighter above", zones(60.3, 0.05, 0.02), 2, true},
		{"exactly inside by more than U", zones(62, 0.05, 0.02), 1, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := facts(t)
			c.change(&f)
			p := second(evaluate(t, f))
			if p.Limits.N != c.n || p.Remarks.Has(evaluation.ZoneBoundary) != c.said {
				t.Errorf("limit %d, said %v; want %d, %v", p.Limits.N, p.Remarks.Has(evaluation.ZoneBoundary), c.n, c.said)
			}
		})
	}
}

func TestVerdictsByTheAgreement(t *testing.T) {
	ratio := 0.5
	for _, c := range []struct {
		name    string
		change  func(*evaluation.Facts)
		verdict string
		reason  string
	}{
		{"inside the guard band", func(f *evaluation.Facts) {}, "conditional-pass", "conformity.guarded"},
		{"guard band alone fails it", func(f *evaluation.Facts) { f.Agreement.Rule = "guard-band" }, "fail", "conformity.guarded"},
		{"simple accepts it", func(f *evaluation.Facts) { f.Agreement.Rule = "simple" }, "pass", "conformity.accepted"},
		{"half a guard band", func(f *evaluation.Facts) { f.Agreement.GuardFactor = 0.01 }, "pass", "conformity.accepted"},
		{"U above the agreed part", func(f *evaluation.Facts) { f.Agreement.NoStatementRatio = &ratio }, "no-statement", "conformity.too-uncertain"},
		{"empty acceptance", func(f *evaluation.Facts) { limits(f, of(evaluation.OfReading, 0.01)) }, "no-statement", "conformity.no-acceptance-interval"},
		{"an upper limit alone", func(f *evaluation.Facts) {
			limits(f, evaluation.Limit{Kind: evaluation.OfReading, Upper: number(0.05)})
		}, "pass", "conformity.accepted"},
		{"a lower limit alone", func(f *evaluation.Facts) {
			limits(f, evaluation.Limit{Kind: evaluation.OfReading, Lower: number(0.05)})
		}, "fail", "conformity.rejected"},
		{"nothing agreed here", func(f *evaluation.Facts) {
			far := of(evaluation.OfReading, 0.03)
			far.FromFlow = 1
			limits(f, far)
		}, "no-statement", "evaluation.no-limit-agreed"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := facts(t)
			c.change(&f)
			d := second(evaluate(t, f)).Decision
			if d.Verdict != c.verdict || d.Reason.Code.Name() != c.reason {
				t.Errorf("%s because %s, want %s because %s", d.Verdict, d.Reason.Code.Name(), c.verdict, c.reason)
			}
			if (d.SpecificRisk == nil) != (c.verdict == "no-statement") {
				t.Errorf("specific risk %v", d.SpecificRisk)
			}
		})
	}
}

func TestOverall(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  func(*evaluation.Facts)
		verdict string
	}{
		{"the worst point is conditional and stays so", func(f *evaluation.Facts) {}, "conditional-pass"},
		{"one point fails", func(f *evaluation.Facts) {
			low := of(evaluation.OfReading, 0.05)
			low.ToFlow = number(0.02)
			high := of(evaluation.OfReading, 0.005)
			high.FromFlow = 0.02
			limits(f, low, high)
			f.Agreement.Rule = "simple"
		}, "fail"},
		{"one point without a limit", func(f *evaluation.Facts) {
			low := of(evaluation.OfReading, 0.05)
			low.ToFlow = number(0.02)
			limits(f, low)
		}, "no-statement"},
		{"the mean error passes where a point does not", func(f *evaluation.Facts) {
			f.Agreement.OverallRule, f.Agreement.Rule = evaluation.MeanError, "simple"
			limits(f, of(evaluation.OfReading, 0.031)) // the first point reads 3.22 % high
		}, "pass"},
		{"the mean error where a point lacks a ground", func(f *evaluation.Facts) {
			f.Agreement.OverallRule = evaluation.MeanError
			flowCalibration(f).LeastVelocity = number(0.5)
		}, "no-statement"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := facts(t)
			c.change(&f)
			o := evaluate(t, f).Phases[0].Indications[0].Overall
			if o.Verdict != c.verdict {
				t.Errorf("%s, want %s", o.Verdict, c.verdict)
			}
			near(t, "from", o.FromFlow*3600, 19.925, 1e-3)
			near(t, "to", o.ToFlow*3600, 100.206, 1e-3)
		})
	}
}

func TestAdjustmentProposed(t *testing.T) {
	f := facts(t)
	r := evaluate(t, f)
	i := r.Phases[0].Indications[0]
	p := i.Proposal
	mean := (i.Points[0].Error + i.Points[1].Error + i.Points[2].Error) / 3
	near(t, "factor", p.Factor, 1/(1+mean), 1e-12)
	near(t, "pulses", p.PulsesPerVolume, 1+mean, 1e-12)
	weighted, flows := 0.0, 0.0
	for _, one := range i.Points {
		weighted, flows = weighted+one.Reference*one.Error, flows+one.Reference
	}
	near(t, "weighted by flow", p.FlowWeighted.Error, weighted/flows, 1e-12)
	if u := p.FlowWeighted.U; !(u.Standard > 0 && u.Expanded >= 1.99*u.Standard) {
		t.Errorf("its uncertainty %+v", u)
	}
	near(t, "made", *p.Made, 0.970, 1e-12)
	near(t, "predicted", p.Predicted[1].Error, (1+i.Points[1].Error)*0.970-1, 1e-9)
	if p.Direction != "lower" || !p.Significant || !i.Points[1].AdjustAdvised || i.Points[1].Direction != "lower" {
		t.Errorf("%+v", p)
	}
	after := r.Phases[1].Indications[0]
	if after.Points[1].Significant || after.Points[1].AdjustAdvised || after.Proposal.Significant || after.Proposal.Made != nil {
		t.Errorf("after the adjustment the difference is not significant: %+v", after.Proposal)
	}
	if r.Remarks.Has(evaluation.NotSignificant) {
		t.Error("a significant error was adjusted")
	}
}

func TestAdjustmentOfWhatIsNotSignificant(t *testing.T) {
	f := facts(t)
	for i := range f.Sheet.Readings { // take 3 % off what was shown before
		f.Sheet.Readings[i].Indications[0].Value *= 0.972
	}
	f.Sheet.Adjustments[0].CapturedAt = f.Sheet.Runs[1].CapturedAt.Add(1)
	r := evaluate(t, f)
	if !r.Remarks.Has(evaluation.NotSignificant) || !r.Remarks.Has(evaluation.FoundAfterAdjust) {
		t.Errorf("remarks %v", r.Remarks)
	}
}
