package web

import (
	"net/url"
	"reflect"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/registry"
)

type inner struct {
	Deep string `form:"deep"`
}

type sample struct {
	ID    domain.ClientID `form:"id"`
	Text  string          `form:"text"`
	Count int64           `form:"count"`
	Yes   bool            `form:"yes"`
	Many  []string        `form:"many"`
	Plain string
	inner
}

const someID = "019b8d2b-8dc9-7000-8000-0000000001c9"

func TestFillAndBack(t *testing.T) {
	form := url.Values{"id": {someID}, "text": {"a\nb"}, "count": {"-7"}, "yes": {"yes"}, "many": {"x", "y"}, "deep": {"d"}, "Plain": {"p"}}
	var s struct {
		sample
	}
	if err := fill(&s.sample, form); err != nil {
		t.Fatal(err)
	}
	if s.ID.String() != someID || s.Text != "a\nb" || s.Count != -7 || !s.Yes || len(s.Many) != 2 || s.Deep != "d" || s.Plain != "" {
		t.Errorf("filled %+v", s)
	}
	form.Del("Plain")
	if back := formOf(&s.sample); !reflect.DeepEqual(back, form) {
		t.Errorf("back: %v, want %v", back, form)
	}
}

func TestFillNamesEveryFieldThatCannotBeRead(t *testing.T) {
	err := fill(&sample{}, url.Values{"id": {"x"}, "text": {"a", "b"}, "count": {"7.5"}, "yes": {"maybe"}, "many": {"\xff"}, "deep": {"\xff"}})
	want := map[string]*fault.Code{"id": domain.NotAnID, "text": FieldTwice, "count": FieldMalformed, "yes": FieldMalformed, "many": domain.NotUTF8, "deep": domain.NotUTF8}
	faults := fault.AllOf(err)
	for _, f := range faults {
		if want[f.Field] != f.Code {
			t.Errorf("%s: %s", f.Field, f.Code.Name())
		}
	}
	if len(faults) != len(want) || domain.KindOf(err) != domain.Invalid {
		t.Errorf("found %v", err)
	}
	for _, id := range []string{"00000000-0000-0000-0000-000000000000", "6ba7b810-9dad-11d1-80b4-00c04fd430c8", someID + "0"} {
		if err := fill(&sample{}, url.Values{"id": {id}}); !fault.Has(err, domain.NotAnID) {
			t.Errorf("%s is taken for an id", id)
		}
	}
	if err := fill(&sample{}, url.Values{}); err != nil {
		t.Errorf("an empty form: %v", err)
	}
}

func TestFillPanicsOnWhatNoFormCanFill(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	_ = fill(&struct {
		Odd float32 `form:"odd"`
	}{}, url.Values{"odd": {"1"}})
}

// TestFormsAskForWhatCommandsTake holds the fields of each form to its command: a field
// that no command takes would be typed in vain, one that no form shows could not be typed.
func TestFormsAskForWhatCommandsTake(t *testing.T) {
	for name, row := range map[string]struct {
		fields  []field
		command any
		unseen  []string
	}{
		"client": {clientFields(), &registry.AddClient{}, []string{"operation", "id"}},
		"site":   {siteFields(nil), &registry.AddSite{}, []string{"operation", "id", "client_id"}},
		"point":  {pointFields(), &registry.AddPoint{}, []string{"operation", "id", "site_id"}},
	} {
		asked := map[string]bool{}
		for _, f := range row.fields {
			asked[f.name] = true
		}
		for _, u := range row.unseen {
			asked[u] = true
		}
		for taken := range tagged(reflect.ValueOf(row.command).Elem()) {
			if !asked[taken] {
				t.Errorf("%s: nothing asks for %s", name, taken)
			}
			delete(asked, taken)
		}
		for left := range asked {
			t.Errorf("%s: the field %s is typed in vain", name, left)
		}
	}
}
