package capture

import (
	"context"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// PlanRuns is the command to fix number and length of the runs of a phase, before the
// first. It cannot be changed: extra runs are added, never substituted.
type PlanRuns struct {
	At
	ID         domain.RunPlanID `json:"id" form:"id"`
	Phase      string           `json:"phase" form:"phase"`
	FlowPoints string           `json:"flow_points" form:"flow_points"`
	Runs       string           `json:"runs" form:"runs"`
	Seconds    string           `json:"seconds" form:"seconds"`
	Interval   string           `json:"interval" form:"interval"`
	Averaging  string           `json:"averaging" form:"averaging"`
}

func (c PlanRuns) read() (sheet.RunPlan, error) {
	var r reader
	plan := sheet.RunPlan{ID: c.ID, Phase: sheet.Phase(c.Phase)}
	if !plan.ID.Valid() {
		r.Add(domain.NotAnID.At("id"))
	}
	plan.FlowPoints, plan.Runs = r.count("flow_points", c.FlowPoints), r.count("runs", c.Runs)
	plan.Seconds, _ = r.quantity("seconds", c.Seconds, quantity.KindTime, "s")
	plan.Interval, _ = r.quantity("interval", c.Interval, quantity.KindTime, "s")
	if averaging, _ := r.maybe("averaging", c.Averaging, quantity.KindTime, "s"); averaging != nil {
		plan.Averaging = *averaging
	}
	if err := r.Err(); err != nil {
		return plan, err
	}
	if plan.Interval > plan.Seconds {
		r.Add(IntervalLong.At("interval"))
		return plan, r.Err()
	}
	checked := plan
	checked.Stamp = standIn
	return plan, renamed(renamed(checked.Validate(), "interval_s", "interval"), "averaging_s", "averaging")
}

// PlanRuns fixes the runs of a phase.
func (s *Service) PlanRuns(ctx context.Context, a access.Actor, c PlanRuns) (Written, error) {
	row, err := c.read()
	if err != nil {
		return Written{}, domain.Wrap("plan.fix", err)
	}
	return record(ctx, s, a, "plan.fix", c.At, c, func(ctx context.Context, p *pen) (Written, error) {
		there, err := p.planned(ctx, row.Phase)
		if err != nil {
			return Written{}, err
		}
		if there > 0 {
			return Written{}, domain.Refuse(domain.Taken, PlanFixed.At("", string(row.Phase)))
		}
		plan := row
		plan.Stamp = p.stamp()
		p.wrote("run_plan", plan.ID, plan)
		return Written{ID: plan.ID.String()}, p.Run(ctx, `INSERT INTO run_plan (id, client_id, task_id, phase, flow_points, runs, seconds,
				interval_s, averaging_s, by, captured_at, received_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
			plan.ID, plan.ClientID, plan.TaskID, plan.Phase, plan.FlowPoints, plan.Runs, plan.Seconds, plan.Interval, plan.Averaging,
			plan.By, plan.CapturedAt, plan.ReceivedAt)
	})
}

// planned returns how many flow points are fixed for the phase; none where nothing is.
func (p *pen) planned(ctx context.Context, phase sheet.Phase) (int, error) {
	found, err := store.Scalars[int](ctx, p, "SELECT flow_points FROM run_plan WHERE task_id = $1 AND phase = $2", p.task.ID, phase)
	if err != nil || len(found) == 0 {
		return 0, err
	}
	return found[0], nil
}
