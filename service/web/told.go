package web

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/domain/audit"
)

// wordsOf are the fields that hold a word of the program, with the keys of how people
// call it: prefix + word.
var wordsOf = map[string]string{"kind": "kit.kind-", "way": "way-of.", "measurand": "measurand.", "works_by": "works-by.", "wave": "wave.",
	"quantity": "quantity.", "route": "route.", "rule": "rule.", "overall_rule": "overall.", "public_shows": "public-shows.", "act": "authorised.",
	"state": "visit.state-"}

// wordsIn are the fields that hold a word of the program in rows of one kind: the keys as
// in wordsOf, by kind and field.
var wordsIn = map[string]string{"survey_value.name": "sheet.name-", "survey_value.source": "sheet.source-",
	"setup_check.moment": "sheet.moment-", "setup_check.outcome": "sheet.outcome-", "zero_check.moment": "sheet.moment-",
	"run_plan.phase": "sheet.phase-", "run.phase": "sheet.phase-", "control_note.control_note_kind": "sheet.control-",
	"adjustment.adjustment_kind": "sheet.adjustment-", "task_note.task_note_kind": "sheet.note-",
	"certificate.certificate_kind": "certificate.kind-", "preparation.preparation_kind": "certificate.kind-",
	"log_file.role": "trail.role-", "alignment.how": "trail.how-", "certificate.verdict": "verdict.", "certificate.state": "certificate.state-"}

// yesOrNo are the fields that hold true or false.
var yesOrNo = map[string]bool{"takes_spacing": true, "adjusting_allowed": true, "interval_printed": true,
	"taken_back": true, "possible": true, "found": true, "signals_found": true, "cutoff_off": true, "conformity": true}

// told turns a field of the trail into what people read: words for the program's words,
// names for ids, times in the company's zone. What nobody knows stays as it is.
func (x *exchange) told(kind audit.Kind, field, text string) string {
	if prefix, is := wordsIn[string(kind)+"."+field]; is {
		return x.text(prefix + text)
	}
	if prefix, is := wordsOf[field]; is && kind != audit.Certificate {
		return x.text(prefix + text)
	}
	switch {
	case yesOrNo[field] && text == "true":
		return x.text("answer.yes")
	case yesOrNo[field] && text == "false":
		return x.text("answer.no")
	case field == "content" && kind == audit.MethodEdition:
		return x.text("edition.content-told", "n", utf8.RuneCountInString(text), "hash", fmt.Sprintf("%.6x", sha256.Sum256([]byte(text))))
	case strings.HasSuffix(field, "_on"):
		if at, err := time.Parse(time.RFC3339Nano, text); err == nil {
			return at.Format(wordedDay)
		}
	case strings.HasSuffix(field, "_at"), strings.HasSuffix(field, "_from"), strings.HasSuffix(field, "_to"):
		if at, err := time.Parse(time.RFC3339Nano, text); err == nil {
			return x.when(at)
		}
	}
	return x.named(field, text)
}

// named turns ids into names.
func (x *exchange) named(field, text string) string {
	name, known := namers[field]
	if !known {
		return text
	}
	ids := strings.Split(text, ", ")
	for i, id := range ids {
		ids[i] = orWord(x.remembered(field, id, name), id)
	}
	return strings.Join(ids, ", ")
}

// remembered looks a name up once for each page: a history names the same things often.
func (x *exchange) remembered(field, id string, find func(*exchange, string) string) string {
	if x.names == nil {
		x.names = map[string]string{}
	}
	name, known := x.names[field+" "+id]
	if !known {
		name = find(x, id)
		x.names[field+" "+id] = name
	}
	return name
}

// rowName names a row of a work sheet that another one points to.
func rowName(x *exchange, id string) string {
	if _, err := uuid.Parse(id); err != nil {
		return ""
	}
	found, err := x.Capture.Labels(x.ctx(), x.actor, []string{id})
	if err != nil || len(found) == 0 {
		return ""
	}
	l := found[0]
	switch l.Kind {
	case "mounting":
		return x.text("sheet.mounting-number", "number", l.Number)
	case "run":
		return x.text("history.run", "number", l.Number, "phase", x.text("sheet.phase-"+string(l.Phase)))
	case "reading", "evaluation", "approval":
		return x.text("history."+l.Kind, "number", l.Number)
	}
	return l.Text
}

// namers find the name of a thing by its id; empty: not to be found, or not for the actor.
var namers = map[string]func(*exchange, string) string{
	"kit_id": kitName, "pair_id": kitName, "cable_id": kitName, "members": kitName, "kit": kitName,
	"person_id": personName, "people": personName,
	"meter_id": nameBy(func(x *exchange, id domain.MeterID) (string, error) {
		m, err := x.Registry.Meter(x.ctx(), x.actor, id)
		return nameOfMeter(m), err
	}),
	"point_id": nameBy(func(x *exchange, id domain.PointID) (string, error) {
		p, err := x.Registry.Point(x.ctx(), x.actor, id)
		return pointName(p), err
	}),
	"site_id": nameBy(func(x *exchange, id domain.SiteID) (string, error) {
		s, err := x.Registry.Site(x.ctx(), x.actor, id)
		return s.Name, err
	}),
	"method_id": nameBy(func(x *exchange, id domain.MethodID) (string, error) {
		m, err := x.Agreeing.Method(x.ctx(), x.actor, id)
		return m.Number, err
	}),
	"method_edition_id": nameBy(func(x *exchange, id domain.MethodEditionID) (string, error) {
		e, err := x.Agreeing.Edition(x.ctx(), x.actor, id)
		return x.text("agreement.by-method", "number", e.Number, "edition", e.Edition.Edition), err
	}),
	"reference_id": kitName, "tape_id": kitName,
	"mounting_id": rowName, "run_id": rowName, "reading_id": rowName, "corrects": rowName, "indication_id": rowName,
	"evaluation_id": rowName, "approval_id": rowName,
	"amends": nameBy(func(x *exchange, id domain.CertificateID) (string, error) {
		c, err := x.Issuing.Certificate(x.ctx(), x.actor, id)
		return c.Number().String(), err
	}),
	"agreement_id": agreementName, "replaces": agreementName,
}

var (
	kitName = nameBy(func(x *exchange, id domain.KitID) (string, error) {
		i, err := x.Equipment.Item(x.ctx(), x.actor, id)
		return i.Tag, err
	})
	agreementName = nameBy(func(x *exchange, id domain.AgreementID) (string, error) {
		g, err := x.Agreeing.Agreement(x.ctx(), x.actor, id)
		return x.text("agreement.order", "number", g.OrderNumber), err
	})
)

func personName(x *exchange, id string) string {
	names, err := x.Accounts.Names(x.ctx(), x.actor, []string{id})
	if err != nil {
		x.Log.Warn("a name cannot be read", "request", x.id, "error", err.Error())
	}
	return names[id]
}

// nameBy makes a namer of a look-up by id.
func nameBy[K any](find func(*exchange, domain.ID[K]) (string, error)) func(*exchange, string) string {
	return func(x *exchange, text string) string {
		id, err := domain.ParseID[K](text)
		if err != nil {
			return ""
		}
		name, err := find(x, id)
		if err != nil {
			return ""
		}
		return name
	}
}
