package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/certificate"
	"rillmark/service/issuing"
	"rillmark/service/store"
	"rillmark/service/web/part"
)

// certificateRoutes are the pages of certificates: prepared, issued, checked.
func (w *Web) certificateRoutes() []route {
	const get, post = http.MethodGet, http.MethodPost
	see, issue := access.SeeCertificates, access.Issue
	return []route{
		{method: get, path: "/preparations/:preparation", act: issue, handle: w.preparation},
		{method: get, path: "/preparations/:preparation/preview.pdf", act: issue, handle: w.preview, costly: true},
		{method: post, path: "/preparations/:preparation/certificate", act: issue, handle: w.issue},
		{method: get, path: "/certificates", act: see, handle: w.certificates},
		{method: get, path: "/certificates/:certificate", act: see, handle: w.certificate},
		{method: get, path: "/certificates/:certificate/document.pdf", act: see, handle: w.certificateDocument},
		{method: get, path: "/certificates/:certificate/snapshot.json", act: see, handle: w.certificateSnapshot},
		{method: get, path: "/certificates/:certificate/withdrawal", act: issue, handle: w.newWithdrawal},
		{method: post, path: "/certificates/:certificate/withdrawal", act: issue, handle: w.withdraw},
		{method: get, path: "/certificates/:certificate/history", act: see, handle: w.certificateHistory},
		{method: get, path: "/check", act: access.Public, handle: w.checkForm},
		{method: get, path: "/check/:code", act: access.Public, handle: w.check},
	}
}

// certificates lists what was issued, the newest number first.
func (w *Web) certificates(x *exchange) error {
	q := x.r.URL.Query()
	year, _ := strconv.Atoi(q.Get("year")) // what is no year finds every year
	f := issuing.Filter{Filter: store.Filter{Search: q.Get("search"), After: q.Get("after")}, Year: year, State: certificate.State(q.Get("state"))}
	narrowed := url.Values{}
	for name, read := range map[string]func(string) bool{
		"client": func(t string) (ok bool) { f.Client, ok = idIn[domain.ClientKind](t); return ok },
		"site":   func(t string) (ok bool) { f.Site, ok = idIn[domain.SiteKind](t); return ok },
		"point":  func(t string) (ok bool) { f.Point, ok = idIn[domain.PointKind](t); return ok },
	} {
		if t := q.Get(name); t != "" {
			if !read(t) {
				return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", name))
			}
			narrowed.Set(name, t)
		}
	}
	found, err := w.Issuing.Certificates(x.ctx(), x.actor, f)
	if err != nil {
		return err
	}
	states := []part.Option{{Words: x.text("certificates.any-state")}}
	for _, s := range []certificate.State{certificate.Issued, certificate.Superseded, certificate.Withdrawn} {
		states = append(states, part.Option{Value: string(s), Words: x.text("certificate.state-" + string(s))})
	}
	p := broadPage{base: x.base(part.Heading{Title: x.text("certificates.title"), Lead: x.text("certificates.lead")}), SeekAt: "/certificates",
		Seek: []part.Field{{Name: "search", Label: x.text("certificates.search"), Value: f.Search, Kind: part.Search},
			{Name: "state", Label: x.text("certificates.state"), Value: string(f.State), Kind: part.Choice, Options: states}},
		Empty: x.text("certificates.none"), Rows: x.certificateRows(found.Items)}
	if f.Search != "" || f.State != "" || len(narrowed) > 0 || year != 0 {
		p.Empty = x.text("certificates.none-found")
	}
	for name, value := range map[string]string{"search": f.Search, "state": string(f.State), "year": q.Get("year")} {
		if value != "" {
			narrowed.Set(name, value)
		}
	}
	if found.Next != "" {
		next := url.Values{"after": {found.Next}}
		p.Further.Next = part.Link{Href: "/certificates?" + merged(narrowed, next).Encode(), Words: x.text("list.next")}
	}
	if f.After != "" {
		p.Further.First = part.Link{Href: strings.TrimSuffix("/certificates?"+narrowed.Encode(), "?"), Words: x.text("list.first")}
	}
	return x.page(http.StatusOK, "list", p)
}

