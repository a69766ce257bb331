package recheck

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
)

// outcome is how a result that was kept and one worked out again differ.
type outcome int

// From none to the gravest.
const (
	same    outcome = iota
	digits          // in digits that nobody prints
	printed         // in something that is printed
	verdict         // in a verdict
)

// digitsLeast is the relative difference below which numbers differ by how processors
// compute: far below any printed digit.
const digitsLeast = 1e-9

// sentences are looked up from codes; another wording is no other result.
var sentences = []string{"text", "message"}

// verdicts are what judges.
var verdicts = []string{"verdict", "conformity"}

// difference walks through two values as JSON has them and returns the gravest difference
// and where it is.
func difference(at string, was, is any) (where string, how outcome) {
	switch a := was.(type) {
	case map[string]any:
		if b, both := is.(map[string]any); both {
			return differentMap(at, a, b)
		}
	case []any:
		if b, both := is.([]any); both && len(a) == len(b) {
			for i := range a {
				where, how = graver(where, how)(difference(fmt.Sprintf("%s[%d]", at, i), a[i], b[i]))
			}
			return where, how
		}
	case float64:
		if b, both := is.(float64); both {
			return differentNumber(at, a, b)
		}
	default:
		if was == is {
			return "", same
		}
	}
	return at, printed
}

func differentMap(at string, a, b map[string]any) (where string, how outcome) {
	names := []string{}
	for name := range a {
		names = append(names, name)
	}
	for name := range b {
		if _, both := a[name]; !both {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	for _, name := range names {
		if slices.Contains(sentences, name) {
			continue
		}
		place, found := difference(at+"."+name, a[name], b[name])
		_, isText := a[name].(string)
		switch {
		case found == same:
		case slices.Contains(verdicts, name):
			found = verdict
		case name == "value" && isText: // of a figure, beside what is printed of it
			found = digits
		}
		where, how = graver(where, how)(place, found)
	}
	return where, how
}

func differentNumber(at string, a, b float64) (string, outcome) {
	switch {
	case a == b:
		return "", same
	case math.Abs(a-b) <= digitsLeast*math.Max(math.Abs(a), math.Abs(b)):
		return at, digits
	}
	return at, printed
}

// graver keeps the graver of two differences.
func graver(where string, how outcome) func(string, outcome) (string, outcome) {
	return func(place string, found outcome) (string, outcome) {
		if found > how {
			return place, found
		}
		return where, how
	}
}

// generic is a value as JSON has it.
func generic(v any) (out any) {
	text, err := json.Marshal(v)
	if err != nil || json.Unmarshal(text, &out) != nil {
		return nil // differs from everything
	}
	return out
}
