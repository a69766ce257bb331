package calcjson

import (
	"bytes"
	"encoding/json"
	"io"
	"math"

	"rillmark/calc/fault"
)

// problem is a fault as it is written: where, which, and in words.
type problem struct {
	Field   string `json:"field"`
	Code    string `json:"code"`
	Message string `json:"message"`
}

// answer is the JSON text of a result, or of a refusal.
type answer struct {
	text    []byte
	refused bool
}

// refusal is written where a result would have been.
type refusal struct {
	Error problem   `json:"error"`
	Also  []problem `json:"also,omitempty"`
}

func told(f fault.Fault, say func(fault.Fault) string) problem {
	return problem{Field: f.Field, Code: f.Code.Name(), Message: say(f)}
}

// toldAll never returns nil, so that "warnings" is written as [] when there are none.
func toldAll(l fault.List, say func(fault.Fault) string) []problem {
	all := make([]problem, len(l))
	for i, f := range l {
		all[i] = told(f, say)
	}
	return all
}

func refuse(err error, say func(fault.Fault) string) answer {
	faults := fault.AllOf(err)
	if len(faults) == 0 {
		faults = fault.List{codeInternal.At("", err.Error())}
	}
	all := toldAll(faults, say)
	// Three texts a problem always become JSON.
	text, _ := encode(refusal{Error: all[0], Also: all[1:]})
	return answer{text: text, refused: true}
}

// orNull writes a number that is not finite as null, the JSON word for "none".
func orNull(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// write writes the one answer, or the list with one answer to a line.
func write(w io.Writer, answers []answer, list bool) error {
	var out bytes.Buffer
	if list {
		out.WriteByte('[')
	}
	for i, a := range answers {
		if i > 0 {
			out.WriteByte(',')
		}
		if list {
			out.WriteByte('\n')
		}
		out.Write(a.text)
	}
	if list {
		out.WriteString("\n]")
	}
	out.WriteByte('\n')
	_, err := w.Write(out.Bytes())
	return err
}

// encode makes one line of JSON; a number that is not finite is an error.
func encode(value any) ([]byte, error) {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	err := encoder.Encode(value)
	return bytes.TrimRight(out.Bytes(), "\n"), err
}
