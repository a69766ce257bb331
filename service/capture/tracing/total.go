package tracing

import (
	"context"
	"math"
	"time"

	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/access"
)

// Totals are the volumes of both series over a time of the reference's clock, by
// integration of a flow, or from the readings of a counter.
type Totals struct {
	From, To            time.Time
	Reference, Meter    trace.Total // m³
	Error               float64     // ratio
	StandardUncertainty float64     // of the error: start, stop, gaps and, of the meter, the lag; ratio
}

// Total compares the volumes between two times. start and stop are the standard
// uncertainties of the moments, s, the same for both series; the lag's adds to the meter's.
// Without a lag there is no common time and so no total.
func (s *Service) Total(ctx context.Context, a access.Actor, id domain.AlignmentID, from, to time.Time, start, stop float64) (Totals, error) {
	if err := see(a); err != nil {
		return Totals{}, err
	}
	v, err := s.view(ctx, id)
	if err != nil {
		return Totals{}, domain.Wrap("total", err)
	}
	if !v.Alignment.Found {
		return Totals{}, domain.Wrap("total", domain.Refuse(domain.Invalid, NoLag.At("")))
	}
	t, err := v.total(from, to, start, stop)
	return t, domain.Wrap("total", err)
}

func (v view) total(from, to time.Time, start, stop float64) (Totals, error) {
	t := Totals{From: from.UTC(), To: to.UTC()}
	align := v.Alignment.on(v.matched)
	a, b := v.seconds(from), v.seconds(to)
	lag := align.Uncertainty / 2
	var err error
	if t.Reference, err = v.volume(0, v.reference, a, b, start, stop); err != nil {
		return t, inField("reference", err)
	}
	if t.Meter, err = v.volume(1, v.meter, a-align.At(a), b-align.At(b), math.Hypot(start, lag), math.Hypot(stop, lag)); err != nil {
		return t, inField("meter", err)
	}
	if t.Reference.Volume == 0 {
		return t, domain.Refuse(domain.Invalid, NoPoints.At("from"))
	}
	t.Error = t.Meter.Volume/t.Reference.Volume - 1
	t.StandardUncertainty = math.Abs(1+t.Error) * math.Hypot(t.Reference.StandardUncertainty/t.Reference.Volume, t.Meter.StandardUncertainty/t.Meter.Volume)
	return t, nil
}

// volume is the volume of one of the series (0: the reference): of a counter from what it
// counted.
func (v view) volume(which int, s trace.Series, from, to, start, stop float64) (trace.Total, error) {
	channel := [2]Channel{v.referenceChannel, v.meterChannel}[which]
	if !channel.Counter {
		return trace.TotalOf(s, from, to, start, stop)
	}
	p := v.points[which]
	counted := trace.Series{Value: p.Value, Time: make([]float64, len(p.Micro)), Resolution: channel.Resolution}
	for i, m := range p.Micro {
		counted.Time[i] = float64(m-v.origin) / 1e6
	}
	return trace.CountedTotal(counted, from, to, start, stop)
}
