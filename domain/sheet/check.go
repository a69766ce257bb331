package sheet

import (
	"slices"

	"rillmark/calc/beam"
	"rillmark/domain"
)

// Moment says whether a check was made before the first run or after the last. The zero
// value is neither.
type Moment = Phase

// Outcome is what a set-up check came to. The zero value is none of them.
type Outcome string

// The outcomes: those of calc/beam, and that it was not made.
const (
	Passed               = Outcome(beam.Passed)
	Failed               = Outcome(beam.Failed)
	Inconclusive         = Outcome(beam.Inconclusive)
	NotMade      Outcome = "not-made"
)

// Outcomes are all.
var Outcomes = []Outcome{Passed, Failed, Inconclusive, NotMade}

// SetupCheck is signal and sound speed of a mounting, with the outcome as computed then.
// A failed check stays; a later one of the same mounting and moment may pass.
type SetupCheck struct {
	ID                 domain.SetupCheckID `db:"id" json:"id"`
	MountingID         domain.MountingID   `db:"mounting_id" json:"mounting_id"`
	Moment             Moment              `db:"moment" json:"moment"`
	SNR                *float64            `db:"snr_db" json:"snr_db,omitempty"` // dB
	Signal             string              `db:"signal" json:"signal,omitempty"`
	SoundSpeed         *float64            `db:"sound_speed" json:"sound_speed,omitempty"` // m/s, measured
	SoundSpeedEntered  *string             `db:"sound_speed_entered" json:"sound_speed_entered,omitempty"`
	TransitUp          *float64            `db:"transit_up" json:"transit_up,omitempty"` // s
	TransitUpEntered   *string             `db:"transit_up_entered" json:"transit_up_entered,omitempty"`
	TransitDown        *float64            `db:"transit_down" json:"transit_down,omitempty"` // s
	TransitDownEntered *string             `db:"transit_down_entered" json:"transit_down_entered,omitempty"`
	Outcome            Outcome             `db:"outcome" json:"outcome"`
	Basis              string              `db:"basis" json:"basis,omitempty"` // canonical JSON of the check's input
	KeptBecause        string              `db:"kept_because" json:"kept_because,omitempty"`
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (c SetupCheck) Validate() error {
	var check domain.Check
	c.Stamp.validate(&check)
	if !c.MountingID.Valid() {
		check.Add(domain.Required.At("mounting_id"))
	}
	phase(&check, "moment", c.Moment)
	check.Line("signal", c.Signal, 200, false)
	number(&check, "snr_db", c.SNR)
	positive(&check, "sound_speed", c.SoundSpeed)
	positive(&check, "transit_up", c.TransitUp)
	positive(&check, "transit_down", c.TransitDown)
	if (c.TransitUp == nil) != (c.TransitDown == nil) {
		check.Add(TransitBoth.At("transit_down"))
	}
	if !slices.Contains(Outcomes, c.Outcome) {
		check.Add(UnknownChoice.At("outcome", string(c.Outcome)))
	}
	check.Lines("kept_because", c.KeptBecause, 1000, c.Outcome == NotMade)
	if len(c.Basis) > 20000 {
		check.Add(domain.TooLong.At("basis", 20000, len(c.Basis)))
	}
	return check.Err()
}
