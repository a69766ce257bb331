package certificate

import (
	"cmp"
	"slices"
	"strconv"

	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
)

func (b *builder) order() Order {
	a, m := b.facts.Agreement, b.facts.Method
	o := Order{Number: b.paper.OrderNumber, Method: m.Number, MethodTitle: b.paper.MethodTitle, Edition: strconv.Itoa(m.Edition),
		AgreedBy: b.paper.AgreedBy, Consent: b.paper.Consent, Rule: a.Rule, OverallRule: string(a.OverallRule),
		Adjusting: a.AdjustingAllowed, Limits: []Limit{},
		GuardFactor: plainly(Exact(a.GuardFactor, 0, false), a.GuardFactor)}
	if !b.paper.AgreedOn.IsZero() {
		o.AgreedOn = day(b.paper.AgreedOn)
	}
	if a.NoStatementRatio != nil {
		o.NoStatement = some(plainly(Exact(*a.NoStatementRatio, 0, false), *a.NoStatementRatio))
	}
	for _, l := range a.Limits {
		o.Limits = append(o.Limits, b.limit(l))
	}
	slices.SortStableFunc(o.Limits, func(x, y Limit) int { return cmp.Compare(phaseOrder[x.Phase], phaseOrder[y.Phase]) })
	return o
}

var phaseOrder = map[string]int{string(evaluation.LimitBefore): 1, string(evaluation.LimitAfter): 2, string(evaluation.LimitAdjustIf): 3}

func (b *builder) limit(l evaluation.Limit) Limit {
	out := Limit{Phase: string(l.Phase), From: b.agreedFlow(l.FromFlow), Kind: string(l.Kind)}
	if l.ToFlow != nil {
		out.To = some(b.agreedFlow(*l.ToFlow))
	}
	if l.Span != nil {
		out.Span = some(b.agreedFlow(*l.Span))
	}
	if l.Combine != "" && l.Other != nil {
		out.Combine, out.OtherKind = string(l.Combine), string(l.OtherKind)
		if out.Other = some(percent(Exact(*l.Other, 2, false), *l.Other)); l.OtherKind == evaluation.OfFlow {
			out.Other = some(b.agreedFlow(*l.Other))
		}
		if l.OtherSpan != nil {
			out.OtherSpan = some(b.agreedFlow(*l.OtherSpan))
		}
	}
	print := func(x *float64) *Figure {
		switch {
		case x == nil:
			return nil
		case l.Kind == evaluation.OfFlow:
			f := b.agreedFlow(*x)
			if *x > 0 {
				f.Printed = "+" + f.Printed
			}
			return &f
		}
		return some(percent(Exact(*x, 2, true), *x))
	}
	out.Lower, out.Upper = print(l.Lower), print(l.Upper)
	return out
}

func (b *builder) adjusted() Adjusted {
	a := Adjusted{Rows: []Parameter{}}
	rows := b.facts.Sheet.AdjustmentsInForce()
	for _, row := range rows {
		p := Parameter{Name: row.Parameter, Old: row.OldEntered, New: row.NewEntered, Permission: row.Permission,
			SealBefore: row.SealBefore, SealAfter: row.SealAfter, Reason: row.Reason, By: b.name(row.By), At: b.at(row.CapturedAt)}
		if row.IndicationID != nil {
			p.Indication = b.indicationName(*row.IndicationID)
		}
		a.Rows = append(a.Rows, p)
	}
	a.Made = len(rows) > 0
	for _, n := range b.facts.Sheet.Notes {
		if n.Kind == sheet.NotAdjusted && !a.Made {
			a.Reason = n.Text
		}
	}
	return a
}

func (b *builder) indicationName(id domain.IndicationID) string {
	for _, i := range b.facts.Indications {
		if i.ID == id {
			return i.Name
		}
	}
	return ""
}

// runs lists every run taken, with the error of each indication.
func (b *builder) runs() []Run {
	all := []Run{}
	for _, p := range sheet.Phases {
		for _, t := range b.facts.Sheet.Taken(p) {
			all = append(all, b.run(t))
		}
	}
	return all
}

func (b *builder) run(t sheet.Taken) Run {
	out := Run{Phase: string(t.Phase), N: t.Number, FlowPoint: t.FlowPoint, Mounting: b.mountingNumber(t.MountingID),
		At: b.at(t.CapturedAt), Taken: len(t.Readings), UsedOf: len(t.UsedReadings()), Used: t.Used, Errors: []Figure{}}
	if t.Aside != nil {
		out.SetAside = t.Aside.Reason
	}
	for _, i := range b.facts.Indications {
		var f Figure
		for _, r := range b.result.Runs {
			if r.RunID != t.ID || r.IndicationID != i.ID || r.ReadingsTaken == 0 {
				continue
			}
			f = percent(printed(decimal(r.Error, 2), b.errorPlace(r), true), r.Error)
			out.Reference = b.flow(r.Reference, 4)
		}
		out.Errors = append(out.Errors, f)
	}
	return out
}

// errorPlace is one digit finer than that of the flow point's error, so that the mean of
// the runs can be followed.
func (b *builder) errorPlace(r evaluation.RunResult) int {
	for _, phase := range b.result.Phases {
		for _, i := range phase.Indications {
			for _, p := range i.Points {
				if phase.Phase == r.Phase && i.IndicationID == r.IndicationID && p.FlowPoint == r.FlowPoint && p.U != nil && p.U.Expanded > 0 {
					return sized(decimal(p.U.Expanded, 2), uncertaintyDigits) - 1
				}
			}
		}
	}
	return -2
}
