package demo

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/visit"
	"rillmark/service/planning"
)

// journey is a visit, so many days from the founding. Today's has its hours from the
// moment of the founding.
type journey struct {
	site, day   int
	from, until string // site time
	note        string
	crew        []int
	set         int
	points      []int
	steps       []step
}

// step is something that happened to a visit. The sheets are filled in once the crew has
// arrived.
type step struct {
	by     int
	step   visit.Step
	reason string
}

// visits: one in each state that a visit can have, and more. The last one written is the
// one by which a whole demo is told.
var visits = []journey{
	{site: 0, day: -380, from: "08:00", until: "15:00", crew: []int{mirela}, set: 0, points: []int{networkWater},
		steps: []step{{tomas, visit.Confirm, ""}, {mirela, visit.Arrive, ""}, {mirela, visit.Leave, ""}, {tomas, visit.Close, ""}}},
	{site: 4, day: -12, from: "09:00", until: "16:00", crew: []int{ines}, set: 1, points: []int{blockEast},
		note:  "Day run agreed with Anselm Okeridge; he puts the pump in manual.",
		steps: []step{{tomas, visit.Confirm, ""}, {ines, visit.Arrive, ""}, {ines, visit.Leave, ""}, {tomas, visit.Close, "for information: the wall gauge was out of calibration"}}},
	{site: 1, day: -9, from: "07:30", until: "16:30", crew: []int{ines}, set: 0, points: []int{townWater, iceWater},
		note:  "Between production and cleaning: readings 09:00 to 15:00.",
		steps: []step{{tomas, visit.Confirm, ""}, {ines, visit.Arrive, ""}, {ines, visit.Leave, ""}, {tomas, visit.Close, ""}}},
	{site: 2, day: -2, from: "07:00", until: "18:00", crew: []int{mirela}, set: 0, points: []int{freshWater, showerWater},
		steps: []step{{tomas, visit.Confirm, ""}, {mirela, visit.Arrive, ""}, {mirela, visit.Leave, ""},
			{bram, visit.SendBack, "FI-301: say in a note how the operator held the flow during the second flow point."}, {mirela, visit.Leave, ""}}},
	{site: 5, day: -3, from: "09:00", until: "15:00", crew: []int{ines}, set: 1, points: []int{fireTest, fireMakeUp},
		steps: []step{{tomas, visit.Confirm, ""}, {tomas, visit.Cancel, "the fire officer did not release the test line; a new day will be agreed"}}},
	{site: 0, day: 0, crew: []int{mirela}, set: 0, points: []int{networkWater, backwash},
		note:  "Network water first: the shift engineer holds the flow until noon.",
		steps: []step{{tomas, visit.Confirm, ""}, {mirela, visit.Arrive, ""}}},
	{site: 3, day: 1, from: "08:00", until: "17:00", crew: []int{ines}, set: 1, points: []int{condenserSupply, condenserReturn, chilledWater},
		steps: []step{{tomas, visit.Confirm, ""}}},
	{site: 2, day: 8, from: "08:00", until: "14:00", crew: []int{mirela}, set: 0, points: []int{sealingWater}},
	{site: 1, day: -6, from: "08:00", until: "13:00", crew: []int{mirela}, set: 0, points: []int{rinseWater},
		note:  "Both loggers along: the flow can only be held for a quarter of an hour at a time.",
		steps: []step{{tomas, visit.Confirm, ""}, {mirela, visit.Arrive, ""}, {mirela, visit.Leave, ""}}},
	{site: 2, day: -16, from: "08:00", until: "13:00", crew: []int{ines}, set: 0, points: []int{boilerMakeUp},
		note:  "The make-up pump cycles; read both loggers against the hall clock.",
		steps: []step{{tomas, visit.Confirm, ""}, {ines, visit.Arrive, ""}, {ines, visit.Leave, ""}}},
	{site: 5, day: 15, from: "09:00", until: "15:00", crew: []int{mirela, ines}, set: 0, points: []int{fireTest, fireMakeUp},
		note: "The first reference's calibration ends before this day: send it in, or move the visit."},
	{site: 6, day: -24, from: "08:00", until: "14:00", crew: []int{mirela}, set: 0, points: []int{heatFlow},
		note:  "The site takes the lagging off the evening before; couplant for hot pipes.",
		steps: []step{{tomas, visit.Confirm, ""}, {mirela, visit.Arrive, ""}, {mirela, visit.Leave, ""}, {tomas, visit.Close, ""}}},
	{site: 7, day: -20, from: "08:00", until: "15:00", crew: []int{mirela}, set: 0, points: []int{coldStore},
		steps: []step{{tomas, visit.Confirm, ""}, {mirela, visit.Arrive, ""}, {mirela, visit.Leave, ""}, {tomas, visit.Close, ""}}},
	{site: 8, day: -27, from: "07:00", until: "13:00", crew: []int{ines}, set: 1, points: []int{seaIntake},
		note:  "High water at 10:20.",
		steps: []step{{tomas, visit.Confirm, ""}, {ines, visit.Arrive, ""}, {ines, visit.Leave, ""}, {tomas, visit.Close, ""}}},
	{site: 9, day: -18, from: "09:00", until: "16:00", crew: []int{mirela, ines}, set: 0, points: []int{crudeLine},
		note:  "Between two ships. Permit and gas test by the terminal.",
		steps: []step{{tomas, visit.Confirm, ""}, {mirela, visit.Arrive, ""}, {mirela, visit.Leave, ""}}},
}

func (l *load) visit(ctx context.Context, i int) error {
	v := visits[i]
	zone, err := zoneOf(v.site)
	if err != nil {
		return err
	}
	if v.day == 0 {
		v.from, v.until = l.hours(zone)
	}
	id := idOf[domain.VisitKind](visitRow, i)
	_, err = l.Planning.PlanVisit(ctx, as(tomas), planning.PlanVisit{Operation: operation(visitWrite, i), ID: id,
		SiteID: idOf[domain.SiteKind](siteRow, v.site), Texts: visit.Texts{From: l.clock(v.day, v.from, zone), Until: l.clock(v.day, v.until, zone), Note: v.note},
		People: personIDs(v.crew), Kit: kitIDs(sets[v.set].items), Points: pointIDs(v.points)})
	if err != nil {
		return err
	}
	for j, s := range v.steps {
		_, err := l.Planning.TakeStep(ctx, as(s.by), planning.TakeStep{Operation: operation(stepWrite, i*perThing+j), ID: id, Step: s.step, Reason: s.reason})
		if err != nil {
			return err
		}
		if err := l.filledAt(ctx, i, s.step); err != nil {
			return err
		}
	}
	return nil
}

// filledAt writes what the crew fills in after a step.
func (l *load) filledAt(ctx context.Context, i int, s visit.Step) error {
	switch s {
	case visit.Arrive:
		return l.sheets(ctx, i)
	case visit.SendBack:
		return l.lateNotes(ctx, i)
	}
	return nil
}
