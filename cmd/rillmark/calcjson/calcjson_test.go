package calcjson_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"

	"rillmark/cmd/rillmark/calcjson"
)

const goodDecision = `{"value":1,"expanded_uncertainty":0.5,"coverage_factor":2,"upper_limit":2,"rule":"simple"}`

type refused struct {
	Error *struct{ Field, Code, Message string }
	Also  []struct{ Field, Code, Message string }
}

func refusalOf(t *testing.T, text string) refused {
	t.Helper()
	var r refused
	if err := json.Unmarshal([]byte(text), &r); err != nil {
		t.Fatalf("%v in %q", err, text)
	}
	return r
}

// What the reader refuses of every kind, by field and code.
func TestReaderRefuses(t *testing.T) {
	deep := strings.Repeat(`[`, 17) + strings.Repeat(`]`, 17)
	many := "[" + strings.Repeat("1,", 100_000) + "1]"
	for _, row := range []struct{ name, input, field, code string }{
		{"nothing", " \n", "", "calcjson.empty"},
		{"not JSON", `{"value":1,}`, "", "calcjson.syntax"},
		{"cut short", `{"value":1`, "", "calcjson.syntax"},
		{"single quotes", `{'value':1}`, "", "calcjson.syntax"},
		{"leading zero", `{"value":01}`, "", "calcjson.syntax"},
		{"NaN", `{"value":NaN}`, "", "calcjson.not-json-number"},
		{"nan", `{"value":nan}`, "", "calcjson.not-json-number"},
		{"Infinity", `{"value":Infinity}`, "", "calcjson.not-json-number"},
		{"-Infinity", `{"value":-Infinity}`, "", "calcjson.not-json-number"},
		{"a second value", goodDecision + goodDecision, "", "calcjson.trailing-data"},
		{"rubbish behind", goodDecision + "x", "", "calcjson.trailing-data"},
		{"bytes that are no text", "{\"\xff\":1}", "", "calcjson.not-utf8"},
		{"too deep", deep, "", "calcjson.too-deep"},
		{"too many objects", many, "", "calcjson.too-many"},
		{"a number alone", `5`, "", "calcjson.not-object"},
		{"null alone", `null`, "", "calcjson.not-object"},
		{"unknown field", `{"zz":1,` + goodDecision[1:], "zz", "calcjson.field-unknown"},
		{"case matters", `{"Value":1,` + goodDecision[1:], "Value", "calcjson.field-unknown"},
		{"field twice", `{"value":1,` + goodDecision[1:], "value", "calcjson.field-twice"},
		{"field twice by escape", `{"v\u0061lue":1,` + goodDecision[1:], "value", "calcjson.field-twice"},
		{"text for a number", `{"value":"1"}`, "value", "calcjson.wrong-type"},
		{"NaN as a text", `{"value":"NaN"}`, "value", "calcjson.wrong-type"},
		{"too large", `{"value":1e999}`, "value", "calcjson.number-range"},
		{"too small to be told from 0", `{"value":-0.1E-999}`, "value", "calcjson.number-range"},
		{"missing", `{}`, "value", "calcjson.field-missing"},
		{"null counts as missing", `{"value":null}`, "value", "calcjson.field-missing"},
	} {
		out, exit := run("decision", row.input)
		r := refusalOf(t, out)
		if exit != 2 || r.Error == nil || r.Error.Field != row.field || r.Error.Code != row.code || r.Error.Message == "" {
			t.Errorf("%s: exit %d, %s", row.name, exit, out)
		}
	}
}

func TestReaderAccepts(t *testing.T) {
	for name, input := range map[string]string{
		"white space":      " \r\n\t" + goodDecision + "\n\n",
		"zero in any form": strings.Replace(goodDecision, `"value":1`, `"value":-0.00e-999`, 1),
		"null for absent":  strings.Replace(goodDecision, `"rule"`, `"lower_limit":null,"rule"`, 1),
	} {
		if out, exit := run("decision", input); exit != 0 || !strings.Contains(out, `"verdict":"pass"`) {
			t.Errorf("%s: exit %d, %s", name, exit, out)
		}
	}
}

