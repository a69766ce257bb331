package agreeing_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/method"
	"rillmark/service/agreeing"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

var actor = access.System("test")

func newID[K any]() domain.ID[K] { return domain.NewID[K](storetest.IDs()) }

// table is a company with a method and a client's point, written by hand: how they come
// there is other services' work.
type table struct {
	*agreeing.Service
	t      *testing.T
	db     storetest.DB
	store  *store.Store
	method domain.MethodID
	point  domain.PointID
	person domain.PersonID
}

func newTable(t *testing.T) table {
	t.Helper()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	b := table{agreeing.New(s, time.UTC), t, db, s, newID[domain.MethodKind](), newID[domain.PointKind](), newID[domain.PersonKind]()}
	client, site := newID[domain.ClientKind](), newID[domain.SiteKind]()
	b.sql(fmt.Sprintf(`
		INSERT INTO client (id, name, address, contact_name, contact_email, contact_phone, note, version, created_at, changed_at) VALUES ('%[1]s', 'Aldermere Water', '', '', '', '', '', 1, now(), now());
		INSERT INTO site (id, client_id, name, address, time_zone, access_note, safety_note, version, created_at, changed_at) VALUES ('%[2]s', '%[1]s', 'Fenwick Lane', '', 'UTC', '', '', 1, now(), now());
		INSERT INTO measuring_point (id, client_id, site_id, tag, name, fluid, pipe, note, version, created_at, changed_at) VALUES ('%[3]s', '%[1]s', '%[2]s', 'FT-1', '', '', '', '', 1, now(), now());
		INSERT INTO person (id, login, name, roles, version, created_at, changed_at) VALUES ('%[4]s', 'tem', 'Tem Okonjo', '{technician}', 1, now(), now())`,
		client, site, b.point, b.person))
	_, err := b.AddMethod(t.Context(), actor, agreeing.AddMethod{Operation: storetest.Operation(), ID: b.method, Number: "VP-3", Title: "Clamp-on, in place"})
	b.must(err)
	return b
}

func (b table) sql(text string) {
	b.t.Helper()
	if _, err := b.db.Connect(b.t, "").Exec(b.t.Context(), text); err != nil {
		b.t.Fatal(err)
	}
}

