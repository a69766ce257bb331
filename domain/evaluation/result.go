package evaluation

import (
	"time"

	"rillmark/domain"
	"rillmark/domain/sheet"
)

// Result is what follows from the facts. Flows in m³/s, velocities in m/s; errors and
// uncertainties of errors relative to the reference flow (0.01 is 1 %), not rounded.
type Result struct {
	CalcEdition string `json:"calc_edition"`
	MethodHash  string `json:"method_hash"` // SHA-256 of the edition's content, hexadecimal
	Input       string `json:"input"`       // SHA-256 of facts, calc edition and method hash, hexadecimal
	// Conformity reports that at least one flow point has a statement of conformity. False:
	// all results are for information.
	Conformity   bool              `json:"conformity"`
	Grounds      Findings          `json:"missing_grounds"` // of the whole; those of a flow point stand there
	Remarks      Findings          `json:"remarks"`         // to be printed, or to be looked at
	Mountings    []MountingResult  `json:"mountings"`
	Runs         []RunResult       `json:"runs"`
	Phases       []PhaseResult     `json:"phases"`  // in the order before, after; those with a run
	Changes      []ChangeResult    `json:"changes"` // by adjustment
	Kit          []KitUse          `json:"kit"`     // calibrations that were valid for every use
	Contributors []domain.PersonID `json:"contributors"`
}

// KitUse is a calibration the result stands on, with when it was first and last used.
type KitUse struct {
	CalibrationID domain.CalibrationID `json:"calibration_id"`
	KitID         domain.KitID         `json:"kit_id"`
	ValidFrom     time.Time            `json:"valid_from"`
	ValidTo       time.Time            `json:"valid_to"`
	FirstUsed     time.Time            `json:"first_used"`
	LastUsed      time.Time            `json:"last_used"`
}

// MountingResult is what a mounting brings to the results of its runs.
type MountingResult struct {
	MountingID   domain.MountingID `json:"mounting_id"`
	Number       int               `json:"number"`
	EnteredBore  float64           `json:"entered_bore"`  // m, as in force when it was mounted; 0: not known
	Bore         float64           `json:"bore"`          // m, as known now; 0: not known
	SurveyFactor float64           `json:"survey_factor"` // by which the reference's flow is multiplied for survey values measured since; 1: none
	Sensitivity  []Sensitivity     `json:"sensitivities"`
	Grounds      Findings          `json:"missing_grounds"`
	Remarks      Findings          `json:"remarks"`
}

// Sensitivity is the relative change of the reference flow per unit of one input.
type Sensitivity struct {
	Input               string  `json:"input"`
	Value               float64 `json:"value"` // of the input, SI
	StandardUncertainty float64 `json:"standard_uncertainty"`
	Sensitivity         float64 `json:"sensitivity"` // 1/unit
	Source              string  `json:"source"`      // of a survey value; "method" for the method's row
}

// RunResult is one run and one indication.
type RunResult struct {
	RunID         domain.RunID        `json:"run_id"`
	Phase         sheet.Phase         `json:"phase"`
	Number        int                 `json:"number"`
	FlowPoint     int                 `json:"flow_point"`
	IndicationID  domain.IndicationID `json:"indication_id"`
	Used          bool                `json:"used"`
	SetAside      string              `json:"set_aside,omitempty"` // the reason
	ReadingsTaken int                 `json:"readings_taken"`
	ReadingsUsed  int                 `json:"readings_used"`
	Indicated     float64             `json:"indicated_reference"` // mean that the reference showed
	Reference     float64             `json:"reference"`           // corrected
	Indication    float64             `json:"indication"`          // mean
	Error         float64             `json:"error"`
	Effective     float64             `json:"effective_readings"`
	Estimable     bool                `json:"type_a_estimable"`
	TypeA         float64             `json:"type_a"` // standard uncertainty of the error; the method's pooled one where not estimable
	Freedom       float64             `json:"degrees_of_freedom"`
	Remarks       Findings            `json:"remarks"`
}

