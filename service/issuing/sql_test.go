package issuing_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/method"
	"rillmark/service/capture/capturetest"
	"rillmark/service/issuing"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// refused runs SQL written by hand under a role and wants the database to refuse it, by
// the rule of that name or, where it names none, for want of the right to do it.
func (o *office) refused(role store.Role, rule, sql string, args ...any) {
	o.t.Helper()
	conn := o.db.Connect(o.t, role)
	defer conn.Close(context.Background())
	tag, err := conn.Exec(o.ctx, sql, args...)
	var pg *pgconn.PgError
	switch {
	case err == nil:
		o.t.Errorf("as %s: %s: done to %d rows", role, sql, tag.RowsAffected())
	case !errors.As(err, &pg):
		o.t.Errorf("as %s: %s: %v", role, sql, err)
	case rule == "" && pg.Code != "42501", rule != "" && pg.ConstraintName != rule:
		o.t.Errorf("as %s: %s: refused by %q (%v), want %q", role, sql, pg.ConstraintName, err, rule)
	}
}

// approving is an approval written by hand: everything as it should be but what changes.
const approving = `INSERT INTO approval (id, client_id, task_id, evaluation_id, input, evaluated_by, approved_by, remark, at)
	SELECT gen_random_uuid(), %client, task_id, id, %input, %evaluated, $1, '', %at FROM evaluation WHERE id = $2`

func approvalBySQL(changes ...string) string {
	usual := []string{"%client", "client_id", "%input", "input", "%evaluated", "evaluated_by", "%at", "now()"}
	return strings.NewReplacer(append(changes, usual...)...).Replace(approving)
}

func TestTheDatabaseRefusesApprovals(t *testing.T) {
	o := open(t)
	approver := o.approver.Person
	o.refused(store.App, "approval_four_eyes", approvalBySQL(), o.Technician.Person, o.evaluation)
	o.refused(store.App, "approval_evaluation_fk", approvalBySQL("%evaluated", "gen_random_uuid()"), approver, o.evaluation)
	o.refused(store.App, "approval_evaluation_fk", approvalBySQL("%input", "pg_catalog.sha256('another'::bytea)"), approver, o.evaluation)
	o.refused(store.App, "approval_evaluation_fk", approvalBySQL("%client", "gen_random_uuid()"), approver, o.evaluation)
	o.refused(store.App, "stated_now", approvalBySQL("%at", "now() - interval '1 hour'"), approver, o.evaluation)
	o.refused(store.App, "stated_now", approvalBySQL("%at", "clock_timestamp() + interval '1 minute'"), approver, o.evaluation)
	stranger := capturetest.Person(t, o.db, "stranger", access.Approver)
	o.refused(store.App, "approval_authorised", approvalBySQL(), stranger, o.evaluation)
	o.authorise(stranger, method.Review)
	o.refused(store.App, "approval_authorised", approvalBySQL(), stranger, o.evaluation)
	helper := capturetest.Person(t, o.db, "helper", access.Technician)
	o.authorise(helper, method.Authorise)
	o.SQL("INSERT INTO evaluation_contributor SELECT id, client_id, $2 FROM evaluation WHERE id = $1", o.evaluation, helper)
	o.refused(store.App, "approval_four_eyes", approvalBySQL(), helper, o.evaluation)
	for _, role := range []store.Role{store.Portal, store.Reader} {
		o.refused(role, "", approvalBySQL(), approver, o.evaluation)
	}
	o.refused(store.App, "", "DELETE FROM evaluation_contributor")
	o.refused(store.App, "", "UPDATE evaluation SET evaluated_by = $1", approver)

	o.lateReading()
	o.refused(store.App, "approval_of_all_facts", approvalBySQL(), approver, o.evaluation)
	o.evaluation = o.evaluate()
	o.approve()
	o.refused(store.App, "approval_once", approvalBySQL(), approver, o.evaluation)
	if n := o.Count("SELECT count(*) FROM approval"); n != 1 {
		t.Errorf("%d approvals, want 1", n)
	}
}

