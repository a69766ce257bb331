package issuing_test

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/approval"
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

func TestMain(m *testing.M) {
	if os.Getenv(childTask) != "" {
		issuer()
		return
	}
	os.Exit(storetest.Run(m))
}

const root = "../.."

// office is a service over a database with one task that is filled in and evaluated.
type office struct {
	*capturetest.Place
	*issuing.Service
	t          testing.TB
	ctx        context.Context
	db         storetest.DB
	capture    *capture.Service
	approver   access.Actor
	evaluation domain.EvaluationID
}

func id[K any]() domain.ID[K] { return domain.NewID[K](storetest.IDs()) }

const token = "a-token-of-more-than-26-characters"

func open(t testing.TB) *office {
	t.Helper()
	db := storetest.Clone(t)
	place := capturetest.Prepare(t, db, root, domain.PersonID{})
	place.SQL("UPDATE client SET address = E'Quay Road 3\nBrackmere'")
	s := db.Open(t, store.App)
	o := &office{Place: place, t: t, ctx: t.Context(), db: db,
		capture: capture.New(capture.Config{Store: s, IDs: storetest.IDs(), Version: "test"})}
	o.Service = o.service(s)
	o.FillIn(o.capture)
	o.approver = o.approverNamed("approver")
	o.evaluation = o.evaluate()
	return o
}

func (o *office) service(s *store.Store) *issuing.Service {
	o.t.Helper()
	book, err := sentence.Open(templates.Files, "en")
	if err != nil {
		o.t.Fatal(err)
	}
	zone, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		o.t.Fatal(err)
	}
	return issuing.New(issuing.Config{Store: s, Portal: o.db.Open(o.t, store.Portal), Random: rand.Reader, Zone: zone,
		Company: certificate.Party{Name: "Saltmarsh Metering Services", Address: []string{"Tide Mill Lane 9", "Saltmarsh"}},
		Program: "Rillmark", Version: "test", PublicURL: "https://rillmark.example/", Layout: document.Latest, Say: book.Fault, Render: document.Render,
		Facts: func(ctx context.Context, a access.Actor, id domain.TaskID) (evaluation.Facts, error) {
			w, err := o.capture.Sheet(ctx, a, id)
			if err != nil {
				return evaluation.Facts{}, err
			}
			return w.Facts, nil
		}})
}

// approverNamed makes an approver who is authorised for the method.
func (o *office) approverNamed(login string) access.Actor {
	o.t.Helper()
	person := capturetest.Person(o.t, o.db, login, access.Approver)
	o.authorise(person, method.Authorise)
	return access.Actor{Person: person, Roles: []access.Role{access.Approver}}
}

func (o *office) authorise(person domain.PersonID, act method.Act) {
	o.t.Helper()
	o.SQL(`INSERT INTO authorisation (id, person_id, method_id, act, during, ground, version, created_at, changed_at)
		VALUES ($1, $2, $3, $4, tstzrange('2020-01-01', NULL), 'appointed', 1, now(), now())`, id[domain.AuthorisationKind](), person, o.Example.Method.ID, act)
}

func (o *office) evaluate() domain.EvaluationID {
	o.t.Helper()
	w, err := o.capture.Evaluate(o.ctx, o.Technician, capture.Evaluate{At: capture.At{Operation: storetest.Operation(), TaskID: o.Task}, ID: id[domain.EvaluationKind]()})
	if err != nil {
		o.t.Fatal(err)
	}
	made, err := domain.ParseID[domain.EvaluationKind](w.ID)
	if err != nil {
		o.t.Fatal(err)
	}
	return made
}

func (o *office) approval(e domain.EvaluationID) issuing.Approve {
	o.t.Helper()
	j, err := o.Evaluation(o.ctx, o.approver, e)
	if err != nil {
		o.t.Fatal(err)
	}
	return issuing.Approve{Operation: storetest.Operation(), ID: id[domain.ApprovalKind](), EvaluationID: e, Input: j.Input}
}

func (o *office) approve() {
	o.t.Helper()
	if _, err := o.Approve(o.ctx, o.approver, o.approval(o.evaluation)); err != nil {
		o.t.Fatal(err)
	}
}

func (o *office) preparation() issuing.Prepare {
	return issuing.Prepare{Operation: storetest.Operation(), ID: id[domain.PreparationKind](), EvaluationID: o.evaluation, Token: token + id[domain.EntryKind]().String()}
}

func (o *office) prepare(p issuing.Prepare) issuing.Issue {
	o.t.Helper()
	if _, err := o.Prepare(o.ctx, o.approver, p); err != nil {
		o.t.Fatal(err)
	}
	return issuing.Issue{Operation: storetest.Operation(), ID: id[domain.CertificateKind](), PreparationID: p.ID, Token: p.Token}
}

