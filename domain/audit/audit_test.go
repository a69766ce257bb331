package audit_test

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"rillmark/domain/audit"
)

func text(s string) *audit.Value    { return &audit.Value{Text: &s} }
func private(s string) *audit.Value { return &audit.Value{Private: &s} }

var event = audit.Event{
	V: 1, Action: "client.change", Actor: "person:0190aaaa-0000-7000-8000-000000000001", Operation: "0190aaaa-0000-7000-8000-000000000002",
	Reason:   "tel. <&> \u2028 é",
	Subjects: []audit.Subject{{Kind: audit.Client, ID: "0190aaaa-0000-7000-8000-000000000003"}},
	Changes: []audit.Change{{Kind: audit.Client, ID: "0190aaaa-0000-7000-8000-000000000003", Version: 2, Fields: []audit.Field{
		{Name: "name", Before: text("Old"), After: text("New \"quoted\"\n")},
		{Name: "contact_name", Before: nil, After: private("0190aaaa-0000-7000-8000-000000000004")}}}},
}

// The canonical text is what is hashed: it must never change for the same event.
const canonical = `{"action":"client.change","actor":"person:0190aaaa-0000-7000-8000-000000000001","changes":[{"fields":[` +
	`{"after":{"text":"New \"quoted\"\n"},"before":{"text":"Old"},"name":"name"},` +
	`{"after":{"private":"0190aaaa-0000-7000-8000-000000000004"},"name":"contact_name"}],` +
	`"id":"0190aaaa-0000-7000-8000-000000000003","kind":"client","version":2}],"operation":"0190aaaa-0000-7000-8000-000000000002",` +
	"\"reason\":\"tel. <&> \u2028 é\"," + `"subjects":[["client","0190aaaa-0000-7000-8000-000000000003"]],"v":1}`

func TestEventHasOneCanonicalText(t *testing.T) {
	got, err := audit.Canonical(event)
	if err != nil || string(got) != canonical {
		t.Errorf("%v\n%s\nwant\n%s", err, got, canonical)
	}
	back, err := audit.Parse(string(got))
	if err != nil || !reflect.DeepEqual(back, event) {
		t.Errorf("read back %+v, %v", back, err)
	}
	again, err := audit.Canonical(back)
	if err != nil || string(again) != canonical {
		t.Errorf("again %s, %v", again, err)
	}
}

// RFC 8785: keys by UTF-16 units, numbers as the shortest double, characters unescaped
// where they can be.
func TestCanonicalForm(t *testing.T) {
	for name, c := range map[string]struct {
		v    any
		want string
	}{
		// RFC 8785, 3.2.3: the sample whose keys sort by UTF-16 code units.
		"keys": {map[string]any{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One",
			"\U0001f600": "Emoji: Grinning Face", "\u0080": "Control", "ö": "Latin Small Letter O With Diaeresis"},
			`{"\r":"Carriage Return","1":"One","` + "\u0080" + `":"Control","ö":"Latin Small Letter O With Diaeresis","€":"Euro Sign","` +
				"\U0001f600" + `":"Emoji: Grinning Face","` + "\ufb33" + `":"Hebrew Letter Dalet With Dagesh"}`},
		// RFC 8785, 3.2.2: the sample of numbers, as Go reads them.
		"numbers": {[]float64{333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001}, `[333333333.3333333,1e+30,4.5,0.002,1e-27]`},
		"html":    {"<a href='x'>&</a>", `"<a href='x'>&</a>"`},
		"nested":  {map[string]any{"b": []any{nil, true, map[string]any{"d": 1, "c": ""}}, "a": ""}, `{"a":"","b":[null,true,{"c":"","d":1}]}`},
		"nothing": {nil, `null`},
	} {
		got, err := audit.Canonical(c.v)
		if err != nil || string(got) != c.want {
			t.Errorf("%s: %s, %v, want %s", name, got, err, c.want)
		}
	}
	for name, v := range map[string]any{"NaN": math.NaN(), "infinity": math.Inf(1), "a function": func() {}} {
		if got, err := audit.Canonical(v); err == nil {
			t.Errorf("%s: %s", name, got)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, payload := range []string{"", "{", `{"v":1,"more":2}`, `{"subjects":[["client"]],"x":1}`, `{"subjects":["client"]}`, `{"subjects":[["a","b","c"]]}`, `{"subjects":[[1,2]]}`, canonical + `{}`, canonical + "x"} {
		if e, err := audit.Parse(payload); err == nil {
			t.Errorf("%q is read as %+v", payload, e)
		}
	}
}

func TestSubjectsAreNamedOnceAndSorted(t *testing.T) {
	changes := []audit.Change{{Kind: audit.Site, ID: "2"}, {Kind: audit.Client, ID: "9"}, {Kind: audit.Site, ID: "1"}}
	extra := []audit.Subject{{Kind: audit.Client, ID: "9"}, {Kind: audit.Client, ID: "3"}}
	got := audit.SubjectsOf(changes, extra)
	want := []audit.Subject{{audit.Client, "3"}, {audit.Client, "9"}, {audit.Site, "1"}, {audit.Site, "2"}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%v", got)
	}
	if extra[0].ID != "9" {
		t.Error("the caller's list was sorted")
	}
	b, err := json.Marshal(audit.Event{Subjects: audit.SubjectsOf(nil, nil)})
	if err != nil || !strings.Contains(string(b), `"subjects":[]`) {
		t.Errorf("no subjects are %s, %v", b, err)
	}
}
