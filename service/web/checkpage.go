package web

import (
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/issuing"
	"rillmark/service/web/part"
)

// checkPage is the public answer to a certificate's code, or the form that asks for it.
type checkPage struct {
	base
	Notice *part.Notice
	Field  part.Field
	Button part.Button
	Status string // the answer in a word
	Facts  []part.Fact
	Hash   string // SHA-256 of the document, for the comparison
	Words  compared
}

// compared are the sentences of the comparison, which is made in the browser.
type compared struct{ Lead, Choose, Same, Other, Reading string }

// checkAllowance is how many questions one address may ask at once, and how soon it gets
// one more. Codes have 160 bits: this keeps the machine free, not the codes secret.
const (
	checkAllowance = 30
	checkRefill    = 2 * time.Second
	checkAddresses = 10_000 // remembered at most
)

// questions counts what is asked by address: a bucket each, refilled with time.
type questions struct {
	sync.Mutex
	left map[string]bucket
}

type bucket struct {
	left float64
	at   time.Time
}

// asker is the address as far as it tells who asks: of version 6 the network of 64 bits,
// in which whoever asks has every address to choose from.
func asker(address string) string {
	at, err := netip.ParseAddr(address)
	if err != nil || at.Unmap().Is4() {
		return address
	}
	network, err := at.WithZone("").Prefix(64)
	if err != nil {
		return address
	}
	return network.String()
}

// take takes one from the address's bucket and reports whether there was one.
func (m *questions) take(address string, now time.Time) bool {
	address = asker(address)
	m.Lock()
	defer m.Unlock()
	if m.left == nil || len(m.left) >= checkAddresses {
		m.left = map[string]bucket{} // forgetting is generous, never wrong
	}
	b, known := m.left[address]
	if !known {
		b = bucket{checkAllowance, now}
	}
	b.left = min(checkAllowance, b.left+max(0, now.Sub(b.at).Seconds())/checkRefill.Seconds())
	b.at = now
	may := b.left >= 1
	if may {
		b.left--
	}
	m.left[address] = b
	return may
}

// hidden keeps the page out of stores and lists, and its address out of other sites' logs.
func (x *exchange) hidden() {
	x.gin.Header("Cache-Control", "no-store")
	x.gin.Header("X-Robots-Tag", "noindex, nofollow")
	x.gin.Header("Referrer-Policy", "no-referrer")
}

func (x *exchange) mayAsk() error {
	if x.asked.take(x.gin.ClientIP(), x.Now()) {
		return nil
	}
	x.gin.Header("Retry-After", "4")
	return domain.Refuse(domain.Throttled, TooManyQuestions.At(""))
}

// checkForm asks for the code; with a code in the query, as the form sends it, it leads to
// its page.
func (w *Web) checkForm(x *exchange) error {
	x.hidden()
	asked := domain.Line(x.r.URL.Query().Get("code"))
	if at := strings.LastIndex(asked, "/check/"); at >= 0 { // the whole address, as it is printed
		asked = asked[at+len("/check/"):]
	}
	code := strings.ToLower(strings.NewReplacer(" ", "", "-", "").Replace(asked))
	if code != "" && len(code) <= 100 && strings.Trim(code, "abcdefghijklmnopqrstuvwxyz0123456789") == "" {
		return x.see("/check/"+code, "")
	}
	p := x.checkPage("")
	if x.r.URL.Query().Has("code") {
		p.Field.Wrong, p.Field.Value = x.sentences(fault.List{issuing.CodeUnknown.At("code")}), shortened(x.r.URL.Query().Get("code"), 100)
	}
	return x.page(http.StatusOK, "check", p)
}

func (x *exchange) checkPage(code string) checkPage {
	p := checkPage{base: x.base(part.Heading{Title: x.text("check.title"), Lead: x.text("check.lead", "company", x.Company)}),
		Field:  part.Field{Name: "code", Label: x.text("check.code"), Hint: x.text("check.code-hint"), Kind: part.Text, Value: code, Required: true},
		Button: part.Button{Deed: x.text("check.deed")}}
	p.Actor, p.Ways = nil, nil
	return p
}

// check answers: number, date and state, and no more than was agreed.
func (w *Web) check(x *exchange) error {
	x.hidden()
	if err := x.mayAsk(); err != nil {
		return err
	}
	code := x.gin.Param("code")
	found, err := w.Issuing.Check(x.ctx(), code)
	if domain.KindOf(err) == domain.NotFound && err != nil {
		p := x.checkPage(shortened(code, 100))
		p.Field.Wrong = x.sentences(x.faultsOf(err))
		x.rejected = err
		return x.page(http.StatusNotFound, "check", p)
	}
	if err != nil {
		return err
	}
	return x.page(http.StatusOK, "check", x.checkAnswer(found))
}

func (x *exchange) checkAnswer(c issuing.Checked) checkPage {
	zone, err := time.LoadLocation(c.Zone)
	if err != nil {
		zone = x.Zone
	}
	p := x.checkPage("")
	p.Heading.Title, p.Heading.Lead = c.Number().String(), x.text("check.of", "company", x.Company)
	p.Status = x.text("check.status-" + c.Status)
	day := func(t time.Time) string { return t.In(zone).Format(wordedDay) }
	p.Facts = []part.Fact{{Word: x.text("check.issued"), Text: day(c.IssuedAt)}}
	if c.Since != nil {
		p.Notice = &part.Notice{Act: true, Lead: x.text("check.since-"+c.Status, "when", day(*c.Since), "number", c.Replaced()), Text: c.Reason}
	}
	for _, f := range []part.Fact{{Word: x.text("certificate.client"), Text: c.Client}, {Word: x.text("certificate.point"), Text: c.Point},
		{Word: x.text("certificate.meter"), Text: c.Meter}} {
		if f.Text != "" {
			p.Facts = append(p.Facts, f)
		}
	}
	if c.Verdict != "" {
		p.Facts = append(p.Facts, part.Fact{Word: x.text("certificate.verdict"), Text: x.verdictWord(c.Verdict)})
	}
	p.Hash = strings.ReplaceAll(grouped(c.Document), " ", "")
	p.Facts = append(p.Facts, part.Fact{Word: x.text("certificate.hash"), Text: grouped(c.Document)})
	p.Words = compared{Lead: x.text("check.compare-lead"), Choose: x.text("check.compare-choose"), Same: x.text("check.compare-same"),
		Other: x.text("check.compare-other"), Reading: x.text("check.compare-reading")}
	return p
}