// lateReading adds a reading past the program, as another program of the company might.
func (o *office) lateReading() {
	o.t.Helper()
	o.SQL(`INSERT INTO reading (id, client_id, task_id, run_id, number, reference, reference_entered, reason, by, captured_at, received_at)
		SELECT gen_random_uuid(), client_id, task_id, run_id, 1000, reference, reference_entered, '', by, captured_at, now() FROM reading LIMIT 1`)
	o.SQL(`INSERT INTO reading_indication (reading_id, client_id, task_id, indication_id, value, entered)
		SELECT r.id, r.client_id, r.task_id, x.indication_id, x.value, x.entered FROM reading r, (SELECT * FROM reading_indication LIMIT 1) x WHERE r.number = 1000`)
}

// TestApprovalWaitsForACapture holds a capture open between its lock and its COMMIT: the
// approval must wait for it, and then see that it is newer.
func TestApprovalWaitsForACapture(t *testing.T) {
	o := open(t)
	conn := o.db.Connect(t, store.App)
	tx, err := conn.Begin(o.ctx)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(o.ctx, "SELECT FROM task WHERE id = $1 FOR NO KEY UPDATE", o.Task); err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(o.ctx, `INSERT INTO task_note (id, client_id, task_id, kind, text, by, captured_at, received_at)
		VALUES (gen_random_uuid(), $1, $2, 'deviation', 'late', $3, now(), now())`, o.Client, o.Task, o.Technician.Person); err != nil {
		t.Fatal(err)
	}
	refused := make(chan error, 1)
	go func() {
		_, err := o.db.Connect(t, store.App).Exec(o.ctx, approvalBySQL(), o.approver.Person, o.evaluation)
		refused <- err
	}()
	select {
	case err := <-refused:
		t.Fatalf("the approval did not wait: %v", err)
	case <-time.After(200 * time.Millisecond):
	}
	if err := tx.Commit(o.ctx); err != nil {
		t.Fatal(err)
	}
	var pg *pgconn.PgError
	if err := <-refused; !errors.As(err, &pg) || pg.ConstraintName != "approval_of_all_facts" {
		t.Errorf("the approval came to %v", err)
	}
}

// certifying is a certificate written by hand from one that is there.
const certifying = `INSERT INTO certificate (id, client_id, task_id, point_id, evaluation_id, approval_id, preparation_id, kind, amends, year, serial, zone,
		snapshot, document, content, check_hash, public_shows, client_name, point_name, meter_name, verdict, issued_by, issued_at)
	SELECT gen_random_uuid(), %client, c.task_id, c.point_id, c.evaluation_id, c.approval_id, p.id, p.kind, p.amends, %year, %serial, c.zone,
		c.snapshot, c.document, %content, pg_catalog.sha256(p.check_code::bytea), c.public_shows, '', '', '', '', c.issued_by, %at
	FROM certificate c, preparation p WHERE c.serial = 1 AND p.id = $1`

func certificateBySQL(changes ...string) string {
	usual := []string{"%client", "c.client_id", "%year", "c.year", "%serial", "2", "%content", "p.content", "%at", "now()"}
	return strings.NewReplacer(append(changes, usual...)...).Replace(certifying)
}

func TestTheDatabaseRefusesCertificates(t *testing.T) {
	o := open(t)
	o.approve()
	first := o.prepare(o.preparation())
	o.issue(first)
	p := o.preparation()
	p.Kind, p.Amends, p.Reason = "amendment", first.ID, "A further picture."
	next := o.prepare(p).PreparationID
	o.refused(store.App, "certificate_number_next", certificateBySQL("%serial", "3"), next)
	o.refused(store.App, "certificate_number_next", certificateBySQL("%serial", "1"), next)
	o.refused(store.App, "certificate_year", certificateBySQL("%year", "c.year - 1", "%serial", "1"), next)
	o.refused(store.App, "stated_now", certificateBySQL("%at", "c.issued_at - interval '1 hour'"), next)
	o.refused(store.App, "certificate_token_once", certificateBySQL(), first.PreparationID)
	o.refused(store.App, "certificate_preparation_fk", certificateBySQL("%client", "gen_random_uuid()"), next)
	o.refused(store.App, "certificate_preparation_fk", certificateBySQL("%content", "pg_catalog.sha256('another'::bytea)"), next)
	o.refused(store.App, "", "UPDATE numbering SET last = last + 1")
	o.refused(store.App, "", "INSERT INTO numbering (year, last) VALUES (2001, 1)")
	o.refused(store.App, "", "DELETE FROM numbering")
	o.refused(store.Portal, "", certificateBySQL(), next)
	o.refused(store.Reader, "", certificateBySQL(), next)
	o.lateNote()
	o.refused(store.App, "approval_of_all_facts", certificateBySQL(), next)
	if n := o.Count("SELECT last FROM numbering"); n != 1 {
		t.Errorf("the numbering stands at %d after refusals, want 1", n)
	}
}

