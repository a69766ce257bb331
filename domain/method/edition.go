package method

import (
	"bytes"
	"encoding/json"
	"slices"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
)

// Codes of methods, editions and authorisations.
var (
	NumberTaken        = fault.Define("method.number-taken")
	ContentFrozen      = fault.Define("method.content-frozen")
	EditionBeginsEarly = fault.Define("method.edition-begins-early", fault.C("edition"), fault.T("from"))
	EditionsOverlap    = fault.Define("method.editions-overlap")
	EditionOver        = fault.Define("method.edition-over")
	AuthorisedAlready  = fault.Define("method.authorised-already")
)

// Method is a numbered procedure of the company.
type Method struct {
	ID        domain.MethodID `db:"id"`
	Number    string          `db:"number" audit:"text"`
	Title     string          `db:"title" audit:"text"`
	Version   int64           `db:"version"`
	CreatedAt time.Time       `db:"created_at"`
	ChangedAt time.Time       `db:"changed_at"`
}

// Tidy returns the method with its texts in the form in which they are kept.
func (m Method) Tidy() Method {
	m.Number, m.Title = domain.Line(m.Number), domain.Line(m.Title)
	return m
}

// Validate returns every problem of the method, keyed by field.
func (m Method) Validate() error {
	var check domain.Check
	check.Line("number", m.Number, 30, true)
	check.Line("title", m.Title, 200, true)
	return check.Err()
}

// Edition is one edition of a method. Its content is canonical JSON of Content, and is
// frozen once an agreement names the edition. InForceTo is nil while no end is known.
type Edition struct {
	ID          domain.MethodEditionID `db:"id"`
	MethodID    domain.MethodID        `db:"method_id" audit:"text"`
	Edition     int                    `db:"edition" audit:"text"`
	Content     string                 `db:"content" audit:"text"`
	InForceFrom time.Time              `db:"in_force_from" audit:"text"`
	InForceTo   *time.Time             `db:"in_force_to" audit:"text"`
	Version     int64                  `db:"version"`
	CreatedAt   time.Time              `db:"created_at"`
	ChangedAt   time.Time              `db:"changed_at"`
}

// InForce reports whether the edition is in force at the time.
func (e Edition) InForce(at time.Time) bool {
	return !at.Before(e.InForceFrom) && (e.InForceTo == nil || at.Before(*e.InForceTo))
}

// EditionTexts is an edition as typed: its content as JSON, and the dates of the company
// from which and until which (included) it is in force.
type EditionTexts struct {
	Content    string `json:"content" form:"content"`
	InForce    string `json:"in_force_from" form:"in_force_from"`
	InForceEnd string `json:"in_force_until" form:"in_force_until"`
}

// Read puts what was typed into the edition and returns every problem; those of the
// content are keyed as Content.Validate keys them.
func (e Edition) Read(t EditionTexts, zone *time.Location) (Edition, error) {
	var check domain.Check
	from := check.Day("in_force_from", t.InForce, true)
	until := check.Day("in_force_until", t.InForceEnd, false)
	e.InForceTo = nil
	if !from.IsZero() {
		e.InForceFrom = domain.DayStart(from, zone)
	}
	if !until.IsZero() {
		end := domain.NextDay(until, zone)
		e.InForceTo = &end
		if !from.IsZero() && !end.After(e.InForceFrom) {
			check.Add(domain.EndsBefore.At("in_force_until"))
		}
	}
	content, err := Parse([]byte(t.Content))
	check.Merge(err)
	if err == nil {
		canonical, err := content.Canonical()
		if err != nil {
			check.Add(Unreadable.At("content", err.Error()))
		}
		e.Content = string(canonical)
	}
	return e, check.Err()
}

// Texts gives the edition back as a form takes it, the content laid out for reading.
func (e Edition) Texts(zone *time.Location) EditionTexts {
	t := EditionTexts{Content: Pretty([]byte(e.Content)), InForce: e.InForceFrom.In(zone).Format(domain.DayLayout)}
	if e.InForceTo != nil {
		t.InForceEnd = domain.LastDay(*e.InForceTo, zone).Format(domain.DayLayout)
	}
	return t
}

