package evaluation

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rillmark/calc/stat"
	"rillmark/calc/verification"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// point is a flow point worked out, with what means and changes need of it.
type point struct {
	PointResult
	runs       []*measured
	comparison verification.Comparison // with the scatter; valid where U is not nil
	estimate   verification.Estimate   // of the error
	describe   []described             // by row of the template
}

// phase works out everything before, or everything after the adjustment.
func (w *work) phase(p sheet.Phase) error {
	taken := w.Sheet.Taken(p)
	if len(taken) == 0 {
		return nil
	}
	w.result.Runs = slices.Grow(w.result.Runs, len(taken)*len(w.Indications))
	result := PhaseResult{Phase: p, Count: sheet.CountOf(taken), Indications: []IndicationResult{}}
	for _, indication := range w.Indications {
		one, err := w.indication(p, taken, indication)
		if err != nil {
			return err
		}
		result.Indications = append(result.Indications, one)
	}
	w.result.Phases = append(w.result.Phases, result)
	return nil
}

func (w *work) indication(p sheet.Phase, taken []sheet.Taken, indication Indication) (IndicationResult, error) {
	result := IndicationResult{IndicationID: indication.ID, Name: indication.Name, Points: []PointResult{}}
	var points []*point
	for _, n := range flowPoints(taken) {
		one, err := w.point(p, n, taken, indication)
		if err != nil {
			return result, err
		}
		if one == nil {
			continue
		}
		w.found[spot{p, indication.ID, n}] = one
		points = append(points, one)
	}
	for _, one := range points {
		result.Points = append(result.Points, one.PointResult)
	}
	if err := w.summarise(p, points, &result); err != nil {
		return result, err
	}
	return result, nil
}

func flowPoints(taken []sheet.Taken) []int {
	var all []int
	for _, t := range taken {
		if !slices.Contains(all, t.FlowPoint) {
			all = append(all, t.FlowPoint)
		}
	}
	slices.Sort(all)
	return all
}

// point works out one flow point; nil where the indication was read in none of its runs.
func (w *work) point(p sheet.Phase, n int, taken []sheet.Taken, indication Indication) (*point, error) {
	one := &point{PointResult: PointResult{FlowPoint: n, Direction: none, Components: []Share{}, Acts: []Gain{}}}
	for _, t := range taken {
		if t.FlowPoint != n {
			continue
		}
		m, err := w.measure(t, indication)
		if err != nil {
			return nil, err
		}
		if m == nil {
			if t.Used {
				one.Remarks.add(IndicationAbsent.At("runs", t.Number, indication.Name))
			}
			continue
		}
		one.RunsTaken++
		w.result.Runs = append(w.result.Runs, m.RunResult)
		if m.Used {
			one.RunsUsed++
			one.runs = append(one.runs, m)
		}
	}
	if one.RunsTaken == 0 {
		return nil, nil
	}
	if err := w.settle(p, one, indication); err != nil {
		return nil, err
	}
	return one, nil
}

// settle turns runs into the result of the flow point.
func (w *work) settle(p sheet.Phase, one *point, indication Indication) error {
	w.counted(p, one)
	certain := w.gather(one)
	if len(one.runs) == 0 {
		one.Grounds.add(NoUsedRun.At("runs"))
		one.Decision = Decision{Verdict: noStatement, Reason: &Finding{NoUsedRun.At("runs")}}
		return nil
	}
	one.average()
	w.repeatable(one)
	if certain {
		if err := w.uncertain(p, one, indication); err != nil {
			return err
		}
	}
	return w.judge(p, one)
}

// counted remarks on runs that are fewer than planned, and on what was set aside.
func (w *work) counted(p sheet.Phase, one *point) {
	if plan, ok := w.Sheet.Plan(p); ok && one.RunsUsed < plan.Runs {
		one.Remarks.add(FewerRuns.At("runs", one.RunsUsed, plan.Runs))
	}
	if least := w.Method.Content.Runs.Least; one.RunsUsed < least {
		one.Remarks.add(FewerThanMethod.At("runs", one.RunsUsed, least))
	}
	readings := 0
	for _, m := range one.runs {
		readings += m.ReadingsTaken - m.ReadingsUsed
	}
	if aside := one.RunsTaken - one.RunsUsed; aside > 0 || readings > 0 {
		one.Remarks.add(SomeSetAside.At("runs", aside, readings))
	}
}

