package capture

import (
	"context"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// CheckSetup is the command to add a set-up check of a mounting: signal, and a sound speed
// or the two transit times. Without either the check was not made, and says why.
type CheckSetup struct {
	At
	ID          domain.SetupCheckID `json:"id" form:"id"`
	MountingID  domain.MountingID   `json:"mounting_id" form:"mounting_id"`
	Moment      string              `json:"moment" form:"moment"`
	SNR         string              `json:"snr" form:"snr"`
	Signal      string              `json:"signal" form:"signal"`
	SoundSpeed  string              `json:"sound_speed" form:"sound_speed"`
	TransitUp   string              `json:"transit_up" form:"transit_up"`
	TransitDown string              `json:"transit_down" form:"transit_down"`
	KeptBecause string              `json:"kept_because" form:"kept_because"`
}

// KeepCheck is the command to keep a check that did not pass, and to say why.
type KeepCheck struct {
	At
	ID      domain.SetupCheckID `json:"id" form:"id"`
	CheckID domain.SetupCheckID `json:"check_id" form:"check_id"`
	Reason  string              `json:"reason" form:"reason"`
}

func (c CheckSetup) read() (sheet.SetupCheck, error) {
	var r reader
	row := sheet.SetupCheck{ID: c.ID, MountingID: c.MountingID, Moment: sheet.Moment(c.Moment), Signal: domain.Line(c.Signal),
		KeptBecause: domain.Lines(c.KeptBecause), Outcome: sheet.Inconclusive}
	if !row.ID.Valid() {
		r.Add(domain.NotAnID.At("id"))
	}
	row.SNR, _ = r.maybe("snr", c.SNR, quantity.KindLevel, "dB")
	row.SoundSpeed, row.SoundSpeedEntered = r.maybe("sound_speed", c.SoundSpeed, quantity.KindVelocity, "m/s")
	row.TransitUp, row.TransitUpEntered = r.maybe("transit_up", c.TransitUp, quantity.KindTime, "µs")
	row.TransitDown, row.TransitDownEntered = r.maybe("transit_down", c.TransitDown, quantity.KindTime, "µs")
	if row.SoundSpeed == nil && row.TransitUp == nil && row.TransitDown == nil {
		row.Outcome = sheet.NotMade
		if row.KeptBecause == "" {
			r.Add(NothingMeasured.At("sound_speed"))
		}
	}
	if err := r.Err(); err != nil {
		return row, err
	}
	checked := row
	checked.Stamp = standIn
	return row, checked.Validate()
}

// CheckSetup adds a set-up check with its outcome as computed now. A failed check is kept
// like any other; where the survey does not allow a comparison it is inconclusive.
func (s *Service) CheckSetup(ctx context.Context, a access.Actor, c CheckSetup) (Written, error) {
	row, err := c.read()
	if err != nil {
		return Written{}, domain.Wrap("check.add", err)
	}
	return preparing(ctx, s, a, "check.add", c.At, c, func(w *Work) (sheet.SetupCheck, error) {
		row := row
		mounting, there := w.Facts.Sheet.Mounting(row.MountingID)
		if !there {
			return row, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("mounting_id", "mounting"))
		}
		if row.Outcome != sheet.NotMade {
			w.judgeCheck(mounting, &row)
		}
		return row, nil
	}, (*pen).putCheck)
}

// KeepCheck adds the check once more with the reason for going on with it: a row of its
// own, so that the first one stays as it was.
func (s *Service) KeepCheck(ctx context.Context, a access.Actor, c KeepCheck) (Written, error) {
	var r reader
	reason := domain.Lines(c.Reason)
	r.Lines("reason", reason, 1000, true)
	if !c.ID.Valid() {
		r.Add(domain.NotAnID.At("id"))
	}
	if err := r.Err(); err != nil {
		return Written{}, domain.Wrap("check.keep", err)
	}
	return record(ctx, s, a, "check.keep", c.At, c, func(ctx context.Context, p *pen) (Written, error) {
		kept, err := store.Row[sheet.SetupCheck](ctx, p, "set-up check",
			"SELECT "+checkColumns+" FROM setup_check WHERE id = $1 AND task_id = $2", c.CheckID, p.task.ID)
		if err != nil {
			return Written{}, err
		}
		kept.ID, kept.KeptBecause = c.ID, reason
		return p.putCheck(ctx, kept)
	})
}

const checkColumns = `id, client_id, task_id, mounting_id, moment, snr_db, signal, sound_speed, sound_speed_entered,
	transit_up, transit_up_entered, transit_down, transit_down_entered, outcome, basis, kept_because, by, captured_at, received_at`

func (p *pen) putCheck(ctx context.Context, c sheet.SetupCheck) (Written, error) {
	if err := p.inTask(ctx, c.MountingID); err != nil {
		return Written{}, err
	}
	c.Stamp = p.stamp()
	p.wrote("setup_check", c.ID, c)
	return Written{ID: c.ID.String()}, p.Run(ctx, "INSERT INTO setup_check ("+checkColumns+`)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19)`,
		c.ID, c.ClientID, c.TaskID, c.MountingID, c.Moment, c.SNR, c.Signal, c.SoundSpeed, c.SoundSpeedEntered,
		c.TransitUp, c.TransitUpEntered, c.TransitDown, c.TransitDownEntered, c.Outcome, c.Basis, c.KeptBecause,
		c.By, c.CapturedAt, c.ReceivedAt)
}
