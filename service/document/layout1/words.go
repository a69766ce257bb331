package layout1

import (
	"strings"

	"rillmark/domain/certificate"
)

// The words of this edition. What a document says of its own stands in the snapshot; these
// are the same on every one.

func endMark(number string, provisional bool) string {
	if provisional {
		return "End of the provisional results"
	}
	return "End of certificate " + number
}

const provisionalNotice = "Provisional, not authorised"

var phaseNames = map[string]string{"before": "Before adjustment", "after": "After adjustment", "adjust-if": "Adjust if outside"}

var phaseSymbols = map[string]string{"before": "as found", "after": "as left"}

var verdictNames = map[string]string{"pass": "pass", "conditional-pass": "conditional pass",
	"conditional-fail": "conditional fail", "fail": "fail", "no-statement": "no statement", "": "–"}

// verdictPhrases are for one, for several, and for what was.
var verdictPhrases = map[string][3]string{"pass": {"passes", "pass", "passed"},
	"conditional-pass": {"conditionally passes", "conditionally pass", "conditionally passed"},
	"conditional-fail": {"conditionally fails", "conditionally fail", "conditionally failed"},
	"fail":             {"fails", "fail", "failed"},
	"no-statement":     {"has no statement on", "have no statement on", "had no statement"}}

var ruleNames = map[string]string{"simple": "simple acceptance", "guard-band": "guard band", "non-binary": "non-binary, with a guard band"}

var overallNames = map[string]string{"worst-point": "the worst flow point", "mean-error": "the mean error over the flow points"}

var wayNames = map[string]string{"display": "display", "pulse": "pulse output", "current": "current output",
	"bus": "bus", "control-system": "control system"}

var kitNames = map[string]string{"reference-meter": "Reference meter", "transducer-pair": "Transducer pair", "cable": "Cable",
	"wall-gauge": "Wall-thickness gauge", "thermometer": "Thermometer", "tape": "Tape", "calliper": "Calliper",
	"loop-calibrator": "Loop calibrator", "clock": "Clock"}

var routeNames = map[string]string{"national-institute": "national institute", "accredited": "accredited laboratory",
	"documented": "documented evidence", "in-house": "in house"}

var surveyNames = map[string]string{
	"pipe-standard": "Pipe standard", "pipe-size": "Nominal pipe size", "pipe-schedule": "Schedule or class",
	"pipe-material": "Pipe material", "outside-diameter": "Outside diameter", "circumference": "Circumference",
	"coating-thickness": "Coating thickness", "tape-thickness": "Tape thickness", "wall": "Wall thickness",
	"minimum-wall": "Least wall allowed", "pipe-sound-speed": "Sound speed in the wall", "liner-material": "Liner material",
	"liner-thickness": "Liner thickness", "liner-sound-speed": "Sound speed in the liner", "pipe-condition": "Condition of the pipe",
	"fluid": "Fluid", "temperature": "Fluid temperature", "pressure": "Fluid pressure", "fluid-sound-speed": "Sound speed of the fluid",
	"salinity": "Salinity", "mass-fraction": "Glycol by mass", "api-gravity": "API gravity", "product-group": "Product group",
	"density": "Density of the fluid", "kinematic-viscosity": "Viscosity of the fluid",
	"ambient-temperature": "Ambient temperature", "pipe-full": "Pipe full", "reference-position": "Reference position",
	"distance": "Distance from the meter", "side": "Side of the meter", "straight-before": "Straight length before the reference",
	"straight-after": "Straight length after the reference", "disturbance-before": "Disturbance before the reference",
	"disturbance-after": "Disturbance after the reference", "meter-straight-before": "Straight length before the meter",
	"meter-straight-after": "Straight length after the meter", "meter-disturbance-before": "Disturbance before the meter",
	"meter-disturbance-after": "Disturbance after the meter", "between": "Between reference and meter",
	"between-note": "Note on what is between"}

var choiceNames = map[string]string{"seawater": "sea water", "ethylene-glycol-water": "water with ethylene glycol",
	"propylene-glycol-water": "water with propylene glycol", "crude-oil": "crude oil", "refined-product": "refined product",
	"lubricating-oil": "lubricating oil", "ethylene-glycol": "ethylene glycol",
	"transition": "between gasoline and jet", "jet": "jet fuel, kerosene, solvents",
	"fuel-oil": "diesel, heating and fuel oil", "joins-or-leaves": "flow joins or leaves", "closed": "shut, and shown to be tight",
	"stores": "storage between the two", "nothing": "nothing joins, leaves, stores or bypasses"}

var sourceNames = map[string]string{"measured": "measured", "standard": "standard", "nameplate": "nameplate",
	"client": "client", "assumed": "assumed", "method": "method"}

var outcomeNames = map[string]string{"passed": "passed", "failed": "failed", "inconclusive": "inconclusive", "not-made": "not made"}

var momentNames = map[string]string{"before": "before the first run", "after": "after the last run"}

var scopeNames = map[string]string{"reading": "reading", "run": "run", "runs": "runs", "mounting": "mounting", "point": "measuring point",
	"visit": "visit", "kit": "kit calibration"}

var controlNames = map[string]string{"inhibited": "Inhibited", "restored": "Restored", "nothing-controlled": "Nothing is controlled"}

var roleNames = map[string]string{certificate.RoleTechnician: "Technician", certificate.RoleApprover: "Approved by"}

var statementNames = map[string]string{
	certificate.StateUncertainty: "Uncertainty", certificate.StateRule: "Decision rule",
	certificate.StateInformation: "For information", certificate.StateItemOnly: "Item",
	certificate.StateReproduction: "Reproduction", certificate.StateTraceability: "Traceability",
	certificate.StateClientSupplied: "Values not measured", certificate.StateNoVerification: "No legal verification"}

// named gives the words for a name, the name itself where there are none.
func named(words map[string]string, name string) string {
	if text, known := words[name]; known {
		return text
	}
	return strings.ReplaceAll(name, "-", " ")
}

// sentence joins the parts that are there.
func joined(by string, parts ...string) string {
	kept := parts[:0:0]
	for _, p := range parts {
		if strings.TrimSpace(p) != "" {
			kept = append(kept, strings.TrimSpace(p))
		}
	}
	return strings.Join(kept, by)
}

// prefixed puts words before a text that is there.
func prefixed(before, text string) string {
	if text == "" {
		return ""
	}
	return before + text
}
