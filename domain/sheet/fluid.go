package sheet

import (
	"strings"

	"rillmark/calc/fluid"
)

// FluidName is the surveyed fluid as package fluid names it.
func (s Survey) FluidName() string { return strings.ToLower(strings.TrimSpace(s.Text(Fluid))) }

// FluidNeeds are the values that the surveyed fluid needs besides its name: the salinity
// of sea water, the share of glycol, the gravity of an oil. A fluid of the company's own
// table, or one not known here, needs none.
func (s Survey) FluidNeeds() (names []Name) {
	for _, need := range fluid.NeedsOf(s.FluidName()) {
		names = append(names, Name(need)) // the two share their words
	}
	return names
}
