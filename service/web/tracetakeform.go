package web

import (
	"net/url"
	"slices"
	"strconv"

	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/web/part"
)

// besideIt are the alignments of further indications with the same series of the reference,
// the newest of each: their readings can stand beside in the same run.
func (x *exchange) besideIt(a tracing.Alignment) ([]part.Option, error) {
	alignments, err := x.Tracing.Alignments(x.ctx(), x.actor, a.TaskID)
	if err != nil {
		return nil, err
	}
	channels, err := x.Tracing.Channels(x.ctx(), x.actor, a.TaskID)
	if err != nil {
		return nil, err
	}
	indication := map[domain.SeriesID]tracing.Channel{}
	for _, c := range channels {
		indication[c.ID] = c
	}
	own := indication[a.MeterID].Indication
	there := map[string]bool{own: true}
	var list []part.Option
	for _, one := range alignments {
		c, known := indication[one.MeterID]
		if !known || one.ReferenceID != a.ReferenceID || there[c.Indication] {
			continue
		}
		there[c.Indication] = true
		list = append(list, part.Option{Value: one.ID.String(), Words: c.Indication, More: c.File})
	}
	return list, nil
}

// runFields say where a run belongs.
func (x *exchange) runFields(w *capture.Work, beside []part.Option) []field {
	phase := tracePhase(w)
	plan, _ := w.Facts.Sheet.Plan(phase)
	var points []part.Option
	for n := 1; n <= max(plan.FlowPoints, 1); n++ {
		points = append(points, part.Option{Value: strconv.Itoa(n), Words: x.text("sheet.flow-point", "point", n)})
	}
	fields := []field{{name: "flow_point", label: "sheet.flow-point-word", kind: part.Choice, options: points, required: true}}
	if phase == sheet.After {
		fields = append(fields, field{name: "phase", label: "trace.phase", kind: part.Choice, beside: true, options: []part.Option{
			{Value: string(sheet.Before), Words: x.text("sheet.phase-before")}, {Value: string(sheet.After), Words: x.text("sheet.phase-after")}}})
	}
	if all := w.Facts.Sheet.Mountings; len(all) > 1 {
		var mountings []part.Option
		for i := len(all) - 1; i >= 0; i-- {
			mountings = append(mountings, part.Option{Value: all[i].ID.String(), Words: x.text("sheet.mounting-number", "number", all[i].Number)})
		}
		fields = append(fields, field{name: "mounting_id", label: "sheet.mounting-word", kind: part.Choice, options: mountings, beside: true})
	}
	if len(beside) > 0 {
		fields = append(fields, field{name: "also", label: "trace.also", hint: "trace.also-hint", open: true, several: true, options: beside})
	}
	return fields
}

// takeForm is a form that takes a stretch as a run, put where it belongs by its time and its
// flow as far as they are known.
func (x *exchange) takeForm(w *capture.Work, a tracing.Alignment, id string, fields []field, values url.Values, s *tracing.Stretch, t *tried) sheetForm {
	phase, at := tracePhase(w), a.From
	if s != nil {
		at = s.From
	}
	if by, known := w.PhaseAt(at); known {
		phase = by
	}
	plan, _ := w.Facts.Sheet.Plan(phase)
	point := nextFlowPoint(plan, w.Facts.Sheet.Taken(phase))
	if s != nil {
		if near, there := w.FlowPointOf(phase, s.Reference); there {
			point = near
		} else {
			point = freeFlowPoint(plan, w.Facts.Sheet.Taken(phase), point)
		}
	}
	all := x.fresh("stretch_id", x.IDs().String(), "alignment_id", a.ID.String(), "phase", string(phase), "form", id, "flow_point", strconv.Itoa(point))
	if m, there := w.MountingAt(at); there {
		all.Set("mounting_id", m.ID.String())
	}
	for name, v := range values {
		all[name] = v
	}
	for _, f := range fields {
		if f.name == "also" { // side by side unless a person says otherwise
			for _, o := range f.options {
				all.Add("also", o.Value)
			}
		}
	}
	var hidden []string
	for _, name := range []string{"stretch_id", "alignment_id", "phase", "mounting_id", "form", "from", "to"} {
		asked := false
		for _, f := range fields {
			asked = asked || f.name == name
		}
		if !asked {
			hidden = append(hidden, name)
		}
	}
	return x.ask(id, tracePath(w, "runs"), fields, all, hidden, t)
}

// freeFlowPoint is the first planned flow point without a used run.
func freeFlowPoint(plan sheet.RunPlan, taken []sheet.Taken, otherwise int) int {
	for n := 1; n <= plan.FlowPoints; n++ {
		if !slices.ContainsFunc(taken, func(r sheet.Taken) bool { return r.Used && r.FlowPoint == n }) {
			return n
		}
	}
	return otherwise
}

func (x *exchange) asideStretchForm(w *capture.Work, a tracing.Alignment, id string, exact url.Values, t *tried) sheetForm {
	all := x.fresh("alignment_id", a.ID.String(), "form", id, "from", exact.Get("from"), "to", exact.Get("to"))
	f := x.ask(id, tracePath(w, "aside"), []field{{name: "reason", label: "sheet.aside-why", hint: "trace.aside-hint", kind: part.Area, required: true}}, all,
		[]string{"alignment_id", "form", "from", "to"}, t)
	f.Summary = x.text("trace.set-aside")
	f.Button = part.Button{Deed: f.Summary, Second: true}
	return f
}
