package certificate

import (
	"math"
	"strings"

	"rillmark/calc/conformity"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/evaluation"
)

// indications gathers each indication's phases and changes.
func (b *builder) indications() []Result {
	all := []Result{}
	for _, i := range b.facts.Indications {
		r := Result{ID: i.ID.String(), Name: i.Name, Way: i.Way, Phases: []Phase{}, Changes: b.changes(i.ID)}
		if i.Resolution != nil {
			f := b.agreedFlow(*i.Resolution)
			r.Resolution = &f
		}
		for _, phase := range b.result.Phases {
			for _, of := range phase.Indications {
				if of.IndicationID == i.ID {
					r.Phases = append(r.Phases, b.phase(string(phase.Phase), of))
				}
			}
		}
		all = append(all, r)
	}
	return all
}

func (b *builder) phase(name string, of evaluation.IndicationResult) Phase {
	p := Phase{Phase: name, Points: []Point{}, Overall: b.overall(of.Overall)}
	for _, point := range of.Points {
		p.Points = append(p.Points, b.point(point))
	}
	if m := of.MeanError; m != nil {
		report := Round(m.Error, m.U.Expanded, 2, true, nil)
		p.Mean = &Mean{Error: percent(report.Value, m.Error), U: percent(report.Expanded, m.U.Expanded),
			K: coverage(m.U.K), Verdict: m.Decision.Verdict}
	}
	return p
}

func (b *builder) overall(o evaluation.Overall) Overall {
	out := Overall{Rule: string(o.Rule), Verdict: o.Verdict, From: b.flow(o.FromFlow, 3), To: b.flow(o.ToFlow, 3)}
	out.Reason = b.because(o.Reason)
	return out
}

func (b *builder) because(f *evaluation.Finding) *Said {
	if f == nil || f.Code == nil {
		return nil
	}
	said := b.say(*f)
	return &said
}

func (b *builder) point(p evaluation.PointResult) Point {
	out := Point{N: p.FlowPoint, RunsTaken: p.RunsTaken, RunsUsed: p.RunsUsed, Verdict: p.Decision.Verdict,
		Reason: b.because(p.Decision.Reason), Regime: p.Regime, Capability: p.CapabilityGiven, Components: b.components(p.Components)}
	u := math.NaN()
	if p.U != nil {
		u = p.U.Expanded
	}
	report := Round(p.Error, u, 2, true, b.sameVerdict(p))
	out.Error = percent(report.Value, p.Error)
	if p.U != nil {
		out.Standard = some(percent(printed(decimal(p.U.Standard, 2), -3, false), p.U.Standard))
		out.U, out.K, out.Freedom = some(percent(report.Expanded, u)), some(coverage(p.U.K)), freedom(p.U.Freedom)
	}
	b.flows(&out, p)
	if p.Limits != nil {
		out.Lower, out.Upper = limitAt(report, p.Limits, p.Limits.Lower, p.Limits.LowerError), limitAt(report, p.Limits, p.Limits.Upper, p.Limits.UpperError)
	}
	if r := p.Decision.SpecificRisk; r != nil {
		out.Risk = some(risk(*r))
	}
	if p.Velocity > 0 {
		out.Velocity = some(b.inUnit(p.Velocity, quantity.KindVelocity, "m/s", b.digits(p.Velocity, quantity.KindVelocity, "m/s", 3)))
	}
	if p.Reynolds > 0 {
		out.Reynolds = some(plainly(Significant(p.Reynolds, 2, 0, false), p.Reynolds))
	}
	return out
}

// flows prints reference and indication to the place of the reference's U.
func (b *builder) flows(out *Point, p evaluation.PointResult) {
	place := b.digits(p.Reference, quantity.KindFlow, b.paper.FlowUnit, 3)
	if p.UReference != nil && p.UReference.Expanded > 0 {
		place = b.digits(p.UReference.Expanded*p.Reference, quantity.KindFlow, b.paper.FlowUnit, uncertaintyDigits)
		out.UReference = some(percent(Significant(p.UReference.Expanded, uncertaintyDigits, 2, false), p.UReference.Expanded))
	}
	out.Reference = b.inUnit(p.Reference, quantity.KindFlow, b.paper.FlowUnit, place)
	out.Indication = b.inUnit(p.Indication, quantity.KindFlow, b.paper.FlowUnit, place)
}