// gather takes the grounds of runs and mountings, and the remarks of the runs (those of a
// mounting stand there), and reports whether every run has a
// reference that could be corrected.
func (w *work) gather(one *point) bool {
	certain := true
	for _, m := range one.runs {
		for _, g := range append(slices.Clone(m.grounds), m.at.result.Grounds...) {
			one.Grounds.add(g.Fault)
		}
		for _, r := range m.Remarks {
			one.Remarks.add(r.Fault)
		}
		certain = certain && m.certain && m.velocity > 0
	}
	return certain
}

// average takes the means of the runs.
func (one *point) average() {
	share := 1 / float64(len(one.runs))
	for _, m := range one.runs {
		one.Indicated += m.Indicated * share
		one.CalibrationErr += m.correction.Error * share
		one.Reference += m.Reference * share
		one.Indication += m.Indication * share
		one.Error += m.Error * share
		one.Velocity += m.velocity * share
		one.Reynolds += m.reynolds * share
		if one.Regime == "" || m.regime == "transition" {
			one.Regime = string(m.regime)
		}
	}
}

func (w *work) repeatable(one *point) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, m := range one.runs {
		low, high = math.Min(low, m.Error), math.Max(high, m.Error)
	}
	if limit := w.Method.Content.Criteria.Repeatability; high-low > limit {
		one.Remarks.add(NotRepeatable.At("runs", hundredth((high-low)*100), limit*100))
	}
}

// uncertain gives the flow point its budget and its uncertainty.
func (w *work) uncertain(p sheet.Phase, one *point, indication Indication) error {
	one.describe = make([]described, len(w.Method.Content.Budget))
	runs := make([]verification.Comparison, 0, len(one.runs))
	for _, m := range one.runs {
		runs = append(runs, w.compare(m, one.describe))
	}
	var err error
	if one.comparison, err = verification.MeanOf(runs); err != nil {
		return err
	}
	if err := w.scatterOf(p, one, indication); err != nil {
		return err
	}
	if one.estimate, err = one.comparison.RelativeError(); err != nil {
		return err
	}
	one.estimate.Value = one.Error
	coverage, capability := w.Method.Content.Coverage, w.Method.Content.Capability
	u, err := one.estimate.Uncertainty(coverage)
	if err != nil {
		return err
	}
	if u.Expanded < capability {
		one.CapabilityGiven = true
		one.Remarks.add(CapabilityGiven.At("uncertainty", capability*100))
	}
	one.U = expanded(atLeast(u, capability))
	reference, err := one.comparison.ReferenceFlow().Uncertainty(coverage)
	if err != nil {
		return err
	}
	one.UReference = expanded(reference)
	one.Components = components(one.estimate, one.describe, u.Standard)
	one.Significant = math.Abs(one.Error) > one.U.Expanded
	one.Direction = direction(one.Error)
	w.gains(one)
	return nil
}

// atLeast raises an uncertainty to the stated capability.
func atLeast(u verification.Uncertainty, capability float64) verification.Uncertainty {
	if u.Expanded < capability {
		u.Expanded, u.Standard = capability, capability/u.K
	}
	return u
}

func expanded(u verification.Uncertainty) *Expanded {
	return &Expanded{Standard: u.Standard, Freedom: orInfinite(u.Freedom), K: u.K, Expanded: u.Expanded, Coverage: u.Coverage}
}

// orInfinite writes infinite degrees of freedom as nil.
func orInfinite(freedom float64) *float64 {
	if math.IsInf(freedom, 1) {
		return nil
	}
	return &freedom
}

// scatterOf adds the type A of the flow point: of the runs, or of the resolutions that
// compete with it.
func (w *work) scatterOf(p sheet.Phase, one *point, indication Indication) error {
	criteria := w.Method.Content.Criteria
	runs := make([]verification.RunScatter, len(one.runs))
	for i, m := range one.runs {
		runs[i] = verification.RunScatter{Error: m.Error, Estimable: m.Estimable, Standard: m.TypeA, Freedom: m.Freedom}
	}
	resolution := w.resolution(one, indication)
	pooled := verification.Pooled{Standard: criteria.PooledTypeA, Freedom: criteria.PooledFreedom}
	s, err := verification.ScatterOf(runs, pooled, resolution, criteria.BetweenRunsFrom)
	if err != nil {
		return err
	}
	one.TypeA = TypeA{Basis: string(s.Basis), Standard: s.Standard, Freedom: orInfinite(s.Freedom),
		Between: s.Between, Within: s.Within, Resolution: resolution}
	i := w.scatterRow()
	row := w.Method.Content.Budget[i]
	key := verification.Key{Name: row.Name, Scope: fmt.Sprintf("runs:%s/%d/%s", p, one.FlowPoint, indication.ID)}
	one.comparison.OnError = append(one.comparison.OnError, verification.Part{Key: key, Contribution: s.Standard, Freedom: s.Freedom})
	one.describe[i] = described{key, s.Standard, "1", string(s.Basis)}
	return nil
}

