package register

import "rillmark/calc/quantity"

// FlowUnit is the unit in which a meter's flows are told: that of its first indication that
// has a unit of flow, as written; cubic metres an hour where none has.
func FlowUnit(units ...string) string {
	for _, unit := range units {
		if IsFlowUnit(unit) {
			return unit
		}
	}
	return "m³/h"
}

// IsFlowUnit reports whether the text is a unit of flow by volume.
func IsFlowUnit(unit string) bool {
	_, err := quantity.Parse("1 "+unit, quantity.KindFlow, quantity.Options{})
	return err == nil
}
