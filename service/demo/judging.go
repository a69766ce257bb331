package demo

import (
	"context"
	"fmt"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/certificate"
	"rillmark/service/issuing"
)

// judgement is a document that was issued for a task: by the approver, on the day of the
// database unless it was before.
type judgement struct {
	visit, point int
	day          int // from the founding, of a document of an earlier year; 0: today
	remark       string
	opinions     string
	instead      int // 1 + the place of the document in whose stead it is; 0: none
	reason       string
	changes      string
	withdrawn    string // why it was taken back; empty: it was not
}

// judgements: one of last year, one for information, one that another stands instead of,
// one that was withdrawn, and those of hot water, coolant and sea water. What was measured last waits for judgement.
var judgements = []judgement{
	{visit: 0, point: networkWater, day: -373, remark: "Set-up check and zero looked at; nothing set aside."},
	{visit: 1, point: blockEast, remark: "For information only: the wall gauge was out of calibration on the day."},
	{visit: 2, point: townWater},
	{visit: 2, point: iceWater, withdrawn: "The client found that the bypass stood open during the day; it will be measured again."},
	{visit: 2, point: townWater, instead: 3, reason: "An opinion on the next adjustment was asked for and had been left out.",
		changes: "Opinion added", opinions: "A thermometer pocket beside the reference position would lower the uncertainty of the next verification."},
	{visit: 11, point: heatFlow, remark: "Pipe by its standard; gauging the wall in summer would halve the uncertainty."},
	{visit: 12, point: coldStore, remark: "The smallest flow lies in the transition: for information."},
	{visit: 13, point: seaIntake},
}

// judgements writes them in their order, which their numbers follow.
func (l *load) judgements(ctx context.Context) error {
	for i := range judgements {
		if err := l.judge(ctx, i); err != nil {
			return fmt.Errorf("document %d: %w", i+1, err)
		}
	}
	return nil
}

func (l *load) judge(ctx context.Context, i int) error {
	j := judgements[i]
	service := l.Issuing
	if j.day != 0 {
		service = service.Dated(l.at(j.day, 15, 30, time.UTC))
	}
	evaluation, input, err := l.evaluated(ctx, j)
	if err != nil {
		return err
	}
	if j.instead == 0 {
		if _, err := service.Approve(ctx, as(bram), issuing.Approve{Operation: operation(approvalWrite, i), ID: idOf[domain.ApprovalKind](approvalRow, i),
			EvaluationID: evaluation, Input: input, Remark: j.remark}); err != nil {
			return err
		}
	}
	if err := issue(ctx, service, i, evaluation); err != nil || j.withdrawn == "" {
		return err
	}
	_, err = service.Withdraw(ctx, as(bram), issuing.Withdraw{Operation: operation(withdrawalWrite, i), ID: idOf[domain.CertificateKind](certificateRow, i), Reason: j.withdrawn})
	return err
}

// evaluated is the last evaluation of the task.
func (l *load) evaluated(ctx context.Context, j judgement) (id domain.EvaluationID, input string, err error) {
	view, err := l.Planning.Visit(ctx, actor, idOf[domain.VisitKind](visitRow, j.visit))
	if err != nil {
		return id, "", err
	}
	for _, t := range view.Tasks {
		if t.PointID != domain.PointID(idOf[domain.PointKind](pointRow, j.point)) {
			continue
		}
		w, err := l.Capture.Sheet(ctx, as(bram), t.ID)
		if err != nil {
			return id, "", err
		}
		return w.Evaluations[0].ID, w.Evaluations[0].Input, nil
	}
	return id, "", fmt.Errorf("no task for %s", points[j.point].texts.Tag)
}

// issue prepares and issues the document. A start that was killed in between, and comes
// again when the token has expired, prepares it once more.
func issue(ctx context.Context, service *issuing.Service, i int, evaluation domain.EvaluationID) error {
	j := judgements[i]
	for n := i * perThing; ; n++ {
		// The token is no secret here: it is known to whoever reads this, and used up at once.
		p := issuing.Prepare{Operation: operation(preparationWrite, n), ID: idOf[domain.PreparationKind](preparationRow, n), EvaluationID: evaluation,
			Token: "for the invented company " + operation(preparationWrite, n).String(), Opinions: j.opinions}
		if j.instead > 0 {
			p.Kind, p.Amends, p.Reason, p.Changes = string(certificate.Reissue), idOf[domain.CertificateKind](certificateRow, j.instead-1), j.reason, j.changes
		}
		if _, err := service.Prepare(ctx, as(bram), p); err != nil {
			return err
		}
		_, err := service.Issue(ctx, as(bram), issuing.Issue{Operation: operation(certificateWrite, n), ID: idOf[domain.CertificateKind](certificateRow, i),
			PreparationID: p.ID, Token: p.Token})
		if !fault.Has(err, issuing.TokenExpired) {
			return err
		}
	}
}
