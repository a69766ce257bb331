package issuing_test

import (
	"bufio"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/capture"
	"rillmark/service/issuing"
	"rillmark/service/issuing/issuingtest"
	"rillmark/service/recheck"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

var killsAsked = flag.Int("kills", 0, "how many kills of each kind; 0: a few, or 500 with RILLMARK_FULL=1")

// killSeed chooses the instants of the kills.
const killSeed = 20260105

func kills() int {
	return storetest.Kills(*killsAsked, 500, 5)
}

// childTask names the variable that makes this binary a process which issues.
const childTask = "RILLMARK_TEST_ISSUER"

// longest is how long after a number was told a process is killed at most.
const longest = 250 * time.Millisecond

// issuersAtOnce is how many issue at the same time in one process.
const issuersAtOnce = 3

// post is what a process that issues is told.
type post struct {
	URL        string
	Approver   domain.PersonID
	Evaluation domain.EvaluationID
	First      domain.CertificateID
}

// issueOn prepares and issues amendments of the first certificate, several at once, until
// something fails, and tells each command before and after it is sent.
func issueOn(ctx context.Context, p post, told func(said)) error {
	s, err := store.Open(ctx, store.Config{URL: p.URL, IDs: func() uuid.UUID { return uuid.Must(uuid.NewV7()) }})
	if err != nil {
		return err
	}
	defer s.Close()
	d := issuingtest.Desk{Evaluation: p.Evaluation, Approver: access.Actor{Person: p.Approver, Roles: []access.Role{access.Approver}}}
	if d.Issuing, d.Capture, err = issuingtest.Services(s); err != nil {
		return err
	}
	draw := d.Issuing.Render
	d.Issuing.Render = func(snapshot certificate.Snapshot) ([]byte, error) {
		pdf, err := draw(snapshot)
		told(said{Drawn: true})
		return pdf, err
	}
	errs := make(chan error, issuersAtOnce)
	for range issuersAtOnce {
		go func() {
			for {
				c, err := d.Ready(ctx, certificate.Amendment, p.First)
				if err == nil {
					told(said{Command: c})
					var issued issuing.Issued
					if issued, err = d.Issuing.Issue(ctx, d.Approver, c); err == nil {
						told(said{Command: c, Number: issued.Number})
						continue
					}
				}
				errs <- err
				return
			}
		}()
	}
	for range issuersAtOnce - 1 {
		<-errs
	}
	return <-errs
}

// said is one line of a process that issues.
type said struct {
	Command issuing.Issue
	Number  string // empty: about to be sent
	Drawn   bool   // a document was drawn, and its transaction is about to begin
}

// issuer is the process: it runs until it is killed.
func issuer() {
	var p post
	if err := json.Unmarshal([]byte(os.Getenv(childTask)), &p); err != nil {
		panic(err)
	}
	var one sync.Mutex
	out := json.NewEncoder(os.Stdout)
	err := issueOn(context.Background(), p, func(s said) {
		one.Lock()
		defer one.Unlock()
		_ = out.Encode(s) // who listens is who kills
	})
	fmt.Fprintln(os.Stderr, "issuer:", err)
}

// register is what those know who issue: each command, and the number it was told.
type register struct {
	sync.Mutex
	commands map[domain.CertificateID]said
	first    chan struct{}
	drawn    chan struct{}
}

func newRegister() *register {
	return &register{commands: map[domain.CertificateID]said{}}
}

func (r *register) told(s said) {
	r.Lock()
	defer r.Unlock()
	if s.Drawn {
		if r.drawn != nil {
			close(r.drawn)
			r.drawn = nil
		}
		return
	}
	r.commands[s.Command.ID] = s
	if s.Number != "" && r.first != nil {
		close(r.first)
		r.first = nil
	}
}

// nextDrawn returns what is closed when the next document is drawn.
func (r *register) nextDrawn() <-chan struct{} {
	r.Lock()
	defer r.Unlock()
	next := make(chan struct{})
	r.drawn = next
	return next
}

// begin returns what is closed at the next number that is told.
func (r *register) begin() <-chan struct{} {
	r.Lock()
	defer r.Unlock()
	r.first = make(chan struct{})
	return r.first
}

// open are the commands without an answer.
func (r *register) open() (all []issuing.Issue) {
	r.Lock()
	defer r.Unlock()
	for _, s := range r.commands {
		if s.Number == "" {
			all = append(all, s.Command)
		}
	}
	return all
}

// check wants numbers without gap or double, every number that was told, and nothing half:
// each certificate with its files whole, one operation and one event, and no operation,
// event or document without a certificate. It returns how many were issued unanswered.
func (r *register) check(t *testing.T, db storetest.DB, what string) (silent int) {
	t.Helper()
	conn := db.Connect(t, "")
	defer conn.Close(context.Background()) // a thousand of them would be too many
	rows, err := conn.Query(t.Context(), `SELECT c.id::text, c.year, c.serial, (SELECT last FROM numbering n WHERE n.year = c.year),
			(SELECT count(*) FROM operation o WHERE o.action = 'certificate.issue' AND o.outcome::jsonb ->> 'id' = c.id::text),
			(SELECT count(*) FROM audit.subject s JOIN audit.event e ON e.seq = s.seq
			 WHERE s.kind = 'certificate' AND s.id = c.id AND e.payload::jsonb -> 'changes' @> jsonb_build_array(jsonb_build_object('kind', 'certificate', 'id', c.id::text))),
			(SELECT count(*) FROM blob b WHERE b.sha256 IN (c.snapshot, c.document) AND b.size = (SELECT sum(length(data)) FROM blob_part p WHERE p.sha256 = b.sha256))
		FROM certificate c ORDER BY c.year, c.serial`)
	if err != nil {
		t.Fatal(err)
	}
	type row struct {
		ID                                            string
		Year, Serial, Last, Operations, Events, Files int
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByPos[row])
	if err != nil {
		t.Fatal(err)
	}
	r.Lock()
	defer r.Unlock()
	found := map[domain.CertificateID]string{}
	for i, c := range all {
		if c.Serial != i+1 || c.Last != len(all) || c.Operations != 1 || c.Events != 1 || c.Files != 2 {
			t.Errorf("%s: at place %d of %d stands %+v", what, i+1, len(all), c)
		}
		id, _ := domain.ParseID[domain.CertificateKind](c.ID)
		found[id] = certificate.Number{Year: c.Year, Serial: c.Serial}.String()
	}
	for id, s := range r.commands {
		switch number, there := found[id]; {
		case s.Number != "" && number != s.Number:
			t.Errorf("%s: %s was told, and there is %q", what, s.Number, number)
		case s.Number == "" && there:
			silent++
		}
	}
	var operations, documents int
	if err := conn.QueryRow(t.Context(), `SELECT (SELECT count(*) FROM operation WHERE action = 'certificate.issue'),
		(SELECT count(*) FROM blob WHERE media_type = 'application/pdf')`).Scan(&operations, &documents); err != nil || operations != len(all) || documents != len(all) {
		t.Errorf("%s: %d certificates, %d operations, %d documents (%v)", what, len(all), operations, documents, err)
	}
	return silent
}

// settle sends what has no answer once more and has the whole rechecked.
func (r *register) settle(t *testing.T, o *issuingtest.Office) {
	t.Helper()
	s := o.DB.Open(t, store.App)
	service, _, err := issuingtest.Services(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range r.open() {
		issued, err := service.Issue(t.Context(), o.Approver, c)
		if err != nil {
			t.Errorf("sent again: %v", err)
		}
		r.told(said{Command: c, Number: issued.Number})
	}
	if silent := r.check(t, o.DB, "at the end"); silent > 0 {
		t.Errorf("%d are without an answer", silent)
	}
	reader := o.DB.Open(t, store.Reader)
	sheets := capture.New(capture.Config{Store: reader, IDs: storetest.IDs()})
	sum, err := recheck.Run(t.Context(), recheck.Config{Store: reader,
		Observed: func(ctx context.Context, f evaluation.Facts) (evaluation.Facts, error) {
			return sheets.Reread(ctx, access.System("recheck"), f)
		},
		Report: func(f recheck.Finding) { t.Errorf("recheck: %v", f.Fault) }})
	if err != nil || sum.Certificates != len(r.commands)+1 || sum.Same != sum.Certificates {
		t.Errorf("recheck: %+v for %d commands, %v", sum, len(r.commands), err)
	}
}

// The issuing process and, separately, the database's server are killed while certificates
// are issued, on a server that flushes to disk as in earnest.
func TestKillsWhileIssuing(t *testing.T) {
	cluster := storetest.NewCluster(t, true)
	for name, kill := range map[string]func(*testing.T, *storetest.Cluster, *issuingtest.Office, *register, post, time.Duration){
		"of the program": killIssuer, "of the server": killServer} {
		t.Run(name, func(t *testing.T) {
			o := issuingtest.Open(t, cluster.Clone(t), root)
			o.SQL("ALTER SYSTEM SET recovery_init_sync_method = 'syncfs'") // as durable as the default, and quicker to come back
			p := post{URL: o.DB.URL, Approver: o.Approver.Person, Evaluation: o.Evaluation, First: o.Certified()}
			r, random := newRegister(), rand.New(rand.NewPCG(killSeed, uint64(len(name))))
			began, inFlight, silent := time.Now(), 0, 0
			for i := range kills() {
				kill(t, cluster, o, r, p, time.Duration(random.Int64N(int64(longest))))
				inFlight += min(1, len(r.open()))
				if silent += r.check(t, o.DB, fmt.Sprintf("kill %d", i+1)); t.Failed() {
					return
				}
			}
			took := time.Since(began)
			r.settle(t, o)
			t.Logf("%d kills %s (seed %d) in %v: %d with an issue in flight, %d times one issued without an answer, %d certificates in all",
				kills(), name, killSeed, took.Round(time.Millisecond), inFlight, silent, len(r.commands)+1)
			if inFlight < kills()/2 {
				t.Errorf("only %d of %d kills met an issue under way", inFlight, kills())
			}
		})
	}
}

// killIssuer runs a process that issues and kills it some time after its first certificate.
func killIssuer(t *testing.T, _ *storetest.Cluster, o *issuingtest.Office, r *register, p post, after time.Duration) {
	t.Helper()
	text, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childTask+"="+string(text))
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	first, read := r.begin(), make(chan struct{})
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(read)
		r.listen(out)
	}()
	r.await(t, first, after)
	if err := child.Process.Signal(syscall.SIGKILL); err != nil {
		t.Error(err)
	}
	<-read
	_ = child.Wait() // says that it was killed
	awaitSessions(t, o.DB)
}

