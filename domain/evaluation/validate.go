package evaluation

import (
	"fmt"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// Validate returns everything in the facts that contradicts itself or is malformed, keyed
// by field as in "sheet.runs[2].number". A missing ground is no such thing.
func (f Facts) Validate() error {
	var l fault.List
	add := func(path string, err error) {
		for _, one := range fault.AllOf(err) {
			l = append(l, one.In(join(path, one.Field)))
		}
	}
	add("method.content", f.Method.Content.Validate())
	if len(f.Indications) == 0 {
		l = append(l, NothingToJudge.At("indications"))
	}
	if !f.Task.PointID.Valid() || !f.Task.VisitID.Valid() {
		l = append(l, domain.Required.At("task"))
	}
	add("agreement", f.Agreement.validate())
	f.validateSheet(add)
	f.validateLinks(&l)
	return l.Err()
}

func join(path, field string) string {
	if field == "" {
		return path
	}
	return path + "." + field
}

func (a Agreement) validate() error {
	var l fault.List
	if _, err := conformity.ParseRule(a.Rule); err != nil {
		l = append(l, fault.AllOf(err)...)
	}
	if a.OverallRule != WorstPoint && a.OverallRule != MeanError {
		l = append(l, UnknownRule.At("overall_rule", string(a.OverallRule)))
	}
	if !(a.GuardFactor >= 0) {
		l = append(l, conformity.CodeNegativeGuard.At("guard_factor", a.GuardFactor))
	}
	for i, limit := range a.Limits {
		if !limit.complete() {
			l = append(l, LimitIncomplete.At(fmt.Sprintf("limits[%d]", i), limit.N))
		}
	}
	return l.Err()
}

// complete reports whether a limit can be judged by.
func (l Limit) complete() bool {
	switch {
	case l.Phase != LimitBefore && l.Phase != LimitAfter && l.Phase != LimitAdjustIf:
	case len(l.agreed().Validate()) > 0:
	case l.ToFlow != nil && *l.ToFlow <= l.FromFlow:
	default:
		return true
	}
	return false
}

func (f Facts) validateSheet(add func(string, error)) {
	s := f.Sheet
	each(add, "survey", s.Survey, sheet.SurveyValue.Validate)
	each(add, "mountings", s.Mountings, sheet.Mounting.Validate)
	each(add, "setup_checks", s.SetupChecks, sheet.SetupCheck.Validate)
	each(add, "zero_checks", s.ZeroChecks, sheet.ZeroCheck.Validate)
	each(add, "plans", s.Plans, sheet.RunPlan.Validate)
	each(add, "runs", s.Runs, sheet.Run.Validate)
	each(add, "readings", s.Readings, sheet.Reading.Validate)
	each(add, "set_asides", s.SetAsides, sheet.SetAside.Validate)
	each(add, "control_notes", s.Controls, sheet.ControlNote.Validate)
	each(add, "adjustments", s.Adjustments, sheet.Adjustment.Validate)
	each(add, "notes", s.Notes, sheet.TaskNote.Validate)
}

func each[R any](add func(string, error), list string, rows []R, validate func(R) error) {
	for i, row := range rows {
		if err := validate(row); err != nil {
			add(fmt.Sprintf("sheet.%s[%d]", list, i), err)
		}
	}
}

// validateLinks finds rows that name what is not there, or themselves.
func (f Facts) validateLinks(l *fault.List) {
	for i, m := range f.Sheet.Mountings {
		for _, id := range []domain.KitID{m.ReferenceID, m.PairID} {
			if _, ok := f.item(id); !ok {
				*l = append(*l, UnknownKit.At(fmt.Sprintf("sheet.mountings[%d]", i), id.String()))
			}
		}
	}
	for i, r := range f.Sheet.Runs {
		if _, ok := f.Sheet.Mounting(r.MountingID); !ok {
			*l = append(*l, UnknownMounting.At(fmt.Sprintf("sheet.runs[%d].mounting_id", i), r.MountingID.String()))
		}
	}
	for i, v := range f.Sheet.Survey {
		if v.Corrects != nil && *v.Corrects == v.ID {
			*l = append(*l, RowCorrectsItself.At(fmt.Sprintf("sheet.survey[%d].corrects", i), v.ID.String()))
		}
	}
	for i, r := range f.Sheet.Readings {
		if r.Corrects != nil && *r.Corrects == r.ID {
			*l = append(*l, RowCorrectsItself.At(fmt.Sprintf("sheet.readings[%d].corrects", i), r.ID.String()))
		}
	}
}
