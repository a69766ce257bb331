package calcjson

import (
	"bytes"
	"encoding/json"

	"rillmark/calc/fault"
	"rillmark/domain/evaluation"
)

// verification is the kind "verification": evaluation.Evaluate. Its object is the whole of
// a task's facts, its answer the result with the sentence of every finding beside it.
func verification(o *object, say func(fault.Fault) string) (any, error) {
	var facts evaluation.Facts
	if err := fill(o.node, &facts); err != nil {
		return nil, err
	}
	result, err := evaluation.Evaluate(facts)
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(result)
	if err != nil {
		return nil, err
	}
	var tree any
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber() // a number is written as it was
	if err := decoder.Decode(&tree); err != nil {
		return nil, err
	}
	return worded(tree, say), nil
}

// worded adds to every finding in the tree the message of its code.
func worded(tree any, say func(fault.Fault) string) any {
	switch v := tree.(type) {
	case []any:
		for i := range v {
			v[i] = worded(v[i], say)
		}
	case map[string]any:
		for name := range v {
			v[name] = worded(v[name], say)
		}
		if f, is := findingOf(v); is {
			v["message"] = say(f.Fault)
		}
	}
	return tree
}

// findingOf reads a finding back from its JSON: an object of a code and nothing else but
// field and values.
func findingOf(v map[string]any) (evaluation.Finding, bool) {
	if _, coded := v["code"].(string); !coded {
		return evaluation.Finding{}, false
	}
	for name := range v {
		if name != "code" && name != "field" && name != "values" {
			return evaluation.Finding{}, false
		}
	}
	var f evaluation.Finding
	text, err := json.Marshal(v)
	if err != nil || json.Unmarshal(text, &f) != nil {
		return evaluation.Finding{}, false
	}
	return f, true
}
