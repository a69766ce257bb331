package web

import (
	"net/http"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/visit"
	"rillmark/service/planning"
	"rillmark/service/web/part"
)

func (x *exchange) pathVisit() (planning.View, error) {
	id, err := pathID[domain.VisitKind](x, "visit", "visit")
	if err != nil {
		return planning.View{}, err
	}
	return x.Planning.Visit(x.ctx(), x.actor, id)
}

func visitSubject(id domain.VisitID) audit.Subject {
	return audit.Subject{Kind: audit.Visit, ID: id.String()}
}

// visitTrail leads to the client and the site, and to the visit itself from pages below it.
func (x *exchange) visitTrail(v planning.View, below bool) []part.Link {
	trail := []part.Link{{Href: "/clients/" + v.ClientID.String(), Words: v.Client}, {Href: "/sites/" + v.SiteID.String(), Words: v.Site}}
	if below {
		trail = append(trail, part.Link{Href: "/visits/" + v.ID.String(), Words: span(v.From, v.Until, v.Zone)})
	}
	return trail
}

type visitPage struct {
	thingPage
	Gaps  *part.Notice
	Past  []part.Fact
	Steps []part.Button
}

// visit shows who goes where with what, the tasks, and what happened so far.
func (w *Web) visit(x *exchange) error {
	v, err := x.pathVisit()
	if err != nil {
		return err
	}
	here := "/visits/" + v.ID.String()
	p := visitPage{thingPage: thingPage{
		base:  x.base(part.Heading{Trail: x.visitTrail(v, false), Title: span(v.From, v.Until, v.Zone), Lead: x.text("visit.is-" + string(v.State))}),
		Above: x.text("visit.tasks-title"), Empty: x.text("visit.no-tasks"),
		Facts:   x.visitFacts(v),
		History: part.Link{Href: here + "/history", Words: x.text("history.link")},
	}}
	for _, t := range v.Tasks {
		p.Rows = append(p.Rows, part.Row{Href: "/tasks/" + t.ID.String() + "/sheet", Name: joined(" ", t.Tag, t.Point), More: t.Meter, Much: x.taskState(t)})
	}
	if len(v.Gaps) > 0 && !v.State.Ended() {
		p.Gaps = &part.Notice{Act: true, Lead: x.text("visit.gaps"), Text: x.text("visit.gaps-text")}
		for _, g := range v.Gaps {
			p.Gaps.Items = append(p.Gaps.Items, x.Book.Fault(g))
		}
	}
	for _, s := range v.Steps {
		p.Past = append(p.Past, part.Fact{Word: s.At.In(v.Zone).Format("2 January, 15:04"),
			Text: joined(": ", x.text("visit.step-"+string(s.Step)+"-by", "name", s.By), s.Reason)})
	}
	p.Steps = x.visitSteps(v)
	if access.Allowed(x.actor, access.ChangePlan) && !v.State.Ended() {
		p.Acts = append(p.Acts, part.Button{Deed: x.text("visit.change"), Href: here + "/change", Second: true})
	}
	return x.page(http.StatusOK, "visit", p)
}

func (x *exchange) visitFacts(v planning.View) []part.Fact {
	crew, things := make([]string, len(v.Crew)), make([]string, len(v.Kit))
	for i, p := range v.Crew {
		crew[i] = p.Name
	}
	for i, k := range v.Kit {
		things[i] = k.Tag
	}
	facts := []part.Fact{
		{Word: x.text("label.visit.people"), Text: joined(", ", crew...)},
		{Word: x.text("label.visit.kit"), Text: joined(", ", things...)},
		{Word: x.text("visit.zone"), Text: v.Zone.String()},
		{Word: x.text("label.visit.note"), Text: v.Note},
	}
	for i := range facts {
		if facts[i].Text == "" {
			facts[i].Text, facts[i].None = x.text("visit.nothing"), true
		}
	}
	return facts
}

func (x *exchange) taskState(t planning.Task) string {
	switch {
	case t.LastNote != "":
		return x.text("task.state-" + t.LastNote)
	case t.Begun:
		return x.text("task.state-begun")
	}
	return x.text("task.state-open")
}

// visitSteps are the buttons for what can happen next and the actor may note.
func (x *exchange) visitSteps(v planning.View) []part.Button {
	var steps []part.Button
	for _, s := range v.State.Steps() {
		if access.Allowed(x.actor, s.Act()) {
			steps = append(steps, part.Button{Deed: x.text("visit.step-" + string(s)), Href: "/visits/" + v.ID.String() + "/step/" + string(s), Second: len(steps) > 0})
		}
	}
	return steps
}

// stepForm asks for the reason of a step; the step is in the path.
func (x *exchange) stepForm() (entry, planning.View, visit.Step, error) {
	step := visit.Step(x.gin.Param("step"))
	v, err := x.pathVisit()
	if err != nil {
		return entry{}, v, step, err
	}
	if visit.StateAfter(step) == visit.Planned {
		return entry{}, v, step, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "step"))
	}
	if err := access.May(x.actor, step.Act()); err != nil {
		return entry{}, v, step, err
	}
	here := "/visits/" + v.ID.String()
	return entry{heading: part.Heading{Trail: x.visitTrail(v, true), Title: x.text("visit.step-" + string(step)), Lead: x.text("visit.is-" + string(v.State))},
		action: here + "/step/" + string(step), hidden: []string{"operation"},
		fields: []field{{name: "reason", label: "label.visit.reason", hint: "hint.visit.reason", kind: part.Area, required: step == visit.Cancel || step == visit.SendBack}},
		deed:   x.text("visit.step-" + string(step)), back: part.Link{Href: here, Words: x.text("entry.back")}}, v, step, nil
}

func (w *Web) newStep(x *exchange) error {
	e, _, _, err := x.stepForm()
	if err != nil {
		return err
	}
	return x.show(e, x.ids(false))
}

func (w *Web) takeStep(x *exchange) error {
	e, v, step, err := x.stepForm()
	if err != nil {
		return err
	}
	var c planning.TakeStep
	form, err := x.bind(&c)
	var done planning.Written
	if err == nil {
		c.ID, c.Step = v.ID, step
		done, err = w.Planning.TakeStep(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done("/visits/"+done.ID, "visit.stepped", http.StatusOK, done)
}

func (w *Web) visitHistory(x *exchange) error {
	v, err := x.pathVisit()
	if err != nil {
		return err
	}
	return x.history("/visits/"+v.ID.String(), x.visitTrail(v, true), visitSubject(v.ID))
}
