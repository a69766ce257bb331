package sheet

import (
	"rillmark/calc/fault"
	"rillmark/domain"
)

// The codes of what is still missing on the work sheet. The field is the name of the
// survey value, or the step.
var (
	MissingValue    = fault.Define("sheet.missing-value", fault.T("name"))
	MissingMounting = fault.Define("sheet.missing-mounting")
	MissingCheck    = fault.Define("sheet.missing-set-up-check", fault.C("mounting"))
	MissingRecheck  = fault.Define("sheet.missing-re-check", fault.C("mounting"))
	MissingZero     = fault.Define("sheet.missing-zero-check", fault.C("mounting"))
	MissingControl  = fault.Define("sheet.missing-control")
	MissingRestored = fault.Define("sheet.missing-restored")
	MissingPlan     = fault.Define("sheet.missing-plan", fault.T("phase"))
	MissingRuns     = fault.Define("sheet.missing-runs", fault.C("flow_point"), fault.C("used"), fault.C("planned"))
	MissingDecision = fault.Define("sheet.missing-adjustment-or-note")
	MissingClose    = fault.Define("sheet.missing-close")
)

// Gap is one thing that is still missing, with the step it belongs to.
type Gap struct {
	Step Step
	fault.Fault
}

// needed are the survey values without which no uncertainty can be given, in order.
var needed = []Name{Wall, PipeMaterial, Fluid, Temperature, StraightBefore, StraightAfter, DisturbanceBefore, Between}

// Missing returns what is still missing, in the order of the work: the first is what to
// do next. Nothing of it is a gate. A task that is not possible misses nothing.
func (s Sheet) Missing() []Gap {
	if state := s.State(); state == Impossible || state == Done || state == Part {
		return nil
	}
	return s.Gaps()
}

// Gaps lists what a whole sheet would hold and this one does not, also when it was closed
// without.
func (s Sheet) Gaps() []Gap {
	g := &gaps{}
	s.missingSurvey(g)
	s.missingMounting(g)
	s.missingControl(g)
	s.missingRuns(g, StepBefore, Before)
	s.missingAdjustment(g)
	s.missingEnd(g)
	return g.all
}

type gaps struct{ all []Gap }

func (g *gaps) add(step Step, f fault.Fault) { g.all = append(g.all, Gap{step, f}) }

func (s Sheet) missingSurvey(g *gaps) {
	now := s.Now()
	if _, _, ok := now.Diameter(); !ok {
		g.add(StepSurvey, MissingValue.At(string(OutsideDiameter), string(OutsideDiameter)))
	}
	for _, name := range needed {
		if !now.Has(name) {
			g.add(StepSurvey, MissingValue.At(string(name), string(name)))
		}
		if name == Fluid {
			for _, name := range now.FluidNeeds() {
				if name != ProductGroup && !now.Has(name) { // without a group the density decides
					g.add(StepSurvey, MissingValue.At(string(name), string(name)))
				}
			}
		}
	}
}

func (s Sheet) missingMounting(g *gaps) {
	if len(s.Mountings) == 0 {
		g.add(StepMounting, MissingMounting.At(string(StepMounting)))
	}
	for _, m := range s.Mountings {
		if s.Superseded(m) {
			continue
		}
		if !s.checked(m.ID, Before) {
			g.add(StepCheck, MissingCheck.At(string(StepCheck), m.Number))
		}
		if !s.zeroed(m.ID) {
			g.add(StepZero, MissingZero.At(string(StepZero), m.Number))
		}
	}
}

func (s Sheet) checked(id domain.MountingID, moment Moment) bool {
	for _, c := range s.SetupChecks {
		if c.MountingID == id && c.Moment == moment {
			return true
		}
	}
	return false
}

func (s Sheet) zeroed(id domain.MountingID) bool {
	for _, z := range s.ZeroChecks {
		if z.MountingID == id {
			return true
		}
	}
	return false
}

func (s Sheet) missingControl(g *gaps) {
	if len(s.Controls) == 0 {
		g.add(StepBefore, MissingControl.At(string(StepBefore)))
	}
}

func (s Sheet) missingRuns(g *gaps, step Step, p Phase) {
	plan, ok := s.Plan(p)
	if !ok {
		g.add(step, MissingPlan.At(string(step), string(p)))
		return
	}
	used := map[int]int{}
	for _, t := range s.Taken(p) {
		if t.Used {
			used[t.FlowPoint]++
		}
	}
	for point := 1; point <= plan.FlowPoints; point++ {
		if used[point] < plan.Runs {
			g.add(step, MissingRuns.At(string(step), point, used[point], plan.Runs))
		}
	}
}

func (s Sheet) missingAdjustment(g *gaps) {
	noted := false
	for _, n := range s.Notes {
		noted = noted || n.Kind == NotAdjusted
	}
	switch {
	case len(s.Adjustments) == 0 && !noted:
		g.add(StepAdjust, MissingDecision.At(string(StepAdjust)))
	case len(s.Adjustments) > 0:
		s.missingRuns(g, StepAfter, After)
	}
}

func (s Sheet) missingEnd(g *gaps) {
	for _, m := range s.Mountings {
		if len(s.Runs) > 0 && !s.Superseded(m) && !s.checked(m.ID, After) {
			g.add(StepRecheck, MissingRecheck.At(string(StepRecheck), m.Number))
		}
	}
	if s.StillInhibited() {
		g.add(StepClose, MissingRestored.At(string(StepClose)))
	}
	if state := s.State(); state != Impossible && state != Done && state != Part {
		g.add(StepClose, MissingClose.At(string(StepClose)))
	}
}

// StillInhibited reports whether something that the signal controls was put in manual or
// inhibited, and nobody wrote down that it was restored.
func (s Sheet) StillInhibited() bool {
	inhibited, restored := 0, 0
	for _, n := range s.Controls {
		switch n.Kind {
		case Inhibited:
			inhibited++
		case Restored:
			restored++
		}
	}
	return inhibited > restored
}
