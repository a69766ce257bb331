package sheet

import "rillmark/domain"

// ZeroCheck is the reading of the reference at no flow, or why there was none.
type ZeroCheck struct {
	ID           domain.ZeroCheckID `db:"id" json:"id"`
	MountingID   domain.MountingID  `db:"mounting_id" json:"mounting_id"`
	Moment       Moment             `db:"moment" json:"moment"`
	Possible     bool               `db:"possible" json:"possible"`
	IsolatedBy   string             `db:"isolated_by" json:"isolated_by,omitempty"`
	Tightness    string             `db:"tightness" json:"tightness,omitempty"` // how it was shown
	CutoffOff    bool               `db:"cutoff_off" json:"cutoff_off"`
	Seconds      *float64           `db:"seconds" json:"seconds,omitempty"`
	MeanVelocity *float64           `db:"mean_velocity" json:"mean_velocity,omitempty"` // m/s
	MeanEntered  *string            `db:"mean_entered" json:"mean_entered,omitempty"`
	UVelocity    *float64           `db:"u_velocity" json:"u_velocity,omitempty"` // m/s, standard uncertainty of the mean
	UEntered     *string            `db:"u_entered" json:"u_entered,omitempty"`
	Action       string             `db:"action" json:"action,omitempty"` // what was done about it, or why it was not possible
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (z ZeroCheck) Validate() error {
	var check domain.Check
	z.Stamp.validate(&check)
	if !z.MountingID.Valid() {
		check.Add(domain.Required.At("mounting_id"))
	}
	phase(&check, "moment", z.Moment)
	check.Line("isolated_by", z.IsolatedBy, 200, z.Possible)
	check.Lines("tightness", z.Tightness, 1000, z.Possible)
	check.Lines("action", z.Action, 1000, !z.Possible)
	positive(&check, "seconds", z.Seconds)
	number(&check, "mean_velocity", z.MeanVelocity)
	notNegative(&check, "u_velocity", z.UVelocity)
	if z.Possible {
		required(&check, "seconds", z.Seconds)
		required(&check, "mean_velocity", z.MeanVelocity)
		required(&check, "u_velocity", z.UVelocity)
	}
	return check.Err()
}
