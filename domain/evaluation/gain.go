package evaluation

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rillmark/calc/stat"
	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// The codes of what could still be done.
const (
	Measure  = "measure"     // the survey value named
	ZeroIt   = "zero-check"  // isolate the line and read the zero
	MoreRuns = "more-runs"   // as many again
	Longer   = "longer-runs" // as long as brings the scatter to a third of the rest
	Remount  = "remount"     // once more, in another plane
	MoveAway = "move"        // to where the straight lengths are long enough
)

// gains lists what could still be done on site, and what the uncertainty of the flow point
// would then be; the act that buys most comes first. Acts that buy nothing are left out.
func (w *work) gains(one *point) {
	for _, row := range w.Method.Content.Budget {
		switch row.From {
		case method.FromSurvey:
			w.gainByMeasuring(one, row)
		case method.FromZero:
			w.gainByZero(one, row)
		case method.FromStraight:
			w.gain(one, Gain{Code: MoveAway}, func(p *verification.Part) { scaleNamed(p, row.Name, 0) })
		}
	}
	w.gainByRuns(one)
	w.gainByLength(one)
	w.gainByRemounting(one)
	slices.SortStableFunc(one.Acts, func(a, b Gain) int { return cmp.Compare(b.Less, a.Less) })
}

// gain recombines the budget after a change of its parts.
func (w *work) gain(one *point, g Gain, change func(*verification.Part)) {
	w.scratch = append(w.scratch[:0], one.estimate.Parts...)
	parts := w.scratch
	for i := range parts {
		change(&parts[i])
	}
	u, err := verification.Estimate{Parts: parts}.Uncertainty(w.Method.Content.Coverage)
	if err != nil {
		return // a budget that was combined before can be combined again
	}
	g.Expanded = atLeast(u, w.Method.Content.Capability).Expanded
	if g.Less = one.U.Expanded - g.Expanded; g.Less > 0 {
		one.Acts = append(one.Acts, g)
	}
}

func scaleNamed(p *verification.Part, name string, factor float64) {
	if p.Name == name {
		p.Contribution *= factor
	}
}

// gainByMeasuring replaces the uncertainty of a survey value by that of a measured one.
func (w *work) gainByMeasuring(one *point, row method.BudgetRow) {
	name := sheet.Name(row.Input)
	for _, in := range one.runs[0].at.inputs {
		if in.Input != row.Input || in.Source == string(sheet.Measured) || in.StandardUncertainty == 0 {
			continue
		}
		measured, ok := w.Method.Content.SurveyOf(name, sheet.Measured)
		if !ok {
			continue
		}
		u, _ := measured.Of(in.Value) // validated
		w.gain(one, Gain{Code: Measure, Name: row.Input}, func(p *verification.Part) {
			scaleNamed(p, row.Name, u/in.StandardUncertainty)
		})
	}
}

// gainByZero replaces the zero of the method's row by that of a usual check.
func (w *work) gainByZero(one *point, row method.BudgetRow) {
	at := one.runs[0].at
	if u := at.zeroUncertainty(row); !at.zero.checked && u > 0 {
		w.gain(one, Gain{Code: ZeroIt}, func(p *verification.Part) {
			scaleNamed(p, row.Name, w.Method.Content.ZeroCheck.Achievable/u)
		})
	}
}

// gainByRuns doubles the runs, if they scatter on as they did.
func (w *work) gainByRuns(one *point) {
	row, m := w.Method.Content.Budget[w.scatterRow()], float64(len(one.runs))
	if one.TypeA.Basis == string(verification.Resolution) {
		return
	}
	w.gain(one, Gain{Code: MoreRuns, Count: 2 * len(one.runs)}, func(p *verification.Part) {
		switch {
		case p.Name == row.Name && one.TypeA.Basis == string(verification.BetweenRuns):
			p.Contribution, p.Freedom = p.Contribution/math.Sqrt2, 2*m-1
		case p.Name == row.Name && one.TypeA.Basis == string(verification.WithinRuns):
			p.Contribution, p.Freedom = p.Contribution/math.Sqrt2, 2*p.Freedom
		case p.Name == row.Name, strings.HasPrefix(p.Scope, string(method.ScopeRun)+":"):
			p.Contribution /= math.Sqrt2
		}
	})
}

// smallShare is what the scatter's standard uncertainty is brought to by longer runs, of
// that of everything else: it then adds 5 % to u. This program's rule.
const smallShare = 1.0 / 3

// longestRun is the longest run that is proposed, in seconds: an hour, common practice, no source.
const longestRun = 3600

// gainByLength finds how long the runs must be for their scatter to count for little, and
// proposes longer ones where they are too short for that: to tell their scatter at all, where
// the method's pooled value stands in, or else for it to be a third of the rest.
func (w *work) gainByLength(one *point) {
	row := w.Method.Content.Budget[w.scatterRow()]
	effective, seconds := 0.0, 0.0
	for _, m := range one.runs {
		effective += m.Effective / float64(len(one.runs))
		seconds = math.Max(seconds, float64(m.ReadingsUsed)*w.sampling(m).Interval)
	}
	rest := math.Sqrt(math.Max(one.U.Standard*one.U.Standard-one.TypeA.Standard*one.TypeA.Standard, 0))
	wanted := smallShare * rest
	factor, _, err := stat.Longer(one.TypeA.Standard, effective, wanted)
	if one.TypeA.Basis == string(verification.PooledRuns) && effective > 0 {
		factor, err = stat.EffectiveMinimum/effective, nil
	} else if one.TypeA.Basis != string(verification.WithinRuns) {
		return
	}
	if err != nil || seconds == 0 || factor*seconds > longestRun {
		return
	}
	one.RunSeconds = math.Ceil(factor*seconds/60) * 60
	if factor <= 1 || one.TypeA.Basis == string(verification.PooledRuns) {
		return // what the scatter will be, nobody knows yet
	}
	w.gain(one, Gain{Code: Longer, Seconds: one.RunSeconds}, func(p *verification.Part) {
		if p.Name == row.Name {
			p.Contribution, p.Freedom = p.Contribution*wanted/one.TypeA.Standard, p.Freedom*factor
		}
	})
}

// gainByRemounting averages what belongs to a mounting over one mounting more.
func (w *work) gainByRemounting(one *point) {
	mountings := map[domain.MountingID]bool{}
	for _, m := range one.runs {
		mountings[m.at.ID] = true
	}
	n := float64(len(mountings))
	w.gain(one, Gain{Code: Remount, Count: len(mountings) + 1}, func(p *verification.Part) {
		if strings.HasPrefix(p.Scope, string(method.ScopeMounting)+":") {
			p.Contribution *= math.Sqrt(n / (n + 1))
		}
	})
}
