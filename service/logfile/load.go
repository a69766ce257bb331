package logfile

import (
	"bytes"
	"errors"
	"io"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
)

// Source is a file's bytes, wherever they lie.
type Source struct {
	text io.ReaderAt
	size int64
	xlsx bool
}

// SourceOf takes a file for reading; an XLSX is unpacked at once, of the sheet given or
// its first. Errors: a file too large, and a sheet that cannot be read.
func SourceOf(r io.ReaderAt, size int64, sheet string) (Source, error) {
	head := make([]byte, 4)
	n, _ := r.ReadAt(head, 0)
	if !isSheet(head[:n]) {
		if size > MaxBytes {
			return Source{}, CodeTooLarge.At("", MaxBytes>>20)
		}
		return Source{text: r, size: size}, nil
	}
	if size > MaxSheet {
		return Source{}, CodeTooLarge.At("", MaxSheet>>20)
	}
	data := make([]byte, size)
	if _, err := r.ReadAt(data, 0); err != nil && !errors.Is(err, io.EOF) {
		return Source{}, CodeUnreadable.At("", err.Error())
	}
	text, err := flatten(data, sheet)
	if err != nil {
		return Source{}, err
	}
	return Source{text: bytes.NewReader(text), size: int64(len(text)), xlsx: true}, nil
}

// Held reports that the whole file is in memory, as an XLSX is: it was unpacked at once.
func (s Source) Held() bool { return s.xlsx }

// Propose proposes how to read the file.
func (s Source) Propose(given Mapping, zone string) (Proposal, error) {
	if s.xlsx {
		given.Encoding, given.Delimiter = "utf-8", "tab"
		if given.DecimalMark == "" {
			given.DecimalMark = "point"
		}
	}
	head, err := s.part(0, min(s.size, headBytes))
	if err != nil {
		return Proposal{}, err
	}
	var tail []byte
	if s.size > headBytes {
		from := max(headBytes, s.size-headBytes) &^ 1 // a place where UTF-16 begins a character
		if tail, err = s.part(from, s.size-from); err != nil {
			return Proposal{}, err
		}
	}
	return Propose(head, tail, given, zone)
}

func (s Source) part(from, n int64) ([]byte, error) {
	b := make([]byte, n)
	if _, err := s.text.ReadAt(b, from); err != nil && !errors.Is(err, io.EOF) {
		return nil, CodeUnreadable.At("", err.Error())
	}
	return b, nil
}

// Read reads the file under a complete mapping.
func (s Source) Read(m Mapping, sink func(Points) error) (Report, error) {
	return Read(io.NewSectionReader(s.text, 0, s.size), m, sink)
}

// Channel is a file read whole.
type Channel struct {
	Points   Points
	Mapping  Mapping
	Report   Report
	Proposal Proposal
}

// mostForeseen rows are made room for at once.
const mostForeseen = 4 << 20

// Load proposes and reads in one go, and refuses what the proposal asks: the questions
// are the error.
func Load(s Source, given Mapping, zone string) (Channel, error) {
	p, err := s.Propose(given, zone)
	if err != nil {
		return Channel{}, err
	}
	c := Channel{Mapping: p.Mapping, Proposal: p}
	if !p.Complete() {
		return c, p.Questions
	}
	if rows := s.size/int64(p.perRow) + 1; rows < mostForeseen {
		rows += rows / 50
		c.Points = Points{make([]int64, 0, rows), make([]float64, 0, rows)}
	}
	c.Report, err = s.Read(p.Mapping, func(b Points) error {
		c.Points.Micro = append(c.Points.Micro, b.Micro...)
		c.Points.Value = append(c.Points.Value, b.Value...)
		return nil
	})
	return c, err
}

// Series returns the channel as package trace compares it, in seconds from an origin of
// microseconds. A counter becomes the flow between its readings.
func (c Channel) Series(origin int64) (trace.Series, error) {
	s := trace.Series{Value: c.Points.Value, Averaging: c.Mapping.Channel(), Resolution: c.Report.Resolution()}
	s.Time = make([]float64, len(c.Points.Micro))
	for i, m := range c.Points.Micro {
		s.Time[i] = float64(m-origin) / 1e6
	}
	if !c.Mapping.Counter {
		return s, nil
	}
	if len(s.Time) < 3 {
		return s, fault.List{trace.CodeTooFew.At("time", len(s.Time), 3)}
	}
	return trace.Rates(s), nil
}
