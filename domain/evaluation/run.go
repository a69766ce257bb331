package evaluation

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/profile"
	"rillmark/calc/stat"
	"rillmark/calc/verification"
	"rillmark/domain/sheet"
)

// measured is one run and one indication, worked out.
type measured struct {
	RunResult
	run        sheet.Taken
	pairs      []stat.Pair // of the readings that count
	at         *mounted
	stat       stat.Run
	velocity   float64
	reynolds   float64
	regime     profile.Regime
	correction verification.Correction
	certain    bool // the reference could be corrected, so an uncertainty can be given
	grounds    Findings
}

// measure works out one run for one indication; nil where the indication was not read.
func (w *work) measure(t sheet.Taken, indication Indication) (*measured, error) {
	m := &measured{run: t, at: w.mountings[t.MountingID], RunResult: RunResult{RunID: t.ID, Phase: t.Phase, Number: t.Number,
		FlowPoint: t.FlowPoint, IndicationID: indication.ID, Used: t.Used, ReadingsTaken: len(t.Readings)}}
	if t.Aside != nil {
		m.SetAside = t.Aside.Reason
	}
	if m.at != nil && t.CapturedAt.Before(m.at.CapturedAt) {
		m.Remarks.add(RunBeforeMounting.At("runs", t.Number, m.at.Number))
	}
	pairs := pairsOf(t, indication)
	if len(pairs) == 0 {
		return nil, nil
	}
	m.pairs = pairs
	if t.Used {
		m.ReadingsUsed = len(pairs)
	}
	var err error
	if m.stat, err = stat.ErrorOfRun(pairs, w.sampling(m)); err != nil {
		if !fault.Has(err, stat.CodeReferenceZero) {
			return nil, err
		}
		m.grounds.add(ReferenceNotComparable.At("reference"))
		return m, nil
	}
	m.Indicated, m.Indication = m.stat.MeanReference, m.stat.MeanIndication
	if err := w.correct(m); err != nil {
		return nil, err
	}
	w.scatter(m)
	w.steady(m, pairs)
	return m, nil
}

// pairsOf returns the readings that count; of a run that was set aside those that would.
func pairsOf(t sheet.Taken, indication Indication) []stat.Pair {
	pairs := make([]stat.Pair, 0, len(t.Readings))
	for _, r := range t.Readings {
		shown, read := r.Of(indication.ID)
		if read && (r.Used || !t.Used && r.Aside == nil) {
			pairs = append(pairs, stat.Pair{Reference: r.Reference, Indication: shown.Value})
		}
	}
	return pairs
}

// sampling is how the run's readings were taken. Those from loggers' files say it
// themselves; else it is the averaging of plan or reference, whichever is longer.
func (w *work) sampling(m *measured) stat.Sampling {
	if m.run.Interval != nil && m.run.Averaging != nil {
		return stat.Sampling{Averaging: *m.run.Averaging, Interval: *m.run.Interval}
	}
	plan, ok := w.Sheet.Plan(m.Phase)
	if !ok {
		return stat.Sampling{}
	}
	return stat.Sampling{Averaging: math.Max(plan.Averaging, value(m.at.reference.Averaging)), Interval: plan.Interval}
}

// correct takes the reference to the pipe as now known and by its calibration, and finds
// velocity and Reynolds number.
func (w *work) correct(m *measured) error {
	correction := 0.0
	if m.at.bore > 0 {
		m.velocity = math.Abs(m.Indicated*m.at.factor) / (math.Pi / 4 * m.at.bore * m.at.bore)
		w.flowing(m)
		if m.at.calibrated != nil {
			c, err := m.at.curve.At(m.velocity)
			if err == nil {
				m.correction, correction = c, c.Error
				m.certain = m.at.ready
			} else {
				m.grounds.add(VelocityNotCovered.At("velocity", m.velocity, m.at.calibrated.CertificateNumber))
			}
		}
	}
	w.validity(m)
	reference, err := verification.Corrected(m.Indicated, m.at.factor, correction)
	if err != nil {
		return err
	}
	m.Reference = reference
	m.Error = (m.Indication - reference) / reference
	return nil
}

// flowing finds the Reynolds number, and whether regime and calibration cover it.
func (w *work) flowing(m *measured) {
	if !m.at.fluid.known {
		return
	}
	re, err := profile.Reynolds(m.at.fluid.density, m.velocity, m.at.bore, m.at.fluid.viscosity)
	if err != nil {
		return
	}
	limits := w.Method.Content.Transition
	m.reynolds = re
	m.regime, _ = profile.RegimeOf(re, limits.Lower, limits.Upper) // both are valid here
	if m.regime == profile.Transition {
		m.grounds.add(InTransition.At("reynolds", re, limits.Lower, limits.Upper))
	}
}

// scatter takes over what the run tells of its own scatter.
func (w *work) scatter(m *measured) {
	m.Effective = m.stat.Effective.Number
	m.Estimable = m.stat.TypeA.Estimable
	// The run's statistics are those of the indicated ratio; the correction scales it.
	m.TypeA = m.stat.TypeA.StandardUncertainty * m.Indicated / m.Reference
	m.Freedom = m.stat.TypeA.DegreesOfFreedom
	if !m.Estimable {
		m.TypeA, m.Freedom = w.Method.Content.Criteria.PooledTypeA, w.Method.Content.Criteria.PooledFreedom
	}
}

// steady remarks on a reference that moved more within the run than the method allows.
func (w *work) steady(m *measured, pairs []stat.Pair) {
	if len(pairs) < 2 {
		return
	}
	readings := make([]float64, len(pairs))
	for i, p := range pairs {
		readings[i] = p.Reference
	}
	spread := stat.StandardDeviation(readings) / math.Abs(m.Indicated)
	if limit := w.Method.Content.Criteria.SteadyFlow; spread > limit {
		m.Remarks.add(NotSteady.At("reference", hundredth(spread*100), limit*100))
	}
}

// hundredth rounds what is only said in a sentence.
func hundredth(x float64) float64 { return math.Round(x*100) / 100 }
