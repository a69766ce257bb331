package tracing

import (
	"context"
	"math"
	"time"

	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/access"
)

// ErrorPoint is the meter's error over a short time.
type ErrorPoint struct {
	At    int64   // microseconds since 1970, on the reference's clock
	Error float64 // ratio
}

// ErrorTrace is the error along a time of the reference's clock in at most width points
// (about), each the mean of both series over the same time. Where the reference is near
// nothing there is no point. It is a picture, not a result: a change of the flow shows in
// it as far as averaging and lag do not fit.
func (s *Service) ErrorTrace(ctx context.Context, a access.Actor, id domain.AlignmentID, from, to time.Time, width int) ([]ErrorPoint, error) {
	if err := see(a); err != nil {
		return nil, err
	}
	v, err := s.view(ctx, id)
	if err != nil {
		return nil, domain.Wrap("error-trace", err)
	}
	if from.IsZero() || from.Before(v.From) {
		from = v.From
	}
	if to.IsZero() || to.After(v.To) {
		to = v.To
	}
	align := v.Alignment.on(v.matched)
	if align.Found { // what each averaging shows late is shown late by both
		align.Lag += v.reference.Averaging.Delay() - v.meter.Averaging.Delay()
	}
	c, err := trace.Over(v.reference, v.meter, align, v.seconds(from), v.seconds(to), min(max(width, 4), mostWidth))
	if err != nil {
		return nil, domain.Wrap("error-trace", err)
	}
	var all []ErrorPoint
	for _, r := range c.Readings {
		if math.Abs(r.Reference) > math.Abs(c.ReferenceMean)/100 {
			all = append(all, ErrorPoint{v.at(r.Time).UnixMicro(), (r.Indication - r.Reference) / r.Reference})
		}
	}
	return all, nil
}
