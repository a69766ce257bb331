package certificate_test

import (
	"bytes"
	"io"
	"reflect"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/certificate"
)

func bytesReader(b []byte) io.Reader { return bytes.NewReader(b) }

// walk visits every value of a decoded JSON text.
func walk(v any, visit func(any)) {
	visit(v)
	switch v := v.(type) {
	case map[string]any:
		for _, one := range v {
			walk(one, visit)
		}
	case []any:
		for _, one := range v {
			walk(one, visit)
		}
	}
}

func TestCanonicalComesBack(t *testing.T) {
	s := complete(t)
	text, err := s.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	back, err := certificate.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	again, err := back.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text, again) || !reflect.DeepEqual(s, back) {
		t.Error("the snapshot does not come back from its canonical JSON")
	}
}

func TestHashTellsEveryChange(t *testing.T) {
	s := complete(t)
	first, err := s.Hash()
	if err != nil || len(first) != 64 {
		t.Fatalf("hash %q, %v", first, err)
	}
	s.Indications[0].Phases[0].Points[0].Error.Printed += "1"
	if second, _ := s.Hash(); second == first {
		t.Error("another figure, the same hash")
	}
}

func TestContentHashIsOfWhatWasPrepared(t *testing.T) {
	s := complete(t)
	first, _ := s.ContentHash()
	other := s.Numbered(certificate.Number{Year: 2027, Serial: 1}, certificate.Moment{Printed: "1 January 2027"}, "https://elsewhere.example")
	if second, _ := other.ContentHash(); second != first {
		t.Error("number, date and address change the content's hash")
	}
	other.Client.Name = "somebody else"
	if second, _ := other.ContentHash(); second == first {
		t.Error("another client, the same content")
	}
}

