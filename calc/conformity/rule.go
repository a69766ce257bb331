package conformity

import "strings"

// Rule is a decision rule. The zero value is invalid.
type Rule int

// The rules, ILAC-G8:09/2019, 4.2.
const (
	_         Rule = iota
	Simple         // pass within the limits; no guard band (4.2.1)
	GuardBand      // pass within the limits drawn in by w; everything else fails (4.2.2)
	NonBinary      // in and beyond the guard band the verdict is conditional (4.2.3)
)

var ruleNames = []string{Simple: "simple", GuardBand: "guard-band", NonBinary: "non-binary"}

// Rules lists the names that ParseRule takes, with commas between.
func Rules() string { return strings.Join(ruleNames[1:], ", ") }

// ParseRule returns the rule of the name: simple, guard-band or non-binary. The error
// has CodeRuleUnknown, in the field "rule".
func ParseRule(name string) (Rule, error) {
	for r := Simple; r <= NonBinary; r++ {
		if ruleNames[r] == name {
			return r, nil
		}
	}
	return 0, CodeRuleUnknown.At("rule", name, Rules())
}

// String returns the name, empty for an invalid rule.
func (r Rule) String() string {
	if !r.valid() {
		return ""
	}
	return ruleNames[r]
}

func (r Rule) valid() bool { return r >= Simple && r <= NonBinary }

// Verdict is the outcome of a decision. The zero value is invalid.
type Verdict int

// The verdicts, from best to worst; no statement stands apart.
const (
	_ Verdict = iota
	Pass
	ConditionalPass
	ConditionalFail
	Fail
	NoStatement
)

var verdictNames = []string{Pass: "pass", ConditionalPass: "conditional-pass",
	ConditionalFail: "conditional-fail", Fail: "fail", NoStatement: "no-statement"}

// String returns the name: pass, conditional-pass, conditional-fail, fail or
// no-statement; empty for an invalid verdict.
func (v Verdict) String() string {
	if v < Pass || v > NoStatement {
		return ""
	}
	return verdictNames[v]
}

// Conforms reports whether the verdict says, conditionally or not, that the limits hold.
func (v Verdict) Conforms() bool { return v == Pass || v == ConditionalPass }
