package kit

import (
	"slices"
	"time"

	"rillmark/domain"
)

// Quantity says what was calibrated. The zero value is none.
type Quantity string

// The quantities of calibrations.
const (
	Flow        Quantity = "flow"
	Length      Quantity = "length"
	Temperature Quantity = "temperature"
	Time        Quantity = "time"
	Current     Quantity = "current"
)

// Quantities are all.
var Quantities = []Quantity{Flow, Length, Temperature, Time, Current}

// Calibration is one calibration of one item: of a reference meter with its transducer
// pair and, where it is named, its cable. Results may rest on it from ValidFrom until
// before ValidTo.
type Calibration struct {
	ID                  domain.CalibrationID `db:"id" json:"id"`
	KitID               domain.KitID         `db:"kit_id" audit:"text" json:"kit_id"`
	PairID              *domain.KitID        `db:"pair_id" audit:"text" json:"pair_id,omitempty"`
	CableID             *domain.KitID        `db:"cable_id" audit:"text" json:"cable_id,omitempty"`
	Quantity            Quantity             `db:"quantity" audit:"text" json:"quantity"`
	CertificateNumber   string               `db:"certificate_number" audit:"text" json:"certificate_number"`
	Laboratory          string               `db:"laboratory" audit:"text" json:"laboratory"`
	Route               string               `db:"route" audit:"text" json:"route"`
	CalibratedOn        time.Time            `db:"calibrated_on" audit:"text" json:"calibrated_on"` // a date: midnight UTC
	ValidFrom           time.Time            `db:"valid_from" audit:"text" json:"valid_from"`       // lower(valid)
	ValidTo             time.Time            `db:"valid_to" audit:"text" json:"valid_to"`           // upper(valid)
	LeastInsideDiameter *float64             `db:"least_inside_diameter" audit:"text" json:"least_inside_diameter,omitempty"`
	MostInsideDiameter  *float64             `db:"most_inside_diameter" audit:"text" json:"most_inside_diameter,omitempty"`
	LeastVelocity       *float64             `db:"least_velocity" audit:"text" json:"least_velocity,omitempty"`
	MostVelocity        *float64             `db:"most_velocity" audit:"text" json:"most_velocity,omitempty"`
	LeastReynolds       *float64             `db:"least_reynolds" audit:"text" json:"least_reynolds,omitempty"`
	MostReynolds        *float64             `db:"most_reynolds" audit:"text" json:"most_reynolds,omitempty"`
	Traverses           []int                `db:"traverses" audit:"text" json:"traverses,omitempty"`
	Points              []Point              `db:"-" json:"points"`
}

// Point is error and expanded uncertainty at one value. Of flow: At is the velocity in
// m/s, Error and Expanded are relative; otherwise all are in the SI unit.
type Point struct {
	N        int     `db:"n" json:"n"`
	At       float64 `db:"at_value" json:"at"`
	Error    float64 `db:"error" json:"error"`
	Expanded float64 `db:"expanded_uncertainty" json:"expanded_uncertainty"`
	K        float64 `db:"coverage_factor" json:"coverage_factor"`
}

// Valid reports whether a result of that time may rest on the calibration.
func (c Calibration) Valid(at time.Time) bool { return !at.Before(c.ValidFrom) && at.Before(c.ValidTo) }

// OfSet reports whether it is a calibration of the reference with that pair and cable. One
// that names no cable was made for any.
func (c Calibration) OfSet(reference, pair domain.KitID, cable *domain.KitID) bool {
	if c.Quantity != Flow || c.KitID != reference || c.PairID == nil || *c.PairID != pair {
		return false
	}
	return c.CableID == nil || cable != nil && *c.CableID == *cable
}

// CoversTraverses reports whether it was made with that number of traverses too.
func (c Calibration) CoversTraverses(n int) bool { return slices.Contains(c.Traverses, n) }

// Covers reports whether x is between least and most, ends included; what is nil does not
// bound.
func Covers(least, most *float64, x float64) bool {
	return (least == nil || x >= *least) && (most == nil || x <= *most)
}