func idIn[K any](text string) (domain.ID[K], bool) {
	id, err := domain.ParseID[K](text)
	return id, err == nil
}

func (x *exchange) certificateRows(list []issuing.Certificate) (rows []part.Row) {
	for _, c := range list {
		row := part.Row{Href: "/certificates/" + c.ID.String(), Name: joined("  ", c.Number().String(), c.Point), More: joined(" · ", c.Client, c.Meter, x.day(c.IssuedAt)),
			Much: x.verdictWord(c.Verdict)}
		if c.State != certificate.Issued {
			row.Much = x.text("certificate.state-" + string(c.State))
		}
		rows = append(rows, row)
	}
	return rows
}

func (x *exchange) verdictWord(verdict string) string {
	if verdict == "" {
		return x.text("certificate.for-information")
	}
	return x.text("verdict." + verdict)
}

func (x *exchange) pathCertificate() (issuing.Certificate, error) {
	id, err := pathID[domain.CertificateKind](x, "certificate", "certificate")
	if err != nil {
		return issuing.Certificate{}, err
	}
	return x.Issuing.Certificate(x.ctx(), x.actor, id)
}

func (w *Web) certificate(x *exchange) error {
	c, err := x.pathCertificate()
	if err != nil {
		return err
	}
	here := "/certificates/" + c.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: []part.Link{{Href: "/certificates", Words: x.text("certificates.title")}}, Title: c.Number().String(),
		Lead: joined(" · ", x.text("certificate.kind-"+c.Kind), x.text("certificate.state-"+string(c.State)))}),
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	switch c.State {
	case certificate.Withdrawn:
		p.Notices = []part.Notice{{Act: true, Lead: x.text("certificate.is-withdrawn"), Text: c.Reason}}
	case certificate.Superseded:
		p.Notices = []part.Notice{{Act: true, Lead: x.text("certificate.is-superseded"), Links: []part.Link{{Href: "/certificates/" + c.ReplacedBy.String(), Words: x.text("certificate.open-newer")}}}}
	}
	facts := []part.Fact{{Word: x.text("certificate.client"), Text: c.Client, Href: "/clients/" + c.ClientID.String()},
		{Word: x.text("certificate.point"), Text: c.Point, Href: "/points/" + c.PointID.String()}, {Word: x.text("certificate.meter"), Text: c.Meter},
		{Word: x.text("certificate.verdict"), Text: x.verdictWord(c.Verdict)}, {Word: x.text("certificate.issued"), Text: joined(", ", x.when(c.IssuedAt), c.IssuedBy)},
		{Word: x.text("certificate.approved"), Text: c.ApprovedBy}, {Word: x.text("certificate.ground"), Text: x.text("certificate.ground-open"), Href: "/evaluations/" + c.EvaluationID.String()}}
	if c.Amends != nil {
		facts = append(facts, part.Fact{Word: x.text("certificate.amends"), Text: x.text("certificate.open-older"), Href: "/certificates/" + c.Amends.String()})
	}
	check := []part.Fact{{Word: x.text("certificate.check-address"), Text: x.Issuing.CheckAddress(c.CheckCode), Href: "/check/" + c.CheckCode},
		{Word: x.text("certificate.check-shows"), Text: x.text("certificate.shows-" + c.Shows)}, {Word: x.text("certificate.hash"), Text: grouped(c.Document)}}
	address := x.Issuing.CheckAddress(c.CheckCode)
	drawn, err := squareCode(address, x.text("certificate.code-drawn", "address", address))
	if err != nil {
		return err
	}
	p.Main = []stretch{{Title: x.text("thing.facts"), Facts: facts}, {Title: x.text("certificate.check-title"), Text: x.text("certificate.check-lead"), Facts: check, Drawing: &chart{SVG: drawn}}}
	p.Acts = []part.Button{{Deed: x.text("certificate.document"), Href: here + "/document.pdf"}, {Deed: x.text("certificate.snapshot"), Href: here + "/snapshot.json", Second: true}}
	if access.Allowed(x.actor, access.Issue) && c.State == certificate.Issued {
		p.Side = []stretch{{Title: x.text("certificate.wrong"), Text: x.text("certificate.wrong-lead"),
			Acts: []part.Link{{Href: "/evaluations/" + c.EvaluationID.String() + "#form-prepare", Words: x.text("certificate.reissue")}, {Href: here + "/withdrawal", Words: x.text("certificate.withdraw")}}}}
	}
	return x.page(http.StatusOK, "record", p)
}

