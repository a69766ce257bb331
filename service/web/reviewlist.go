package web

import (
	"net/http"

	"rillmark/service/store"
	"rillmark/service/web/part"
)

// waiting lists what waits for judgement and what waits for its certificate.
func (w *Web) waiting(x *exchange) error {
	f := store.Filter{After: x.r.URL.Query().Get("after")}
	found, err := w.Issuing.Waiting(x.ctx(), x.actor, f)
	if err != nil {
		return err
	}
	p := broadPage{base: x.base(part.Heading{Title: x.text("review.list-title"), Lead: x.text("review.list-lead")}),
		Empty: x.text("review.none"), Further: x.further("/review", "", f.After, found.Next)}
	for _, one := range found.Items {
		row := part.Row{Href: "/evaluations/" + one.EvaluationID.String(), Name: joined(" · ", joined(" ", one.Tag, one.Point), one.Site),
			More: joined(" · ", one.Client, x.text("review.evaluated-by", "who", one.By, "when", x.when(one.At)))}
		switch {
		case !one.Current:
			row.Much = x.text("review.row-stale")
		case one.Approved:
			row.Needs = x.text("review.row-approved")
		case one.Own:
			row.Much = x.text("review.row-own")
		default:
			row.Needs = x.text("review.row-judge")
		}
		p.Rows = append(p.Rows, row)
	}
	return x.page(http.StatusOK, "list", p)
}