// listen reads up to the last whole line.
func (r *register) listen(out io.Reader) {
	for lines := bufio.NewReader(out); ; {
		line, err := lines.ReadBytes('\n')
		if err != nil {
			return
		}
		var s said
		if json.Unmarshal(line, &s) == nil {
			r.told(s)
		}
	}
}

// await waits for the first number and then for the instant of the kill: some time later, or,
// for the shorter times, within the transaction of the next document drawn.
func (r *register) await(t *testing.T, first <-chan struct{}, after time.Duration) {
	t.Helper()
	tooLong := time.After(2 * time.Minute)
	select {
	case <-first:
	case <-tooLong:
		t.Error("nothing is issued")
		return
	}
	if after < longest/2 {
		after /= 5
		select {
		case <-r.nextDrawn():
		case <-tooLong:
			t.Error("nothing more is drawn")
		}
	}
	time.Sleep(after)
}

// awaitSessions waits until the server has noticed that the process is gone: a COMMIT that
// was under way still happens.
func awaitSessions(t *testing.T, db storetest.DB) {
	t.Helper()
	conn := db.Connect(t, "")
	defer conn.Close(context.Background())
	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(5 * time.Millisecond) {
		var n int
		if err := conn.QueryRow(t.Context(), `SELECT count(*) FROM pg_stat_activity
			WHERE datname = current_database() AND application_name = 'rillmark' AND state <> 'idle'`).Scan(&n); err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			return
		}
	}
	t.Fatal("the killed process's sessions are still there")
}

// killServer kills the server under those who issue, and starts it again.
func killServer(t *testing.T, cluster *storetest.Cluster, _ *issuingtest.Office, r *register, p post, after time.Duration) {
	t.Helper()
	first, ended := r.begin(), make(chan error, 1)
	go func() { ended <- issueOn(context.Background(), p, r.told) }()
	r.await(t, first, after)
	cluster.Kill(t)
	if err := <-ended; domain.KindOf(err) != domain.Busy { // who issues is told to try again
		t.Errorf("with the server gone: %v", err)
	}
	cluster.Restart(t)
}
