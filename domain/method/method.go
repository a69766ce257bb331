// Package method holds what the company writes down of a method of verification: the
// content of one edition. It says how many runs of what length are taken, by which
// criteria they are judged, what uncertainty a survey value has by its name and source,
// the budget template with its scopes, what straight lengths are asked for, and the texts
// of the statements. Every number that an evaluation takes from the company is here, as
// data that the company edits; content.json is a ready beginning.
//
// Not here: the agreement with a client, the observations (domain/sheet), and the
// evaluation. The budget follows JCGM 100:2008; most numbers of content.json are common
// practice, and each says what it rests on.
package method

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"encoding/json"

	"rillmark/domain/canonical"
	"rillmark/domain/sheet"
)

// Content is one edition of a method: the type behind its canonical JSON. Lengths in m,
// temperatures in K, velocities in m/s, times in s, pressures in Pa; relative values are
// fractions (0.01 is 1 %).
type Content struct {
	Runs            Runs                `json:"runs"`
	Criteria        Criteria            `json:"criteria"`
	Transition      Transition          `json:"transition"`
	SetupCheck      SetupCheck          `json:"setup_check"`
	ZeroCheck       ZeroCheck           `json:"zero_check"`
	Coverage        float64             `json:"coverage"`            // probability of U, 0.9545 is usual
	Capability      float64             `json:"stated_capability"`   // relative; no U of an error is given below it; 0: none stated
	AssumedPressure float64             `json:"assumed_pressure_pa"` // absolute, of the fluid where none was surveyed
	Survey          []SurveyUncertainty `json:"survey"`
	Budget          []BudgetRow         `json:"budget"`
	StraightLengths []StraightLength    `json:"straight_lengths"`
	ShortLengths    []ShortLength       `json:"short_lengths"`
	Materials       []Material          `json:"materials"`
	Fluids          []FluidTable        `json:"fluids,omitempty"` // the company's own tables
	Statements      Statements          `json:"statements"`
}

// Runs are the numbers a run plan starts from; the plan of a task may have more runs,
// never fewer than Least.
type Runs struct {
	FlowPoints int     `json:"flow_points"`
	PerPoint   int     `json:"per_point"`
	Least      int     `json:"least_per_point"`
	Seconds    float64 `json:"seconds"`
	Interval   float64 `json:"interval_s"`
	Averaging  float64 `json:"averaging_s"`
}

// Criteria are what runs are held against. None of them sets a run aside; what does not
// meet them is said.
type Criteria struct {
	SteadyFlow      float64 `json:"steady_flow"`       // relative standard deviation of the reference's readings within a run, at most
	Repeatability   float64 `json:"repeatability"`     // relative; largest less smallest error of the runs of a flow point, at most
	PooledTypeA     float64 `json:"pooled_type_a"`     // standard uncertainty of the error of one run that cannot estimate its own
	PooledFreedom   float64 `json:"pooled_freedom"`    // degrees of freedom of PooledTypeA
	BetweenRunsFrom int     `json:"between_runs_from"` // fewest runs whose scatter counts; 3 or more
}

// Transition is the range of Reynolds numbers in which the profile is ill defined:
// results there are for information.
type Transition struct {
	Lower float64 `json:"lower_reynolds"`
	Upper float64 `json:"upper_reynolds"`
}

// SetupCheck holds the tolerances of the set-up check; relative to the sound speed.
type SetupCheck struct {
	Required         bool    `json:"required"`          // without one no statement is made
	CompanyTolerance float64 `json:"company_tolerance"` // least tolerance
	MaximumTolerance float64 `json:"maximum_tolerance"` // beyond it the check reveals nothing
	Change           float64 `json:"change"`            // sound speed after the last run against before, at most
	LeastSNR         float64 `json:"least_snr_db"`      // where the reference has no value of its own
}

// ZeroCheck holds what is asked of a zero check.
type ZeroCheck struct {
	LeastSeconds float64 `json:"least_seconds"`
	Change       float64 `json:"change_m_s"`     // mean after the last run against before, at most
	Achievable   float64 `json:"achievable_m_s"` // standard uncertainty that a check usually reaches
}

// SurveyUncertainty is the uncertainty of a survey value by its name and source, where
// nothing better is known. Exactly one of Relative and Absolute is above zero.
type SurveyUncertainty struct {
	Name         sheet.Name   `json:"name"`
	Source       sheet.Source `json:"source"`
	Distribution string       `json:"distribution"`       // as in package uncertainty
	Relative     float64      `json:"relative,omitempty"` // of the value
	Absolute     float64      `json:"absolute,omitempty"` // SI
	K            float64      `json:"k,omitempty"`        // of normal
	Basis        string       `json:"basis"`
}

// Statements are the texts that documents print as they stand.
type Statements struct {
	Uncertainty    string `json:"uncertainty"`
	Simple         string `json:"simple"` // of the decision rules
	GuardBand      string `json:"guard_band"`
	NonBinary      string `json:"non_binary"`
	NoStatement    string `json:"no_statement"`
	ForInformation string `json:"for_information"`
	ItemOnly       string `json:"item_only"`
	NoVerification string `json:"no_legal_verification"`
}

//go:embed content.json
var ready []byte

// Ready returns the content a company may start from: common practice of the trade, to be
// changed by whoever answers for the method.
func Ready() Content {
	c, err := Parse(ready)
	if err != nil {
		panic("method: content.json is wrong: " + err.Error()) // an embedded file, held by a test
	}
	return c
}

// Parse reads the JSON of an edition's content, canonical or not, and validates it. Fields
// that are not known are refused: a misspelt one would silently count as zero.
//
// Errors: Unreadable; what Validate returns.
func Parse(text []byte) (Content, error) {
	var c Content
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&c); err != nil {
		return Content{}, Unreadable.At("content", err.Error())
	}
	if decoder.More() {
		return Content{}, Unreadable.At("content", "something follows the end")
	}
	return c, c.Validate()
}

// Canonical returns the content as canonical JSON (RFC 8785): what is kept.
func (c Content) Canonical() ([]byte, error) {
	return canonical.Marshal(c) // refuses a number that is not finite; Validate names it
}

// Hash returns the SHA-256 of the canonical JSON, in hexadecimal.
func (c Content) Hash() (string, error) {
	text, err := c.Canonical()
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}
