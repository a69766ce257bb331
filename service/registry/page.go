package registry

import (
	"encoding/base64"
	"encoding/json"
	"strings"

	"github.com/google/uuid"

	"rillmark/domain"
)

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

// mark is where a page ended: the sort key and the id that makes it unique.
type mark struct {
	Key string    `json:"k"`
	ID  uuid.UUID `json:"i"`
}

func (f Filter) rows() int {
	if f.Limit <= 0 || f.Limit > 200 {
		return PageSize
	}
	return f.Limit
}

// from reads the mark; a malformed one is refused rather than taken for the start.
func (f Filter) from() (mark, error) {
	var m mark
	if f.After == "" {
		return m, nil
	}
	raw, err := base64.RawURLEncoding.DecodeString(f.After)
	if err == nil {
		err = json.Unmarshal(raw, &m)
	}
	if err != nil {
		return m, domain.Refuse(domain.Invalid, MarkMalformed.At("after"))
	}
	return m, nil
}

// pattern is the search text for ILIKE, with its special characters taken literally.
func (f Filter) pattern() string {
	text := domain.Line(f.Search)
	if r := []rune(text); len(r) > 200 {
		text = string(r[:200])
	}
	return "%" + strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`).Replace(text) + "%"
}

// pageOf cuts the one row too many that was read to see whether the list goes on.
func pageOf[T any](items []T, limit int, at func(T) mark) Page[T] {
	p := Page[T]{Items: items}
	if len(items) > limit {
		p.Items = items[:limit]
		raw, _ := json.Marshal(at(p.Items[limit-1])) // strings and a UUID always marshal
		p.Next = base64.RawURLEncoding.EncodeToString(raw)
	}
	return p
}