// grouped writes a hash in groups that can be compared by eye.
func grouped(hash []byte) string {
	text := fmt.Sprintf("%x", hash)
	var groups []string
	for i := 0; i < len(text); i += 8 {
		groups = append(groups, text[i:min(i+8, len(text))])
	}
	return strings.Join(groups, " ")
}

func (w *Web) certificateDocument(x *exchange) error {
	c, err := x.pathCertificate()
	if err != nil {
		return err
	}
	_, pdf, err := w.Issuing.Document(x.ctx(), x.actor, c.ID)
	if err != nil {
		return err
	}
	return x.file(pdf, "application/pdf", c.FileName("pdf"))
}

func (w *Web) certificateSnapshot(x *exchange) error {
	c, err := x.pathCertificate()
	if err != nil {
		return err
	}
	_, text, err := w.Issuing.SnapshotText(x.ctx(), x.actor, c.ID)
	if err != nil {
		return err
	}
	return x.file(text, "application/json", c.FileName("json"))
}

// file sends bytes as a file of the name.
func (x *exchange) file(data []byte, media, name string) error {
	x.gin.Header("Content-Disposition", fmt.Sprintf(`attachment; filename=%q`, name))
	x.gin.Data(http.StatusOK, media, data)
	return nil
}

func (w *Web) certificateHistory(x *exchange) error {
	c, err := x.pathCertificate()
	if err != nil {
		return err
	}
	here := "/certificates/" + c.ID.String()
	return x.history(here, []part.Link{{Href: "/certificates", Words: x.text("certificates.title")}, {Href: here, Words: c.Number().String()}},
		audit.Subject{Kind: audit.Certificate, ID: c.ID.String()})
}

func (x *exchange) withdrawForm(c issuing.Certificate) entry {
	here := "/certificates/" + c.ID.String()
	return entry{heading: part.Heading{Trail: []part.Link{{Href: "/certificates", Words: x.text("certificates.title")}, {Href: here, Words: c.Number().String()}},
		Title: x.text("withdraw.title"), Lead: x.text("withdraw.lead")}, action: here + "/withdrawal", hidden: []string{"operation"}, deed: x.text("withdraw.deed"),
		back: part.Link{Href: here, Words: x.text("entry.back")}, fields: []field{{name: "reason", label: "withdraw.reason", hint: "withdraw.reason-hint", kind: part.Area, required: true}}}
}

func (w *Web) newWithdrawal(x *exchange) error {
	c, err := x.pathCertificate()
	if err != nil {
		return err
	}
	return x.show(x.withdrawForm(c), x.ids(false))
}

func (w *Web) withdraw(x *exchange) error {
	there, err := x.pathCertificate()
	if err != nil {
		return err
	}
	var c issuing.Withdraw
	form, err := x.bind(&c)
	var done issuing.Written
	if err == nil {
		c.ID = there.ID
		done, err = w.Issuing.Withdraw(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.withdrawForm(there), form, err)
	}
	return x.done("/certificates/"+there.ID.String(), "certificate.withdrawn-said", http.StatusCreated, done)
}

// preparation shows what is about to be issued.
func (w *Web) preparation(x *exchange) error {
	id, err := pathID[domain.PreparationKind](x, "preparation", "prepared certificate")
	if err != nil {
		return err
	}
	p, err := w.Issuing.Prepared(x.ctx(), x.actor, id)
	if err != nil {
		return err
	}
	return x.showPrepared(p, nil, nil)
}

