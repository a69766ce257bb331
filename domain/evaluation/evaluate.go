package evaluation

import (
	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// work is an evaluation under way.
type work struct {
	Facts
	now       sheet.Survey
	mountings map[domain.MountingID]*mounted
	uses      map[domain.CalibrationID]*KitUse
	result    *Result
	scopes    map[scopeOf]string
	scratch   []verification.Part // for gains
	found     map[spot]*point     // what the flow points came to, for changes and means
}

// spot is where a flow point is.
type spot struct {
	phase      sheet.Phase
	indication domain.IndicationID
	flowPoint  int
}

// Evaluate concludes from the facts what can be concluded: errors with their
// uncertainties, verdicts by the agreed rule, what the adjustment changed and what could
// still be done; and which grounds are missing where there is no statement. It depends on
// the facts alone: no clock, no randomness, no input or output.
//
// Errors: a fault.List of what in the facts is malformed or contradicts itself
// (Facts.Validate). Anything that merely is missing is in the result.
func Evaluate(f Facts) (Result, error) {
	r, err := Conclude(f)
	if err != nil {
		return Result{}, err
	}
	if r.MethodHash, err = f.Method.Content.Hash(); err != nil {
		return Result{}, err
	}
	r.Input, err = f.InputHash()
	return r, err
}

// Conclude is Evaluate without the hashes: for a page that is read and not kept. Hashing
// takes longer than all the metrology.
func Conclude(f Facts) (Result, error) {
	if err := f.Validate(); err != nil {
		return Result{}, err
	}
	r := Result{CalcEdition: verification.Edition, Mountings: []MountingResult{}, Runs: []RunResult{},
		Phases: []PhaseResult{}, Changes: []ChangeResult{}, Kit: []KitUse{}}
	w := &work{Facts: f.ordered(), result: &r, uses: map[domain.CalibrationID]*KitUse{},
		mountings: map[domain.MountingID]*mounted{}, found: map[spot]*point{}, scopes: map[scopeOf]string{}}
	w.now = w.Sheet.Now()
	w.contributors()
	w.surveyFindings()
	for _, m := range byNumber(w.Sheet.Mountings) {
		w.mountings[m.ID] = w.mount(m)
	}
	for _, phase := range sheet.Phases {
		if err := w.phase(phase); err != nil {
			return Result{}, err
		}
	}
	w.adjustmentFindings()
	if err := w.changes(); err != nil {
		return Result{}, err
	}
	w.finish()
	return r, nil
}

// finish gathers what was collected along the way.
func (w *work) finish() {
	for _, m := range byNumber(w.Sheet.Mountings) {
		w.result.Mountings = append(w.result.Mountings, w.mountings[m.ID].result)
	}
	for _, c := range w.Calibrations {
		if use := w.uses[c.ID]; use != nil {
			w.result.Kit = append(w.result.Kit, *use)
		}
	}
	if len(w.result.Grounds) > 0 {
		return
	}
	for _, p := range w.found {
		if p.Decision.Verdict != noStatement {
			w.result.Conformity = true
		}
	}
}

func byNumber(mountings []sheet.Mounting) []sheet.Mounting {
	return sorted(mountings, func(a, b sheet.Mounting) int { return a.Number - b.Number })
}
