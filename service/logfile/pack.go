package logfile

import "rillmark/service/logfile/chunk"

// Packed is a file packed into chunks.
type Packed struct {
	Report   Report
	Chunks   int
	Envelope []chunk.Range // for drawing
}

// Pack reads a file under a complete mapping and hands its series on in chunks, in order
// of time, each of chunk.MostPoints but the last. Memory does not grow with the file.
// Errors: those of Read and of sink.
func Pack(s Source, m Mapping, sink func(chunk.Chunk) error) (Packed, error) {
	var p Packed
	var e chunk.Envelope
	var rest Points
	put := func(n int) error {
		c, err := chunk.Pack(rest.Micro[:n], rest.Value[:n])
		if err != nil {
			return err
		}
		rest.Micro = rest.Micro[:copy(rest.Micro, rest.Micro[n:])]
		rest.Value = rest.Value[:copy(rest.Value, rest.Value[n:])]
		p.Chunks++
		return sink(c)
	}
	report, err := s.Read(m, func(b Points) error {
		e.Add(b.Micro, b.Value)
		rest.Micro, rest.Value = append(rest.Micro, b.Micro...), append(rest.Value, b.Value...)
		if len(rest.Micro) < chunk.MostPoints {
			return nil
		}
		return put(chunk.MostPoints)
	})
	p.Report = report
	if err != nil {
		return p, err
	}
	if n := len(rest.Micro); n > 0 {
		if err := put(n); err != nil {
			return p, err
		}
	}
	p.Envelope = e.Ranges()
	return p, nil
}
