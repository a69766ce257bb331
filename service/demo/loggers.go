package demo

import (
	"bytes"
	"fmt"
	"strconv"
	"time"

	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/logfile"
)

// logged plans the runs, and takes them from what the two loggers wrote: upload, column
// map, clocks, stretches.
func (p *pen) logged(g logging) error {
	_, err := p.Capture.PlanRuns(p.ctx, p.who, capture.PlanRuns{At: p.at(2), ID: own[domain.RunPlanKind](p), Phase: string(sheet.Before),
		FlowPoints: strconv.Itoa(len(p.task.flows)), Runs: strconv.Itoa(runsAtPoint), Seconds: fmt.Sprintf("%d s", shortest), Interval: strconv.Itoa(g.meter.interval) + " s", Averaging: averaging})
	if err != nil {
		return err
	}
	s, err := p.scene()
	if err != nil {
		return err
	}
	zone, err := zoneOf(visits[p.task.visit].site)
	if err != nil {
		return err
	}
	from := p.now.Add(3 * time.Minute)
	p.now = from.Add(g.lasts())
	reference, err := g.referenceFile(s, from, zone)
	if err != nil {
		return err
	}
	pair, err := p.channels(g, reference, g.meterFile(p.task.errors, from, zone))
	if err != nil {
		return err
	}
	alignment, err := p.align(g, pair, from, zone)
	if err != nil {
		return err
	}
	return p.takeStretches(g, alignment, from)
}

// channels uploads both files and confirms how they are read.
func (p *pen) channels(g logging, reference, meter []byte) (pair tracing.Pair, err error) {
	pair.ReferenceID, err = p.channel(tracing.Upload{Role: string(tracing.Reference), Name: g.reference.name}, reference,
		logfile.Mapping{DateOrder: "dmy", DecimalMark: "comma", Averaging: &logfile.Averaging{Kind: "trailing", Seconds: 10}})
	if err != nil {
		return pair, err
	}
	pair.MeterID, err = p.channel(tracing.Upload{Role: string(tracing.Meter), Name: g.meter.name, IndicationID: indicationID(p.task.point, 0)}, meter, logfile.Mapping{})
	return pair, err
}

func (p *pen) channel(file tracing.Upload, data []byte, m logfile.Mapping) (domain.SeriesID, error) {
	file.At, file.ID, file.File = p.at(1), own[domain.LogFileKind](p), bytes.NewReader(data)
	if _, err := p.Tracing.Upload(p.ctx, p.who, file); err != nil {
		return domain.SeriesID{}, fmt.Errorf("%s: %w", file.Name, err)
	}
	c := tracing.Confirm{At: p.at(1), ID: own[domain.SeriesKind](p), FileID: file.ID, Mapping: m, Remember: true}
	if _, err := p.Tracing.Confirm(p.ctx, p.who, c); err != nil {
		return c.ID, fmt.Errorf("%s: %w", file.Name, err)
	}
	return c.ID, nil
}

// align takes the lag that the signals tell, or what both loggers showed when they were
// read against the site's clock at the beginning and at the end.
func (p *pen) align(g logging, pair tracing.Pair, from time.Time, zone *time.Location) (domain.AlignmentID, error) {
	c := tracing.Decide{At: p.at(2), ID: own[domain.AlignmentKind](p), Pair: pair, How: string(tracing.BySignals)}
	if g.note {
		moment := func(at time.Time) tracing.Moment {
			shows := func(late float64, zone *time.Location) string {
				return g.stamp(at, 0, late).In(zone).Format(time.DateTime)
			}
			return tracing.Moment{ReferenceClock: shows(0, zone), ReferenceShows: shows(g.referenceLate, zone),
				MeterClock: shows(0, zone), MeterShows: shows(g.meterLate, time.UTC)}
		}
		c.How, c.Note = string(tracing.ByNote), tracing.ClockNote{Start: moment(from), End: moment(from.Add(g.lasts() - time.Minute))}
	}
	_, err := p.Tracing.Decide(p.ctx, p.who, c)
	return c.ID, err
}

// takeStretches takes as many runs at each flow point as are planned, from the steady
// stretches as they are proposed; a long one is parted.
func (p *pen) takeStretches(g logging, alignment domain.AlignmentID, from time.Time) error {
	steady, err := p.Tracing.Stretches(p.ctx, p.who, alignment)
	if err != nil {
		return err
	}
	proposed := steady.Proposed
	if g.aside != "" && len(proposed) > 0 {
		_, err := p.Tracing.SetAside(p.ctx, p.who, tracing.SetAside{At: p.at(1), ID: own[domain.StretchKind](p), AlignmentID: alignment,
			From: proposed[0].From, To: proposed[0].To, Reason: g.aside})
		if err != nil {
			return err
		}
		proposed = proposed[1:]
	}
	taken := map[int]int{}
	for _, s := range proposed {
		if s.Seconds < shortest {
			continue
		}
		_, at := g.trueAt(s.From.Add(s.To.Sub(s.From)/2).Sub(from).Seconds() + g.referenceLate)
		for _, part := range parted(s) {
			if at.point == 0 || taken[at.point] == runsAtPoint || !g.whole(part, from) {
				continue
			}
			taken[at.point]++
			c := tracing.Take{At: p.at(0.5), ID: own[domain.RunKind](p), AlignmentID: alignment, From: part.From, To: part.To, Phase: string(sheet.Before),
				MountingID: p.mounted.id, FlowPoint: strconv.Itoa(at.point)}
			c.StretchID = domain.StretchID(idOf[domain.StretchKind](stretchRow, p.index*perThing+p.n))
			if _, err := p.Tracing.Take(p.ctx, p.who, c); err != nil {
				return err
			}
		}
	}
	return nil
}

// whole tells whether the meter's logger wrote all through a stretch.
func (g logging) whole(s tracing.Stretch, from time.Time) bool {
	off := from.Add(g.pauseAt)
	return g.pause == 0 || s.To.Before(off) || s.From.After(off.Add(g.pause))
}

// shortest is the length of a run as planned, s.
const shortest = 75

// longest is how long a run from a stretch is at most in the demo.
const longest = 4 * time.Minute

// parted is a stretch in equal parts none of which is longer than longest.
func parted(s tracing.Stretch) (parts []tracing.Stretch) {
	n := int(s.To.Sub(s.From)/longest) + 1
	each := (s.To.Sub(s.From) / time.Duration(n)).Truncate(time.Second)
	for i := range n {
		from := s.From.Add(time.Duration(i) * each)
		parts = append(parts, tracing.Stretch{From: from, To: from.Add(each - time.Second)})
	}
	return parts
}
