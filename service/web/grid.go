package web

import (
	"fmt"
	"net/url"
	"strings"

	"rillmark/service/web/part"
)

// spareRows is how many empty rows stand under those that are filled in; moreRows how many
// join them when more are asked for.
const spareRows, moreRows = 1, 4

// moreButton is the name of the button that asks for more rows; nothing is saved by it.
const moreButton = "more"

// grid shows the rows of a grid as they were sent, with empty ones under them. What was
// said about a cell is keyed "points[2].error", rows counted from 0.
func (x *exchange) grid(f field, values url.Values, said map[string][]string, focused *bool) part.Grid {
	g := part.Grid{Title: x.text(f.label), Row: x.text("grid.row"), Wrong: said[f.name],
		More: part.Button{Deed: x.text("grid.more"), Second: true, Name: moreButton, Value: f.name}}
	if f.hint != "" {
		g.Hint = x.text(f.hint)
	}
	delete(said, f.name)
	rows := max(filledRows(f, values)+spareRows, f.rows)
	if values.Get(moreButton) == f.name {
		rows = max(rows, len(values[f.columns[0].name])+moreRows)
	}
	for row := range rows {
		cells := make([]part.Field, len(f.columns))
		for i, column := range f.columns {
			key := fmt.Sprintf("%s[%d].%s", f.name, row, column.name)
			cell := x.field(column, url.Values{column.name: {at(values[column.name], row)}}, said[key])
			cell.ID = fmt.Sprintf("f-%s-%d-%s", f.name, row, column.name)
			delete(said, key)
			if len(cell.Wrong) > 0 && !*focused {
				cell.Focus, *focused = true, true
			}
			cells[i] = cell
		}
		g.Rows = append(g.Rows, cells)
	}
	return g
}

// filledRows counts the rows up to the last in which something was typed; a choice that
// stands at its first option is nothing typed.
func filledRows(f field, values url.Values) int {
	last := 0
	for _, column := range f.columns {
		for row, text := range values[column.name] {
			chosen := len(column.options) > 0
			if strings.TrimSpace(text) != "" && !chosen {
				last = max(last, row+1)
			}
		}
	}
	return last
}

func at(list []string, i int) string {
	if i < len(list) {
		return list[i]
	}
	return ""
}

// within gathers what was said about the inside of a field under the field, each sentence
// with the path it belongs to, and takes it out of what is said elsewhere.
func (x *exchange) within(e entry, said map[string][]string) map[string][]string {
	told := map[string][]string{}
	if e.within == "" {
		return told
	}
	own := map[string]bool{"": true, e.within: true}
	for _, f := range e.fields {
		own[f.name] = true
	}
	for _, name := range e.hidden {
		own[name] = true
	}
	for _, path := range sortedKeys(said) {
		if own[path] {
			continue
		}
		for _, sentence := range said[path] {
			told[e.within] = append(told[e.within], x.text("grid.within", "path", path, "sentence", sentence))
		}
		delete(said, path)
	}
	return told
}

// wantsMore reports that the form was sent by the button that asks for more rows.
func (x *exchange) wantsMore() bool { return x.form.Get(moreButton) != "" }