// PhaseResult is everything before, or everything after the adjustment.
type PhaseResult struct {
	Phase sheet.Phase `json:"phase"`
	sheet.Count
	Indications []IndicationResult `json:"indications"`
}

// IndicationResult is the flow points of one indication, and what they come to.
type IndicationResult struct {
	IndicationID domain.IndicationID `json:"indication_id"`
	Name         string              `json:"name"`
	Points       []PointResult       `json:"points"`
	MeanError    *MeanResult         `json:"mean_error,omitempty"` // over the flow points; nil where an uncertainty is missing
	Overall      Overall             `json:"overall"`
	Proposal     *Proposal           `json:"proposal,omitempty"` // what adjusting would do; nil where nothing can be said
}

// Overall is the verdict on the indication by the agreed rule, for the flow range tested.
type Overall struct {
	Rule     OverallRule `json:"rule"`
	Verdict  string      `json:"verdict"`
	FromFlow float64     `json:"from_flow"` // lowest and highest mean reference flow tested
	ToFlow   float64     `json:"to_flow"`
	Reason   *Finding    `json:"reason,omitempty"`
}

// PointResult is one flow point of one indication in one phase.
type PointResult struct {
	FlowPoint       int       `json:"flow_point"`
	RunsTaken       int       `json:"runs_taken"`
	RunsUsed        int       `json:"runs_used"`
	Indicated       float64   `json:"indicated_reference"` // mean that the reference showed
	CalibrationErr  float64   `json:"calibration_error"`   // of the reference at the velocity, relative
	Reference       float64   `json:"reference"`           // mean, corrected
	Velocity        float64   `json:"velocity"`            // 0: not known
	Reynolds        float64   `json:"reynolds"`            // 0: not known
	Regime          string    `json:"regime,omitempty"`    // laminar, transition, turbulent
	Indication      float64   `json:"indication"`          // mean
	Error           float64   `json:"error"`
	U               *Expanded `json:"uncertainty,omitempty"`           // of the error; nil where a ground for one is missing
	UReference      *Expanded `json:"reference_uncertainty,omitempty"` // of the reference flow, relative
	TypeA           TypeA     `json:"type_a"`
	Components      []Share   `json:"components"`
	Limits          *Judged   `json:"limits,omitempty"` // nil: none agreed at this flow
	Decision        Decision  `json:"decision"`
	Significant     bool      `json:"significant"`      // |error| > U
	Direction       string    `json:"direction"`        // of the correction: raise, lower, none
	AdjustAdvised   bool      `json:"adjust_advised"`   // outside the limits agreed for it, and significant
	CapabilityGiven bool      `json:"capability_given"` // the stated capability is larger than the budget's U, and is given for it
	Acts            []Gain    `json:"acts"`
	RunSeconds      float64   `json:"run_seconds,omitempty"` // length of each run, in whole minutes, at which the scatter would count for little, or could be told; 0: cannot be said
	Grounds         Findings  `json:"missing_grounds"`
	Remarks         Findings  `json:"remarks"`
}

// Expanded is an uncertainty with its coverage.
type Expanded struct {
	Standard float64  `json:"standard"`
	Freedom  *float64 `json:"effective_degrees_of_freedom"` // nil: infinite
	K        float64  `json:"coverage_factor"`
	Expanded float64  `json:"expanded"`
	Coverage float64  `json:"coverage"`
}

// TypeA says what the scatter of a flow point came to.
type TypeA struct {
	Basis      string   `json:"basis"` // between-runs, within-runs, pooled, resolution
	Standard   float64  `json:"standard"`
	Freedom    *float64 `json:"degrees_of_freedom"` // nil: infinite
	Between    float64  `json:"between_runs"`       // s/√m; 0 for too few runs
	Within     float64  `json:"within_runs"`
	Resolution float64  `json:"resolution"`
}

