package certificate

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
)

// builder holds what every part of a snapshot is made from.
type builder struct {
	paper  Paper
	facts  evaluation.Facts
	result evaluation.Result
	err    error // the first figure that could not be printed
}

// Build makes the snapshot of a task's result. It rounds, and looks up names and
// sentences; it concludes nothing.
//
// Errors: those of package quantity when the flow unit is unknown.
func Build(paper Paper, facts evaluation.Facts, result evaluation.Result) (Snapshot, error) {
	paper = paper.whole()
	b := &builder{paper: paper, facts: facts, result: result}
	s := Snapshot{
		Format: Format, Kind: paper.Kind,
		Title:    cmp.Or(paper.Title, usualTitle(paper.Kind)),
		Subtitle: cmp.Or(paper.Subtitle, DefaultSubtitle),
		Editions: b.editions(), Company: paper.Company, Client: paper.Client, Place: paper.Place,
		Meter: b.meter(), Order: b.order(), Dates: b.dates(), Conformity: result.Conformity,
		Measurand: facts.Task.Measurand, Indications: b.indications(), Adjustment: b.adjusted(),
		Setup: b.setup(), Runs: b.runs(), Traces: paper.Traces, Grounds: b.grounds(), Remarks: b.remarks(),
		Deviations: b.notes(sheet.Deviation), Conditions: b.notes(sheet.Condition),
		Opinions: orNone(paper.Opinions), NotReached: b.notReached(),
		People: b.people(), Amends: paper.Amends, Interval: paper.Interval,
	}
	s.Statements = b.statements(s)
	return s, b.err
}

// usualTitle never calls a sheet that nobody authorised a certificate.
func usualTitle(k Kind) string {
	if k == Provisional {
		return ProvisionalTitle
	}
	return DefaultTitle
}

// whole puts something in the place of nothing: canonical JSON tells null from [].
func (p Paper) whole() Paper {
	if p.Zone == nil {
		p.Zone = time.UTC
	}
	p.Company.Address, p.Client.Address, p.Place.Address = orNone(p.Company.Address), orNone(p.Client.Address), orNone(p.Place.Address)
	if p.Amends != nil {
		amends := *p.Amends
		amends.Changes = orNone(amends.Changes)
		p.Amends = &amends
	}
	return p
}

// orNone makes the empty list of no list: canonical JSON tells [] from null.
func orNone[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

func (b *builder) editions() Editions {
	e := b.paper.Editions
	e.Calc, e.MethodHash, e.Evaluation = b.result.CalcEdition, b.result.MethodHash, b.result.Input
	return e
}

func (b *builder) meter() Meter {
	m := b.paper.Meter
	m.Parameters = orNone(m.Parameters)
	return m
}

func (b *builder) name(id domain.PersonID) string { return b.paper.Names[id] }

func (b *builder) say(f evaluation.Finding) Said {
	if f.Code == nil {
		return Said{}
	}
	said := Said{Code: f.Code.Name(), Text: f.Code.Name()}
	if b.paper.Say != nil {
		said.Text = b.paper.Say(f.Fault)
	}
	return said
}

func (b *builder) sayAll(into []Said, findings evaluation.Findings) []Said {
	for _, f := range findings {
		if said := b.say(f); !slices.Contains(into, said) {
			into = append(into, said)
		}
	}
	return into
}

// grounds are those that are missing for the whole and for a mounting; those of a flow
// point are its reason.
func (b *builder) grounds() []Said {
	said := b.sayAll([]Said{}, b.result.Grounds)
	for _, m := range b.result.Mountings {
		said = b.sayAll(said, m.Grounds)
	}
	b.eachPoint(func(p evaluation.PointResult) { said = b.sayAll(said, p.Grounds) })
	return said
}

func (b *builder) remarks() []Said {
	said := b.sayAll([]Said{}, b.result.Remarks)
	for _, m := range b.result.Mountings {
		said = b.sayAll(said, m.Remarks)
	}
	b.eachPoint(func(p evaluation.PointResult) { said = b.sayAll(said, p.Remarks) })
	for _, r := range b.result.Runs {
		said = b.sayAll(said, r.Remarks)
	}
	return said
}

func (b *builder) eachPoint(do func(evaluation.PointResult)) {
	for _, phase := range b.result.Phases {
		for _, i := range phase.Indications {
			for _, p := range i.Points {
				do(p)
			}
		}
	}
}

func (b *builder) notes(kind sheet.NoteKind) []string {
	texts := []string{}
	for _, n := range b.facts.Sheet.Notes {
		if n.Kind == kind {
			texts = append(texts, n.Text)
		}
	}
	return texts
}

// notReached names the planned flow points without a run, beside what the paper names.
func (b *builder) notReached() []string {
	texts := append([]string{}, b.paper.NotReached...)
	for _, phase := range b.result.Phases {
		plan, planned := b.facts.Sheet.Plan(phase.Phase)
		if !planned {
			continue
		}
		reached := map[int]bool{}
		for _, run := range b.facts.Sheet.Runs {
			if run.Phase == phase.Phase {
				reached[run.FlowPoint] = true
			}
		}
		for n := 1; n <= plan.FlowPoints; n++ {
			if !reached[n] {
				texts = append(texts, phaseWords[phase.Phase]+": flow point "+strconv.Itoa(n)+" of "+strconv.Itoa(plan.FlowPoints))
			}
		}
	}
	return texts
}

var phaseWords = map[sheet.Phase]string{sheet.Before: "Before adjustment", sheet.After: "After adjustment"}

// people are those who took readings, in the order of the work, and who approved.
func (b *builder) people() []Person {
	people := []Person{}
	for _, id := range b.result.Contributors {
		people = append(people, Person{Role: RoleTechnician, Name: b.name(id), Function: b.paper.Functions[id]})
	}
	if b.paper.Approver != nil {
		approver := *b.paper.Approver
		approver.Role = RoleApprover
		people = append(people, approver)
	}
	return people
}

func (b *builder) statements(s Snapshot) []Stated {
	texts := b.facts.Method.Content.Statements
	rule := map[string]string{"simple": texts.Simple, "guard-band": texts.GuardBand, "non-binary": texts.NonBinary}[s.Order.Rule]
	all := []Stated{{StateUncertainty, texts.Uncertainty}, {StateRule, rule}}
	if !s.Conformity {
		all = append(all, Stated{StateInformation, texts.ForInformation})
	}
	all = append(all, Stated{StateTraceability, cmp.Or(b.paper.Traceability, usualTraceability)})
	if slices.ContainsFunc(s.Setup.Survey, func(v Surveyed) bool { return v.Marked() }) {
		all = append(all, Stated{StateClientSupplied, usualClientSupplied})
	}
	all = append(all, Stated{StateItemOnly, texts.ItemOnly},
		Stated{StateReproduction, cmp.Or(b.paper.Reproduction, usualReproduction)},
		Stated{StateNoVerification, texts.NoVerification})
	return slices.DeleteFunc(all, func(t Stated) bool { return strings.TrimSpace(t.Text) == "" })
}

// Marked reports whether the value was supplied by the client or assumed, which the page
// must point out (ISO/IEC 17025:2017, 7.8.2.2, from memory).
func (v Surveyed) Marked() bool {
	return v.Source == string(sheet.Client) || v.Source == string(sheet.Assumed)
}
