package method

import (
	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
	"rillmark/domain/sheet"
)

// Scope says which results share a component, and so are fully correlated in it. The zero
// value is none.
type Scope string

// The scopes, from the narrowest to the widest.
const (
	ScopeReading  Scope = "reading"  // new at every reading: the mean of a run averages it
	ScopeRun      Scope = "run"      // new in every run
	ScopeMounting Scope = "mounting" // the same as long as the transducers are not moved
	ScopePoint    Scope = "point"    // of the measuring point, such as its pipe
	ScopeVisit    Scope = "visit"    // of the day
	ScopeKit      Scope = "kit"      // of the reference's calibration
)

// Scopes are all, from the narrowest.
var Scopes = []Scope{ScopeReading, ScopeRun, ScopeMounting, ScopePoint, ScopeVisit, ScopeKit}

// From says where the size of a component comes from. The zero value is none.
type From string

// Where sizes come from.
const (
	FromMethod        From = "method"          // the row's own value
	FromCalibration   From = "calibration"     // the reference's calibration, at the velocity
	FromInterpolation From = "interpolation"   // value × the step of error between the two calibration points around
	FromDrift         From = "drift"           // value, relative per year × the years since the calibration
	FromSurvey        From = "survey"          // the survey value named by input, by its source
	FromZero          From = "zero-check"      // the zero check's mean and u; without one the row's value, m/s
	FromStraight      From = "straight-length" // the half-width for short straight lengths of the reference
	FromScatter       From = "type-a"          // the readings and runs
	FromResolution    From = "resolution"      // value × the resolution of what acts_on names
)

// ActsOn says what a component changes, and so its unit and sensitivity. The zero value
// is none.
type ActsOn string

// What a component changes.
const (
	OnReference  ActsOn = "reference"  // the reference flow; relative
	OnVelocity   ActsOn = "velocity"   // the reference's velocity; m/s, so its weight goes as 1/velocity
	OnIndication ActsOn = "indication" // the meter's indication; relative
	OnInput      ActsOn = "input"      // the input named, in its own unit; sensitivity from the model of the beam
	OnError      ActsOn = "error"      // the error itself; relative
)

// InCertificate says whether the reference's certificate includes a component already.
type InCertificate string

// The answers. With partly, certificate_part of the value is included, and only the
// excess is added: √(value² − part²).
const (
	Included    InCertificate = "yes"
	NotIncluded InCertificate = "no"
	Partly      InCertificate = "partly"
)

// BudgetRow is one component of the budget template.
type BudgetRow struct {
	Name   string `json:"name"`
	From   From   `json:"from"`
	ActsOn ActsOn `json:"acts_on"`
	// Input names what a component with acts_on "input" changes: a survey value, or one of
	// the beam's inputs, such as "spacing_m", whose unit its name ends in.
	Input           string        `json:"input,omitempty"`
	Scope           Scope         `json:"scope"`
	Distribution    string        `json:"distribution,omitempty"`       // of value, as in package uncertainty; not with calibration, survey and type-a
	Value           float64       `json:"value,omitempty"`              // as From says
	K               float64       `json:"k,omitempty"`                  // of normal
	Freedom         *float64      `json:"degrees_of_freedom,omitempty"` // absent: taken as exact
	InCertificate   InCertificate `json:"in_certificate"`
	CertificatePart float64       `json:"certificate_part,omitempty"` // in the unit of value
	Basis           string        `json:"basis"`
}

// sized reports whether the row's own value and distribution give its size.
func (r BudgetRow) sized() bool {
	return r.From != FromCalibration && r.From != FromSurvey && r.From != FromScatter && r.From != FromStraight
}

// fits lists what a component may act on by where it comes from.
var fits = map[From][]ActsOn{
	FromMethod:        {OnReference, OnVelocity, OnIndication, OnInput, OnError},
	FromCalibration:   {OnReference},
	FromInterpolation: {OnReference},
	FromDrift:         {OnReference},
	FromSurvey:        {OnInput},
	FromZero:          {OnVelocity},
	FromStraight:      {OnReference},
	FromScatter:       {OnError},
	FromResolution:    {OnReference, OnIndication},
}

// BeamInputs are the inputs of the beam's model that a row of the method may name, beside
// the survey values that the model has.
var BeamInputs = []string{"spacing_m", "wedge_sound_speed_m_s", "wedge_angle_deg", "exit_offset_m"}

// ModelledSurvey are the survey values that the model of the reference flow depends on.
var ModelledSurvey = []sheet.Name{sheet.OutsideDiameter, sheet.Wall, sheet.LinerThickness, sheet.PipeSoundSpeed,
	sheet.LinerSoundSpeed, sheet.Temperature, sheet.FluidSoundSpeed}

// StandardUncertainty returns the standard uncertainty of a value with the distribution
// of the row: value/k, /√3, /√6, /√2 or itself, in the unit of the value.
//
// Errors: those of uncertainty.ParseDistribution.
//
// Source: JCGM 100:2008, 4.3.3 to 4.3.9.
func StandardUncertainty(distribution string, value, k float64) (float64, error) {
	d, err := uncertainty.ParseDistribution(distribution)
	if err != nil {
		return 0, err
	}
	return uncertainty.Component{Value: value, Distribution: d, CoverageK: k}.StandardUncertainty(), nil
}

func (r BudgetRow) validate(path string) fault.List {
	var l fault.List
	word(&l, path+".name", r.Name)
	known(&l, path+".scope", r.Scope, Scopes)
	known(&l, path+".in_certificate", r.InCertificate, []InCertificate{Included, NotIncluded, Partly})
	word(&l, path+".basis", r.Basis)
	if on, ok := fits[r.From]; !ok {
		l = append(l, UnknownWord.At(path+".from", string(r.From), list(froms())))
	} else {
		known(&l, path+".acts_on", r.ActsOn, on)
	}
	r.validateInput(&l, path)
	r.validateSize(&l, path)
	return l
}

func (r BudgetRow) validateInput(l *fault.List, path string) {
	if (r.ActsOn == OnInput) != (r.Input != "") {
		*l = append(*l, InputMismatch.At(path+".input"))
		return
	}
	switch {
	case r.Input == "":
	case r.From == FromSurvey:
		known(l, path+".input", sheet.Name(r.Input), ModelledSurvey)
	default:
		known(l, path+".input", r.Input, BeamInputs)
	}
}

func (r BudgetRow) validateSize(l *fault.List, path string) {
	if r.sized() {
		spread(l, path, r.Distribution, r.K)
		notNegative(l, path+".value", r.Value)
	} else if r.Value != 0 || r.Distribution != "" {
		*l = append(*l, ValueUnused.At(path+".value", string(r.From)))
	}
	if r.Freedom != nil && !(*r.Freedom >= 1) {
		*l = append(*l, BelowOne.At(path+".degrees_of_freedom"))
	}
	switch {
	case (r.InCertificate == Partly) != (r.CertificatePart > 0):
		*l = append(*l, PartMismatch.At(path+".certificate_part"))
	case r.InCertificate == Partly && !(r.sized() && r.CertificatePart <= r.Value):
		*l = append(*l, PartTooLarge.At(path+".certificate_part"))
	}
}
