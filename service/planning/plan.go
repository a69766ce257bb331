package planning

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/visit"
	"rillmark/service/store"
)

// PlanVisit is the command to plan a visit with its crew, its kit and a task for each
// measuring point. Times are those of the site.
type PlanVisit struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.VisitID     `json:"id" form:"id"`
	SiteID    domain.SiteID      `json:"site_id" form:"site_id"`
	visit.Texts
	People []domain.PersonID `json:"people" form:"people"`
	Kit    []domain.KitID    `json:"kit" form:"kit"`
	Points []domain.PointID  `json:"points" form:"points"`
}

// ChangeVisit is the command to move a visit or to change who and what goes.
type ChangeVisit struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.VisitID     `json:"id" form:"id"`
	Version   int64              `json:"version" form:"version"`
	visit.Texts
	People []domain.PersonID `json:"people" form:"people"`
	Kit    []domain.KitID    `json:"kit" form:"kit"`
}

// PlanVisit plans a visit.
func (s *Service) PlanVisit(ctx context.Context, a access.Actor, c PlanVisit) (Written, error) {
	if err := access.May(a, access.ChangePlan); err != nil {
		return Written{}, err
	}
	site, zone, err := s.placeOf(ctx, s.store, c.SiteID)
	if err != nil {
		return Written{}, domain.Wrap("visit.plan", err)
	}
	v, problems := visit.Visit{ID: c.ID, ClientID: site.ClientID, SiteID: c.SiteID, Version: 1}.Read(c.Texts, zone)
	group := newParty(c.People, c.Kit)
	var check domain.Check
	if !v.ID.Valid() {
		check.Add(domain.NotAnID.At("id"))
	}
	check.Merge(problems)
	group.check(&check)
	switch {
	case len(c.Points) == 0:
		check.Add(NoPoint.At("points"))
	case len(c.Points) > mostAtOnce:
		check.Add(TooMany.At("points", mostAtOnce))
	}
	if err := check.Err(); err != nil {
		return Written{}, domain.Wrap("visit.plan", err)
	}
	command := store.Command{Actor: a, Action: "visit.plan", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := group.lock(ctx, tx); err != nil {
			return Written{}, err
		}
		if err := group.clashes(ctx, tx, v); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, `INSERT INTO visit (id, client_id, site_id, during, note, version, created_at, changed_at)
			VALUES ($1, $2, $3, tstzrange($4, $5), $6, $7, $8, $8)`, v.ID, v.ClientID, v.SiteID, v.From, v.Until, v.Note, v.Version, tx.Now); err != nil {
			return Written{}, err
		}
		if err := s.book(ctx, tx, v, group); err != nil {
			return Written{}, err
		}
		for _, p := range c.Points {
			if err := s.addTask(ctx, tx, v, p); err != nil {
				return Written{}, err
			}
		}
		tx.Changed(audit.Visit, v.ID, v.Version, nil, group.told())
		return written(tx, nil, v), nil
	})
}

// ChangeVisit moves a visit or changes its party; bookings follow in the same
// transaction. What has ended stays as it was.
func (s *Service) ChangeVisit(ctx context.Context, a access.Actor, c ChangeVisit) (Written, error) {
	if err := access.May(a, access.ChangePlan); err != nil {
		return Written{}, err
	}
	known, err := findVisit(ctx, s.store, c.ID, "")
	if err != nil {
		return Written{}, domain.Wrap("visit.change", err)
	}
	_, zone, err := s.placeOf(ctx, s.store, known.SiteID)
	if err != nil {
		return Written{}, domain.Wrap("visit.change", err)
	}
	read, problems := visit.Visit{}.Read(c.Texts, zone)
	group := newParty(c.People, c.Kit)
	var check domain.Check
	check.Merge(problems)
	group.check(&check)
	if err := check.Err(); err != nil {
		return Written{}, domain.Wrap("visit.change", err)
	}
	command := store.Command{Actor: a, Action: "visit.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findVisit(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("visit", before)
		}
		if state, err := stateOf(ctx, tx, c.ID); err != nil {
			return Written{}, err
		} else if state.Ended() {
			return Written{}, domain.Refuse(domain.Invalid, visit.Over.At("", string(state)))
		}
		after := before
		after.From, after.Until, after.Note, after.Version, after.ChangedAt = read.From, read.Until, read.Note, before.Version+1, tx.Now
		return s.saveVisit(ctx, tx, before, after, group)
	})
}

