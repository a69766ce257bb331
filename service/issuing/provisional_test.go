package issuing_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"rillmark/domain"
)

// The sheet that is left on site is no certificate, before and after the approval.
func TestResultSheet(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skip("no pdftotext")
	}
	o := open(t)
	look := func(when string) string {
		t.Helper()
		pdf, err := o.ResultSheet(o.ctx, o.Technician, o.evaluation)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "sheet.pdf")
		if err := os.WriteFile(path, pdf, 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("pdftotext", "-layout", path, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		text := string(out)
		pages := strings.Split(strings.TrimRight(text, "\f\n"), "\f")
		for n, page := range pages {
			if !strings.Contains(strings.ToLower(page), "provisional, not authorised") {
				t.Errorf("%s: page %d does not say that it is provisional", when, n+1)
			}
		}
		for _, never := range []string{"Verification certificate", "/check/", o.approverName()} {
			if strings.Contains(text, never) {
				t.Errorf("%s: the sheet has %q", when, never)
			}
		}
		return text
	}
	before := look("before the approval")
	o.approve()
	if after := look("after the approval"); after != before {
		t.Error("the approval changes the sheet")
	}
	_, err := o.ResultSheet(o.ctx, o.Technician, id[domain.EvaluationKind]())
	wants(t, "of no evaluation", err, domain.NotFound, nil)
}

// approverName gives the approver a name that nobody else has.
func (o *office) approverName() string {
	o.SQL("UPDATE person SET name = 'Bram Oosterlee' WHERE id = $1", o.approver.Person)
	return "Bram Oosterlee"
}