func (o *office) issue(c issuing.Issue) issuing.Issued {
	o.t.Helper()
	issued, err := o.Issue(o.ctx, o.approver, c)
	if err != nil {
		o.t.Fatal(err)
	}
	return issued
}

// lateReading adds a reading to the first run after everything.
func (o *office) lateNote() {
	o.t.Helper()
	if _, err := o.capture.NoteTask(o.ctx, o.Technician, capture.NoteTask{At: capture.At{Operation: storetest.Operation(), TaskID: o.Task},
		ID: id[domain.TaskNoteKind](), Kind: "deviation", Text: "One run was read by telephone."}); err != nil {
		o.t.Fatal(err)
	}
}

func wants(t testing.TB, what string, err error, kind domain.Kind, code *fault.Code) {
	t.Helper()
	if err == nil || domain.KindOf(err) != kind || code != nil && !fault.Has(err, code) {
		t.Errorf("%s: %v, want %s with %v", what, err, kind, code)
	}
}

func TestFromResultToCertificate(t *testing.T) {
	o := open(t)
	waiting, err := o.Waiting(o.ctx, o.approver, store.Filter{})
	if err != nil || len(waiting.Items) != 1 || waiting.Items[0].EvaluationID != o.evaluation || waiting.Items[0].Approved || !waiting.Items[0].Current || waiting.Items[0].Own {
		t.Fatalf("waiting: %+v, %v", waiting.Items, err)
	}
	o.approve()
	command := o.prepare(o.preparation())
	preview, err := o.Preview(o.ctx, o.approver, command.PreparationID)
	if err != nil || !strings.HasPrefix(string(preview), "%PDF") {
		t.Fatalf("preview: %v", err)
	}
	issued := o.issue(command)
	zone, _ := time.LoadLocation("Europe/Dublin")
	if want := (certificate.Number{Year: time.Now().In(zone).Year(), Serial: 1}).String(); issued.Number != want {
		t.Errorf("number %s, want %s", issued.Number, want)
	}
	if again := o.issue(command); again != issued {
		t.Errorf("the same command again: %+v, want %+v", again, issued)
	}
	c, pdf, err := o.Document(o.ctx, o.approver, command.ID)
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(pdf)
	if hex.EncodeToString(sum[:]) != hex.EncodeToString(c.Document) || c.State != certificate.Issued || c.Verdict != "pass" {
		t.Errorf("certificate %+v", c)
	}
	_, text, err := o.SnapshotText(o.ctx, o.approver, command.ID)
	if err != nil {
		t.Fatal(err)
	}
	snapshot, err := certificate.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	again, err := document.Render(snapshot)
	if err != nil || sha256.Sum256(again) != sum {
		t.Errorf("the document is not made again byte for byte from its snapshot (%v)", err)
	}
	if snapshot.Number != issued.Number || !strings.HasPrefix(snapshot.CheckAddress, "https://rillmark.example/check/") || len(snapshot.Missing()) > 0 {
		t.Errorf("snapshot %s, %s, missing %v", snapshot.Number, snapshot.CheckAddress, snapshot.Missing())
	}
	if waiting, err := o.Waiting(o.ctx, o.approver, store.Filter{}); err != nil || len(waiting.Items) != 0 {
		t.Errorf("still waiting: %+v, %v", waiting.Items, err)
	}
	o.checked(c, issued)
}

// checked asks as the public does: the status only, for no more was agreed.
func (o *office) checked(c issuing.Certificate, issued issuing.Issued) {
	o.t.Helper()
	for _, code := range []string{c.CheckCode, strings.ToUpper(c.CheckCode), " " + c.CheckCode[:8] + "-" + c.CheckCode[8:] + " "} {
		found, err := o.Check(o.ctx, code)
		if err != nil || found.Number().String() != issued.Number || found.Status != "issued" || !slices.Equal(found.Document, c.Document) {
			o.t.Errorf("check %q: %+v, %v", code, found, err)
		}
		if found.Client+found.Point+found.Meter+found.Verdict != "" {
			o.t.Errorf("the check shows what was not agreed: %+v", found)
		}
	}
	for _, code := range []string{"", c.CheckCode[1:], issued.Number, strings.Repeat("x", 5000)} {
		_, err := o.Check(o.ctx, code)
		wants(o.t, "check of "+code[:min(len(code), 20)], err, domain.NotFound, issuing.CodeUnknown)
	}
}

