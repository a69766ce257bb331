// Package audit says what an event of the audit trail holds: who did what, on which
// things, with every field before and after. It holds ids, not names: a text about a
// person stands as a reference to a text that can be erased. Writing the event, and the
// chain, are the store's.
package audit

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"rillmark/domain/canonical"
)

// Kind names a kind of thing in the trail: the table's name.
type Kind string

// The kinds of things whose history is kept.
const (
	Client        Kind = "client"
	Site          Kind = "site"
	Point         Kind = "measuring_point"
	Person        Kind = "person"
	Meter         Kind = "meter"
	Indication    Kind = "indication"
	Installation  Kind = "installation"
	KitItem       Kind = "kit_item"
	Calibration   Kind = "calibration"
	EquipmentSet  Kind = "equipment_set"
	Method        Kind = "method"
	MethodEdition Kind = "method_edition"
	Authorisation Kind = "authorisation"
	Agreement     Kind = "agreement"
	Visit         Kind = "visit"
	Task          Kind = "task"
	Evaluation    Kind = "evaluation"
	Approval      Kind = "approval"
	Preparation   Kind = "preparation"
	Certificate   Kind = "certificate"
)

// Subject is a thing that an event concerns.
type Subject struct {
	Kind Kind
	ID   string
}

// MarshalJSON writes a subject as [kind, id], the form that the database indexes.
func (s Subject) MarshalJSON() ([]byte, error) { return json.Marshal([2]string{string(s.Kind), s.ID}) }

// UnmarshalJSON reads [kind, id].
func (s *Subject) UnmarshalJSON(b []byte) error {
	var pair []string // not an array: too long a list would be cut in silence
	if err := json.Unmarshal(b, &pair); err != nil {
		return err
	}
	if len(pair) != 2 {
		return fmt.Errorf("a subject has a kind and an id, not %d parts", len(pair))
	}
	s.Kind, s.ID = Kind(pair[0]), pair[1]
	return nil
}

// Value is one field's content in the trail. Exactly one of the two is set; both nil is
// "empty" (a null).
type Value struct {
	Text    *string `json:"text,omitempty"`
	Private *string `json:"private,omitempty"` // id of the erasable text
}

// Field is one field of a row, before and after. Before is absent when the row is new.
type Field struct {
	Name   string `json:"name"`
	Before *Value `json:"before,omitempty"`
	After  *Value `json:"after,omitempty"`
}

// Change is one row that an event wrote.
type Change struct {
	Kind    Kind    `json:"kind"`
	ID      string  `json:"id"`
	Version int64   `json:"version"`
	Fields  []Field `json:"fields"`
}

// Event is what is chained. Changes stands for itself, or is replaced by the hash of the
// file that holds it when it is larger than the limit.
type Event struct {
	V           int       `json:"v"`
	Action      string    `json:"action"`
	Actor       string    `json:"actor"`
	Operation   string    `json:"operation"`
	Reason      string    `json:"reason,omitempty"`
	Subjects    []Subject `json:"subjects"`
	Changes     []Change  `json:"changes,omitempty"`
	ChangesBlob string    `json:"changes_sha256,omitempty"`
}

// InlineLimit is the size in bytes of the changes above which they go to a file and the
// event holds their hash.
const InlineLimit = 64 << 10

// Canonical returns the value as canonical JSON (RFC 8785). Ids and numbers are texts in
// all that this package defines, so no digit can be lost.
func Canonical(v any) ([]byte, error) {
	b, err := canonical.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	return b, nil
}

// Parse reads an event back from its canonical text.
func Parse(payload string) (Event, error) {
	var e Event
	d := json.NewDecoder(bytes.NewReader([]byte(payload)))
	d.DisallowUnknownFields()
	if err := d.Decode(&e); err != nil {
		return Event{}, fmt.Errorf("audit: event: %w", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return Event{}, errors.New("audit: event: something stands behind it")
	}
	return e, nil
}

// SubjectsOf lists the things that the changes concern, each once, sorted, after those
// named in extra.
func SubjectsOf(changes []Change, extra []Subject) []Subject {
	all := append([]Subject{}, extra...) // never null in the event
	for _, c := range changes {
		all = append(all, Subject{c.Kind, c.ID})
	}
	slices.SortFunc(all, func(a, b Subject) int {
		if a.Kind != b.Kind {
			return strings.Compare(string(a.Kind), string(b.Kind))
		}
		return strings.Compare(a.ID, b.ID)
	})
	return slices.Compact(all)
}
