package demo

import (
	"context"
	"fmt"
	"math"

	"rillmark/calc/beam"
	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
)

// sheets fills in the work sheets of a visit.
func (l *load) sheets(ctx context.Context, visit int) error {
	for i, t := range tasks {
		if t.visit != visit {
			continue
		}
		p, err := l.open(ctx, i)
		if err != nil {
			return err
		}
		for _, part := range []func() error{p.before, p.measure, p.settle} {
			if err := part(); err != nil {
				return fmt.Errorf("%s: %w", points[t.point].texts.Tag, err)
			}
		}
	}
	return nil
}

// lateNotes are what was added after a visit was sent back; a new fact is evaluated anew.
func (l *load) lateNotes(ctx context.Context, visit int) error {
	for i, t := range tasks {
		if t.visit != visit || len(t.late) == 0 {
			continue
		}
		p, err := l.open(ctx, i)
		if err != nil {
			return err
		}
		p.now, p.pace, p.n = l.founded, 0, lateFrom
		if err := p.closing(t.late); err != nil {
			return err
		}
	}
	return nil
}

// lateFrom is the number of the first late command: far above those of the sheet.
const lateFrom = 900

// before is what comes before the first run: survey, mounting, checks. Where the check
// fails the wall is gauged and the transducers are mounted again.
func (p *pen) before() error {
	if err := p.noteControl(p.task.controls[0]); err != nil {
		return err
	}
	if t := p.task.picked; t != nil {
		if _, err := p.Capture.PickPipe(p.ctx, p.who, capture.PickPipe{At: p.at(2), Standard: t.product(), Size: t.size, Schedule: t.schedule, Source: string(t.source)}); err != nil {
			return err
		}
	}
	if err := p.values(p.task.survey); err != nil {
		return err
	}
	survey, err := inForce(p.task.picked, p.task.survey)
	if err != nil {
		return err
	}
	if err := p.mount(survey); err != nil || len(p.task.regauged) == 0 {
		return err
	}
	if err := p.values(p.task.regauged); err != nil {
		return err
	}
	if survey, err = p.task.truth(); err != nil {
		return err
	}
	return p.mount(survey)
}

func (p *pen) values(list []value) error {
	for _, v := range list {
		c := capture.RecordValue{At: p.at(0.5), ID: own[domain.SurveyValueKind](p), Name: string(v.name), Position: v.position, Entered: v.text, Source: string(v.source)}
		if v.by != noInstrument {
			c.KitID = idOf[domain.KitKind](kitRow, v.by)
		}
		if _, err := p.Capture.RecordValue(p.ctx, p.who, c); err != nil {
			return err
		}
	}
	return nil
}

// mounted is the mounting that the runs are taken with, and the spacing set, in metres.
type mounted struct {
	id      domain.MountingID
	spacing float64
}

// mount sets the transducers at the mark that the survey gives, and checks signal and
// sound speed.
func (p *pen) mount(survey sheet.Survey) error {
	entered, err := setup(survey, p.task.pair, p.task.traverses)
	if err != nil {
		return err
	}
	tape, err := numbers(p.task.tape)
	if err != nil {
		return err
	}
	where, err := beam.Spacing(beam.SpacingRequest{Setup: entered, Graduation: *tape.Graduation})
	if err != nil {
		return err
	}
	m := capture.Mount{At: p.at(8), ID: own[domain.MountingKind](p), ReferenceID: idOf[domain.KitKind](kitRow, p.task.reference),
		PairID: idOf[domain.KitKind](kitRow, p.task.pair), CableID: idOf[domain.KitKind](kitRow, p.task.cable), TapeID: idOf[domain.KitKind](kitRow, p.task.tape),
		Traverses: fmt.Sprint(p.task.traverses), ClockPosition: p.task.clock, Spacing: where.SettingMarkText}
	if _, err := p.Capture.Mount(p.ctx, p.who, m); err != nil {
		return err
	}
	p.mounted = mounted{m.ID, where.SettingMark}
	return p.check(sheet.Before)
}

// offTable is by how much the water's sound speed differs from the table's before and after
// the runs, relative: what is dissolved in it, and the thermometer's error.
var offTable = map[sheet.Moment]float64{sheet.Before: 0.0004, sheet.After: 0.0003}

// check reads the two transit times that the pipe as it really was gives.
func (p *pen) check(moment sheet.Moment) error {
	truth, err := p.truly()
	if err != nil {
		return err
	}
	truth.FluidSoundSpeed *= 1 + offTable[moment]
	transit, err := truth.Transit(p.mounted.spacing, p.task.flows[0]/secondsPerHour/area(truth))
	if err != nil {
		return err
	}
	micro := func(s float64) string { return fmt.Sprintf("%.4f µs", s*1e6) }
	_, err = p.Capture.CheckSetup(p.ctx, p.who, capture.CheckSetup{At: p.at(5), ID: own[domain.SetupCheckKind](p), MountingID: p.mounted.id, Moment: string(moment),
		SNR: "31 dB", Signal: "both directions alike", TransitUp: micro(transit.Up), TransitDown: micro(transit.Down)})
	return err
}

// truly is the set-up as it really was.
func (p *pen) truly() (beam.Setup, error) {
	survey, err := p.task.truth()
	if err != nil {
		return beam.Setup{}, err
	}
	s, err := setup(survey, p.task.pair, p.task.traverses)
	if p.task.wall > 0 {
		s.Wall = p.task.wall
	}
	return s, err
}

func area(s beam.Setup) float64 { return math.Pi / 4 * s.Bore() * s.Bore() }

func (p *pen) noteControl(c control) error {
	if c == (control{}) {
		return nil
	}
	_, err := p.Capture.NoteControl(p.ctx, p.who, capture.NoteControl{At: p.at(3), ID: own[domain.ControlNoteKind](p), Kind: c.kind, What: c.what, DoneBy: c.by})
	return err
}
