package evaluation_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"rillmark/domain/evaluation"
)

const worked = "../../testdata/verification/"

// facts reads the worked example's facts.
func facts(t testing.TB) evaluation.Facts {
	t.Helper()
	text, err := os.ReadFile(worked + "task.json")
	if err != nil {
		t.Fatal(err)
	}
	var f evaluation.Facts
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&f); err != nil {
		t.Fatal(err)
	}
	return f
}

// evaluate evaluates facts that must be sound.
func evaluate(t testing.TB, f evaluation.Facts) evaluation.Result {
	t.Helper()
	r, err := evaluation.Evaluate(f)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestWorkedExample holds the function to the values of worked.csv, which were found a
// second way: by the closed forms and the steps of the README beside it.
func TestWorkedExample(t *testing.T) {
	text, err := json.Marshal(evaluate(t, facts(t)))
	if err != nil {
		t.Fatal(err)
	}
	var result any
	if err := json.Unmarshal(text, &result); err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(worked + "worked.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) < 60 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	held := 0
	for _, row := range rows[1:] {
		name, path := row[0]+": "+row[1], row[6]
		if path == "" {
			continue // a step on the way
		}
		want, err1 := strconv.ParseFloat(row[3], 64)
		tolerance, err2 := strconv.ParseFloat(row[5], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%s: %v, %v", name, err1, err2)
		}
		got, ok := find(result, path)
		if !ok {
			t.Errorf("%s: nothing at %s", name, path)
			continue
		}
		held++
		if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
			t.Errorf("%s: %.12g, by hand %.12g (relative difference %.2g, allowed %g)", name, got, want, got/want-1, tolerance)
		}
	}
	if held < 50 {
		t.Errorf("only %d values were held", held)
	}
}

// find follows a path of worked.csv: "run:4:field", "component:name:field" (both before
// adjustment, the latter of the second flow point), "sensitivity:input", or dotted names and indices; a number after a
// last colon multiplies.
func find(at any, path string) (float64, bool) {
	parts := strings.Split(path, ":")
	scale := 1.0
	switch parts[0] {
	case "run":
		at, path = among(at, "runs", "number", parts[1]), parts[2]
		if len(parts) > 3 {
			scale, _ = strconv.ParseFloat(parts[3], 64)
		}
	case "sensitivity":
		at, path = among(walk(at, "mountings.0"), "sensitivities", "input", parts[1]), "sensitivity"
	case "component":
		at, path = among(walk(at, "phases.0.indications.0.points.1"), "components", "name", parts[1]), parts[2]
	default:
		path = parts[0]
		if len(parts) > 1 {
			scale, _ = strconv.ParseFloat(parts[1], 64)
		}
	}
	x, ok := walk(at, path).(float64)
	return x * scale, ok
}

func walk(at any, path string) any {
	for _, step := range strings.Split(path, ".") {
		switch v := at.(type) {
		case map[string]any:
			at = v[step]
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i >= len(v) {
				return nil
			}
			at = v[i]
		default:
			return nil
		}
	}
	return at
}

// among returns the first element of a list whose field says so.
func among(at any, list, field, want string) any {
	elements, _ := walk(at, list).([]any)
	for _, e := range elements {
		got := walk(e, field)
		if x, isNumber := got.(float64); isNumber {
			got = strconv.FormatFloat(x, 'f', -1, 64)
		}
		if got == want {
			return e
		}
	}
	return nil
}
