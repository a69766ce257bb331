package demo

import (
	"fmt"
	"strconv"
	"time"

	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
)

// numbers is a piece of kit with its values read.
func numbers(i int) (kit.Item, error) {
	return kit.Item{Kind: items[i].kind}.Read(items[i].texts, time.UTC)
}

// measure is zero check, plan and runs before adjustment.
func (p *pen) measure() error {
	if err := p.checkZero(); err != nil {
		return err
	}
	if p.task.logging != nil {
		return p.logged(*p.task.logging)
	}
	return p.phase(sheet.Before, p.task.errors)
}

func (p *pen) checkZero() error {
	c := capture.CheckZero{At: p.at(7), ID: own[domain.ZeroCheckKind](p), MountingID: p.mounted.id, Moment: string(sheet.Before), Possible: "no", Action: p.task.zeroWhy}
	if z := p.task.zero; z != nil {
		c.Possible, c.IsolatedBy, c.Tightness, c.CutoffOff = "yes", z.isolatedBy, z.tightness, true
		c.Seconds, c.MeanVelocity, c.UVelocity, c.Action = "300 s", z.mean, z.u, z.action
	}
	_, err := p.Capture.CheckZero(p.ctx, p.who, c)
	return err
}

// phase plans the runs of a phase and takes them, as many as the story has.
func (p *pen) phase(phase sheet.Phase, errors []float64) error {
	_, err := p.Capture.PlanRuns(p.ctx, p.who, capture.PlanRuns{At: p.at(2), ID: own[domain.RunPlanKind](p), Phase: string(phase),
		FlowPoints: strconv.Itoa(len(p.task.flows)), Runs: strconv.Itoa(runsAtPoint), Seconds: runSeconds, Interval: intervalSeconds, Averaging: averaging})
	if err != nil {
		return err
	}
	s, err := p.scene()
	if err != nil {
		return err
	}
	taken := 0
	for point := range p.task.flows {
		for run := range runsAtPoint {
			if p.task.runs > 0 && taken == p.task.runs {
				return nil
			}
			taken++
			if err := p.run(s, phase, point, run, errors[point]); err != nil {
				return err
			}
		}
	}
	return nil
}

// run takes a run; a jolted one is set aside, and taken once more.
func (p *pen) run(s scene, phase sheet.Phase, point, run int, meterError float64) error {
	j := p.task.jolted
	if j == nil || phase != sheet.Before || j.flowPoint != point || j.run != run {
		_, err := p.addRun(s, phase, point, meterError, 0)
		return err
	}
	id, err := p.addRun(s, phase, point, meterError, j.by)
	if err != nil {
		return err
	}
	_, err = p.Capture.SetAside(p.ctx, p.who, capture.SetAside{At: p.at(1), ID: own[domain.SetAsideKind](p), RunID: id, Reason: j.reason})
	if err != nil {
		return err
	}
	_, err = p.addRun(s, phase, point, meterError, 0)
	return err
}

func (p *pen) addRun(s scene, phase sheet.Phase, point int, meterError, jolt float64) (domain.RunID, error) {
	shown := capture.Shown{}
	for j := range s.indications {
		shown.Indications = append(shown.Indications, indicationID(meterAt(p.task.point), j).String())
	}
	var err error
	shown.References, shown.Values, err = s.readings(p.task.flows[point], meterError, p.n, jolt)
	if err != nil {
		return domain.RunID{}, err
	}
	c := capture.AddRun{At: p.at(6), ID: own[domain.RunKind](p), Phase: string(phase), MountingID: p.mounted.id, FlowPoint: strconv.Itoa(point + 1), Shown: shown}
	_, err = p.Capture.AddRun(p.ctx, p.who, c)
	return c.ID, err
}

// scene is the pipe as it really was, with the reference's calibration of the day.
func (p *pen) scene() (scene, error) {
	truth, err := p.truly()
	if err != nil {
		return scene{}, err
	}
	c, err := ofPair(p.task.reference, p.task.pair, visits[p.task.visit].day).read(p.calendar)
	return scene{area: area(truth), calibration: c, indications: meters[meterAt(p.task.point)].indications, outputError: p.task.outputError}, err
}

// settle is everything after the runs before adjustment: the adjustment and its runs, the
// check again, restoring what was inhibited, and the last word with an evaluation. An open
// task has none of it.
func (p *pen) settle() error {
	if len(p.task.notes) == 0 {
		return nil
	}
	if a := p.task.adjust; a != nil {
		if err := p.adjustMeter(*a); err != nil {
			return err
		}
	}
	if err := p.check(sheet.After); err != nil {
		return err
	}
	if err := p.noteControl(p.task.controls[1]); err != nil {
		return err
	}
	return p.closing(p.task.notes)
}

func (p *pen) adjustMeter(a adjust) error {
	_, err := p.Capture.Adjust(p.ctx, p.who, capture.Adjust{At: p.at(10), ID: own[domain.AdjustmentKind](p), Parameter: a.parameter, Kind: string(sheet.Multiplier),
		Old: a.old, New: a.new, Permission: a.permission, SealBefore: a.sealBefore, SealAfter: a.sealAfter, Reason: a.reason})
	if err != nil {
		return err
	}
	left := make([]float64, len(p.task.errors))
	for i, e := range p.task.errors {
		left[i] = verification.Predicted(e, a.factor)
	}
	return p.phase(sheet.After, left)
}

// closing writes notes and keeps the evaluation.
func (p *pen) closing(notes []note) error {
	for _, n := range notes {
		if _, err := p.Capture.NoteTask(p.ctx, p.who, capture.NoteTask{At: p.at(2), ID: own[domain.TaskNoteKind](p), Kind: n.kind, Text: n.text}); err != nil {
			return err
		}
	}
	if _, err := p.Capture.Evaluate(p.ctx, p.who, capture.Evaluate{At: p.at(1), ID: own[domain.EvaluationKind](p)}); err != nil {
		return fmt.Errorf("evaluation: %w", err)
	}
	return nil
}
