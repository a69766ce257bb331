package capturetest

import (
	"context"
	"fmt"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/store/storetest"
)

// hand fills in a sheet.
type hand struct {
	*Place
	*capture.Service
	ctx context.Context
}

func (d *hand) at(when time.Time) capture.At {
	return capture.At{Operation: storetest.Operation(), TaskID: d.Task, CapturedAt: when}
}

func must(t testing.TB) func(capture.Written, error) {
	return func(_ capture.Written, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
}

// FillIn fills in the sheet with everything that was observed in the worked example, in
// the order of its times, by the commands that the pages send.
func (p *Place) FillIn(s *capture.Service) {
	p.t.Helper()
	d := &hand{Place: p, Service: s, ctx: p.t.Context()}
	d.fill()
}

func (d *hand) fill() {
	d.t.Helper()
	s, day := d.Example.Sheet, Yesterday()
	first := s.Controls[0].CapturedAt.Truncate(24 * time.Hour)
	when := func(t time.Time) time.Time { return day.Add(t.Sub(first)) }
	d.survey(s, when)
	mountings := map[domain.MountingID]domain.MountingID{}
	for _, m := range s.Mountings {
		mountings[m.ID] = id[domain.MountingKind]()
		must(d.t)(d.Mount(d.ctx, d.Technician, capture.Mount{At: d.at(when(m.CapturedAt)), ID: mountings[m.ID], ReferenceID: m.ReferenceID,
			PairID: m.PairID, Traverses: fmt.Sprint(m.Traverses), ClockPosition: m.ClockPosition, Spacing: m.SpacingEntered}))
	}
	for _, c := range s.SetupChecks {
		must(d.t)(d.CheckSetup(d.ctx, d.Technician, capture.CheckSetup{At: d.at(when(c.CapturedAt)), ID: id[domain.SetupCheckKind](),
			MountingID: mountings[c.MountingID], Moment: string(c.Moment), SNR: fmt.Sprint(*c.SNR), SoundSpeed: *c.SoundSpeedEntered}))
	}
	for _, z := range s.ZeroChecks {
		must(d.t)(d.CheckZero(d.ctx, d.Technician, capture.CheckZero{At: d.at(when(z.CapturedAt)), ID: id[domain.ZeroCheckKind](),
			MountingID: mountings[z.MountingID], Moment: string(z.Moment), Possible: "yes", IsolatedBy: z.IsolatedBy, Tightness: z.Tightness, CutoffOff: z.CutoffOff,
			Seconds: fmt.Sprint(*z.Seconds), MeanVelocity: *z.MeanEntered, UVelocity: *z.UEntered, Action: z.Action}))
	}
	for _, p := range s.Plans {
		must(d.t)(d.PlanRuns(d.ctx, d.Technician, capture.PlanRuns{At: d.at(when(p.CapturedAt)), ID: id[domain.RunPlanKind](), Phase: string(p.Phase),
			FlowPoints: fmt.Sprint(p.FlowPoints), Runs: fmt.Sprint(p.Runs), Seconds: fmt.Sprint(p.Seconds), Interval: fmt.Sprint(p.Interval), Averaging: fmt.Sprint(p.Averaging)}))
	}
	for _, phase := range sheet.Phases {
		for _, run := range s.Taken(phase) {
			d.run(run, mountings[run.MountingID], when(run.CapturedAt))
		}
		if phase == sheet.Before {
			d.adjust(s, when)
		}
	}
	for _, n := range s.Notes {
		must(d.t)(d.NoteTask(d.ctx, d.Technician, capture.NoteTask{At: d.at(when(n.CapturedAt)), ID: id[domain.TaskNoteKind](), Kind: string(n.Kind), Text: n.Text}))
	}
}

func (d *hand) survey(s sheet.Sheet, when func(time.Time) time.Time) {
	for _, v := range s.Survey {
		c := capture.RecordValue{At: d.at(when(v.CapturedAt)), ID: id[domain.SurveyValueKind](), Name: string(v.Name), Position: v.Position,
			Entered: v.Entered, Source: string(v.Source), Reason: v.Reason}
		if v.KitID != nil {
			c.KitID = *v.KitID
		}
		must(d.t)(d.RecordValue(d.ctx, d.Technician, c))
	}
}

func (d *hand) run(run sheet.Taken, mounting domain.MountingID, at time.Time) {
	shown := capture.Shown{Indications: []string{d.Indication.String()}}
	for _, r := range run.Readings {
		shown.References = append(shown.References, r.ReferenceEntered)
		shown.Values = append(shown.Values, r.Indications[0].Entered)
	}
	must(d.t)(d.AddRun(d.ctx, d.Technician, capture.AddRun{At: d.at(at), ID: id[domain.RunKind](), Phase: string(run.Phase),
		MountingID: mounting, FlowPoint: fmt.Sprint(run.FlowPoint), Shown: shown}))
}

func (d *hand) adjust(s sheet.Sheet, when func(time.Time) time.Time) {
	for _, n := range s.Controls {
		must(d.t)(d.NoteControl(d.ctx, d.Technician, capture.NoteControl{At: d.at(when(n.CapturedAt)), ID: id[domain.ControlNoteKind](),
			Kind: string(n.Kind), What: n.What, DoneBy: n.DoneBy}))
	}
	for _, a := range s.Adjustments {
		must(d.t)(d.Adjust(d.ctx, d.Technician, capture.Adjust{At: d.at(when(a.CapturedAt)), ID: id[domain.AdjustmentKind](), IndicationID: d.Indication,
			Parameter: a.Parameter, Kind: string(a.Kind), Old: a.OldEntered, New: a.NewEntered, Permission: a.Permission, SealBefore: a.SealBefore,
			SealAfter: a.SealAfter, Reason: a.Reason}))
	}
}

// FillInSurvey fills in the survey alone.
func (p *Place) FillInSurvey(s *capture.Service, when func(time.Time) time.Time) {
	p.t.Helper()
	d := &hand{Place: p, Service: s, ctx: p.t.Context()}
	d.survey(p.Example.Sheet, when)
}
