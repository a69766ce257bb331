package certificate

import "slices"

// severity orders verdicts from best to worst: the worst holds for the whole.
var severity = []string{"pass", "conditional-pass", "no-statement", "conditional-fail", "fail"}

// Verdict is the worst overall verdict of the indications as the meter was left: after
// adjustment where there was one. Empty: the results are for information.
func (s Snapshot) Verdict() string {
	if !s.Conformity {
		return ""
	}
	worst := -1
	for _, i := range s.Indications {
		if len(i.Phases) == 0 {
			continue
		}
		worst = max(worst, slices.Index(severity, i.Phases[len(i.Phases)-1].Overall.Verdict))
	}
	if worst < 0 {
		return ""
	}
	return severity[worst]
}