func TestWhoMayApprove(t *testing.T) {
	o := open(t)
	right := o.approval(o.evaluation)
	try := func(what string, a access.Actor, c issuing.Approve, kind domain.Kind, code *fault.Code) {
		t.Helper()
		c.Operation, c.ID = storetest.Operation(), id[domain.ApprovalKind]()
		_, err := o.Approve(o.ctx, a, c)
		wants(t, what, err, kind, code)
	}
	own := access.Actor{Person: o.Technician.Person, Roles: []access.Role{access.Technician, access.Approver}}
	o.authorise(own.Person, method.Authorise)
	try("own work", own, right, domain.Forbidden, approval.OwnWork)
	stranger := access.Actor{Person: capturetest.Person(t, o.db, "other", access.Approver), Roles: []access.Role{access.Approver}}
	try("without an authorisation", stranger, right, domain.Forbidden, approval.NotAuthorised)
	o.authorise(stranger.Person, method.Review)
	try("authorised to review alone", stranger, right, domain.Forbidden, approval.NotAuthorised)
	try("as a technician", o.Technician, right, domain.Forbidden, nil)
	try("the program", access.System("test"), right, domain.Forbidden, approval.NotAPerson)
	other := right
	other.Input = strings.Repeat("0", 64)
	try("another result than was shown", o.approver, other, domain.Stale, approval.OtherResult)
	o.lateNote()
	try("a fact that is newer", o.approver, right, domain.Stale, approval.FactsNewer)
	o.evaluation = o.evaluate()
	o.approve()
	try("a second time", o.approver, o.approval(o.evaluation), domain.Taken, approval.Done)
	try("a second time by another", o.approverNamed("third"), o.approval(o.evaluation), domain.Taken, approval.Done)
}

func TestSentBack(t *testing.T) {
	o := open(t)
	c := issuing.SendBack{Operation: storetest.Operation(), ID: id[domain.TaskNoteKind](), EvaluationID: o.evaluation}
	_, err := o.SendBack(o.ctx, o.approver, c)
	wants(t, "without a reason", err, domain.Invalid, domain.Required)
	c.Reason = "Run 4 has a jump; look at it again."
	for range 2 {
		if _, err := o.SendBack(o.ctx, o.approver, c); err != nil {
			t.Fatal(err)
		}
	}
	if n := o.Count("SELECT count(*) FROM task_note WHERE kind = 'sent-back'"); n != 1 {
		t.Errorf("%d notes, want 1", n)
	}
	_, err = o.Approve(o.ctx, o.approver, o.approval(o.evaluation))
	wants(t, "approve what was sent back", err, domain.Stale, approval.FactsNewer)
	if waiting, err := o.Waiting(o.ctx, o.approver, store.Filter{}); err != nil || len(waiting.Items) != 0 {
		t.Errorf("what was sent back waits: %+v, %v", waiting.Items, err)
	}
}

func TestWhatIsNotIssued(t *testing.T) {
	o := open(t)
	p := o.preparation()
	_, err := o.Prepare(o.ctx, o.approver, p)
	wants(t, "prepare without approval", err, domain.Taken, approval.NotApproved)
	o.approve()
	short := p
	short.Token = "short"
	_, err = o.Prepare(o.ctx, o.approver, short)
	wants(t, "a short token", err, domain.Invalid, issuing.TokenShort)
	_, err = o.Prepare(o.ctx, o.Technician, p)
	wants(t, "a technician", err, domain.Forbidden, nil)
	command := o.prepare(p)
	wrong := command
	wrong.Operation, wrong.Token = storetest.Operation(), token
	_, err = o.Issue(o.ctx, o.approver, wrong)
	wants(t, "another token", err, domain.Forbidden, issuing.TokenWrong)
	second := o.prepare(o.preparation())
	o.issue(command)
	again := command
	again.Operation, again.ID = storetest.Operation(), id[domain.CertificateKind]()
	_, err = o.Issue(o.ctx, o.approver, again)
	wants(t, "one token twice", err, domain.Taken, issuing.TokenUsed)
	_, err = o.Issue(o.ctx, o.approver, second)
	wants(t, "a second certificate of the task", err, domain.Taken, certificate.IssuedAlready)
	_, err = o.Prepare(o.ctx, o.approver, o.preparation())
	wants(t, "prepare a second certificate", err, domain.Taken, issuing.AlreadyCertified)
	if n := o.Count("SELECT coalesce(max(last), 0) FROM numbering"); n != 1 {
		t.Errorf("the numbering stands at %d, want 1", n)
	}
}

func TestALateFactStopsTheIssue(t *testing.T) {
	o := open(t)
	o.approve()
	command := o.prepare(o.preparation())
	o.lateNote()
	_, err := o.Issue(o.ctx, o.approver, command)
	wants(t, "issue after a late fact", err, domain.Stale, approval.FactsNewer)
	_, err = o.Prepare(o.ctx, o.approver, o.preparation())
	wants(t, "prepare after a late fact", err, domain.Stale, approval.FactsNewer)
	if n := o.Count("SELECT count(*) FROM numbering"); n != 0 {
		t.Errorf("a refused issue moved the numbering")
	}
}

