package tracing

import (
	"context"
	"math"
	"time"

	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/access"
)

// Seen is what the signals of two series say of their clocks.
type Seen struct {
	Pair      // complete
	Reference Channel
	Meter     Channel
	Signals   trace.Alignment
	Origin    time.Time // from which Signals.Middle counts, on the reference's clock
	// Doubt is the expanded uncertainty that is offered for a lag set by hand, s: the longer
	// of the two intervals.
	Doubt float64
}

// Look finds the lag between the clocks of two series from their signals. Nothing is
// written.
func (s *Service) Look(ctx context.Context, a access.Actor, p Pair) (Seen, error) {
	if err := see(a); err != nil {
		return Seen{}, err
	}
	m, err := s.match(ctx, p)
	if err != nil {
		return Seen{}, domain.Wrap("alignment.look", err)
	}
	signals, err := trace.Align(m.reference, m.meter, m.Search)
	return Seen{Pair: m.Pair, Reference: m.referenceChannel, Meter: m.meterChannel, Signals: signals,
		Origin: m.at(0), Doubt: math.Max(m.reference.Interval(), m.meter.Interval())}, domain.Wrap("alignment.look", err)
}
