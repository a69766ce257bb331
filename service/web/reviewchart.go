package web

import (
	"cmp"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/plot"
)

// chart is a drawing with its title.
type chart struct {
	Title string
	Key   string
	SVG   template.HTML
}

// chartOf draws error against flow as the certificate does.
func (x *exchange) chartOf(w *capture.Work, r evaluation.Result, i evaluation.Indication) chart {
	c := plot.Chart{Flow: x.text("review.chart-flow", "unit", w.FlowUnit()), Error: x.text("review.chart-error")}
	var last *evaluation.IndicationResult
	for _, phase := range sheet.Phases {
		of := resultOf(r, phase, i)
		if of == nil {
			continue
		}
		points := x.chartPoints(w, of)
		if phase == sheet.Before {
			c.Before = points
		} else {
			c.After = points
		}
		last = of
	}
	if last != nil {
		c.Limits = x.chartLimits(w, last)
	}
	c.Label = x.text("review.chart-label", "name", i.Name)
	return chart{Title: x.text("review.chart-title", "name", i.Name), Key: x.text("review.chart-key"), SVG: template.HTML(c.Draw(640, 300, 12, 1.2).SVG())} //nolint:gosec // written and escaped by the plot itself
}

// inFlowUnit is a flow in the unit in which the pages tell it.
func inFlowUnit(w *capture.Work, si float64) float64 {
	x, err := strconv.ParseFloat(number(flow(w, si)), 64)
	if err != nil {
		return si
	}
	return x
}

// number is a printed quantity without its unit.
func number(text string) string {
	if i := strings.IndexAny(text, "\u00a0 "); i > 0 {
		return text[:i]
	}
	return text
}

func (x *exchange) chartPoints(w *capture.Work, of *evaluation.IndicationResult) (points []plot.Point) {
	for _, p := range of.Points {
		if p.RunsUsed == 0 {
			continue
		}
		point := plot.Point{Flow: inFlowUnit(w, p.Reference), Error: 100 * p.Error, U: 100 * expandedOf(p.U)}
		e, u := percents(p.Error, p.U)
		point.Title = x.text("review.chart-point", "flow", flow(w, p.Reference), "error", e, "u", u)
		points = append(points, point)
	}
	return points
}

func (x *exchange) chartLimits(w *capture.Work, of *evaluation.IndicationResult) (bounds []plot.Bound) {
	for _, p := range of.Points {
		if p.Limits == nil {
			continue
		}
		b := plot.Bound{Flow: inFlowUnit(w, p.Reference), Lower: math.Inf(-1), Upper: math.Inf(1)}
		if p.Limits.LowerError != nil {
			b.Lower = 100 * *p.Limits.LowerError
		}
		if p.Limits.UpperError != nil {
			b.Upper = 100 * *p.Limits.UpperError
		}
		bounds = append(bounds, b)
	}
	slices.SortFunc(bounds, func(a, b plot.Bound) int { return cmp.Compare(a.Flow, b.Flow) })
	return bounds
}