// Share is one component of a flow point's budget.
type Share struct {
	Name                string   `json:"name"`
	Scope               string   `json:"scope"` // the scope, a colon and what it is of
	Source              string   `json:"source,omitempty"`
	StandardUncertainty float64  `json:"standard_uncertainty"` // of the input, in its unit
	Unit                string   `json:"unit"`
	Sensitivity         float64  `json:"sensitivity"`        // relative error per unit
	Contribution        float64  `json:"contribution"`       // relative, |sensitivity|·u
	Freedom             *float64 `json:"degrees_of_freedom"` // nil: infinite
	Share               float64  `json:"share"`              // of the variance
}

// Judged is the limits at the flow in the unit they were agreed in, and the error there.
type Judged struct {
	N        int       `json:"n"` // of the agreement's row
	Kind     LimitKind `json:"kind"`
	Lower    *float64  `json:"lower,omitempty"`
	Upper    *float64  `json:"upper,omitempty"`
	Value    float64   `json:"value"`    // the error in that unit
	Expanded float64   `json:"expanded"` // its U
	// LowerError and UpperError are the same limits relative to the reference flow.
	LowerError *float64 `json:"lower_error,omitempty"`
	UpperError *float64 `json:"upper_error,omitempty"`
}

// Decision is the verdict with what belongs beside it, in the unit of the limits.
type Decision struct {
	Verdict                 string   `json:"verdict"` // as in package conformity
	Reason                  *Finding `json:"reason,omitempty"`
	GuardBand               float64  `json:"guard_band"`
	AcceptLower             *float64 `json:"acceptance_lower,omitempty"`
	AcceptUpper             *float64 `json:"acceptance_upper,omitempty"`
	ProbabilityOfConformity *float64 `json:"probability_of_conformity,omitempty"`
	SpecificRisk            *float64 `json:"specific_risk,omitempty"` // nil: no statement
}

// Gain is something that could still be done on site, and what U would become by it.
type Gain struct {
	Code     string  `json:"code"`              // measure, zero-check, more-runs, longer-runs, remount, move
	Name     string  `json:"name,omitempty"`    // of what is to be measured: a survey value's
	Count    int     `json:"count,omitempty"`   // of runs or mountings then
	Seconds  float64 `json:"seconds,omitempty"` // of each run then, whole minutes
	Expanded float64 `json:"expanded"`          // U of the error then, relative
	Less     float64 `json:"less"`              // by which U falls
}

// MeanResult is the mean of the errors of the flow points, covariances included.
type MeanResult struct {
	Points   int      `json:"points"`
	Error    float64  `json:"error"`
	U        Expanded `json:"uncertainty"`
	Decision Decision `json:"decision"`
	Limits   *Judged  `json:"limits,omitempty"`
}

// Proposal is what adjusting by one factor would do.
type Proposal struct {
	Error           float64     `json:"error"`             // mean over the flow points, taken away
	Factor          float64     `json:"factor"`            // of the indication: new multiplier = factor × old
	PulsesPerVolume float64     `json:"pulses_per_volume"` // new pulses per volume = this × old
	Direction       string      `json:"direction"`
	Significant     bool        `json:"significant"`    // |error| > U; if not, adjusting could make it worse
	Made            *float64    `json:"made,omitempty"` // the factor of the adjustments recorded, where they tell
	Predicted       []Predicted `json:"predicted"`      // by Made where there is one, else by Factor
	FlowWeighted    *Weighted   `json:"flow_weighted,omitempty"`
}

// Weighted is the mean error with each flow point weighted by its flow: that of the volume
// where every flow runs for the same time.
type Weighted struct {
	Error float64  `json:"error"`
	U     Expanded `json:"uncertainty"`
}

// Predicted is the error expected at a flow point after the adjustment.
type Predicted struct {
	FlowPoint int     `json:"flow_point"`
	Error     float64 `json:"error"`
}

// ChangeResult is the change of error by adjustment at one flow point.
type ChangeResult struct {
	IndicationID domain.IndicationID `json:"indication_id"`
	FlowPoint    int                 `json:"flow_point"`
	Before       float64             `json:"before"`
	After        float64             `json:"after"`
	Change       float64             `json:"change"`
	U            Expanded            `json:"uncertainty"`
	Significant  bool                `json:"significant"`
}
