// Package issuingtest prepares a database for tests of what was issued: the task of
// service/capture/capturetest, filled in and evaluated, with an approver beside the
// technician; and issues certificates by the commands that the pages send. Production code
// cannot import it.
package issuingtest

import (
	"context"
	"crypto/rand"
	"testing"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/domain/method"
	"rillmark/service/capture"
	"rillmark/service/capture/capturetest"
	"rillmark/service/document"
	"rillmark/service/issuing"
	"rillmark/service/sentence"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
	"rillmark/templates"
)

// Version is what the documents name as the program's.
const Version = "test"

// Company is who issues.
var Company = certificate.Party{Name: "Saltmarsh Metering Services", Address: []string{"Tide Mill Lane 9", "Saltmarsh"}}

// Desk is an approver at work on one evaluated task. It needs no test, so that a process
// of its own can hold one.
type Desk struct {
	Issuing    *issuing.Service
	Capture    *capture.Service
	Approver   access.Actor
	Evaluation domain.EvaluationID
}

// Office is a desk in a prepared database.
type Office struct {
	*capturetest.Place
	Desk
	DB storetest.DB
	t  testing.TB
}

// ID makes an id.
func ID[K any]() domain.ID[K] {
	return domain.NewID[K](func() uuid.UUID { return uuid.Must(uuid.NewV7()) })
}

// Services are those over a pool.
func Services(s *store.Store) (*issuing.Service, *capture.Service, error) {
	book, err := sentence.Open(templates.Files, "en")
	if err != nil {
		return nil, nil, err
	}
	ids := func() uuid.UUID { return uuid.Must(uuid.NewV7()) }
	sheets := capture.New(capture.Config{Store: s, IDs: ids, Version: Version})
	return issuing.New(issuing.Config{Store: s, Portal: s, Random: rand.Reader, Company: Company,
		Program: "Rillmark", Version: Version, PublicURL: "https://rillmark.example/", Layout: document.Latest, Say: book.Fault, Render: document.Render,
		Facts: func(ctx context.Context, a access.Actor, id domain.TaskID) (evaluation.Facts, error) {
			w, err := sheets.Sheet(ctx, a, id)
			if err != nil {
				return evaluation.Facts{}, err
			}
			return w.Facts, nil
		}}), sheets, nil
}

// Open prepares the database; root leads to the module's folder.
func Open(t testing.TB, db storetest.DB, root string) *Office {
	t.Helper()
	o := &Office{Place: capturetest.Prepare(t, db, root, domain.PersonID{}), DB: db, t: t}
	o.SQL("UPDATE client SET address = E'Quay Road 3\nBrackmere'")
	var err error
	if o.Issuing, o.Capture, err = Services(db.Open(t, store.App)); err != nil {
		t.Fatal(err)
	}
	o.FillIn(o.Capture)
	person := capturetest.Person(t, db, "approver", access.Approver)
	o.SQL(`INSERT INTO authorisation (id, person_id, method_id, act, during, ground, version, created_at, changed_at)
		VALUES ($1, $2, $3, $4, tstzrange('2020-01-01', NULL), 'appointed', 1, now(), now())`,
		ID[domain.AuthorisationKind](), person, o.Example.Method.ID, method.Authorise)
	o.Approver = access.Actor{Person: person, Roles: []access.Role{access.Approver}}
	o.Evaluate()
	return o
}

// Evaluate keeps the evaluation of the sheet as it stands.
func (o *Office) Evaluate() {
	o.t.Helper()
	w, err := o.Capture.Evaluate(o.t.Context(), o.Technician, capture.Evaluate{At: capture.At{Operation: ID[domain.OperationKind](), TaskID: o.Task}, ID: ID[domain.EvaluationKind]()})
	if err == nil {
		o.Evaluation, err = domain.ParseID[domain.EvaluationKind](w.ID)
	}
	if err != nil {
		o.t.Fatal(err)
	}
}

// Certified approves the evaluation and issues the first certificate.
func (o *Office) Certified() domain.CertificateID {
	o.t.Helper()
	ctx := o.t.Context()
	j, err := o.Issuing.Evaluation(ctx, o.Approver, o.Evaluation)
	if err == nil {
		_, err = o.Issuing.Approve(ctx, o.Approver, issuing.Approve{Operation: ID[domain.OperationKind](), ID: ID[domain.ApprovalKind](), EvaluationID: o.Evaluation, Input: j.Input})
	}
	if err != nil {
		o.t.Fatal(err)
	}
	return o.Issued("", domain.CertificateID{})
}

// Issued prepares and issues a document of the kind.
func (o *Office) Issued(kind certificate.Kind, amends domain.CertificateID) domain.CertificateID {
	o.t.Helper()
	c, err := o.Ready(o.t.Context(), kind, amends)
	if err == nil {
		_, err = o.Issuing.Issue(o.t.Context(), o.Approver, c)
	}
	if err != nil {
		o.t.Fatal(err)
	}
	return c.ID
}

// Ready prepares a document and returns the command that issues it.
func (d *Desk) Ready(ctx context.Context, kind certificate.Kind, amends domain.CertificateID) (issuing.Issue, error) {
	p := issuing.Prepare{Operation: ID[domain.OperationKind](), ID: ID[domain.PreparationKind](), EvaluationID: d.Evaluation, Kind: string(kind), Amends: amends,
		Token: "a token made in a test " + ID[domain.EntryKind]().String()}
	if amends.Valid() {
		p.Reason = "A further picture."
	}
	_, err := d.Issuing.Prepare(ctx, d.Approver, p)
	return issuing.Issue{Operation: ID[domain.OperationKind](), ID: ID[domain.CertificateKind](), PreparationID: p.ID, Token: p.Token}, err
}
