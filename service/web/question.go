package web

import (
	"crypto/sha256"
	"encoding/hex"
	"net/url"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// asking puts a question before a capture is carried out: the form comes back as it was,
// with the question beside the field, and the same entry sent again is the answer. A
// program is not asked.
func asking[C any](x *exchange, ask func(*capture.Work, C) fault.List, run func(*C) (capture.Written, error)) func(*C) (capture.Written, error) {
	return func(c *C) (capture.Written, error) {
		if x.wantsJSON() || x.form.Get("sure") == entryDigest(x.form) {
			return run(c)
		}
		w, err := x.task()
		if err != nil {
			return capture.Written{}, err
		}
		if questions := ask(w, *c); len(questions) > 0 {
			return capture.Written{}, &domain.Error{Kind: domain.Invalid, Faults: questions}
		}
		return run(c)
	}
}

// sureField answers the questions among the faults for the entry as it stands.
func sureField(t *tried, faults fault.List) []part.Field {
	for _, f := range faults {
		if capture.Asks(f.Code) {
			return []part.Field{{Name: "sure", Value: entryDigest(t.values)}}
		}
	}
	return nil
}

// entryDigest names what was typed: another entry is another question.
func entryDigest(form url.Values) string {
	typed := url.Values{}
	for name, values := range form {
		switch name {
		case "sure", "operation", "id", "captured_at", "kept":
		default:
			typed[name] = values
		}
	}
	sum := sha256.Sum256([]byte(typed.Encode()))
	return hex.EncodeToString(sum[:8])
}