func some(f Figure) *Figure { return &f }

// coverage prints k with two decimals.
func coverage(k float64) Figure { return plainly(printed(decimal(k, 0), -2, false), k) }

// freedom prints effective degrees of freedom rounded down; nil where they are infinite.
func freedom(nu *float64) *Figure {
	if nu == nil || math.IsInf(*nu, 0) || math.IsNaN(*nu) || *nu > 1000 {
		return nil
	}
	return some(plainly(Exact(math.Floor(*nu), 0, false), *nu))
}

// risk prints the probability that the verdict is wrong, to a tenth of a percent, from
// 10 % to a whole one: it rests on a model, not on counting.
func risk(p float64) Figure {
	switch {
	case p < 0.001:
		return percent("<\u202f0.1", p)
	case p < 0.1:
		return percent(printed(decimal(p, 2), -1, false), p)
	}
	return percent(printed(decimal(p, 2), 0, false), p)
}

// limitAt prints a limit of the error at the flow: with the digits agreed where it was
// agreed as a part of the reading, else to the place of the error.
func limitAt(r Report, j *evaluation.Judged, agreed, atFlow *float64) *Figure {
	switch {
	case j.Kind == evaluation.OfReading && agreed != nil:
		return some(percent(Exact(*agreed, 2, true), *agreed))
	case atFlow != nil:
		return some(percent(r.At(*atFlow, true), *atFlow))
	}
	return nil
}

// sameVerdict returns the check that printed digits suggest the verdict; nil where there
// is none to suggest.
func (b *builder) sameVerdict(p evaluation.PointResult) func(Page) bool {
	rule, err := conformity.ParseRule(b.facts.Agreement.Rule)
	if err != nil || p.Limits == nil || p.U == nil || p.Decision.Verdict == noStatement {
		return nil
	}
	guard := b.facts.Agreement.GuardFactor
	if rule == conformity.Simple {
		guard = 0
	}
	return func(page Page) bool {
		limits := conformity.Limits{Lower: math.Inf(-1), Upper: math.Inf(1)}
		if l := p.Limits.LowerError; l != nil {
			limits.Lower = readLimit(page, p.Limits, *l)
		}
		if l := p.Limits.UpperError; l != nil {
			limits.Upper = readLimit(page, p.Limits, *l)
		}
		d, err := conformity.Decide(conformity.Question{Value: page.Value, ExpandedUncertainty: page.Expanded, CoverageFactor: p.U.K,
			Limits: limits, Rule: rule, GuardFactor: guard, NoStatementAbove: math.Inf(1)})
		return err == nil && d.Verdict.String() == p.Decision.Verdict
	}
}

// readLimit is the limit as limitAt prints it: one that was agreed as a part of the reading
// has all its digits, another is printed to the place of the error.
func readLimit(page Page, j *evaluation.Judged, atFlow float64) float64 {
	if j.Kind == evaluation.OfReading {
		return page.Whole(atFlow)
	}
	return page.Printed(atFlow)
}

func (b *builder) components(shares []evaluation.Share) []Component {
	all := []Component{}
	for _, s := range shares {
		scope, _, _ := strings.Cut(s.Scope, ":")
		standard := plainly(Significant(s.StandardUncertainty, 2, 0, false), s.StandardUncertainty)
		standard.Unit, standard.SI = s.Unit, s.Unit
		if s.Unit == "1" || s.Unit == "" {
			standard = percent(Significant(s.StandardUncertainty, 2, 2, false), s.StandardUncertainty)
		}
		all = append(all, Component{Name: s.Name, Scope: scope, Source: s.Source, Standard: standard,
			Contribution: percent(printed(decimal(s.Contribution, 2), -3, false), s.Contribution),
			Share:        percent(printed(decimal(s.Share, 2), 0, false), s.Share)})
	}
	return all
}

func (b *builder) changes(id domain.IndicationID) []Change {
	all := []Change{}
	for _, c := range b.result.Changes {
		if c.IndicationID != id {
			continue
		}
		report := Round(c.Change, c.U.Expanded, 2, true, nil)
		all = append(all, Change{N: c.FlowPoint, Change: percent(report.Value, c.Change),
			U: percent(report.Expanded, c.U.Expanded), Significant: c.Significant})
	}
	return all
}
