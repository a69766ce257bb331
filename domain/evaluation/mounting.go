package evaluation

import (
	"math"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
)

// mounted is a mounting with what its runs need of it.
type mounted struct {
	sheet.Mounting
	reference  kit.Item
	pair       kit.Item
	ready      bool // bore and model are known, so an uncertainty can be given
	bore       float64
	factor     float64
	fluid      liquid
	inputs     []Sensitivity // of the model, with the uncertainty of each
	halfWidth  float64       // for short straight lengths
	zero       zero
	calibrated *kit.Calibration              // nil: none of this set
	curve      verification.CalibrationCurve // of it
	result     MountingResult
}

// mount works out a mounting: the pipe as entered and as known now, the fluid, the model's
// sensitivities, the calibration of the set, and the checks.
func (w *work) mount(m sheet.Mounting) *mounted {
	at := &mounted{Mounting: m, factor: 1}
	at.reference, _ = w.item(m.ReferenceID)
	at.pair, _ = w.item(m.PairID)
	at.result = MountingResult{MountingID: m.ID, Number: m.Number, SurveyFactor: 1}
	w.model(at)
	at.halfWidth = w.referenceStraight(at.bore, &at.result.Remarks)
	w.calibration(at)
	w.checks(at)
	at.zero = w.zero(at)
	if w.Sheet.Superseded(m) { // nothing rests on it: what it lacks is nothing to anybody
		at.result.Grounds, at.result.Remarks = nil, nil
		at.result.Remarks.add(MountingSuperseded.At("", m.Number))
	}
	at.result.Sensitivity = append([]Sensitivity{}, at.inputs...)
	return at
}

// model fills in bore, survey factor and sensitivities; what is missing for them becomes
// a ground of the mounting.
func (w *work) model(at *mounted) {
	known, missing := w.clamp(at, w.now)
	for _, f := range missing {
		at.result.Grounds.add(f)
	}
	at.bore, at.result.Bore = known.Bore(), known.Bore()
	entered, _ := w.clamp(at, w.enteredAt(at.Mounting))
	at.result.EnteredBore = entered.Bore()
	at.fluid = w.liquid(&at.result)
	w.carried(at)
	if len(missing) > 0 {
		return
	}
	slopes, err := verification.FlowSlopes(known, WayOf(at.reference))
	if err == nil {
		at.factor, err = verification.FlowFactor(entered, known, WayOf(at.reference))
	}
	if err != nil {
		at.factor = 1
		at.refuse(err)
		return
	}
	at.result.SurveyFactor = at.factor
	if percent := (at.factor - 1) * 100; percent > correctedFrom || percent < -correctedFrom {
		at.result.Remarks.add(CorrectedForSurvey.At("", percent, at.Number))
	}
	at.ready = true
	w.sensitivities(at, known, slopes)
}

// carried says that the bore was taken to the fluid's temperature and pressure, or that it
// could not be.
func (w *work) carried(at *mounted) {
	c := Carry(w.now, w.Method.Content)
	if math.Abs(c.Percent) > correctedFrom {
		at.result.Remarks.add(CarriedToFlow.At(string(sheet.OutsideDiameter), math.Round(c.Percent*100)/100))
	}
	if len(c.Refused) > 0 {
		at.result.Remarks.add(NotCarried.At(string(sheet.PipeMaterial), w.now.Text(sheet.PipeMaterial)))
	}
}

// correctedFrom is the correction, in per cent, from which it is worth a remark: no
// reference shows less.
const correctedFrom = 0.01

// refuse makes a ground of what the model says.
func (at *mounted) refuse(err error) {
	faults := fault.AllOf(err)
	if len(faults) == 0 {
		at.result.Grounds.add(ModelRefused.At("", err.Error()))
	}
	for _, f := range faults {
		at.result.Grounds.add(f)
	}
	at.ready = false
}

// enteredAt is the survey as it was entered in the reference: in force at the mounting,
// and what was only written down later as it was written down then.
func (w *work) enteredAt(m sheet.Mounting) sheet.Survey {
	entered := w.Sheet.At(m.CapturedAt)
	for name, v := range w.now {
		if !entered.Has(name) {
			entered[name] = v
		}
	}
	return entered
}

// calibration finds the calibration of the set, and says what it does not cover.
func (w *work) calibration(at *mounted) {
	var times []time.Time
	var best *kit.Calibration
	anyOfReference := false
	for i := range w.Calibrations {
		c := &w.Calibrations[i]
		if c.KitID == at.ReferenceID && c.Quantity == kit.Flow {
			anyOfReference = true
		}
		if !c.OfSet(at.ReferenceID, at.PairID, at.CableID) {
			continue
		}
		if best != nil && times == nil {
			times = w.timesOf(at.ID)
		}
		if best == nil || better(c, best, times) {
			best = c
		}
	}
	at.calibrated = best
	switch {
	case best != nil:
		w.covered(at)
		// Points that make no curve cover no velocity: each run says so.
		at.curve, _ = verification.NewCalibrationCurve(pointsOf(at))
	case anyOfReference:
		at.result.Grounds.add(WrongSet.At("pair_id", at.reference.Tag, at.pair.Tag))
	default:
		at.result.Grounds.add(NoCalibration.At("reference_id", at.reference.Tag))
	}
}

// better prefers the calibration that was valid at more of the times, then the later one.
func better(a, b *kit.Calibration, times []time.Time) bool {
	if x, y := validAt(a, times), validAt(b, times); x != y {
		return x > y
	}
	return a.CalibratedOn.After(b.CalibratedOn)
}

func validAt(c *kit.Calibration, times []time.Time) int {
	n := 0
	for _, t := range times {
		if c.Valid(t) {
			n++
		}
	}
	return n
}

// timesOf returns when the runs of a mounting were captured, and their readings.
func (w *work) timesOf(id domain.MountingID) []time.Time {
	all := make([]time.Time, 0, len(w.Sheet.Runs)+len(w.Sheet.Readings))
	of := map[domain.RunID]bool{}
	for i := range w.Sheet.Runs {
		if r := &w.Sheet.Runs[i]; r.MountingID == id {
			all, of[r.ID] = append(all, r.CapturedAt), true
		}
	}
	for i := range w.Sheet.Readings {
		if r := &w.Sheet.Readings[i]; of[r.RunID] {
			all = append(all, r.CapturedAt)
		}
	}
	return all
}

func (w *work) covered(at *mounted) {
	c := at.calibrated
	if at.bore > 0 && !kit.Covers(c.LeastInsideDiameter, c.MostInsideDiameter, at.bore) {
		at.result.Grounds.add(DiameterNotCovered.At("", at.bore*1e3, c.CertificateNumber))
	}
	if !c.CoversTraverses(at.Traverses) {
		at.result.Grounds.add(TraversesNotCovered.At("traverses", at.Traverses, c.CertificateNumber))
	}
}