func (x *exchange) showPrepared(p issuing.Prepared, typed url.Values, err error) error {
	here := "/preparations/" + p.ID.String()
	page := recordPage{base: x.base(part.Heading{Trail: []part.Link{{Href: "/review", Words: x.text("review.list-title")}, {Href: "/evaluations/" + p.EvaluationID.String(), Words: p.Snapshot.Place.Tag}},
		Title: x.text("prepared.title"), Lead: x.text("prepared.lead", "until", x.when(p.ExpiresAt))})}
	page.Main = []stretch{{Title: x.text("thing.facts"), Facts: []part.Fact{{Word: x.text("certificate.client"), Text: p.Snapshot.Client.Name},
		{Word: x.text("certificate.point"), Text: joined(", ", p.Snapshot.Place.Site, p.Snapshot.Place.Tag)}, {Word: x.text("certificate.meter"), Text: joined(" ", p.Snapshot.Meter.Maker, p.Snapshot.Meter.Model, p.Snapshot.Meter.Serial)},
		{Word: x.text("certificate.verdict"), Text: x.verdictWord(p.Snapshot.Verdict())}, {Word: x.text("prepared.kind"), Text: x.text("certificate.kind-" + p.Kind)}}}}
	page.Acts = []part.Button{{Deed: x.text("prepared.preview"), Href: here + "/preview.pdf", Second: true}}
	token := x.tokenOf(p.ID)
	switch {
	case p.Certificate != nil:
		page.Notices = []part.Notice{{Lead: x.text("prepared.issued"), Links: []part.Link{{Href: "/certificates/" + p.Certificate.String(), Words: x.text("prepared.open-issued")}}}}
	case token == "":
		page.Notices = []part.Notice{{Act: true, Lead: x.text("prepared.elsewhere")}}
	default:
		values := typed
		if values == nil {
			values = x.ids(true)
		}
		d := &deed{Action: here + "/certificate", Guard: true, Buttons: []part.Button{{Deed: x.text("prepared.issue")}},
			Hidden: []part.Field{{Name: "operation", Value: values.Get("operation")}, {Name: "id", Value: values.Get("id")}}}
		page.Side = []stretch{{Title: x.text("prepared.issue-title"), Text: x.text("prepared.issue-lead"), Form: d}}
	}
	status := http.StatusOK
	if err != nil {
		status = statusOf(err)
		page.Notices = append([]part.Notice{{Act: true, Lead: x.text("prepared.refused"), Items: x.sentences(x.faultsOf(err))}}, page.Notices...)
	}
	return x.page(status, "record", page)
}

// tokenOf is the token of what this browser prepared.
func (x *exchange) tokenOf(id domain.PreparationID) string {
	of, token, _ := strings.Cut(x.cookie(x.r, preparedCookie), ".")
	if of != id.String() {
		return ""
	}
	return token
}

func (w *Web) preview(x *exchange) error {
	id, err := pathID[domain.PreparationKind](x, "preparation", "prepared certificate")
	if err != nil {
		return err
	}
	pdf, err := w.Issuing.Preview(x.ctx(), x.actor, id)
	if err != nil {
		return err
	}
	x.gin.Header("Content-Disposition", `inline; filename="preview.pdf"`)
	x.gin.Data(http.StatusOK, "application/pdf", pdf)
	return nil
}

func (w *Web) issue(x *exchange) error {
	id, err := pathID[domain.PreparationKind](x, "preparation", "prepared certificate")
	if err != nil {
		return err
	}
	var c issuing.Issue
	form, err := x.bind(&c)
	var done issuing.Issued
	if err == nil {
		c.PreparationID = id
		if c.Token == "" {
			c.Token = x.tokenOf(id)
		}
		done, err = w.Issuing.Issue(x.ctx(), x.actor, c)
	}
	if err == nil {
		return x.done("/certificates/"+done.ID, "certificate.issued-said", http.StatusCreated, done)
	}
	if x.wantsJSON() || !x.formKnown || x.formErr != nil || domain.KindOf(err) == domain.NotFound || domain.KindOf(err) == domain.Internal {
		return err
	}
	p, readErr := w.Issuing.Prepared(x.ctx(), x.actor, id)
	if readErr != nil {
		return readErr
	}
	if render := x.showPrepared(p, form, err); render != nil {
		return render
	}
	x.rejected = err
	return nil
}
