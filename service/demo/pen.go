package demo

import (
	"context"
	"fmt"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/capture"
)

// pen fills in the sheet of one task: it gives each command its operation, its row's id
// and the time at which the technician wrote it down.
type pen struct {
	*load
	ctx     context.Context
	task    task
	index   int // of the task
	who     access.Actor
	sheet   domain.TaskID
	now     time.Time
	pace    float64 // of the minutes that work takes; below 1: quicker
	n       int     // commands so far
	mounted mounted // with which the runs are taken
}

// at goes on by so many minutes and begins the next command.
func (p *pen) at(minutes float64) capture.At {
	p.now = p.now.Add(time.Duration(minutes * p.pace * float64(time.Minute))).Truncate(time.Second)
	p.n++
	return capture.At{Operation: operation(sheetWrite, p.index*perThing+p.n), TaskID: p.sheet, CapturedAt: p.now}
}

// own is the id of the row that the command begun last makes.
func own[K any](p *pen) domain.ID[K] { return idOf[K](sheetRow, p.index*perThing+p.n) }

// open returns the pen of a task at the time at which the work began.
func (l *load) open(ctx context.Context, index int) (*pen, error) {
	t := tasks[index]
	v := visits[t.visit]
	zone, err := zoneOf(v.site)
	if err != nil {
		return nil, err
	}
	view, err := l.Planning.Visit(ctx, actor, idOf[domain.VisitKind](visitRow, t.visit))
	if err != nil {
		return nil, err
	}
	p := &pen{load: l, ctx: ctx, task: t, index: index, who: as(v.crew[0]), now: l.at(v.day, t.hour, 0, zone), pace: 1}
	if v.day == 0 {
		p.now, p.pace = l.calendar.pace(t.takes, zone)
	}
	for _, there := range view.Tasks {
		if there.PointID == domain.PointID(idOf[domain.PointKind](pointRow, t.point)) {
			p.sheet = there.ID
			return p, nil
		}
	}
	return nil, fmt.Errorf("no task for %s", points[t.point].texts.Tag)
}
