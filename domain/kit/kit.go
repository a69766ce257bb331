// Package kit holds the company's measuring equipment: items, their calibrations with
// what these cover, and whether a calibration may carry a result. Validity and ranges are
// decided here as pure functions; keeping and booking kit are services, and the numbers
// of a calibration are read by calc/verification. Units are SI, angles in radians; a
// calibration of flow is relative, against velocity. The package follows no standard; what
// a calibration must say is ISO/IEC 17025:2017, 6.4.13 and 7.8.
package kit

import (
	"slices"
	"time"

	"rillmark/domain"
)

// Kind says what an item is. The zero value is none.
type Kind string

// The kinds of kit.
const (
	ReferenceMeter Kind = "reference-meter"
	TransducerPair Kind = "transducer-pair"
	Cable          Kind = "cable"
	WallGauge      Kind = "wall-gauge"
	Thermometer    Kind = "thermometer"
	Tape           Kind = "tape"
	Calliper       Kind = "calliper"
	LoopCalibrator Kind = "loop-calibrator"
	Clock          Kind = "clock"
)

// Kinds are all, in the order in which they are shown.
var Kinds = []Kind{ReferenceMeter, TransducerPair, Cable, WallGauge, Thermometer, Tape, Calliper, LoopCalibrator, Clock}

// Known reports whether k is one of Kinds.
func (k Kind) Known() bool { return slices.Contains(Kinds, k) }

// WorksBy says how a reference meter finds the flow. The zero value is neither.
type WorksBy string

// How references work.
const (
	TransitTime       WorksBy = "transit-time"        // from the transit time it measures: flow goes about with the square of the bore
	EnteredSoundSpeed WorksBy = "entered-sound-speed" // from the sound speed entered: flow goes about with the bore
)

// Item is a piece of kit. What is nil is not known, or does not belong to its kind.
type Item struct {
	ID                domain.KitID `db:"id" json:"id"`
	Kind              Kind         `db:"kind" audit:"text" json:"kind"`
	Tag               string       `db:"tag" audit:"text" json:"tag"`
	Maker             string       `db:"maker" audit:"text" json:"maker,omitempty"`
	Model             string       `db:"model" audit:"text" json:"model,omitempty"`
	Serial            string       `db:"serial" audit:"text" json:"serial,omitempty"`
	Firmware          string       `db:"firmware" audit:"text" json:"firmware,omitempty"`
	WorksBy           *WorksBy     `db:"works_by" audit:"text" json:"works_by,omitempty"`
	TakesSpacing      *bool        `db:"takes_spacing" audit:"text" json:"takes_spacing,omitempty"` // can be told the actual spacing
	LeastSNR          *float64     `db:"least_snr_db" audit:"text" json:"least_snr_db,omitempty"`
	Resolution        *float64     `db:"resolution" json:"resolution,omitempty"` // in the unit of what it measures: m³/s of a reference meter
	ResolutionEntered *string      `db:"resolution_entered" audit:"text" json:"resolution_entered,omitempty"`
	Averaging         *float64     `db:"averaging_s" audit:"text" json:"averaging_s,omitempty"`
	Wave              *string      `db:"wave" audit:"text" json:"wave,omitempty"` // in the pipe wall, as calc/beam names it
	WedgeAngle        *float64     `db:"wedge_angle" audit:"text" json:"wedge_angle,omitempty"`
	WedgeSoundSpeed   *float64     `db:"wedge_sound_speed" audit:"text" json:"wedge_sound_speed,omitempty"`
	ExitOffset        *float64     `db:"exit_offset" audit:"text" json:"exit_offset,omitempty"`
	Frequency         *float64     `db:"frequency" audit:"text" json:"frequency,omitempty"`
	Graduation        *float64     `db:"graduation" audit:"text" json:"graduation,omitempty"`
	OutOfServiceAt    *time.Time   `db:"out_of_service_at" audit:"text" json:"out_of_service_at,omitempty"`
	OutOfServiceWhy   *string      `db:"out_of_service_why" audit:"text" json:"out_of_service_why,omitempty"`
	Note              string       `db:"note" audit:"text" json:"-"`
	Version           int64        `db:"version" json:"-"`
	CreatedAt         time.Time    `db:"created_at" json:"-"`
	ChangedAt         time.Time    `db:"changed_at" json:"-"`
}

// InService reports whether the item was in service at the time.
func (i Item) InService(at time.Time) bool {
	return i.OutOfServiceAt == nil || at.Before(*i.OutOfServiceAt)
}