func TestEveryMissingFieldIsNamed(t *testing.T) {
	out, _ := run("decision", `{"upper_limit":2,"valeu":1}`)
	r := refusalOf(t, out)
	got := r.Error.Code + " " + r.Error.Field
	for _, p := range r.Also {
		got += "; " + p.Code + " " + p.Field
	}
	const missing = "; calcjson.field-missing "
	if want := "calcjson.field-unknown valeu" + missing + "value" + missing + "expanded_uncertainty" + missing + "coverage_factor" + missing + "rule"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestListKeepsItsLength(t *testing.T) {
	out, exit := run("decision", `[`+goodDecision+`,{"value":1,"value":1},7,`+goodDecision+`]`)
	var all []map[string]any
	if err := json.Unmarshal([]byte(out), &all); err != nil || exit != 0 || len(all) != 4 {
		t.Fatalf("exit %d, %v, %s", exit, err, out)
	}
	for i, good := range []bool{true, false, false, true} {
		_, answered := all[i]["verdict"]
		_, refused := all[i]["error"]
		if answered != good || refused == good {
			t.Errorf("element %d: %v", i, all[i])
		}
	}
	if out, exit := run("decision", `[]`); exit != 0 || strings.ReplaceAll(out, "\n", "") != "[]" {
		t.Errorf("empty list: exit %d, %q", exit, out)
	}
}

func TestErrorHasThreeNamesAlone(t *testing.T) {
	out, _ := run("decision", `{"value":1}`)
	var r struct {
		Error map[string]any `json:"error"`
	}
	if err := json.Unmarshal([]byte(out), &r); err != nil || len(r.Error) != 3 {
		t.Errorf("%v, %v", r.Error, err)
	}
}

func TestUnknownKind(t *testing.T) {
	out, exit := run("decisions", goodDecision)
	if r := refusalOf(t, out); exit != 2 || r.Error.Code != "calcjson.kind-unknown" || !strings.Contains(r.Error.Message, "decision") {
		t.Errorf("exit %d, %s", exit, out)
	}
}

func TestTooManyBytes(t *testing.T) {
	out, exit := run("decision", goodDecision+strings.Repeat(" ", 16<<20))
	if r := refusalOf(t, out); exit != 2 || r.Error.Code != "calcjson.too-large" {
		t.Errorf("exit %d, %s", exit, out)
	}
}

func TestTooManyInside(t *testing.T) {
	long := `{"pairs":[` + strings.Repeat(`{"reference":1,"indication":1},`, 20_000) + `{"reference":1,"indication":1}]}`
	out, exit := run("error", long)
	if r := refusalOf(t, out); exit != 2 || r.Error.Code != "calcjson.too-many" || r.Error.Field != "pairs" {
		t.Errorf("exit %d, %s", exit, out)
	}
}

// A long name or kind is echoed shortened, so that no message drowns the reader.
func TestEchoIsBounded(t *testing.T) {
	long := strings.Repeat("x", 100_000)
	for _, out := range []string{
		first(run("decision", `{"`+long+`":1}`)),
		first(run("decision", `{"value":1`+strings.Repeat("0", 100_000)+`}`)),
		first(run(long, `{}`)),
	} {
		if len(out) > 4000 {
			t.Errorf("%d bytes: %s…", len(out), out[:200])
		}
	}
}

func first(out string, _ int) string { return out }

func TestBrokenStreams(t *testing.T) {
	var out bytes.Buffer
	exit := calcjson.Run("decision", broken{}, &out, say)
	if r := refusalOf(t, out.String()); exit != 2 || r.Error.Code != "calcjson.unreadable" {
		t.Errorf("exit %d, %s", exit, out.String())
	}
	if exit := calcjson.Run("decision", strings.NewReader(goodDecision), broken{}, say); exit != 1 {
		t.Errorf("a result that cannot be written: exit %d, want 1", exit)
	}
}

type broken struct{}

func (broken) Read([]byte) (int, error)  { return 0, errors.New("no signal") }
func (broken) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

// A result beyond every float64 is told, not lost.
func TestResultThatJSONCannotHold(t *testing.T) {
	out, exit := run("error", `{"pairs":[{"reference":1,"indication":1e307}]}`)
	if r := refusalOf(t, out); exit != 2 || r.Error.Code != "calcjson.result-not-finite" {
		t.Errorf("exit %d, %s", exit, out)
	}
}

// Whatever goes in, one JSON value comes out, with exit 0 or 2, and a list keeps its length.
func FuzzRun(f *testing.F) {
	for _, kind := range calcjson.Kinds() {
		for _, input := range []string{
			`{}`, `[]`, `[{},1,null]`, `null`, `"NaN"`, `NaN`, `{"a":{"b":[1,{"c":"\ud800"}]}}`, `{"value":1e999}`,
			`{"value":1,"value":2}`, "\xef\xbb\xbf{}", `{"":0}`, `{"text":"3 5/8\"","kind":"length"}`, goodDecision,
			`{"fluid":"water","temperature_C":20,"pressure_Pa":101325}`,
			`{"standard":"ASME B36.10M","size":"8","schedule":"40"}`,
			`{"components":[{"name":"a","value":1,"distribution":"normal","k":2,"degrees_of_freedom":null}],"correlations":[{"a":"a","b":"a","r":2}]}`,
			`{"pairs":[{"reference":1,"indication":1.01}],"averaging_s":10,"interval_s":1}`,
		} {
			f.Add(kind, input)
		}
	}
	f.Fuzz(func(t *testing.T, kind, input string) {
		out, exit := run(kind, input)
		if exit != 0 && exit != 2 {
			t.Fatalf("exit %d", exit)
		}
		var got any
		if err := json.Unmarshal([]byte(out), &got); err != nil {
			t.Fatalf("%v in %q", err, out)
		}
		list, isList := got.([]any)
		if exit == 2 {
			r := refusalOf(t, out)
			if isList || r.Error == nil || r.Error.Code == "" || r.Error.Code == "calcjson.internal" {
				t.Fatalf("exit 2 with %q", out)
			}
			return
		}
		var in any
		if err := json.Unmarshal([]byte(input), &in); err != nil {
			t.Fatalf("accepted %q, which is no JSON: %v", input, err)
		}
		if inList, wasList := in.([]any); wasList != isList || (wasList && len(inList) != len(list)) {
			t.Fatalf("in %T, out %T, lengths %d and %d", in, got, len(inList), len(list))
		}
	})
}