func TestReissueAndWithdraw(t *testing.T) {
	o := open(t)
	o.approve()
	first := o.prepare(o.preparation())
	o.issue(first)
	p := o.preparation()
	p.Kind, p.Amends, p.Reason, p.Changes = "re-issue", first.ID, "The client's address was wrong.", "address of the client"
	second := o.prepare(p)
	issued := o.issue(second)
	if !strings.HasSuffix(issued.Number, "-00002") {
		t.Errorf("number %s", issued.Number)
	}
	for _, c := range []struct {
		id    domain.CertificateID
		state certificate.State
	}{{first.ID, certificate.Superseded}, {second.ID, certificate.Issued}} {
		if got, err := o.Certificate(o.ctx, o.approver, c.id); err != nil || got.State != c.state {
			t.Errorf("state %s, want %s (%v)", got.State, c.state, err)
		}
	}
	old, _ := o.Certificate(o.ctx, o.approver, first.ID)
	if found, err := o.Check(o.ctx, old.CheckCode); err != nil || found.Status != "superseded" || found.Replaced() != issued.Number {
		t.Errorf("check of the old one: %+v, %v", found, err)
	}
	_, err := o.Withdraw(o.ctx, o.approver, issuing.Withdraw{Operation: storetest.Operation(), ID: first.ID, Reason: "x"})
	wants(t, "withdraw a superseded one", err, domain.Taken, certificate.WrongState)
	third := o.preparation()
	third.Kind, third.Amends, third.Reason = "re-issue", first.ID, "again"
	_, err = o.Prepare(o.ctx, o.approver, third)
	wants(t, "re-issue a superseded one", err, domain.Taken, issuing.NotIssued)
	w := issuing.Withdraw{Operation: storetest.Operation(), ID: second.ID, Reason: "The reference was found bad."}
	for range 2 {
		if _, err := o.Withdraw(o.ctx, o.approver, w); err != nil {
			t.Fatal(err)
		}
	}
	now, _ := o.Certificate(o.ctx, o.approver, second.ID)
	if found, err := o.Check(o.ctx, now.CheckCode); err != nil || found.Status != "withdrawn" || found.Reason != w.Reason || found.Since == nil {
		t.Errorf("check of the withdrawn one: %+v, %v", found, err)
	}
	third.Amends = second.ID
	if issued := o.issue(o.prepare(third)); !strings.HasSuffix(issued.Number, "-00003") {
		t.Errorf("number after a withdrawal: %s", issued.Number)
	}
	list, err := o.Certificates(o.ctx, o.approver, issuing.Filter{Filter: store.Filter{Limit: 2}})
	if err != nil || len(list.Items) != 2 || list.Next == "" || list.Items[0].Serial != 3 {
		t.Fatalf("list: %+v, %v", list, err)
	}
	rest, err := o.Certificates(o.ctx, o.approver, issuing.Filter{Filter: store.Filter{Limit: 2, After: list.Next}})
	if err != nil || len(rest.Items) != 1 || rest.Items[0].Serial != 1 || rest.Next != "" {
		t.Errorf("rest: %+v, %v", rest, err)
	}
	if found, err := o.Certificates(o.ctx, o.approver, issuing.Filter{State: certificate.Withdrawn, Filter: store.Filter{Search: "00002"}}); err != nil || len(found.Items) != 1 {
		t.Errorf("withdrawn: %+v, %v", found, err)
	}
}

// TestTenAtOnce issues ten documents of one task, the certificate and nine amendments, at
// the same moment through two programs.
func TestTenAtOnce(t *testing.T) {
	o := open(t)
	o.approve()
	first := o.prepare(o.preparation())
	o.issue(first)
	other := o.service(o.db.Open(t, store.App))
	var commands []issuing.Issue
	for range 10 {
		p := o.preparation()
		p.Kind, p.Amends, p.Reason = "amendment", first.ID, "A further picture."
		commands = append(commands, o.prepare(p))
	}
	numbers := make([]string, len(commands))
	var all sync.WaitGroup
	for i, c := range commands {
		s := []*issuing.Service{o.Service, other}[i%2]
		all.Go(func() {
			issued, err := s.Issue(o.ctx, o.approver, c)
			if err != nil {
				t.Errorf("issue %d: %v", i, err)
			}
			numbers[i] = issued.Number
		})
	}
	all.Wait()
	slices.Sort(numbers)
	for i, n := range numbers {
		parsed, err := certificate.ParseNumber(n)
		if err != nil || parsed.Serial != i+2 {
			t.Errorf("number %s at place %d", n, i)
		}
	}
	if n := o.Count("SELECT count(*) FROM certificate c JOIN blob b ON b.sha256 = c.document"); n != 11 {
		t.Errorf("%d certificates with documents, want 11", n)
	}
}
