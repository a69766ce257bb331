package capture

import (
	"context"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
)

// CheckZero is the command to add a reading of the reference at no flow, or why there is none.
type CheckZero struct {
	At
	ID           domain.ZeroCheckID `json:"id" form:"id"`
	MountingID   domain.MountingID  `json:"mounting_id" form:"mounting_id"`
	Moment       string             `json:"moment" form:"moment"`
	Possible     string             `json:"possible" form:"possible"` // yes or no
	IsolatedBy   string             `json:"isolated_by" form:"isolated_by"`
	Tightness    string             `json:"tightness" form:"tightness"`
	CutoffOff    bool               `json:"cutoff_off" form:"cutoff_off"`
	Seconds      string             `json:"seconds" form:"seconds"`
	MeanVelocity string             `json:"mean_velocity" form:"mean_velocity"`
	UVelocity    string             `json:"u_velocity" form:"u_velocity"`
	Action       string             `json:"action" form:"action"`
}

func (c CheckZero) read() (sheet.ZeroCheck, error) {
	var r reader
	z := sheet.ZeroCheck{ID: c.ID, MountingID: c.MountingID, Moment: sheet.Moment(c.Moment), Possible: c.Possible == "yes",
		IsolatedBy: domain.Line(c.IsolatedBy), Tightness: domain.Lines(c.Tightness), CutoffOff: c.CutoffOff, Action: domain.Lines(c.Action)}
	if !z.ID.Valid() {
		r.Add(domain.NotAnID.At("id"))
	}
	if c.Possible != "yes" && c.Possible != "no" {
		r.Add(domain.Required.At("possible"))
	}
	z.Seconds, _ = r.maybe("seconds", c.Seconds, quantity.KindTime, "s")
	z.MeanVelocity, z.MeanEntered = r.maybe("mean_velocity", c.MeanVelocity, quantity.KindVelocity, "mm/s")
	z.UVelocity, z.UEntered = r.maybe("u_velocity", c.UVelocity, quantity.KindVelocity, "mm/s")
	if err := r.Err(); err != nil {
		return z, err
	}
	checked := z
	checked.Stamp = standIn
	return z, checked.Validate()
}

// CheckZero adds a zero check.
func (s *Service) CheckZero(ctx context.Context, a access.Actor, c CheckZero) (Written, error) {
	row, err := c.read()
	if err != nil {
		return Written{}, domain.Wrap("zero.add", err)
	}
	return record(ctx, s, a, "zero.add", c.At, c, func(ctx context.Context, p *pen) (Written, error) {
		z := row
		if err := p.inTask(ctx, z.MountingID); err != nil {
			return Written{}, err
		}
		z.Stamp = p.stamp()
		p.wrote("zero_check", z.ID, z)
		return Written{ID: z.ID.String()}, p.Run(ctx, `INSERT INTO zero_check (id, client_id, task_id, mounting_id, moment, possible,
				isolated_by, tightness, cutoff_off, seconds, mean_velocity, mean_entered, u_velocity, u_entered, action, by, captured_at, received_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18)`,
			z.ID, z.ClientID, z.TaskID, z.MountingID, z.Moment, z.Possible, z.IsolatedBy, z.Tightness, z.CutoffOff, z.Seconds,
			z.MeanVelocity, z.MeanEntered, z.UVelocity, z.UEntered, z.Action, z.By, z.CapturedAt, z.ReceivedAt)
	})
}
