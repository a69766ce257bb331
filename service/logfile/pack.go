package logfile

import (
	"rillmark/calc/trace"
	"rillmark/service/logfile/chunk"
)

// Packed is a file packed into chunks.
type Packed struct {
	Report      Report
	Chunks      int
	First, Last int64         // microseconds since 1970, of the first and the last point
	Interval    float64       // s, median step of the first chunk's points; 0 for one point
	Envelope    []chunk.Range // of the flow, for drawing
}

// Piece is a chunk with the outline of the flow in it.
type Piece struct {
	chunk.Chunk
	Outline []chunk.Range
}

// Pack reads a file under a complete mapping and hands its series on in chunks, in order
// of time, each of chunk.MostPoints but the last. What is drawn of a counter is the flow
// between its readings. Memory does not grow with the file. Errors: those of Read and of
// sink.
func Pack(s Source, m Mapping, sink func(Piece) error) (Packed, error) {
	p := packing{flow: flow{counter: m.Counter}, sink: sink}
	var err error
	if p.Report, err = s.Read(m, p.take); err != nil {
		return p.Packed, err
	}
	if len(p.rest.Micro) > 0 {
		if err := p.put(len(p.rest.Micro)); err != nil {
			return p.Packed, err
		}
	}
	p.Packed.Envelope = p.envelope.Ranges()
	return p.Packed, nil
}

// gapIntervals is how many usual steps make a gap: as a total counts it (trace.TotalOf).
const gapIntervals = 3

type packing struct {
	Packed
	envelope chunk.Envelope
	flow     flow
	rest     Points
	drawn    []float64 // the flow at each of rest
	sink     func(Piece) error
}

func (p *packing) take(b Points) error {
	if p.envelope.Gap == 0 {
		p.envelope.Gap = int64(gapIntervals * 1e6 * usualStep(b.Micro))
	}
	at := len(p.drawn)
	p.rest.Micro, p.rest.Value = append(p.rest.Micro, b.Micro...), append(p.rest.Value, b.Value...)
	p.drawn = p.flow.of(p.drawn, b)
	p.envelope.Add(b.Micro, p.drawn[at:])
	if len(p.rest.Micro) < chunk.MostPoints {
		return nil
	}
	return p.put(chunk.MostPoints)
}

func (p *packing) put(n int) error {
	c, err := chunk.Pack(p.rest.Micro[:n], p.rest.Value[:n])
	if err != nil {
		return err
	}
	if p.Chunks == 0 {
		p.First = c.First
		p.Interval = usualStep(p.rest.Micro[:n])
	}
	p.Last = c.Last
	p.Chunks++
	err = p.sink(Piece{c, chunk.OutlineOf(p.rest.Micro[:n], p.drawn[:n], p.envelope.Gap)})
	p.rest.Micro = p.rest.Micro[:copy(p.rest.Micro, p.rest.Micro[n:])]
	p.rest.Value = p.rest.Value[:copy(p.rest.Value, p.rest.Value[n:])]
	p.drawn = p.drawn[:copy(p.drawn, p.drawn[n:])]
	return err
}

func usualStep(micro []int64) float64 {
	if len(micro) < 2 {
		return 0
	}
	s := trace.Series{Time: make([]float64, len(micro))}
	for i, m := range micro {
		s.Time[i] = float64(m-micro[0]) / 1e6
	}
	return s.Interval()
}

// flow turns points as they come into the flow that is drawn: of a counter the mean flow
// since the reading before, of the first reading that of the second.
type flow struct {
	counter bool
	some    bool
	micro   int64
	value   float64
}

// of appends the flow at each point.
func (f *flow) of(out []float64, b Points) []float64 {
	if !f.counter {
		return append(out, b.Value...)
	}
	for i, t := range b.Micro {
		switch {
		case f.some:
			out = append(out, (b.Value[i]-f.value)/(float64(t-f.micro)/1e6))
		case len(b.Micro) > 1:
			out = append(out, (b.Value[1]-b.Value[0])/(float64(b.Micro[1]-b.Micro[0])/1e6))
		default:
			out = append(out, 0)
		}
		f.some, f.micro, f.value = true, t, b.Value[i]
	}
	return out
}

// Flow returns the flow at each of the points: of a counter the mean since the point
// before, of the first that of the second.
func (m Mapping) Flow(p Points) []float64 {
	f := flow{counter: m.Counter}
	return f.of(nil, p)
}