// Nobody changes what was stated: not the application, which has no right to, and not the
// tables' owner, whom the triggers stop.
func TestTheDatabaseKeepsWhatWasStated(t *testing.T) {
	o := open(t)
	o.approve()
	first := o.prepare(o.preparation())
	o.issue(first)
	if _, err := o.Withdraw(o.ctx, o.approver, withdrawal(first.ID)); err != nil {
		t.Fatal(err)
	}
	for table, column := range map[string]string{"approval": "remark", "preparation": "check_code", "certificate": "verdict", "certificate_withdrawal": "reason"} {
		for _, role := range []store.Role{store.App, store.Owner, ""} {
			if role != store.Owner { // row-level security hides the rows from the owner itself
				o.refused(role, "", "UPDATE "+table+" SET "+column+" = "+column)
				o.refused(role, "", "DELETE FROM "+table)
			}
			o.refused(role, "", "TRUNCATE "+table+" CASCADE")
		}
	}
	for _, sql := range []string{"UPDATE blob_part SET data = data", "DELETE FROM blob_part", "DELETE FROM blob", "UPDATE blob SET size = size",
		"UPDATE reading SET reference = reference", "DELETE FROM reading", "UPDATE evaluation SET result = result", "DELETE FROM evaluation",
		"ALTER TABLE certificate DISABLE TRIGGER ALL", "SET session_replication_role = replica"} {
		o.refused(store.App, "", sql)
	}
	o.refused(store.App, "certificate_withdrawal_pk", `INSERT INTO certificate_withdrawal (certificate_id, client_id, task_id, reason, withdrawn_by, at)
		SELECT certificate_id, client_id, task_id, 'again', withdrawn_by, now() FROM certificate_withdrawal`)
}

// The role that answers the public has the one function: no certificate, no snapshot, no
// code, and of another client nothing in any way.
func TestThePublicSeesByTheFunctionAlone(t *testing.T) {
	o := open(t)
	o.approve()
	c := o.prepare(o.preparation())
	o.issue(c)
	conn := o.db.Connect(t, store.Portal)
	for _, client := range []string{"", id[domain.ClientKind]().String()} {
		if _, err := conn.Exec(o.ctx, "SELECT set_config('rillmark.client_id', $1, false)", client); err != nil {
			t.Fatal(err)
		}
		var n int
		var pg *pgconn.PgError
		if err := conn.QueryRow(o.ctx, "SELECT count(id) FROM certificate").Scan(&n); n != 0 || err != nil && (!errors.As(err, &pg) || pg.Code != "42501") {
			t.Errorf("client %q: %d certificates (%v)", client, n, err)
		}
	}
	for _, sql := range []string{"SELECT snapshot FROM certificate", "SELECT check_hash FROM certificate", "SELECT check_code FROM preparation",
		"SELECT token FROM preparation", "SELECT id FROM approval", "SELECT sha256 FROM blob", "SELECT id FROM person", "SELECT last FROM numbering"} {
		o.refused(store.Portal, "", sql)
	}
	var code string
	if err := o.db.Connect(t, "").QueryRow(o.ctx, "SELECT check_code FROM preparation").Scan(&code); err != nil {
		t.Fatal(err)
	}
	for guess, want := range map[string]int{code: 1, code[:len(code)-1] + "=": 0, "": 0} {
		sum := sha256.Sum256([]byte(guess))
		var n int
		if err := conn.QueryRow(o.ctx, "SELECT count(*) FROM check_certificate($1)", sum[:]).Scan(&n); err != nil || n != want {
			t.Errorf("%q finds %d, want %d (%v)", guess, n, want, err)
		}
	}
	if len(code) < 26 { // of base 32: 130 bits
		t.Errorf("a code of %d characters", len(code))
	}
}

func withdrawal(of domain.CertificateID) issuing.Withdraw {
	return issuing.Withdraw{Operation: storetest.Operation(), ID: of, Reason: "The reference was found bad."}
}
