package web

import (
	"net/http"
	"net/url"
	"slices"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/service/capture"
	"rillmark/service/issuing"
	"rillmark/service/web/part"
)

// judgement are the forms, or why there are none.
func (x *exchange) judgement(j issuing.Judged, w *capture.Work, p *reviewPage, t *tried) error {
	here := "/evaluations/" + j.ID.String()
	facts := []part.Fact{{Word: x.text("review.order"), Text: w.OrderNumber, Href: "/agreements/" + j.AgreementID.String()}, {Word: x.text("review.method"), Text: joined(" ", w.MethodNumber, w.MethodTitle), Href: "/methods/" + j.MethodID.String()},
		{Word: x.text("review.sheet"), Text: x.text("sheet.whole"), Href: sheetPath(w, "sheet")},
		{Word: x.text("review.result-sheet"), Text: x.text("review.result-sheet-open"), Href: here + "/sheet.pdf"}}
	side := stretch{Title: x.text("review.about"), Facts: facts}
	if j.ApprovalID != nil {
		side.Moments = []part.Moment{{When: x.when(*j.ApprovedAt), Title: x.text("review.approved-by", "who", w.People[*j.ApprovedBy]), Text: *j.Remark}}
	}
	p.Side = append(p.Side, side)
	issued, err := x.Issuing.Certificates(x.ctx(), x.actor, issuing.Filter{Task: j.TaskID})
	if err != nil {
		return err
	}
	if len(issued.Items) > 0 {
		p.Side = append(p.Side, stretch{Title: x.text("certificates.title"), Rows: x.certificateRows(issued.Items)})
	}
	switch {
	case !j.Latest:
		p.Side = append(p.Side, stretch{Notices: []part.Notice{{Text: x.text("review.not-latest")}}})
	case j.ApprovalID == nil && access.Allowed(x.actor, access.Judge):
		x.judgeForms(j, here, p, t)
	case j.ApprovalID != nil && access.Allowed(x.actor, access.Issue):
		return x.prepareForm(j, here, issued.Items, p, t)
	}
	return nil
}

func (x *exchange) judgeForms(j issuing.Judged, here string, p *reviewPage, t *tried) {
	if err := x.Issuing.May(x.ctx(), x.actor, j); err != nil {
		p.Side = append(p.Side, stretch{Notices: []part.Notice{{Act: true, Lead: x.text("review.may-not"), Items: x.sentences(x.faultsOf(err))}}})
	} else {
		f := x.ask("approve", here+"/approval", []field{{name: "remark", label: "review.remark", hint: "review.remark-hint", kind: part.Area}},
			x.fresh("input", j.Input), []string{"input"}, t)
		f.Lead, f.Button.Deed = x.text("review.approve-lead"), x.text("review.approve")
		p.Forms = append(p.Forms, f)
	}
	back := x.ask("return", here+"/return", []field{{name: "reason", label: "review.reason", hint: "review.reason-hint", kind: part.Area, required: true}}, x.fresh(), nil, t)
	back.Summary, back.Button.Deed = x.text("review.send-back-open"), x.text("review.send-back")
	p.Forms = append(p.Forms, back)
}

// prepareForm freezes the certificate; where the task has one already, its re-issue.
func (x *exchange) prepareForm(j issuing.Judged, here string, issued []issuing.Certificate, p *reviewPage, t *tried) error {
	fields := []field{{name: "opinions", label: "review.opinions", hint: "review.opinions-hint", kind: part.Area}}
	values, hidden := x.fresh("kind", string(certificate.First)), []string{"kind"}
	deed, lead := x.text("review.prepare"), x.text("review.prepare-lead")
	reissue := false
	for _, c := range issued {
		if c.State == certificate.Superseded {
			continue
		}
		values = merged(values, url.Values{"kind": {string(certificate.Reissue)}, "amends": {c.ID.String()}})
		hidden = []string{"kind", "amends"}
		fields = slices.Concat([]field{{name: "reason", label: "review.amend-reason", hint: "review.amend-reason-hint", kind: part.Area, required: true},
			{name: "changes", label: "review.amend-changes", hint: "review.amend-changes-hint", kind: part.Area}}, fields)
		deed, lead, reissue = x.text("review.prepare-reissue"), x.text("review.prepare-reissue-lead"), true
		break
	}
	token, err := x.Issuing.Secret()
	if err != nil {
		return err
	}
	values.Set("token", token)
	f := x.ask("prepare", here+"/preparations", fields, values, append(hidden, "token"), t)
	f.Lead, f.Button.Deed = lead, deed
	if reissue {
		f.Summary = x.text("review.reissue-open")
	}
	p.Forms = append(p.Forms, f)
	return nil
}

// judging carries a command of judgement out; a refused one shows the review again with
// what was typed.
func judging[C, R any](x *exchange, form string, run func(domain.EvaluationID, *C) (R, error), then func(*C, R) string, said string) error {
	id, err := pathID[domain.EvaluationKind](x, "evaluation", "evaluation")
	if err != nil {
		return err
	}
	var c C
	values, err := x.bind(&c)
	var done R
	if err == nil {
		done, err = run(id, &c)
	}
	if err == nil {
		return x.done(then(&c, done), said, http.StatusCreated, done)
	}
	if x.wantsJSON() || !x.formKnown || x.formErr != nil {
		return err
	}
	switch domain.KindOf(err) {
	case domain.NotFound, domain.Unauthenticated, domain.TooLarge, domain.Internal:
		return err
	}
	j, work, readErr := x.judged()
	if readErr != nil {
		return readErr
	}
	if render := x.showReview(j, work, &tried{form, values, err}); render != nil {
		return render
	}
	x.rejected = err
	return nil
}

func (w *Web) approve(x *exchange) error {
	return judging(x, "approve", func(id domain.EvaluationID, c *issuing.Approve) (issuing.Written, error) {
		c.EvaluationID = id
		return w.Issuing.Approve(x.ctx(), x.actor, *c)
	}, func(c *issuing.Approve, _ issuing.Written) string {
		return "/evaluations/" + c.EvaluationID.String() + "#form-prepare"
	}, "review.approved")
}

func (w *Web) sendBack(x *exchange) error {
	return judging(x, "return", func(id domain.EvaluationID, c *issuing.SendBack) (issuing.Written, error) {
		c.EvaluationID = id
		return w.Issuing.SendBack(x.ctx(), x.actor, *c)
	}, func(*issuing.SendBack, issuing.Written) string { return "/review" }, "review.sent-back")
}

// prepare freezes a certificate. The token that issues it was drawn with the form and stays
// with this browser; a program sends its own.
func (w *Web) prepare(x *exchange) error {
	return judging(x, "prepare", func(id domain.EvaluationID, c *issuing.Prepare) (issuing.Written, error) {
		c.EvaluationID = id
		done, err := w.Issuing.Prepare(x.ctx(), x.actor, *c)
		if err == nil {
			x.setCookie(x.gin.Writer, preparedCookie, done.ID+"."+c.Token, issuing.PreparedFor)
		}
		return done, err
	}, func(_ *issuing.Prepare, done issuing.Written) string { return "/preparations/" + done.ID }, "")
}
