package demo

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/method"
	"rillmark/service/agreeing"
)

// terms are what a client agrees for some of its points.
type terms struct {
	rule, overall string
	guard, ratio  string // empty: the rule's own, or none
	adjusting     bool
	months        string
	printed       bool
	public        string
	limits        []limit
}

type limit struct{ phase, from, to, kind, lower, upper, span string }

// The clients' terms, of mixed kinds.
var (
	drinkingWater = terms{rule: "non-binary", overall: "worst-point", adjusting: true, months: "12", printed: true, public: "verdict", limits: []limit{
		{"before", "", "", "reading", "± 4 %", "", ""}, {"after", "", "", "reading", "± 3 %", "", ""}, {"adjust-if", "", "", "reading", "± 2 %", "", ""}}}
	rawWater = terms{rule: "non-binary", overall: "worst-point", months: "24", public: "status", limits: []limit{
		{"before", "0 m³/h", "800 m³/h", "flow", "± 40 m³/h", "", ""}, {"before", "800 m³/h", "", "reading", "± 5 %", "", ""}}}
	dairyWater = terms{rule: "non-binary", overall: "worst-point", adjusting: true, months: "12", public: "status", limits: []limit{
		{"before", "", "", "reading", "± 4 %", "", ""}, {"after", "", "", "reading", "± 4 %", "", ""}}}
	dairyProcess = terms{rule: "guard-band", overall: "worst-point", adjusting: true, months: "24", public: "status", limits: []limit{
		{"before", "", "", "reading", "± 4 %", "", ""}, {"after", "", "", "reading", "± 4 %", "", ""}, {"adjust-if", "", "", "reading", "± 2 %", "", ""}}}
	millWater = terms{rule: "simple", overall: "worst-point", adjusting: true, months: "24", printed: true, public: "client-and-point", limits: []limit{
		{"before", "", "", "reading", "± 2.5 %", "", ""}, {"after", "", "", "reading", "± 2.5 %", "", ""}, {"adjust-if", "", "", "reading", "± 1.5 %", "", ""}}}
	coolingWater = terms{rule: "simple", overall: "mean-error", ratio: "80 %", adjusting: true, months: "36", public: "status", limits: []limit{
		{"before", "", "", "span", "± 2 %", "", "1500 m³/h"}, {"after", "", "", "span", "± 2 %", "", "1500 m³/h"}}}
	fieldWater = terms{rule: "guard-band", overall: "mean-error", guard: "0.5", months: "24", public: "status", limits: []limit{
		{"before", "", "", "reading", "± 5 %", "", ""}}}
	fireWater = terms{rule: "simple", overall: "worst-point", months: "36", public: "status", limits: []limit{
		{"before", "", "", "reading", "−3 %", "5 %", ""}}}
	heatWater = terms{rule: "simple", overall: "worst-point", months: "24", public: "status", limits: []limit{
		{"before", "", "", "reading", "± 5 %", "", ""}}}
	seaWater = terms{rule: "guard-band", overall: "worst-point", guard: "0.5", months: "24", public: "status", limits: []limit{
		{"before", "", "", "reading", "± 5 %", "", ""}}}
	transfer = terms{rule: "simple", overall: "worst-point", ratio: "80 %", months: "12", public: "status", limits: []limit{
		{"before", "", "", "reading", "± 3 %", "", ""}}}
)

// agreement is what was agreed for one point, so many days from the founding.
type agreement struct {
	point, edition int
	terms          terms
	order          string
	by             string
	day            int
	consent        string // of one that replaces the agreement before it in the list
}

