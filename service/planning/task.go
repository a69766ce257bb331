package planning

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/visit"
	"rillmark/service/store"
)

// AddTask is the command to add a measuring point to a visit.
type AddTask struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	VisitID   domain.VisitID     `json:"visit_id" form:"visit_id"`
	PointID   domain.PointID     `json:"point_id" form:"point_id"`
}

// AddTask adds a task to a visit that has not ended.
func (s *Service) AddTask(ctx context.Context, a access.Actor, c AddTask) (Written, error) {
	if err := access.May(a, access.ChangePlan); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: "task.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		v, err := findVisit(ctx, tx, c.VisitID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if state, err := stateOf(ctx, tx, v.ID); err != nil {
			return Written{}, err
		} else if state.Ended() {
			return Written{}, domain.Refuse(domain.Invalid, visit.Over.At("", string(state)))
		}
		if err := s.addTask(ctx, tx, v, c.PointID); err != nil {
			return Written{}, err
		}
		tx.Concerns(audit.Visit, v.ID)
		return Written{v.ID.String(), v.Version}, nil
	})
}

// taskRow is what the trail tells of a task.
type taskRow struct {
	VisitID      domain.VisitID        `db:"visit_id" audit:"text"`
	PointID      domain.PointID        `db:"point_id" audit:"text"`
	Installation domain.InstallationID `db:"installation_id" audit:"text"`
	Agreement    domain.AgreementID    `db:"agreement_id" audit:"text"`
}

// ground is what a task stands on: the meter that is at the point at the visit's time,
// and the agreement that holds.
type ground struct {
	Tag          string                 `db:"tag"`
	SiteID       domain.SiteID          `db:"site_id"`
	Installation *domain.InstallationID `db:"installation_id"`
	Agreement    *domain.AgreementID    `db:"agreement_id"`
	There        bool                   `db:"there"`
}

func (s *Service) addTask(ctx context.Context, tx *store.Tx, v visit.Visit, point domain.PointID) error {
	g, err := store.Row[ground](ctx, tx, "measuring point", `
		SELECT p.tag, p.site_id, i.id AS installation_id,
		       (SELECT g.id FROM agreement g WHERE g.point_id = p.id ORDER BY g.received_at DESC, g.id DESC LIMIT 1) AS agreement_id,
		       exists(SELECT FROM task t WHERE t.visit_id = $2 AND t.installation_id = i.id) AS there
		FROM measuring_point p
		LEFT JOIN installation i ON i.point_id = p.id AND i.during && tstzrange($3, $4)
		WHERE p.id = $1 ORDER BY lower(i.during) DESC NULLS LAST, i.slot LIMIT 1`, point, v.ID, v.From, v.Until)
	if err != nil {
		return err
	}
	var check domain.Check
	switch {
	case g.SiteID != v.SiteID:
		check.Add(OtherSite.At("points", g.Tag))
	case g.There:
		check.Add(TaskThere.At("points", g.Tag))
	default:
		if g.Installation == nil {
			check.Add(NoMeterThere.At("points", g.Tag))
		}
		if g.Agreement == nil {
			check.Add(NoAgreement.At("points", g.Tag))
		}
	}
	if err := check.Err(); err != nil {
		return err
	}
	id := domain.NewID[domain.TaskKind](s.ids)
	if err := tx.Run(ctx, `INSERT INTO task (id, client_id, visit_id, point_id, installation_id, agreement_id, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`, id, v.ClientID, v.ID, point, *g.Installation, *g.Agreement, tx.Now); err != nil {
		return err
	}
	tx.Changed(audit.Task, id, 1, nil, taskRow{v.ID, point, *g.Installation, *g.Agreement})
	tx.Concerns(audit.Point, point)
	return nil
}