func TestParseRefuses(t *testing.T) {
	good, err := complete(t).Canonical()
	if err != nil {
		t.Fatal(err)
	}
	for name, tt := range map[string]struct {
		text string
		code *fault.Code
	}{
		"nothing":           {"", certificate.Unreadable},
		"another field":     {`{"format":"rillmark-certificate/1","more":1}`, certificate.Unreadable},
		"something after":   {string(good) + "{}", certificate.Unreadable},
		"another format":    {`{"format":"rillmark-certificate/2"}`, certificate.UnknownFormat},
		"a number for text": {`{"title":1}`, certificate.Unreadable},
	} {
		if _, err := certificate.Parse([]byte(tt.text)); !fault.Has(err, tt.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// without takes one element away; the keys are those of Elements.
var without = map[string]func(*certificate.Snapshot){
	"title":                 func(s *certificate.Snapshot) { s.Title = "" },
	"company":               func(s *certificate.Snapshot) { s.Company.Address = nil },
	"place":                 func(s *certificate.Snapshot) { s.Place.Site = "" },
	"number":                func(s *certificate.Snapshot) { s.Number = "" },
	"client":                func(s *certificate.Snapshot) { s.Client.Name = "" },
	"client-contact":        func(s *certificate.Snapshot) { s.Client.Contact, s.Client.Address = "", nil },
	"method":                func(s *certificate.Snapshot) { s.Order.Edition = "" },
	"meter":                 func(s *certificate.Snapshot) { s.Meter.Serial = "" },
	"work-date":             func(s *certificate.Snapshot) { s.Dates.Work = "" },
	"issue-date":            func(s *certificate.Snapshot) { s.Dates.Issued = certificate.Moment{} },
	"item-only":             unstated(certificate.StateItemOnly),
	"results":               func(s *certificate.Snapshot) { s.Indications[0].Phases[0].Points[0].Error.Printed = "" },
	"units":                 func(s *certificate.Snapshot) { s.Indications[0].Phases[0].Points[0].Reference.Unit = "" },
	"approver":              unnamed(certificate.RoleApprover),
	"technician":            unnamed(certificate.RoleTechnician),
	"reproduction":          unstated(certificate.StateReproduction),
	"survey-sources":        func(s *certificate.Snapshot) { s.Setup.Survey[0].Source = "" },
	"uncertainty":           func(s *certificate.Snapshot) { s.Indications[0].Phases[0].Points[0].U = nil },
	"uncertainty-statement": unstated(certificate.StateUncertainty),
	"conditions":            func(s *certificate.Snapshot) { s.Setup.Survey = nil },
	"traceability":          unstated(certificate.StateTraceability),
	"before-adjustment":     func(s *certificate.Snapshot) { s.Indications[0].Phases = s.Indications[0].Phases[1:] },
	"after-adjustment":      func(s *certificate.Snapshot) { s.Indications[0].Phases = s.Indications[0].Phases[:1] },
	"decision-rule":         unstated(certificate.StateRule),
	"limits":                func(s *certificate.Snapshot) { s.Order.Limits = nil },
	"no-statement-reason": func(s *certificate.Snapshot) {
		p := &s.Indications[0].Phases[0].Points[0]
		p.Verdict, p.Reason = "no-statement", nil
	},
	"amended-number": func(s *certificate.Snapshot) {
		s.Kind, s.Amends = certificate.Reissue, &certificate.Amends{Number: s.Number, Reason: "it names itself"}
	},
	"amendment-reason": func(s *certificate.Snapshot) {
		s.Kind, s.Amends = certificate.Amendment, &certificate.Amends{Number: "2026-00398"}
	},
	"no-legal-verification": unstated(certificate.StateNoVerification),
	"editions":              func(s *certificate.Snapshot) { s.Editions.Calc = "" },
}

func unstated(kind string) func(*certificate.Snapshot) {
	return func(s *certificate.Snapshot) {
		for i := range s.Statements {
			if s.Statements[i].Kind == kind {
				s.Statements[i].Text = ""
			}
		}
	}
}

func unnamed(role string) func(*certificate.Snapshot) {
	return func(s *certificate.Snapshot) {
		for i := range s.People {
			if s.People[i].Role == role {
				s.People[i].Name = ""
			}
		}
	}
}

// TestMissing takes each element away in turn: it, and nothing else, is missing.
func TestMissing(t *testing.T) {
	if l := complete(t).Missing(); len(l) != 0 {
		t.Fatalf("the complete snapshot lacks %v", l)
	}
	for _, e := range certificate.Elements() {
		t.Run(e.Key, func(t *testing.T) {
			take, known := without[e.Key]
			if !known {
				t.Fatal("no test takes it away")
			}
			s := complete(t)
			take(&s)
			l := s.Missing()
			if len(l) != 1 || l[0].Code != e.Code() || l[0].Value("clause") != e.Clause {
				t.Errorf("missing: %v, want %s", l, e.Code().Name())
			}
			if !strings.HasPrefix(e.Code().Name(), "certificate.missing-") {
				t.Errorf("code %s", e.Code().Name())
			}
		})
	}
}

func TestAProvisionalSheetNeedsNeitherNumberNorApprover(t *testing.T) {
	f := facts(t)
	p := paper(f)
	p.Kind, p.Approver = certificate.Provisional, nil
	s := build(t, f, p)
	if l := s.Missing(); len(l) != 0 {
		t.Errorf("missing: %v", l)
	}
	if s.Title != certificate.ProvisionalTitle {
		t.Errorf("it is called %q", s.Title)
	}
}

func TestALife(t *testing.T) {
	f := facts(t)
	draft := build(t, f, paper(f))
	final := complete(t)
	r := certificate.Record{State: certificate.Draft}
	must(t, r.Prepare(draft))
	must(t, r.Issue(final))
	if r.State != certificate.Issued || r.Number.String() != "2026-00412" {
		t.Errorf("%+v", r)
	}
	withdrawn := r
	must(t, withdrawn.Withdraw(" wrong meter "))
	if withdrawn.State != certificate.Withdrawn || withdrawn.Reason != "wrong meter" {
		t.Errorf("%+v", withdrawn)
	}
	must(t, r.Supersede(certificate.Number{Year: 2026, Serial: 500}))
	if r.State != certificate.Superseded || r.By.Serial != 500 {
		t.Errorf("%+v", r)
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestWhatALifeRefuses(t *testing.T) {
	final := complete(t)
	content, _ := final.ContentHash()
	number := certificate.Number{Year: 2026, Serial: 412}
	changed := complete(t)
	changed.Client.Name = "somebody else"
	lacking := complete(t)
	lacking.Title = ""
	in := func(s certificate.State) certificate.Record {
		return certificate.Record{State: s, Content: content, Number: number}
	}
	for name, tt := range map[string]struct {
		from certificate.State
		do   func(*certificate.Record) error
		kind domain.Kind
		code *fault.Code
	}{
		"prepare twice":           {certificate.Prepared, func(r *certificate.Record) error { return r.Prepare(final) }, domain.Taken, certificate.WrongState},
		"prepare what lacks":      {certificate.Draft, func(r *certificate.Record) error { return r.Prepare(lacking) }, domain.Invalid, nil},
		"issue a draft":           {certificate.Draft, func(r *certificate.Record) error { return r.Issue(final) }, domain.Taken, certificate.WrongState},
		"issue twice":             {certificate.Issued, func(r *certificate.Record) error { return r.Issue(final) }, domain.Taken, certificate.WrongState},
		"issue something else":    {certificate.Prepared, func(r *certificate.Record) error { return r.Issue(changed) }, domain.Stale, certificate.Changed},
		"issue without a number":  {certificate.Prepared, func(r *certificate.Record) error { s := final; s.Number = ""; return r.Issue(s) }, domain.Invalid, certificate.NotANumber},
		"withdraw what is not":    {certificate.Prepared, func(r *certificate.Record) error { return r.Withdraw("x") }, domain.Taken, certificate.WrongState},
		"withdraw twice":          {certificate.Withdrawn, func(r *certificate.Record) error { return r.Withdraw("x") }, domain.Taken, certificate.WrongState},
		"withdraw for no reason":  {certificate.Issued, func(r *certificate.Record) error { return r.Withdraw(" \n") }, domain.Invalid, domain.Required},
		"supersede a draft":       {certificate.Draft, func(r *certificate.Record) error { return r.Supersede(number.Next()) }, domain.Taken, certificate.WrongState},
		"supersede by itself":     {certificate.Issued, func(r *certificate.Record) error { return r.Supersede(number) }, domain.Invalid, certificate.BySelf},
		"supersede the withdrawn": {certificate.Withdrawn, func(r *certificate.Record) error { return r.Supersede(number.Next()) }, domain.Taken, certificate.WrongState},
		"nothing at all":          {"", func(r *certificate.Record) error { return r.Prepare(final) }, domain.Taken, certificate.WrongState},
	} {
		t.Run(name, func(t *testing.T) {
			r := in(tt.from)
			before := r
			err := tt.do(&r)
			if err == nil || domain.KindOf(err) != tt.kind || tt.code != nil && !fault.Has(err, tt.code) {
				t.Errorf("error %v", err)
			}
			if r != before {
				t.Errorf("refused, and yet changed to %+v", r)
			}
		})
	}
}
