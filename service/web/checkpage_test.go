package web

import (
	"encoding/base64"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/issuing"
	. "rillmark/service/web/webtest"
)

// certified is a house in which a certificate was issued by the forms of its pages.
type certified struct {
	*pipeside
	approver *Client
	page     string // of the certificate
	issuing.Certificate
}

func openCertified(t *testing.T, shows string) *certified {
	t.Helper()
	p := openPipeside(t)
	p.SQL("UPDATE client SET address = E'Quay Road 3\nBrackmere'")
	p.SQL("UPDATE agreement SET public_shows = $1", shows)
	p.SQL(`INSERT INTO authorisation (id, person_id, method_id, act, during, ground, version, created_at, changed_at)
		VALUES ($1, $2, $3, 'authorise', tstzrange('2020-01-01', NULL), 'appointed', 1, now(), now())`,
		p.web.IDs(), p.people[access.Approver], p.Example.Method.ID)
	p.fill("verdict")
	c := &certified{pipeside: p, approver: p.as(access.Approver)}
	waiting := c.approver.Get("/review").Want(http.StatusOK, Sound(), Count(".rows a.row", 1))
	review := Attr(All(waiting.Doc, ".rows a.row")[0], "href")
	step := func(page, action string) string {
		return c.approver.Submit(c.approver.Get(page).Want(http.StatusOK, Sound()), action, nil).Want(http.StatusSeeOther).Location
	}
	step(review, review+"/approval")
	prepared := step(review, review+"/preparations")
	c.page = step(prepared, prepared+"/certificate")
	id, err := domain.ParseID[domain.CertificateKind](lastPart(c.page))
	if err == nil {
		c.Certificate, err = p.web.Issuing.Certificate(t.Context(), access.System("test"), id)
	}
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func (c *certified) check() string { return "/check/" + c.CheckCode }

// TestCheckAndCertificate issues one for each of what a client can agree to show, and goes
// to all its pages.
func TestCheckAndCertificate(t *testing.T) {
	for _, shows := range []string{"status", "client-and-point"} {
		t.Run(shows, func(t *testing.T) { checkShowsWhatWasAgreed(t, openCertified(t, shows)) })
	}
	c := openCertified(t, "verdict")
	t.Run("verdict", func(t *testing.T) { checkShowsWhatWasAgreed(t, c) })
	t.Run("no code", func(t *testing.T) { checkOfWhatIsNoCode(t, c) })
	t.Run("links", func(t *testing.T) { certificateIsLinked(t, c) })
	t.Run("in the browser", func(t *testing.T) { certificateInBrowser(t, c) })
	t.Run("withdrawn", func(t *testing.T) { checkAfterWithdrawal(t, c) })
}

// checkShowsWhatWasAgreed asks as anybody.
func checkShowsWhatWasAgreed(t *testing.T, c *certified) {
	t.Helper()
	shown := map[string][2]bool{"status": {false, false}, "client-and-point": {true, false}, "verdict": {true, true}}[c.Shows]
	anyone := c.as("")
	a := anyone.Get(c.check()).Want(http.StatusOK, Sound(), In("h1", Says(c.Number().String())), In(".status", Says("In force")),
		In(".compare", Has("data-hash", fmt.Sprintf("%x", c.Document))), Not("nav.ways"))
	for what, named := range map[string]bool{c.Client: shown[0], c.Point: shown[0], "Verdict": shown[1]} {
		if got := strings.Contains(Words(a.Doc), what); got != named {
			t.Errorf("%q is shown: %v, agreed: %v", what, got, named)
		}
	}
	for name, want := range map[string]string{"Cache-Control": "no-store", "X-Robots-Tag": "noindex, nofollow", "Referrer-Policy": "no-referrer"} {
		if got := a.Header.Get(name); got != want {
			t.Errorf("%s is %q", name, got)
		}
	}
	if policy := a.Header.Get("Content-Security-Policy"); strings.Contains(policy, "unsafe") || !strings.Contains(policy, "script-src 'self'") {
		t.Errorf("the policy is %q", policy)
	}
	code := strings.ToUpper(c.CheckCode[:8] + " " + c.CheckCode[8:20] + "-" + c.CheckCode[20:])
	if typed := anyone.Get("/check?code=" + url.QueryEscape(code)).Want(http.StatusSeeOther); typed.Location != c.check() {
		t.Errorf("the code as copied by hand leads to %s", typed.Location)
	}
}

// checkOfWhatIsNoCode has the same answer for a number alone, for what has no code's
// form and for a code that names nothing: none says whether there is such a certificate.
func checkOfWhatIsNoCode(t *testing.T, c *certified) {
	t.Helper()
	anyone := c.as("")
	var first string
	for _, code := range []string{strings.Repeat("a", len(c.CheckCode)), c.Number().String(), "x", c.CheckCode[1:], c.CheckCode + "a", "%27%20OR%201=1", strings.Repeat("b", 5000)} {
		a := anyone.Get("/check/"+code).Want(http.StatusNotFound, Sound(), In("#f-code"), Not(".facts"), Not("script[src=/check.js]"))
		if a.Header.Get("Cache-Control") != "no-store" {
			t.Errorf("%.40s: kept", code)
		}
		said := Words(All(a.Doc, "#f-code-wrong")[0])
		if first == "" {
			first = said
		}
		if said != first {
			t.Errorf("%.40s: %q, but %q before", code, said, first)
		}
	}
	anyone.Get("/check").Want(http.StatusOK, Sound(), In("#f-code"), Not("#f-code-wrong"))
	for _, code := range []string{"", "..", "a/b", "<script>"} {
		anyone.Get("/check?code="+url.QueryEscape(code)).Want(http.StatusOK, Sound(), In("#f-code-wrong"))
	}
}

// checkAfterWithdrawal shows the state that came, with its reason.
func checkAfterWithdrawal(t *testing.T, c *certified) {
	t.Helper()
	c.approver.Submit(c.approver.Get(c.page+"/withdrawal").Want(http.StatusOK, Sound()), c.page+"/withdrawal", url.Values{"reason": {""}}).
		Want(http.StatusUnprocessableEntity, Sound(), In("#f-reason-wrong"))
	c.approver.Submit(c.approver.Get(c.page+"/withdrawal"), c.page+"/withdrawal", url.Values{"reason": {"The wrong meter was named."}}).Want(http.StatusSeeOther)
	c.approver.Get(c.page).Want(http.StatusOK, Sound(), In(".say.act", Says("The wrong meter was named.")))
	c.as("").Get(c.check()).Want(http.StatusOK, Sound(), In(".status", Says("Withdrawn")), In(".say", Says("The wrong meter was named.")))
}

// certificateIsLinked goes to the certificate from its client and its point, and finds
// it by number.
func certificateIsLinked(t *testing.T, c *certified) {
	t.Helper()
	for _, page := range []string{"/clients/" + c.ClientID.String(), "/points/" + c.PointID.String()} {
		a := c.approver.Get(page).Want(http.StatusOK, Sound())
		found := false
		for _, link := range All(a.Doc, "a") {
			if to := Attr(link, "href"); strings.HasPrefix(to, "/certificates?") {
				found = true
				c.approver.Get(to).Want(http.StatusOK, Sound(), Count(".rows a.row", 1), In(".rows a.row", Has("href", c.page)))
			}
		}
		if !found {
			t.Errorf("%s leads to no certificates", page)
		}
	}
	c.approver.Get("/evaluations/"+c.EvaluationID.String()).Want(http.StatusOK, Sound(), In("aside", Says("Approved by Ines Sørby")))
	c.approver.Get("/certificates?search="+c.Number().String()).Want(http.StatusOK, Sound(), Count(".rows a.row", 1))
	c.approver.Get("/certificates?search=no+such+number").Want(http.StatusOK, Sound(), Count(".rows a.row", 0))
	c.approver.Get("/certificates?state=withdrawn").Want(http.StatusOK, Sound(), Count(".rows a.row", 0))
}

// TestCheckIsRationed refuses the hurried, for a while and by address.
func TestCheckIsRationed(t *testing.T) {
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	h := openHouse(t, func(c *Config) { c.Now = func() time.Time { return now } })
	anyone := h.as("")
	for n := range checkAllowance {
		if a := anyone.Get("/check/nothing"); a.Status != http.StatusNotFound {
			t.Fatalf("question %d: status %d", n, a.Status)
		}
	}
	if a := anyone.Get("/check/nothing").Want(http.StatusTooManyRequests, Sound()); a.Header.Get("Retry-After") == "" {
		t.Error("it does not say when to ask again")
	}
	now = now.Add(checkRefill)
	anyone.Get("/check/nothing").Want(http.StatusNotFound)
	anyone.Get("/check/nothing").Want(http.StatusTooManyRequests)
}

func TestQuestions(t *testing.T) {
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	var m questions
	for n := range checkAllowance {
		// One network of version 6 is one asker, however many addresses it has.
		if !m.take(fmt.Sprintf("2001:db8:1:2::%x", n+1), now) {
			t.Fatalf("question %d is refused", n)
		}
	}
	if m.take("2001:db8:1:2:ffff::1", now) {
		t.Error("another address of the same network goes on asking")
	}
	if !m.take("2001:db8:1:3::1", now) || !m.take("192.0.2.7", now) || !m.take("no address", now) {
		t.Error("others are refused")
	}
	if m.take("2001:db8:1:2::1", now.Add(-time.Hour)) {
		t.Error("a clock that goes back gives questions")
	}
	for n := range 2 * checkAddresses {
		m.take(fmt.Sprintf("10.%d.%d.%d", n>>16&255, n>>8&255, n&255), now.Add(time.Duration(n)*time.Millisecond))
	}
	if len(m.left) > checkAddresses {
		t.Errorf("%d addresses are remembered", len(m.left))
	}
}

// certificateInBrowser looks at the pages in every window, light and dark, and drops
// copies of the document on the check page: the one that was issued, and one with a flipped
// bit. With RILLMARK_SHOTS naming a folder it leaves pictures there.
func certificateInBrowser(t *testing.T, c *certified) {
	t.Helper()
	b := Open(t, Phone)
	look := func(name, path string) {
		b.Go(c.server.URL + path)
		for _, size := range []Size{Phone, Desk, Narrow} {
			b.Resize(size)
			for _, scheme := range []string{"light", "dark"} {
				if folder := os.Getenv("RILLMARK_SHOTS"); folder != "" && size != Narrow {
					b.Prefer("prefers-color-scheme", scheme)
					b.Shot(folder, "judge-"+name+"-"+size.Name+"-"+scheme)
				}
			}
			fits(t, b, name, size)
		}
		b.Resize(Phone)
	}
	look("check-form", "/check")
	look("check", c.check())
	if high := Eval[float64](b, `document.querySelector("#f-file").getBoundingClientRect().height`); high < 48 {
		t.Errorf("the choice of a copy is %g high", high)
	}
	compareCopies(t, c, b)
	b.Go(c.server.URL + "/login")
	b.Type("#f-login", "approver")
	b.Type("#f-password", testPassword)
	b.Press(".acts .do")
	look("certificates", "/certificates")
	look("certificate", c.page)
	look("withdrawal", c.page+"/withdrawal")
	look("review", "/evaluations/"+c.EvaluationID.String())
	look("review-list", "/review")
	look("point", "/points/"+c.PointID.String())
}

func compareCopies(t *testing.T, c *certified, b *Page) {
	t.Helper()
	pdf := []byte(c.approver.Get(c.page + "/document.pdf").Want(http.StatusOK).Body)
	other := slices.Clone(pdf)
	other[len(other)/2] ^= 1
	for _, one := range []struct {
		copy          []byte
		outcome, says string
	}{{pdf, "same", "byte for byte"}, {other, "other", "not the document that was issued"}, {nil, "other", "not the document"}, {pdf, "same", "The same"}} {
		if taken := Eval[bool](b, dropping(one.copy)); !taken {
			t.Error("the page lets the browser open what is dropped on it")
		}
		var outcome string
		for n := 0; n < 250 && outcome == ""; n++ {
			time.Sleep(20 * time.Millisecond)
			outcome = Eval[string](b, `document.querySelector("#compare").dataset.outcome || ""`)
		}
		if said := b.Text(".outcome"); outcome != one.outcome || !strings.Contains(said, one.says) {
			t.Errorf("a copy of %d bytes is %q: %q, not %q", len(one.copy), outcome, said, one.says)
		}
	}
}

// dropping is the script that drops a file of the bytes on the place of comparison; true:
// the page took it.
func dropping(data []byte) string {
	return fmt.Sprintf(`(() => {
		const carried = new DataTransfer();
		carried.items.add(new File([Uint8Array.from(atob(%q), c => c.charCodeAt(0))], "copy.pdf", {type: "application/pdf"}));
		return !document.querySelector("#compare").dispatchEvent(new DragEvent("drop", {dataTransfer: carried, bubbles: true, cancelable: true}));
	})()`, base64.StdEncoding.EncodeToString(data))
}