func (s *Service) saveVisit(ctx context.Context, tx *store.Tx, before, after visit.Visit, group party) (Written, error) {
	if err := group.lock(ctx, tx); err != nil {
		return Written{}, err
	}
	if err := group.clashes(ctx, tx, after); err != nil {
		return Written{}, err
	}
	was, err := partyOf(ctx, tx, before.ID)
	if err != nil {
		return Written{}, err
	}
	// First those who no longer come: moved along with the visit they could clash.
	if err := s.book(ctx, tx, before, group); err != nil {
		return Written{}, err
	}
	if err := tx.Run(ctx, `UPDATE visit SET during = tstzrange($2, $3), note = $4, version = $5, changed_at = $6 WHERE id = $1`,
		after.ID, after.From, after.Until, after.Note, after.Version, tx.Now); err != nil {
		return Written{}, err
	}
	tellParty(tx, after, was, group)
	return written(tx, before, after), nil
}

// TakeStep is the command to note that something happened to a visit.
type TakeStep struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.VisitID     `json:"id" form:"id"`
	Step      visit.Step         `json:"step" form:"step"`
	Reason    string             `json:"reason" form:"reason"`
}

// TakeStep notes that a visit was confirmed, that the crew arrived or left, that it is
// sent back, closed or cancelled. Cancelling releases everyone and everything.
func (s *Service) TakeStep(ctx context.Context, a access.Actor, c TakeStep) (Written, error) {
	if err := access.May(a, c.Step.Act()); err != nil {
		return Written{}, err
	}
	reason := domain.Lines(c.Reason)
	command := store.Command{Actor: a, Action: "visit.step", Operation: c.Operation, Request: c, Reason: reason}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		v, err := findVisit(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		state, err := stateOf(ctx, tx, c.ID)
		if err != nil {
			return Written{}, err
		}
		open, err := openTasks(ctx, tx, c.ID)
		if err != nil {
			return Written{}, err
		}
		if err := c.Step.Check(state, reason, open); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, "INSERT INTO visit_step (id, client_id, visit_id, step, reason, by, at) VALUES ($1, $2, $3, $4, $5, $6, $7)",
			domain.NewID[domain.VisitStepKind](s.ids), v.ClientID, v.ID, string(c.Step), reason, a.Name(), tx.Now); err != nil {
			return Written{}, err
		}
		if c.Step == visit.Cancel {
			was, err := partyOf(ctx, tx, v.ID)
			if err != nil {
				return Written{}, err
			}
			tellParty(tx, v, was, party{})
			if err := tx.Run(ctx, "UPDATE booking SET released = true WHERE visit_id = $1 AND NOT released", v.ID); err != nil {
				return Written{}, err
			}
		}
		tx.Changed(audit.Visit, v.ID, v.Version, stepped{string(state)}, stepped{string(visit.StateAfter(c.Step))})
		tx.Concerns(audit.Site, v.SiteID)
		tx.Concerns(audit.Client, v.ClientID)
		return Written{v.ID.String(), v.Version}, nil
	})
}

// stepped is what the trail tells of a step.
type stepped struct {
	State string `db:"state" audit:"text"`
}

// openTasks counts the tasks on which nobody has said the last word.
func openTasks(ctx context.Context, q store.Querier, id domain.VisitID) (int, error) {
	n, err := store.Scalars[int](ctx, q, "SELECT count(*)::int FROM task t WHERE t.visit_id = $1 AND "+store.TaskOpen, id)
	if err != nil {
		return 0, err
	}
	return n[0], nil
}
