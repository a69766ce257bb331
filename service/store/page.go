package store

import (
	"encoding/base64"
	"encoding/json"
	"strings"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
)

// MarkMalformed says that a list was asked to go on after something that is no place in it.
var MarkMalformed = fault.Define("list.page-mark-malformed")

// Filter says which part of a list is wanted.
type Filter struct {
	Search string // part of a name, upper and lower case alike; empty: all
	After  string // the mark that the page before ended with; empty: from the start
	Limit  int    // rows a page; 0 or too many: PageSize
}

// PageSize is the usual number of rows of a page.
const PageSize = 50

// Page is one part of a list, in order.
type Page[T any] struct {
	Items []T
	Next  string // the mark to go on after; empty: this is the last page
}

// Mark is where a page ended: the sort key and the id that makes it unique. The zero value
// is the place before the first row.
type Mark struct {
	Key string    `json:"k"`
	ID  uuid.UUID `json:"i"`
}

// Rows is how many rows the page may have.
func (f Filter) Rows() int {
	if f.Limit <= 0 || f.Limit > 200 {
		return PageSize
	}
	return f.Limit
}

// From reads the mark; a malformed one is refused rather than taken for the start.
func (f Filter) From() (Mark, error) {
	var m Mark
	if f.After == "" {
		return m, nil
	}
	raw, err := base64.RawURLEncoding.DecodeString(f.After)
	if err == nil {
		err = json.Unmarshal(raw, &m)
	}
	if err != nil || strings.ContainsRune(m.Key, 0) {
		return Mark{}, domain.Refuse(domain.Invalid, MarkMalformed.At("after"))
	}
	return m, nil
}

// Pattern is the search text for ILIKE, with its special characters taken literally.
func (f Filter) Pattern() string {
	text := domain.Line(f.Search)
	if r := []rune(text); len(r) > 200 {
		text = string(r[:200])
	}
	return "%" + strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`).Replace(text) + "%"
}

// PageOf cuts the one row too many that was read to see whether the list goes on.
func PageOf[T any](items []T, f Filter, at func(T) Mark) Page[T] {
	p := Page[T]{Items: items}
	if limit := f.Rows(); len(items) > limit {
		p.Items = items[:limit]
		raw, _ := json.Marshal(at(p.Items[limit-1])) // strings and a UUID always marshal
		p.Next = base64.RawURLEncoding.EncodeToString(raw)
	}
	return p
}

// Written is the outcome of a command: which thing, in which version.
type Written struct {
	ID      string `json:"id"`
	Version int64  `json:"version,string"`
}
