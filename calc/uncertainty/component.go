package uncertainty

import (
	"fmt"
	"math"

	"rillmark/calc/fault"
)

// Infinite is the number of degrees of freedom of a component that is taken as exactly
// known, as most type B evaluations are (JCGM 100:2008, G.4.3).
var Infinite = math.Inf(1)

// Component is one line of a budget.
type Component struct {
	Name         string       // unique in its budget
	Value        float64      // what Distribution says, in the unit of the input; not negative
	Distribution Distribution // the zero value is invalid
	CoverageK    float64      // the k of a Normal component, positive; 0 for every other
	// Sensitivity is the partial derivative of the result with respect to the input,
	// unit of the result per unit of the input. Zero is valid: the input has no effect.
	Sensitivity float64
	// DegreesOfFreedom of the standard uncertainty, 1 or more, need not be whole.
	// Infinite where the uncertainty is taken as exact. The zero value is invalid.
	DegreesOfFreedom float64
}

// StandardUncertainty returns u of the input: the value divided by k, √3, √6, √2 or 1 as
// the distribution says, in the unit of the input. The component must be valid.
//
// Source: JCGM 100:2008, 4.3.3 (normal), 4.3.7 (rectangular), 4.3.9 (triangular);
// JCGM 101:2008, 6.4.6 (arcsine).
func (c Component) StandardUncertainty() float64 {
	return c.Value / c.Distribution.divisor(c.CoverageK)
}

// validate returns every problem of the component, with fields below the path.
func (c Component) validate(path string) fault.List {
	var faults fault.List
	at := func(code *fault.Code, field string, values ...any) {
		faults = append(faults, code.At(path+"."+field, values...))
	}
	if c.Name == "" {
		at(CodeNameMissing, "name")
	}
	switch {
	case !finite(c.Value):
		at(CodeNotFinite, "value", c.Name)
	case c.Value < 0:
		at(CodeNegative, "value", c.Name, c.Value)
	}
	if !c.Distribution.valid() {
		at(CodeDistributionUnknown, "distribution", c.Distribution.String(), Distributions())
	}
	if c.Distribution == Normal && !(c.CoverageK > 0 && finite(c.CoverageK)) {
		at(CodeCoverageFactorMissing, "k", c.Name)
	}
	if !finite(c.Sensitivity) {
		at(CodeNotFinite, "sensitivity", c.Name)
	}
	if !(c.DegreesOfFreedom >= 1) {
		at(CodeFreedomTooSmall, "degrees_of_freedom", c.Name, c.DegreesOfFreedom)
	}
	return faults
}

func validateComponents(components []Component) fault.List {
	if len(components) == 0 {
		return fault.List{CodeEmpty.At("components")}
	}
	var faults fault.List
	taken := map[string]bool{}
	for i, c := range components {
		path := fmt.Sprintf("components[%d]", i)
		faults = append(faults, c.validate(path)...)
		if c.Name != "" && taken[c.Name] {
			faults = append(faults, CodeNameTaken.At(path+".name", c.Name))
		}
		taken[c.Name] = true
	}
	return faults
}

// unusedFactors warns of a k that no distribution asks for: whoever wrote it may have
// meant an expanded uncertainty.
func unusedFactors(components []Component) fault.List {
	var warnings fault.List
	for i, c := range components {
		if c.Distribution != Normal && c.CoverageK != 0 {
			warnings = append(warnings, CodeCoverageFactorUnused.At(
				fmt.Sprintf("components[%d].k", i), c.Name, c.Distribution.String(), c.CoverageK))
		}
	}
	return warnings
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
