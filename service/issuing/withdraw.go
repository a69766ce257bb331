package issuing

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/certificate"
	"rillmark/service/store"
)

// Withdraw is the command to take a certificate back. The reason is public.
type Withdraw struct {
	Operation domain.OperationID   `json:"operation" form:"operation"`
	ID        domain.CertificateID `json:"id" form:"id"`
	Reason    string               `json:"reason" form:"reason"`
}

type toldWithdrawal struct {
	State  string `db:"state" audit:"text"`
	Reason string `db:"reason" audit:"text"`
}

// Withdraw takes an issued certificate back, for ever.
func (s *Service) Withdraw(ctx context.Context, a access.Actor, c Withdraw) (Written, error) {
	const op = "certificate.withdraw"
	if err := access.May(a, access.Issue); err != nil {
		return Written{}, err
	}
	var check domain.Check
	reason := domain.Lines(c.Reason)
	check.Lines("reason", reason, 1000, true)
	if err := check.Err(); err != nil {
		return Written{}, domain.Wrap(op, err)
	}
	command := store.Command{Actor: a, Action: op, Operation: c.Operation, Request: c, Reason: reason}
	if done, found, err := store.Outcome[Written](ctx, s.Store, command); err != nil || found {
		return done, err
	}
	there, err := s.one(ctx, c.ID)
	if err != nil {
		return Written{}, domain.Wrap(op, err)
	}
	record := certificate.Record{State: there.State, Number: there.Number()}
	if err := record.Withdraw(reason); err != nil {
		return Written{}, domain.Wrap(op, err)
	}
	return store.Write(ctx, s.Store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := lockTask(ctx, tx, there.TaskID); err != nil {
			return Written{}, err
		}
		tx.Concerns(audit.Task, there.TaskID)
		tx.Concerns(audit.Point, there.PointID)
		tx.Concerns(audit.Client, there.ClientID)
		tx.Changed(audit.Certificate, c.ID, 2, toldWithdrawal{string(certificate.Issued), ""}, toldWithdrawal{string(certificate.Withdrawn), reason})
		return Written{c.ID.String()}, tx.Run(ctx, `INSERT INTO certificate_withdrawal (certificate_id, client_id, task_id, reason, withdrawn_by, at)
			VALUES ($1, $2, $3, $4, $5, $6)`, c.ID, there.ClientID, there.TaskID, reason, a.Person, tx.Now)
	})
}
