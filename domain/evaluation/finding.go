package evaluation

import (
	"encoding/json"

	"rillmark/calc/fault"
)

// Finding is a code with its arguments that can be kept as JSON: why no statement is made,
// or what is to be said beside a result. The sentence is looked up from it at the edge.
type Finding struct{ fault.Fault }

type findingJSON struct {
	Code   string         `json:"code"`
	Field  string         `json:"field,omitempty"`
	Values map[string]any `json:"values,omitempty"`
}

// MarshalJSON implements json.Marshaler.
func (f Finding) MarshalJSON() ([]byte, error) {
	if f.Code == nil {
		return []byte("null"), nil
	}
	return json.Marshal(findingJSON{f.Code.Name(), f.Field, f.Values()})
}

// UnmarshalJSON implements json.Unmarshaler. A code that this program does not know, as of
// a result made by a later one, becomes UnknownFinding with its name.
func (f *Finding) UnmarshalJSON(text []byte) error {
	var read findingJSON
	if err := json.Unmarshal(text, &read); err != nil || read.Code == "" {
		return err
	}
	for _, code := range fault.All() {
		if code.Name() == read.Code {
			if values, ok := typed(code, read.Values); ok {
				f.Fault = code.At(read.Field, values...)
				return nil
			}
		}
	}
	f.Fault = UnknownFinding.At(read.Field, read.Code)
	return nil
}

// typed puts the values in the order and types that the code declares.
func typed(code *fault.Code, read map[string]any) ([]any, bool) {
	var values []any
	for _, arg := range code.Args() {
		switch v := read[arg.Name].(type) {
		case string:
			values = append(values, v)
			if arg.Kind != fault.Text {
				return nil, false
			}
		case float64:
			switch arg.Kind {
			case fault.Count:
				values = append(values, int(v))
			case fault.Number:
				values = append(values, v)
			default:
				return nil, false
			}
		default:
			return nil, false
		}
	}
	return values, true
}

// Findings is a list of findings.
type Findings []Finding

// MarshalJSON implements json.Marshaler: no finding is an empty list, not null.
func (l Findings) MarshalJSON() ([]byte, error) {
	if l == nil {
		return []byte("[]"), nil
	}
	return json.Marshal([]Finding(l))
}

// add appends a fault that is not there yet.
func (l *Findings) add(f fault.Fault) {
	for _, there := range *l {
		if there.Error() == f.Error() {
			return
		}
	}
	*l = append(*l, Finding{f})
}

// Has reports whether one of the findings is of the code.
func (l Findings) Has(code *fault.Code) bool {
	for _, f := range l {
		if f.Code == code {
			return true
		}
	}
	return false
}
