package calcjson

import (
	"strings"

	"rillmark/calc/beam"
	model "rillmark/calc/verification"
)

// sensitivityRow is what one input, entered too large by one unit, does to the recommended
// spacing and to the flow that the reference shows.
type sensitivityRow struct {
	Input   string   `json:"input"`
	Unit    string   `json:"unit"`
	Value   float64  `json:"value"`
	Spacing *float64 `json:"spacing_m_per_unit"`    // nil: the spacing does not depend on it by definition
	Flow    float64  `json:"flow_percent_per_unit"` // relative change of flow, in per cent
	Power   float64  `json:"flow_power"`            // relative change of flow per relative change of the input
}

// sensitivities are numeric, through the whole chain: beam.SpacingModel and
// verification.FlowSlopes.
func sensitivities(s beam.Setup, recommended float64, w wedgeInput, way beam.Way) ([]sensitivityRow, error) {
	geometry := beam.SpacingModel(s)
	ofSpacing, err := geometry.Slopes()
	if err != nil {
		return nil, err
	}
	ofFlow, err := model.FlowSlopes(model.Clamp{Setup: s, Spacing: recommended}, way)
	if err != nil {
		return nil, err
	}
	bySpacing, values := map[string]float64{}, map[string]float64{beam.SpacingName: recommended}
	for i, one := range ofSpacing {
		bySpacing[one.Name], values[one.Name] = one.Value, geometry.At[i]
	}
	var rows []sensitivityRow
	for _, one := range ofFlow {
		row := sensitivityRow{Input: one.Input, Unit: unitOf(one.Input), Value: values[one.Input], Flow: 100 * one.Value, Power: one.Value * values[one.Input]}
		if spacing, known := bySpacing[one.Input]; known {
			row.Spacing = &spacing
		}
		rows = append(rows, row)
		if one.Input == beam.WedgeSoundSpeedName && w.warmed {
			rows = append(rows, row.warmed(w))
		}
	}
	return rows, nil
}

// warmed is the row of the wedge's temperature, by the chain rule from that of its speed. A
// power of a temperature in °C means nothing: it is left at 0.
func (r sensitivityRow) warmed(w wedgeInput) sensitivityRow {
	spacing := *r.Spacing * w.slope
	return sensitivityRow{Input: beam.WedgeTemperatureName, Unit: "K", Value: w.temperature, Spacing: &spacing, Flow: r.Flow * w.slope}
}

func unitOf(input string) string {
	switch {
	case strings.HasSuffix(input, "_m_s"):
		return "m/s"
	case strings.HasSuffix(input, "_deg"):
		return "deg"
	}
	return "m"
}

// powerOfBore is the relative change of flow per relative change of the clear bore, the
// bore changed by the outside diameter.
func powerOfBore(rows []sensitivityRow, bore float64) float64 {
	for _, r := range rows {
		if r.Input == beam.OutsideDiameterName {
			return r.Flow / 100 * bore
		}
	}
	return 0
}
