package web

import (
	"net/http"
	"slices"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/issuing"
	"rillmark/service/web/part"
)

// reviewRoutes are the pages and commands of judgement.
func (w *Web) reviewRoutes() []route {
	const get, post = http.MethodGet, http.MethodPost
	return []route{
		{method: get, path: "/review", act: access.Judge, handle: w.waiting},
		{method: get, path: "/evaluations/:evaluation", act: access.SeeSheet, handle: w.review},
		{method: get, path: "/evaluations/:evaluation/sheet.pdf", act: access.SeeSheet, handle: w.resultSheet, costly: true},
		{method: post, path: "/evaluations/:evaluation/approval", act: access.Judge, handle: w.approve},
		{method: post, path: "/evaluations/:evaluation/return", act: access.Judge, handle: w.sendBack},
		{method: post, path: "/evaluations/:evaluation/preparations", act: access.Issue, handle: w.prepare},
	}
}

// resultSheet is the provisional result sheet for leaving on site.
func (w *Web) resultSheet(x *exchange) error {
	id, err := pathID[domain.EvaluationKind](x, "evaluation", "evaluation")
	if err != nil {
		return err
	}
	pdf, err := w.Issuing.ResultSheet(x.ctx(), x.actor, id)
	if err != nil {
		return err
	}
	return x.file(pdf, "application/pdf", "results-provisional.pdf")
}

// reviewPage is an evaluation with the ground of every number.
type reviewPage struct {
	base
	Provisional string
	Blocks      []block
	Forms       []sheetForm
	Side        []stretch
	Charts      []chart
	Deep        []fold // the ground of each number
}

// judged reads the evaluation of the path, and the work it is of with the facts as they
// were evaluated.
func (x *exchange) judged() (issuing.Judged, *capture.Work, error) {
	id, err := pathID[domain.EvaluationKind](x, "evaluation", "evaluation")
	if err != nil {
		return issuing.Judged{}, nil, err
	}
	j, err := x.Issuing.Evaluation(x.ctx(), x.actor, id)
	if err != nil {
		return j, nil, err
	}
	work, err := x.Capture.Sheet(x.ctx(), x.actor, j.TaskID)
	if err != nil {
		return j, nil, err
	}
	work.Facts = j.Facts
	return j, work, nil
}

func (w *Web) review(x *exchange) error {
	j, work, err := x.judged()
	if err != nil {
		return err
	}
	return x.showReview(j, work, nil)
}

func (x *exchange) showReview(j issuing.Judged, w *capture.Work, t *tried) error {
	p := reviewPage{base: x.base(part.Heading{Title: joined(" ", w.Tag, w.Point), Lead: x.text("review.lead", "number", j.Number, "who", w.People[j.By], "when", j.At.In(w.Zone()).Format(wordedTime)),
		Trail: []part.Link{{Href: "/clients/" + w.ClientID.String(), Words: w.Client}, {Href: "/sites/" + w.SiteID.String(), Words: w.Site},
			{Href: "/points/" + w.PointID.String(), Words: w.Tag}}})}
	p.Zone = w.TimeZone
	if j.ApprovalID == nil {
		p.Provisional = x.text("sheet.provisional")
	}
	p.Blocks = append(p.Blocks, x.lookFirst(j, w))
	draft, err := x.Issuing.Draft(x.ctx(), x.actor, j)
	if err != nil {
		return err
	}
	for _, i := range w.Facts.Indications {
		blocks := x.concluded(w, j.Result, i)
		if len(blocks) > 0 {
			asPrinted(blocks[0].Table, draft, i)
			p.Blocks = append(p.Blocks, blocks[0])
			p.Charts = append(p.Charts, x.chartOf(w, j.Result, i))
		}
		if before, after := resultOf(j.Result, sheet.Before, i), resultOf(j.Result, sheet.After, i); after != nil && before != nil {
			if table := x.changeTable(w, j.Result, i); table != nil {
				p.Blocks = append(p.Blocks, block{Table: table, Lead: x.text("sheet.change-lead")})
			}
		}
	}
	last, err := x.lastTime(j, w)
	if err != nil {
		return err
	}
	p.Deep = folded(slices.Concat(last, x.runsOf(w, j.Result, draft), x.adjustmentsOf(w), []block{x.surveyOf(w), x.kitOf(w, j.Result, draft)}, x.budgets(draft)))
	if err := x.judgement(j, w, &p, t); err != nil {
		return err
	}
	return x.page(sheetStatus(t), "review", p)
}