// Pretty lays JSON out for reading, with the members in the order of Content where it is
// one; text that is no JSON comes back as it is.
func Pretty(text []byte) string {
	var c Content
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if decoder.Decode(&c) == nil {
		if ordered, err := json.Marshal(c); err == nil {
			text = ordered
		}
	}
	var out bytes.Buffer
	if json.Indent(&out, text, "", "  ") != nil {
		return string(text)
	}
	return out.String()
}

// ReadyText is the content a company may start from, laid out for reading.
func ReadyText() string { return Pretty(ready) }

// Act is what a person may be authorised for by a method. The zero value is nothing.
type Act string

// The acts.
const (
	Perform   Act = "perform"   // do the work
	Review    Act = "review"    // judge it
	Authorise Act = "authorise" // sign and issue
)

// AuthorisedActs are all, in the order in which they are shown.
var AuthorisedActs = []Act{Perform, Review, Authorise}

// Known reports whether a is one of AuthorisedActs.
func (a Act) Known() bool { return slices.Contains(AuthorisedActs, a) }

// Authorisation says who may do what by a method, from when to when, and on what ground.
type Authorisation struct {
	ID        domain.AuthorisationID `db:"id"`
	PersonID  domain.PersonID        `db:"person_id" audit:"text"`
	MethodID  domain.MethodID        `db:"method_id" audit:"text"`
	Act       Act                    `db:"act" audit:"text"`
	From      time.Time              `db:"authorised_from" audit:"text"`
	To        *time.Time             `db:"authorised_to" audit:"text"`
	Ground    string                 `db:"ground" audit:"text"`
	Version   int64                  `db:"version"`
	CreatedAt time.Time              `db:"created_at"`
	ChangedAt time.Time              `db:"changed_at"`
}

// Holds reports whether the authorisation holds at the time.
func (a Authorisation) Holds(at time.Time) bool {
	return !at.Before(a.From) && (a.To == nil || at.Before(*a.To))
}

// AuthorisationTexts is an authorisation as typed; dates are those of the company, the
// last one included.
type AuthorisationTexts struct {
	Act    string `json:"act" form:"act"`
	From   string `json:"authorised_from" form:"authorised_from"`
	Until  string `json:"authorised_until" form:"authorised_until"`
	Ground string `json:"ground" form:"ground"`
}

// Read puts what was typed into the authorisation and returns every problem, keyed by field.
func (a Authorisation) Read(t AuthorisationTexts, zone *time.Location) (Authorisation, error) {
	var check domain.Check
	a.Act, a.Ground = Act(t.Act), domain.Lines(t.Ground)
	domain.OneOf(&check, "act", a.Act, AuthorisedActs)
	check.Lines("ground", a.Ground, 1000, true)
	a.From, a.To = readDays(&check, t.From, t.Until, zone)
	return a, check.Err()
}

func readDays(check *domain.Check, from, until string, zone *time.Location) (start time.Time, end *time.Time) {
	first, last := check.Day("authorised_from", from, true), check.Day("authorised_until", until, false)
	if !first.IsZero() {
		start = domain.DayStart(first, zone)
	}
	if !last.IsZero() {
		at := domain.NextDay(last, zone)
		if end = &at; !first.IsZero() && !at.After(start) {
			check.Add(domain.EndsBefore.At("authorised_until"))
		}
	}
	return start, end
}

// Texts gives the authorisation back as a form takes it.
func (a Authorisation) Texts(zone *time.Location) AuthorisationTexts {
	t := AuthorisationTexts{Act: string(a.Act), From: a.From.In(zone).Format(domain.DayLayout), Ground: a.Ground}
	if a.To != nil {
		t.Until = domain.LastDay(*a.To, zone).Format(domain.DayLayout)
	}
	return t
}