// agreements are for every point but the rinse water and the boiler's make-up, for which
// nothing is agreed yet. The first was made by the earlier edition and was replaced.
var agreements = []agreement{
	{point: networkWater, edition: 0, terms: drinkingWater, order: "WWT 24-310", by: "Joan Marlock", day: -400},
	{point: networkWater, edition: 1, terms: drinkingWater, order: "WWT 26-104", by: "Joan Marlock", day: -30,
		consent: "Joan Marlock by letter: edition 2 of the method from this year on, limits as before."},
	{point: 0, edition: 1, terms: rawWater, order: "WWT 26-104", by: "Joan Marlock", day: -30},
	{point: 1, edition: 1, terms: rawWater, order: "WWT 26-104", by: "Joan Marlock", day: -30},
	{point: backwash, edition: 1, terms: drinkingWater, order: "WWT 26-104", by: "Joan Marlock", day: -30},
	{point: 4, edition: 1, terms: drinkingWater, order: "WWT 26-104", by: "Joan Marlock", day: -30},
	{point: townWater, edition: 1, terms: dairyWater, order: "GD 4471", by: "Piet Ravensworth", day: -41},
	{point: iceWater, edition: 1, terms: dairyProcess, order: "GD 4471", by: "Piet Ravensworth", day: -41},
	{point: 8, edition: 1, terms: dairyProcess, order: "GD 4471", by: "Piet Ravensworth", day: -41},
	{point: freshWater, edition: 1, terms: millWater, order: "TP-0078", by: "Greet Ambelow", day: -25},
	{point: showerWater, edition: 1, terms: millWater, order: "TP-0078", by: "Greet Ambelow", day: -25},
	{point: sealingWater, edition: 1, terms: millWater, order: "TP-0081", by: "Greet Ambelow", day: -6},
	{point: condenserSupply, edition: 1, terms: coolingWater, order: "PEC 310/26", by: "Sunniva Holt", day: -18},
	{point: condenserReturn, edition: 1, terms: coolingWater, order: "PEC 310/26", by: "Sunniva Holt", day: -18},
	{point: chilledWater, edition: 1, terms: coolingWater, order: "PEC 310/26", by: "Sunniva Holt", day: -18},
	{point: canalMain, edition: 1, terms: fieldWater, order: "by word, confirmed by mail", by: "Anselm Okeridge", day: -33},
	{point: blockEast, edition: 1, terms: fieldWater, order: "by word, confirmed by mail", by: "Anselm Okeridge", day: -33},
	{point: fireTest, edition: 1, terms: fireWater, order: "SP 55120", by: "Arjun Lockhart", day: -15},
	{point: fireMakeUp, edition: 1, terms: fireWater, order: "SP 55120", by: "Arjun Lockhart", day: -15},
	{point: rinseWater, edition: 1, terms: dairyProcess, order: "GD 4490", by: "Piet Ravensworth", day: -34},
	{point: boilerMakeUp, edition: 1, terms: millWater, order: "TP-0080", by: "Greet Ambelow", day: -34},
	{point: heatFlow, edition: 1, terms: heatWater, order: "CDH 2026-18", by: "Odile Farrant", day: -44},
	{point: coldStore, edition: 1, terms: dairyProcess, order: "GD 4502", by: "Piet Ravensworth", day: -41},
	{point: seaIntake, edition: 1, terms: seaWater, order: "PEC 322/26", by: "Sunniva Holt", day: -40},
	{point: crudeLine, edition: 1, terms: transfer, order: "SP 55177", by: "Arjun Lockhart", day: -35},
}

// texts is the agreement as it is typed.
func (a agreement) texts(days calendar) method.AgreementTexts {
	t := method.AgreementTexts{EditionID: editionID(a.edition), OrderNumber: a.order, Rule: a.terms.rule, GuardFactor: a.terms.guard,
		NoStatementRatio: a.terms.ratio, OverallRule: a.terms.overall, AdjustingAllowed: a.terms.adjusting, IntervalMonths: a.terms.months,
		IntervalPrinted: a.terms.printed, PublicShows: a.terms.public, AgreedBy: a.by, AgreedOn: days.day(a.day), Consent: a.consent}
	for _, l := range a.terms.limits {
		t.Phase, t.Kind, t.From, t.To = append(t.Phase, l.phase), append(t.Kind, l.kind), append(t.From, l.from), append(t.To, l.to)
		t.Lower, t.Upper, t.Span = append(t.Lower, l.lower), append(t.Upper, l.upper), append(t.Span, l.span)
	}
	return t
}

func (l *load) agreement(ctx context.Context, i int) error {
	a := agreements[i]
	add := agreeing.AddAgreement{Operation: operation(agreementWrite, i), ID: idOf[domain.AgreementKind](agreementRow, i),
		PointID: idOf[domain.PointKind](pointRow, a.point), AgreementTexts: a.texts(l.calendar)}
	if a.consent != "" {
		add.Replaces = idOf[domain.AgreementKind](agreementRow, i-1)
	}
	_, err := l.Agreeing.AddAgreement(ctx, as(tomas), add)
	return err
}
