// Package capture keeps the work sheet of a task as it is filled in at the pipe: survey
// values, mountings, checks, run plans, runs with their readings, control notes,
// adjustments and notes, one command for each fact. Rows are added, never changed; a
// correction is a row that names the old one and says why. It reads a whole task back for
// the page and for evaluation, says what the survey means for mounting and set-up check,
// and keeps evaluations.
//
// What was observed is always accepted: nothing here is refused because kit is out of
// calibration or a step is missing. Refused is only what cannot be read, and who is not a
// technician of the visit's crew. Not here: planning of visits, the register, and approval.
package capture

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/store"
)

// Config is what the service needs.
type Config struct {
	Store   *store.Store
	IDs     domain.IDs // makes the ids of rows that a command makes several of, and of evaluations
	Version string     // of the program, kept with each evaluation
}

// Service keeps work sheets.
type Service struct {
	store   *store.Store
	ids     domain.IDs
	version string
}

// New makes the service.
func New(c Config) *Service {
	if c.Version == "" {
		c.Version = "unversioned"
	}
	return &Service{store: c.Store, ids: c.IDs, version: c.Version}
}

// Written is the outcome of a command: which row was written, and its number where it has one.
type Written struct {
	ID     string `json:"id"`
	Number int    `json:"number,omitempty"`
}

// At is what every capture names: the operation, the task, and when the device says it
// was. Without that time (a browser without scripts) the server's holds.
type At struct {
	Operation  domain.OperationID `json:"operation" form:"operation"`
	TaskID     domain.TaskID      `json:"task_id" form:"task_id"`
	CapturedAt time.Time          `json:"captured_at" form:"captured_at"`
}

// taskRow is the task that a capture belongs to, locked.
type taskRow struct {
	ID       domain.TaskID   `db:"id"`
	ClientID domain.ClientID `db:"client_id"`
	VisitID  domain.VisitID  `db:"visit_id"`
	PointID  domain.PointID  `db:"point_id"`
	From     time.Time       `db:"from_time"` // of the visit
	Crew     bool            `db:"crew"`
}

// record is the frame of every capture: who may, the one transaction, the task locked so
// that numbers are given once, and what the event concerns.
func record(ctx context.Context, s *Service, a access.Actor, action string, at At, request any,
	do func(context.Context, *pen) (Written, error)) (Written, error) {
	return recordWith(ctx, s, a, action, at, request, lockTask, do)
}

// taskFinder reads the task of a capture, and looks whether the person is of its crew.
type taskFinder func(context.Context, *store.Tx, domain.TaskID, domain.PersonID) (taskRow, error)

func recordWith(ctx context.Context, s *Service, a access.Actor, action string, at At, request any, find taskFinder,
	do func(context.Context, *pen) (Written, error)) (Written, error) {
	if err := access.May(a, access.FillSheet); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: action, Operation: at.Operation, Request: request}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		task, err := find(ctx, tx, at.TaskID, a.Person)
		if err != nil {
			return Written{}, err
		}
		tx.Concerns(audit.Kind("task"), task.ID)
		tx.Concerns(audit.Kind("visit"), task.VisitID)
		tx.Concerns(audit.Point, task.PointID)
		return do(ctx, &pen{Tx: tx, task: task, by: a.Person, captured: at.when(tx.Now, task.From)})
	})
}

// How far a device's clock is believed: it may be ahead of the database's a little, and
// crews are now and then on site before the visit's booked day.
const (
	clockAhead  = 10 * time.Minute
	beforeVisit = 7 * 24 * time.Hour
)

// when is the device's time, to the microsecond the database keeps. Where the device has no
// time, or one that cannot be (ahead of the database's, or long before the visit), the
// database's holds: certificates are dated by it.
func (at At) when(now, visit time.Time) time.Time {
	if at.CapturedAt.IsZero() || at.CapturedAt.After(now.Add(clockAhead)) || at.CapturedAt.Before(visit.Add(-beforeVisit)) {
		return now
	}
	return at.CapturedAt.UTC().Truncate(time.Microsecond)
}

const taskOfCrew = `
	SELECT t.id, t.client_id, t.visit_id, t.point_id, lower(v.during) AS from_time,
	       EXISTS (SELECT FROM booking b WHERE b.visit_id = t.visit_id AND b.person_id = $2 AND NOT b.released) AS crew
	FROM task t JOIN visit v ON v.id = t.visit_id WHERE t.id = $1`

func lockTask(ctx context.Context, tx *store.Tx, id domain.TaskID, person domain.PersonID) (taskRow, error) {
	return taskBy(ctx, tx, taskOfCrew+" FOR NO KEY UPDATE OF t", id, person)
}

// findTask is for rows that need no number: it locks nothing.
func findTask(ctx context.Context, tx *store.Tx, id domain.TaskID, person domain.PersonID) (taskRow, error) {
	return taskBy(ctx, tx, taskOfCrew, id, person)
}

func taskBy(ctx context.Context, tx *store.Tx, query string, id domain.TaskID, person domain.PersonID) (taskRow, error) {
	t, err := store.Row[taskRow](ctx, tx, "task", query, id, person)
	if err == nil && !t.Crew {
		return t, domain.Refuse(domain.Forbidden, NotOfCrew.At(""))
	}
	return t, err
}

// Frame returns what every capture names, whichever command it is.
func (at *At) Frame() *At { return at }
