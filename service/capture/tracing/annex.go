package tracing

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
)

// annexWidth is in how many times, about, a record is drawn on paper.
const annexWidth = 300

// Annex is the records of a task from which runs were taken, as a document shows them: one
// picture for each alignment that a run stands on, with all that was decided on its
// stretches. Flows are in the unit, times in the zone.
func (s *Service) Annex(ctx context.Context, a access.Actor, task domain.TaskID, unit string, zone *time.Location) ([]certificate.Trace, error) {
	if err := see(a); err != nil {
		return nil, err
	}
	pieces, err := s.pieces(ctx, task)
	if err != nil {
		return nil, domain.Wrap("annex", err)
	}
	one, err := quantity.Parse("1 "+unit, quantity.KindFlow, quantity.Options{})
	if err != nil {
		return nil, domain.Wrap("annex", err)
	}
	var all []certificate.Trace
	var done []domain.AlignmentID
	for _, p := range pieces {
		if p.RunID == nil || slices.Contains(done, p.AlignmentID) {
			continue
		}
		done = append(done, p.AlignmentID)
		t, err := s.picture(ctx, p.AlignmentID, sheetOf{unit, one.SI, zone}, pieces)
		if err != nil {
			return nil, domain.Wrap("annex", err)
		}
		all = append(all, t)
	}
	return all, nil
}

// sheetOf is how a document tells flows and times.
type sheetOf struct {
	unit string
	si   float64 // m³/s in one of the unit
	zone *time.Location
}

func (s *Service) picture(ctx context.Context, id domain.AlignmentID, paper sheetOf, pieces []Piece) (t certificate.Trace, err error) {
	a, err := s.alignment(ctx, id)
	if err != nil {
		return t, err
	}
	reference, err := s.channel(ctx, a.ReferenceID)
	if err != nil {
		return t, err
	}
	meter, err := s.channel(ctx, a.MeterID)
	if err != nil {
		return t, err
	}
	t = certificate.Trace{Indication: meter.Indication, How: string(a.How), Reason: a.Reason, Unit: paper.unit, Error: []string{}, Stretches: []certificate.Stretch{},
		From: certificate.In(paper.zone, a.From), To: certificate.In(paper.zone, a.To)}
	if a.Found {
		t.Lag, t.U = secondsFigure(a.Lag), secondsFigure(a.Uncertainty)
	}
	late := shownLate(reference, a.ReferenceAveraging) - shownLate(meter, a.MeterAveraging)
	lag := time.Duration((a.Lag + late) * float64(time.Second))
	if t.Reference, err = s.drawnFile(ctx, reference, a.From, a.To, func(r chunk.Range) float64 { return 0 }, a.From, paper); err != nil {
		return t, err
	}
	if t.Meter, err = s.drawnFile(ctx, meter, a.From.Add(-lag), a.To.Add(-lag), func(r chunk.Range) float64 { return a.lagAt(r.From) + late }, a.From, paper); err != nil {
		return t, err
	}
	errors, err := s.ErrorTrace(ctx, access.System("issuing"), id, a.From, a.To, annexWidth)
	if err != nil {
		return t, err
	}
	for _, e := range errors {
		t.Error = append(t.Error, fmt.Sprintf("%s %s", short(float64(e.At-a.From.UnixMicro())/1e6), short(e.Error*100)))
	}
	for _, p := range pieces {
		if p.AlignmentID == id {
			t.Stretches = append(t.Stretches, certificate.Stretch{From: short(p.From.Sub(a.From).Seconds()), To: short(p.To.Sub(a.From).Seconds()),
				Phase: string(p.Phase), Run: p.Run, Reason: p.Reason})
		}
	}
	return t, nil
}

// shownLate is by how much a channel's averaging shows a change late, s.
func shownLate(c Channel, a logfile.Averaging) float64 {
	if c.Counter {
		return c.Interval / 2 // the mean flow since the reading before
	}
	return logfile.Mapping{Averaging: &a}.Channel().Delay()
}

// lagAt is the lag at a stamp of the meter's, in microseconds since 1970; 0 where none was
// found.
func (a Alignment) lagAt(stamp int64) float64 {
	if !a.Found {
		return 0
	}
	return a.Lag + a.Drift*(float64(stamp-a.Middle.UnixMicro())/1e6+a.Lag)
}

func (s *Service) drawnFile(ctx context.Context, c Channel, from, to time.Time, lag func(chunk.Range) float64, begin time.Time, paper sheetOf) (f certificate.LogFile, err error) {
	file, err := s.file(ctx, s.store, c.FileID)
	if err != nil {
		return f, err
	}
	e, err := s.envelope(ctx, c.ID, from, to, annexWidth)
	f = certificate.LogFile{Name: plainName(file.Name), SHA256: file.SHA256, Drawn: []string{}}
	for _, r := range e.Ranges {
		at := float64(r.From-begin.UnixMicro())/1e6 + lag(r)
		f.Drawn = append(f.Drawn, fmt.Sprintf("%s %s %s %s %s", short(at), short(float64(r.To-r.From)/1e6),
			short(r.Low/paper.si), short(r.High/paper.si), short(r.Mean/paper.si)))
	}
	return f, err
}

// plainName is a file's name in characters that a document's fonts have for sure.
func plainName(name string) string {
	return strings.Map(func(r rune) rune {
		if r > unicode.MaxLatin1 || !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, name)
}

// short is a number for a picture: six significant digits.
func short(x float64) string {
	if x == 0 {
		return "0"
	}
	place := 5 - int(math.Floor(math.Log10(math.Abs(x))))
	return strconv.FormatFloat(x, 'f', min(max(place, 0), 9), 64)
}

// secondsFigure is a number of seconds to a tenth.
func secondsFigure(x float64) *certificate.Figure {
	return &certificate.Figure{Printed: signed(strconv.FormatFloat(x, 'f', 1, 64)), Unit: "s", Value: certificate.Shortest(x), SI: "s"}
}

// signed writes a minus as it is printed.
func signed(text string) string {
	if len(text) > 0 && text[0] == '-' {
		return "−" + text[1:]
	}
	return text
}
