package web

import (
	"crypto/sha256"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"rillmark/domain"
	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// closeTask says that the work on site is finished.
func closeTask(b *Page) {
	Eval[bool](b, `document.querySelectorAll("details").forEach(d => d.open = true), true`)
	b.Tick(`#form-note input[name="kind"][value="finished"]`)
	b.Set("#note-text", "All put back as it was.")
	Eval[bool](b, `document.querySelector("#form-note button[type=submit]").setAttribute("data-closing", "yes"), true`)
	b.Press("[data-closing]")
}

// certify goes the approver's way with the keyboard alone, from the list of what waits to
// the issued certificate, and holds the document against the review page.
func certify(t *testing.T, p *pipeside) {
	t.Helper()
	p.SQL("UPDATE client SET address = E'Quay Road 3\nBrackmere'")
	p.SQL(`INSERT INTO authorisation (id, person_id, method_id, act, during, ground, version, created_at, changed_at)
		VALUES ($1, $2, $3, 'authorise', tstzrange('2020-01-01', NULL), 'appointed', 1, now(), now())`,
		p.web.IDs(), p.people[access.Approver], p.Example.Method.ID)
	b := Open(t, Desk)
	b.Go(p.server.URL + "/login")
	b.Keys("approver\t" + testPassword)
	b.Send(kb.Enter)
	tabTo(t, b, "Review")
	b.Send(kb.Enter)
	tabTo(t, b, "FT-204")
	b.Send(kb.Enter)
	if text := b.Text("main"); !strings.Contains(text, "Evaluation 2") || !strings.Contains(text, "Provisional, not authorised") {
		t.Errorf("the review says %q", text)
	}
	shown := figuresOf(b)
	b.HoldBarriers("review")
	tabTo(t, b, "Approve")
	b.Send(kb.Enter)
	tabTo(t, b, "Prepare the certificate")
	b.Send(kb.Enter)
	b.HoldBarriers("prepared")
	tabTo(t, b, "Issue the certificate")
	b.Send(kb.Enter)
	if at := b.At(); !strings.Contains(at, "/certificates/") {
		t.Fatalf("at %s: %s", at, b.Text("main"))
	}
	if said := b.Complaints(); len(said) > 0 {
		t.Errorf("the browser complains: %q", said)
	}
	b.Resize(Narrow)
	fits(t, b, "certificate", Narrow)
	holdDocument(t, p, shown)
}

// tabTo presses Tab until what has the focus says the words.
func tabTo(t *testing.T, b *Page, words string) {
	t.Helper()
	for range 120 {
		b.Keys(kb.Tab)
		said := Eval[string](b, `(document.activeElement.innerText || "").replace(/\s+/g, " ").trim()`)
		if strings.HasPrefix(said, words) {
			return
		}
	}
	t.Fatalf("the keyboard does not get to %q at %s", words, b.At())
}

// figuresOf are the figures of the tables of results, runs and budgets on the review page.
// What reference and meter showed in each run is the ground of the numbers, shares only
// order them: both stay on the page.
func figuresOf(b *Page) []string {
	return Eval[[]string](b, `[...document.querySelectorAll(".review table")].flatMap(t => {
		const heads = [...t.tHead.rows[0].cells].map(c => c.textContent);
		return [...t.tBodies[0].rows].flatMap(r => [...r.cells].filter((_, i) => !/, shown|Share/.test(heads[i])).map(c => c.textContent.trim()));
	}).filter(s => /^[+−]?[0-9]+([.][0-9]+)?$/.test(s))`)
}

// holdDocument finds every figure of the review page in the text of the issued document.
func holdDocument(t *testing.T, p *pipeside, shown []string) {
	t.Helper()
	if len(shown) < 20 {
		t.Errorf("the review page shows %d figures only", len(shown))
	}
	approver := p.as(access.Approver)
	var id domain.CertificateID
	var hash []byte
	if err := p.db.Connect(t, "").QueryRow(t.Context(), "SELECT id, document FROM certificate").Scan(&id, &hash); err != nil {
		t.Fatal(err)
	}
	pdf := approver.Get("/certificates/" + id.String() + "/document.pdf").Want(http.StatusOK).Body
	if sum := sha256.Sum256([]byte(pdf)); string(sum[:]) != string(hash) {
		t.Error("what is served is not what was issued")
	}
	path := filepath.Join(t.TempDir(), "certificate.pdf")
	if err := os.WriteFile(path, []byte(pdf), 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.CommandContext(t.Context(), "pdftotext", "-layout", path, "-").Output()
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("pdftotext: %v", err)
		}
		t.Skipf("pdftotext: %v", err)
	}
	printed := map[string]bool{}
	for _, w := range regexp.MustCompile(`[+−]?[0-9]+([.][0-9]+)?`).FindAllString(string(text), -1) {
		printed[w] = true
		printed[strings.TrimLeft(w, "+−")] = true
	}
	missing := map[string]bool{}
	for _, f := range shown {
		if !printed[f] {
			missing[f] = true
		}
	}
	if len(missing) > 0 {
		t.Errorf("the document does not show %d of %d figures of the review page: %v", len(missing), len(shown), fmt.Sprint(missing))
	}
}
