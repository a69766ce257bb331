package tracing

import (
	"context"
	"time"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/capture"
)

// anybody passes for who writes a row while it is checked, before the transaction says who.
var anybody = domain.PersonID{UUID: uuid.MustParse("00000000-0000-7000-8000-000000000001")}

// SetAside is the command to set a stretch aside with a reason: it does not become a run,
// and stays visible.
type SetAside struct {
	capture.At
	ID          domain.StretchID   `json:"id" form:"id"`
	AlignmentID domain.AlignmentID `json:"alignment_id" form:"alignment_id"`
	From        time.Time          `json:"from" form:"from"`
	To          time.Time          `json:"to" form:"to"`
	Reason      string             `json:"reason" form:"reason"`
}

// SetAside sets a stretch aside. What the series say over it is kept where they say
// anything.
func (s *Service) SetAside(ctx context.Context, a access.Actor, c SetAside) (capture.Written, error) {
	const action = "stretch.set-aside"
	if err := access.May(a, access.FillSheet); err != nil {
		return capture.Written{}, err
	}
	var check domain.Check
	if !c.ID.Valid() {
		check.Add(domain.NotAnID.At("id"))
	}
	reason := domain.Lines(c.Reason)
	check.Lines("reason", reason, 1000, true)
	if err := check.Err(); err != nil {
		return capture.Written{}, domain.Wrap(action, err)
	}
	v, err := s.viewIn(ctx, c.AlignmentID, c.TaskID)
	if err != nil {
		return capture.Written{}, domain.Wrap(action, err)
	}
	one, _, err := v.over(c.From, c.To)
	result := ""
	switch {
	case err == nil:
		result, err = packStretch(one)
	case domain.KindOf(err) == domain.Invalid && c.From.Before(c.To): // too short to tell anything: all the more a reason
		err = nil
	}
	if err != nil {
		return capture.Written{}, domain.Wrap(action, err)
	}
	return s.capture.Record(ctx, a, action, c.At, c, false, func(ctx context.Context, r capture.Row) (capture.Written, error) {
		return capture.Written{ID: c.ID.String()},
			putStretch(ctx, r, c.ID, toldStretch{c.AlignmentID, nil, c.From, c.To, reason, r.Stamp.CapturedAt}, result)
	})
}