func (b table) must(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

func wantFault(t *testing.T, what string, err error, kind domain.Kind, field string, code *fault.Code) {
	t.Helper()
	for _, f := range fault.AllOf(err) {
		if f.Code == code && f.Field == field && domain.KindOf(err) == kind {
			return
		}
	}
	t.Errorf("%s: %v, want %s in %q", what, err, code.Name(), field)
}

func (b table) edition(from, content string) (domain.MethodEditionID, error) {
	id := newID[domain.MethodEditionKind]()
	_, err := b.AddEdition(b.t.Context(), actor, agreeing.AddEdition{Operation: storetest.Operation(), ID: id, MethodID: b.method,
		EditionTexts: method.EditionTexts{Content: content, InForce: from}})
	return id, err
}

func terms(edition domain.MethodEditionID) method.AgreementTexts {
	return method.AgreementTexts{EditionID: edition, OrderNumber: "PO-4411", Rule: "guard-band", OverallRule: "worst-point", PublicShows: "status",
		AdjustingAllowed: true, IntervalMonths: "24", AgreedBy: "R. Moss, Aldermere Water", AgreedOn: "2026-11-03", NoStatementRatio: "100 %",
		Phase: []string{"before", "after", "before"}, From: []string{"", "", ""}, To: []string{"", "", ""}, Kind: []string{"reading", "reading", ""},
		Lower: []string{"± 5 %", "−2 %", ""}, Upper: []string{"", "2,5 %", ""}, Span: []string{"", "", ""}}
}

func (b table) agree(replaces domain.AgreementID, t method.AgreementTexts) (domain.AgreementID, error) {
	id := newID[domain.AgreementKind]()
	_, err := b.AddAgreement(b.t.Context(), actor, agreeing.AddAgreement{Operation: storetest.Operation(), ID: id, PointID: b.point, Replaces: replaces, AgreementTexts: t})
	return id, err
}

func TestEditionsFollowEachOther(t *testing.T) {
	b := newTable(t)
	ctx := t.Context()
	one, err := b.edition("2026-01-01", method.ReadyText())
	b.must(err)
	_, err = b.edition("2026-01-01", method.ReadyText())
	wantFault(t, "on the same day", err, domain.Invalid, "in_force_from", method.EditionBeginsEarly)
	two, err := b.edition("2027-01-01", method.ReadyText())
	b.must(err)
	all, err := b.Editions(ctx, actor, b.method)
	b.must(err)
	if len(all) != 2 || all[0].ID != two || all[0].Edition.Edition != 2 || all[1].InForceTo == nil || !all[1].InForceTo.Equal(all[0].InForceFrom) || all[1].Version != 2 {
		t.Errorf("editions: %+v", all)
	}
	texts := all[1].Texts(time.UTC)
	if texts.InForceEnd != "2026-12-31" {
		t.Errorf("the first edition's last day is %s", texts.InForceEnd)
	}
	texts.InForceEnd = ""
	_, err = b.ChangeEdition(ctx, actor, agreeing.ChangeEdition{Operation: storetest.Operation(), ID: one, Version: 2, EditionTexts: texts})
	wantFault(t, "both in force", err, domain.Taken, "in_force_from", method.EditionsOverlap)
	_, err = b.AddMethod(ctx, actor, agreeing.AddMethod{Operation: storetest.Operation(), ID: newID[domain.MethodKind](), Number: "VP-3", Title: "Again"})
	wantFault(t, "a number twice", err, domain.Taken, "number", method.NumberTaken)
	broken := strings.Replace(method.ReadyText(), `"coverage": 0.9545`, `"coverage": 3`, 1)
	_, err = b.edition("2028-01-01", broken)
	wantFault(t, "a content that is wrong", err, domain.Invalid, "coverage", method.NotAFraction)
	_, err = b.edition("2028-01-01", "{")
	wantFault(t, "a content that is none", err, domain.Invalid, "content", method.Unreadable)
}

func TestContentFreezesWhenItIsUsed(t *testing.T) {
	b := newTable(t)
	ctx := t.Context()
	id, err := b.edition("2026-01-01", method.ReadyText())
	b.must(err)
	e, err := b.Edition(ctx, actor, id)
	b.must(err)
	longer := strings.Replace(method.ReadyText(), `"flow_points": `, `"flow_points": 1`, 1)
	change := func(version int64, content string) error {
		texts := e.Texts(time.UTC)
		texts.Content = content
		_, err := b.ChangeEdition(ctx, actor, agreeing.ChangeEdition{Operation: storetest.Operation(), ID: id, Version: version, EditionTexts: texts})
		return err
	}
	b.must(change(1, longer))
	if _, err := b.agree(domain.AgreementID{}, terms(id)); err != nil {
		t.Fatal(err)
	}
	wantFault(t, "after an agreement", change(2, method.ReadyText()), domain.Invalid, "content", method.ContentFrozen)
	b.must(change(2, longer)) // the same content, laid out otherwise or not, is no change
	if domain.KindOf(change(2, longer)) != domain.Stale {
		t.Error("an old version is taken")
	}
}

func TestAgreementIsKeptWithItsLimits(t *testing.T) {
	b := newTable(t)
	ctx := t.Context()
	edition, err := b.edition("2026-01-01", method.ReadyText())
	b.must(err)
	id, err := b.agree(domain.AgreementID{}, terms(edition))
	b.must(err)
	g, err := b.Agreement(ctx, actor, id)
	b.must(err)
	if g.GuardFactor != 1 || *g.NoStatementRatio != 1 || *g.IntervalMonths != 24 || g.Number != "VP-3" || g.AgreedOn.Format(time.DateOnly) != "2026-11-03" {
		t.Errorf("agreement: %+v", g)
	}
	if len(g.Limits) != 2 || *g.Limits[0].Lower != -0.05 || *g.Limits[0].Upper != 0.05 || *g.Limits[1].Upper != 0.025 || g.Limits[0].FromEntered != "0 m³/h" {
		t.Errorf("limits: %+v", g.Limits)
	}
	if told := method.TellLimits(g.Limits); told != "before, from 0 m³/h: ± 5 % of reading\nafter, from 0 m³/h: −2 % to 2.5 % of reading" {
		t.Errorf("told as %q", told)
	}
	for _, sql := range []string{"UPDATE agreement SET rule = 'simple'", "DELETE FROM agreement_limit"} {
		if _, err := b.db.Connect(t, store.App).Exec(ctx, sql); err == nil {
			t.Errorf("the application may %s", sql)
		}
	}
	events, err := b.store.Trail(ctx, &audit.Subject{Kind: audit.Point, ID: b.point.String()}, 0, 10)
	b.must(err)
	if len(events) != 1 || events[0].Event.Action != "agreement.add" {
		t.Errorf("the point's history: %+v", events)
	}
}

// TestLimitOfTwoTermsIsKept: as typed, and told in words.
func TestLimitOfTwoTermsIsKept(t *testing.T) {
	b := newTable(t)
	edition, err := b.edition("2026-01-01", method.ReadyText())
	b.must(err)
	texts := terms(edition)
	texts.Combine, texts.OtherKind = []string{"sum", "greater"}, []string{"span", "flow"}
	texts.Other, texts.OtherSpan = []string{"0.1 %", "± 0.5 m³/h"}, []string{"200 m³/h", ""}
	id, err := b.agree(domain.AgreementID{}, texts)
	b.must(err)
	g, err := b.Agreement(t.Context(), actor, id)
	b.must(err)
	if told := method.TellLimits(g.Limits); told != "before, from 0 m³/h: ± 5 % of reading plus 0.1 % of span 200 m³/h\n"+
		"after, from 0 m³/h: −2 % to 2.5 % of reading, or 0.5 m³/h where that is more" {
		t.Errorf("told as %q", told)
	}
}

func TestLaterAgreementNeedsConsent(t *testing.T) {
	b := newTable(t)
	edition, err := b.edition("2026-01-01", method.ReadyText())
	b.must(err)
	t2 := terms(edition)
	t2.Consent = "R. Moss by mail, 2026-11-20"
	_, err = b.agree(domain.AgreementID{}, t2)
	wantFault(t, "consent to nothing", err, domain.Invalid, "consent", method.ConsentUnused)
	first, err := b.agree(domain.AgreementID{}, terms(edition))
	b.must(err)
	_, err = b.agree(domain.AgreementID{}, terms(edition))
	wantFault(t, "written without knowing the first", err, domain.Taken, "", method.NewerAgreement)
	_, err = b.agree(first, terms(edition))
	wantFault(t, "no consent", err, domain.Invalid, "consent", method.ConsentMissing)
	second, err := b.agree(first, t2)
	b.must(err)
	all, err := b.Agreements(t.Context(), actor, b.point)
	b.must(err)
	if len(all) != 2 || all[0].ID != second || all[1].ReplacedBy == nil || *all[1].ReplacedBy != second.String() {
		t.Errorf("agreements: %+v", all)
	}
	_, err = b.agree(first, t2)
	wantFault(t, "replaces one that is replaced", err, domain.Taken, "", method.NewerAgreement)
}

func TestAgreementSaysWhatIsWrong(t *testing.T) {
	b := newTable(t)
	edition, err := b.edition("2026-01-01", method.ReadyText())
	b.must(err)
	for name, row := range map[string]struct {
		change func(*method.AgreementTexts)
		field  string
		code   *fault.Code
	}{
		"no edition":          {func(t *method.AgreementTexts) { t.EditionID = domain.MethodEditionID{} }, "method_edition_id", domain.Required},
		"no rule":             {func(t *method.AgreementTexts) { t.Rule = "" }, "rule", domain.Required},
		"guard for simple":    {func(t *method.AgreementTexts) { t.Rule, t.GuardFactor = "simple", "1" }, "guard_factor", method.GuardUnused},
		"interval of nothing": {func(t *method.AgreementTexts) { t.IntervalMonths, t.IntervalPrinted = "", true }, "interval_months", method.IntervalMissing},
		"no limits":           {func(t *method.AgreementTexts) { t.Lower, t.Upper = nil, nil }, "limits", method.NoLimits},
		"a row without limit": {func(t *method.AgreementTexts) { t.Lower[0], t.To[0] = "", "10 m³/h" }, "limits[0].lower", method.LimitMissing},
		"reversed":            {func(t *method.AgreementTexts) { t.Lower[1] = "3 %" }, "limits[1].upper", method.LimitsReversed},
		"a slip for ±":        {func(t *method.AgreementTexts) { t.Lower[0] = "2 %" }, "limits[0].lower", method.LimitsExcludeNought},
		"a slip above":        {func(t *method.AgreementTexts) { t.Lower[0], t.Upper[0] = "", "−2 %" }, "limits[0].upper", method.LimitsExcludeNought},
		"± and more":          {func(t *method.AgreementTexts) { t.Upper[0] = "2 %" }, "limits[0].upper", method.SymmetricAndMore},
		"a percent as flow":   {func(t *method.AgreementTexts) { t.Kind[0] = "flow" }, "limits[0].lower", quantity.UnknownUnit},
		"span of no span":     {func(t *method.AgreementTexts) { t.Kind[0] = "span" }, "limits[0].span", domain.Required},
		"a span unused":       {func(t *method.AgreementTexts) { t.Span[0] = "300 m³/h" }, "limits[0].span", method.SpanUnused},
		"a second of the same": {func(t *method.AgreementTexts) {
			t.Combine, t.OtherKind, t.Other = []string{"sum"}, []string{"reading"}, []string{"1 %"}
		}, "limits[0].other_kind", conformity.CodeSamePart},
		"a second unsaid":     {func(t *method.AgreementTexts) { t.Other = []string{"", "1 %"} }, "limits[1].combine", method.CombineMissing},
		"no size of a second": {func(t *method.AgreementTexts) { t.Combine, t.OtherKind = []string{"sum"}, []string{"flow"} }, "limits[0].other", domain.Required},
		"a second without a span": {func(t *method.AgreementTexts) {
			t.Combine, t.OtherKind, t.Other = []string{"sum"}, []string{"span"}, []string{"0.1 %"}
		}, "limits[0].other_span", domain.Required},
		"a second of no kind": {func(t *method.AgreementTexts) {
			t.Combine, t.OtherKind, t.Other = []string{"product"}, []string{"flow"}, []string{"1 m³/h"}
		}, "limits[0].combine", domain.UnknownWord},
		"a zone upside down": {func(t *method.AgreementTexts) { t.From[0], t.To[0] = "10 m³/h", "5 m³/h" }, "limits[0].to", method.ZoneReversed},
		"zones over each other": {func(t *method.AgreementTexts) {
			t.Phase[1], t.To[0], t.From[1] = "before", "10 m³/h", "9 m³/h"
		}, "limits[1].from", method.ZonesOverlap},
	} {
		texts := terms(edition)
		row.change(&texts)
		_, err := b.agree(domain.AgreementID{}, texts)
		wantFault(t, name, err, domain.Invalid, row.field, row.code)
	}
	texts := terms(edition)
	texts.Phase, texts.To, texts.From = []string{"before", "before", ""}, []string{"10 m³/h", "", ""}, []string{"", "10 m³/h", ""}
	_, err = b.agree(domain.AgreementID{}, texts)
	b.must(err) // zones that touch do not overlap
}

func TestAuthorisationsHoldOnceAtATime(t *testing.T) {
	b := newTable(t)
	ctx := t.Context()
	administrator := access.Actor{Person: newID[domain.PersonKind](), Roles: []access.Role{access.Administrator}}
	add := func(who access.Actor, from, until string) (domain.AuthorisationID, error) {
		id := newID[domain.AuthorisationKind]()
		_, err := b.AddAuthorisation(ctx, who, agreeing.AddAuthorisation{Operation: storetest.Operation(), ID: id, MethodID: b.method, PersonID: b.person,
			AuthorisationTexts: method.AuthorisationTexts{Act: "perform", From: from, Until: until, Ground: "Trained, and watched at three tasks."}})
		return id, err
	}
	id, err := add(administrator, "2026-01-01", "2026-12-31")
	b.must(err)
	_, err = add(administrator, "2026-12-31", "")
	wantFault(t, "on the last day of the first", err, domain.Taken, "authorised_from", method.AuthorisedAlready)
	_, err = add(administrator, "2027-01-01", "")
	b.must(err)
	_, err = add(administrator, "2026-01-01", "2025-12-31")
	wantFault(t, "ends before", err, domain.Invalid, "authorised_until", domain.EndsBefore)
	approver := access.Actor{Person: newID[domain.PersonKind](), Roles: []access.Role{access.Approver}}
	if _, err = add(approver, "2030-01-01", ""); domain.KindOf(err) != domain.Forbidden {
		t.Errorf("an approver authorises: %v", err)
	}
	_, err = b.ChangeAuthorisation(ctx, administrator, agreeing.ChangeAuthorisation{Operation: storetest.Operation(), ID: id, Version: 1, From: "2026-01-01", Until: "2026-06-30"})
	b.must(err)
	all, err := b.Authorised(ctx, actor, b.method)
	b.must(err)
	if len(all) != 2 || all[1].ID != id || all[1].Person != "Tem Okonjo" || all[1].Holds(time.Date(2026, 7, 1, 0, 0, 0, 0, time.UTC)) || !all[1].Holds(time.Date(2026, 6, 30, 23, 0, 0, 0, time.UTC)) {
		t.Errorf("authorisations: %+v", all)
	}
	_, err = b.ChangeAuthorisation(ctx, administrator, agreeing.ChangeAuthorisation{Operation: storetest.Operation(), ID: id, Version: 1, From: "2026-01-01"})
	if domain.KindOf(err) != domain.Stale {
		t.Errorf("on an old version: %v", err)
	}
}
