package calcjson_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/cmd/rillmark/calcjson"
)

var update = flag.Bool("update", false, "rewrite the outputs of the golden cases")

const goldenRoot = "../../../testdata/calc"

// golden is one case: what goes in, what comes out, and values from outside that the
// output is held against, which -update never touches.
type golden struct {
	About     string          `json:"about"`
	Input     json.RawMessage `json:"input,omitempty"`
	Text      string          `json:"text,omitempty"` // instead of input, where that is no JSON
	Exit      int             `json:"exit"`
	Tolerance float64         `json:"tolerance,omitempty"` // relative; 1e-12 where absent
	Checks    []check         `json:"checks,omitempty"`
	Output    json.RawMessage `json:"output,omitempty"`
}

type check struct {
	Path      string  `json:"path"`
	Value     any     `json:"value"`
	Tolerance float64 `json:"tolerance,omitempty"`
	Source    string  `json:"source"`
	Basis     string  `json:"basis"`
}

// say is a catalogue that shows every argument, so that the cases hold those too; numbers
// with six digits, so that the last bit of a platform does not show.
func say(f fault.Fault) string {
	text := f.Code.Name()
	for _, arg := range f.Code.Args() {
		if v, isNumber := f.Value(arg.Name).(float64); isNumber {
			text += fmt.Sprintf(" %s=%.6g", arg.Name, v)
			continue
		}
		text += fmt.Sprintf(" %s=%v", arg.Name, f.Value(arg.Name))
	}
	return text
}

func run(kind, input string) (string, int) {
	var out bytes.Buffer
	exit := calcjson.Run(kind, strings.NewReader(input), &out, say)
	return out.String(), exit
}

func TestGolden(t *testing.T) {
	for _, kind := range calcjson.Kinds() {
		files, err := filepath.Glob(filepath.Join(goldenRoot, kind, "*.json"))
		if err != nil || len(files) < 3 {
			t.Errorf("%s: %d cases, %v; every kind has some", kind, len(files), err)
		}
		for _, file := range files {
			t.Run(kind+"/"+strings.TrimSuffix(filepath.Base(file), ".json"), func(t *testing.T) { goldenCase(t, kind, file) })
		}
	}
}

func goldenCase(t *testing.T, kind, file string) {
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var c golden
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&c); err != nil {
		t.Fatal(err)
	}
	input := c.Text
	if c.Input != nil {
		input = string(c.Input)
	}
	got, exit := run(kind, input)
	if *update {
		c.Exit, c.Output = exit, json.RawMessage(got)
		rewrite(t, file, c)
	}
	if exit != c.Exit {
		t.Errorf("exit %d, want %d", exit, c.Exit)
	}
	if c.Output == nil {
		t.Fatal("the case has no output; run the test with -update and read what it wrote")
	}
	tolerance := c.Tolerance
	if tolerance == 0 {
		tolerance = 1e-12
	}
	got1, want := decode(t, got), decode(t, string(c.Output))
	for _, difference := range compare("", got1, want, tolerance) {
		t.Error(difference)
	}
	for _, k := range c.Checks {
		k.hold(t, got1)
	}
}

func rewrite(t *testing.T, file string, c golden) {
	t.Helper()
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(c); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func decode(t *testing.T, text string) any {
	t.Helper()
	decoder := json.NewDecoder(strings.NewReader(text))
	decoder.UseNumber()
	var v any
	if err := decoder.Decode(&v); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	return v
}

// compare lists where two JSON values differ, numbers by a relative tolerance.
func compare(path string, got, want any, tolerance float64) (differences []string) {
	switch w := want.(type) {
	case map[string]any:
		g, same := got.(map[string]any)
		if !same || len(g) != len(w) {
			return []string{fmt.Sprintf("%s: got %v, want %v", path, got, want)}
		}
		for name := range w {
			differences = append(differences, compare(path+"."+name, g[name], w[name], tolerance)...)
		}
	case []any:
		g, same := got.([]any)
		if !same || len(g) != len(w) {
			return []string{fmt.Sprintf("%s: got %v, want %v", path, got, want)}
		}
		for i := range w {
			differences = append(differences, compare(fmt.Sprintf("%s[%d]", path, i), g[i], w[i], tolerance)...)
		}
	case json.Number:
		g, same := got.(json.Number)
		a, _ := g.Float64()
		b, _ := w.Float64()
		if !same || !(math.Abs(a-b) <= tolerance*math.Abs(b)) {
			return []string{fmt.Sprintf("%s: got %v, want %v", path, got, want)}
		}
	default:
		if got != want {
			return []string{fmt.Sprintf("%s: got %v, want %v", path, got, want)}
		}
	}
	return differences
}

var step = regexp.MustCompile(`[^.\[\]]+`)

// hold compares one value of the output with one from outside.
func (k check) hold(t *testing.T, output any) {
	t.Helper()
	if k.Source == "" || k.Basis == "" {
		t.Errorf("%s: a value from outside names its source and basis", k.Path)
	}
	at := output
	for _, name := range step.FindAllString(k.Path, -1) {
		switch v := at.(type) {
		case map[string]any:
			at = v[name]
		case []any:
			i, err := strconv.Atoi(name)
			if err != nil || i >= len(v) {
				t.Fatalf("%s: no such place", k.Path)
			}
			at = v[i]
		default:
			t.Fatalf("%s: no such place", k.Path)
		}
	}
	number, isNumber := at.(json.Number)
	want, wantNumber := k.Value.(float64)
	if !isNumber || !wantNumber {
		if at != k.Value {
			t.Errorf("%s = %v, want %v (%s)", k.Path, at, k.Value, k.Source)
		}
		return
	}
	if got, _ := number.Float64(); !(math.Abs(got-want) <= k.Tolerance) {
		t.Errorf("%s = %v, want %v within %v (%s)", k.Path, got, want, k.Tolerance, k.Source)
	}
}