// scatterRow is where the template's row for the scatter stands; the method has one
// (validated).
func (w *work) scatterRow() int {
	return slices.IndexFunc(w.Method.Content.Budget, func(r method.BudgetRow) bool { return r.From == method.FromScatter })
}

// resolution is the standard uncertainty of the mean error from the resolutions of
// reference and indication. Where readings of one did not change, the runs share it.
func (w *work) resolution(one *point, indication Indication) float64 {
	squares, sum, shared := 0.0, 0.0, false
	for _, m := range one.runs {
		u := 0.0
		for _, row := range w.Method.Content.Budget {
			if row.From != method.FromResolution || row.InCertificate == method.Included {
				continue
			}
			part, change := w.resolutionOf(row, m, indication, one)
			shared = shared || part > 0 && !change
			u = math.Hypot(u, part)
		}
		u *= 1 + m.Error
		squares, sum = squares+u*u, sum+u
	}
	n := float64(len(one.runs))
	if shared {
		return sum / n
	}
	return math.Sqrt(squares) / n
}

// resolutionOf is one channel's relative part in the mean of a run, and whether its
// readings changed.
func (w *work) resolutionOf(row method.BudgetRow, m *measured, indication Indication, one *point) (float64, bool) {
	resolution, mean, of := m.at.reference.Resolution, m.Indicated, m.at.reference.Tag
	if row.ActsOn == method.OnIndication {
		resolution, mean, of = indication.Resolution, m.Indication, indication.Name
	}
	if resolution == nil {
		one.Remarks.add(ResolutionUnknown.At("resolution", of))
		return 0, true
	}
	u, _ := method.StandardUncertainty(row.Distribution, row.Value**resolution, row.K) // validated
	part, _ := method.StandardUncertainty(row.Distribution, row.CertificatePart**resolution, row.K)
	change := changed(m.pairs, row.ActsOn == method.OnIndication)
	return verification.ResolutionOf(verification.Excess(u, part)/math.Abs(mean), m.Effective, change), change
}

// changed reports whether the readings of the reference, or of the indication, differ.
func changed(pairs []stat.Pair, shown bool) bool {
	return slices.ContainsFunc(pairs, func(p stat.Pair) bool {
		if shown {
			return p.Indication != pairs[0].Indication
		}
		return p.Reference != pairs[0].Reference
	})
}

// components lists the parts of the budget, the largest first. Parts of one name that are
// each of something else, such as of every run, stand in one line: √Σ of them.
func components(e verification.Estimate, describe []described, standard float64) []Share {
	all := make([]Share, 0, len(describe))
	for _, p := range e.Parts {
		i := slices.IndexFunc(all, func(s Share) bool { return s.Name == p.Name })
		if i >= 0 {
			all[i].Scope, _, _ = strings.Cut(p.Scope, ":")
			all[i].Contribution = math.Hypot(all[i].Contribution, p.Contribution)
			continue
		}
		var d described
		if row := slices.IndexFunc(describe, func(d described) bool { return d.key == p.Key }); row >= 0 {
			d = describe[row]
		}
		all = append(all, Share{Name: p.Name, Scope: p.Scope, Source: d.source, StandardUncertainty: d.u, Unit: d.unit,
			Contribution: p.Contribution, Freedom: orInfinite(p.Freedom)})
	}
	for i := range all {
		s := &all[i]
		if s.StandardUncertainty > 0 {
			s.Sensitivity = s.Contribution / s.StandardUncertainty
		}
		if standard > 0 {
			s.Share = s.Contribution * s.Contribution / (standard * standard)
		}
		s.Contribution = math.Abs(s.Contribution)
	}
	slices.SortStableFunc(all, func(a, b Share) int { return cmp.Compare(b.Contribution, a.Contribution) })
	return all
}
