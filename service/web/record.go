package web

import (
	"rillmark/service/web/part"
)

// recordPage shows one thing with all that belongs to it: stretches one under the other,
// the deeds beside them.
type recordPage struct {
	base
	Notices []part.Notice
	Safety  string
	Main    []stretch
	Side    []stretch
	Acts    []part.Button
	History part.Link
}

// stretch is one part of such a page: a title and what stands under it.
type stretch struct {
	Title    string
	Text     string
	Notices  []part.Notice
	Moments  []part.Moment
	Rows     []part.Row
	Facts    []part.Fact
	Section  *part.Section // a measuring point's pipe, drawn
	Drawing  *chart
	Table    *part.Table
	Code     string
	Empty    string // the sentence shown when nothing of the above is there
	Calendar bool   // on Today: what is ahead, which asks nothing yet
	Further  part.Further
	Acts     []part.Link
	Form     *deed
}

// deed is a small form that stands on the page of a thing.
type deed struct {
	Action  string
	Hidden  []part.Field
	Fields  []part.Field
	Buttons []part.Button
	Guard   bool
}

// orEmpty shows the sentence only where the stretch has nothing to show.
func (s stretch) orEmpty(sentence string) stretch {
	if len(s.Moments)+len(s.Rows)+len(s.Facts) == 0 && (s.Table == nil || len(s.Table.Rows) == 0) && s.Code == "" {
		s.Empty, s.Table = sentence, nil
	}
	return s
}

// broadPage is a list with what can be looked for in it and what stands before it.
type broadPage struct {
	base
	Notices []part.Notice
	Seek    []part.Field
	SeekAt  string
	Before  []stretch
	Above   string
	Rows    []part.Row
	Further part.Further
	Empty   string
	Add     *part.Button
	Beside  []part.Link
}

// options makes the choices of a field from words of the program and the keys of their
// names: prefix + word.
func options[T ~string](x *exchange, prefix string, words []T) []part.Option {
	list := make([]part.Option, len(words))
	for i, w := range words {
		list[i] = part.Option{Value: string(w), Words: x.text(prefix + string(w))}
	}
	return list
}

// choose puts the choice that is none before the others.
func choose(words string, list []part.Option) []part.Option {
	return append([]part.Option{{Words: words}}, list...)
}

// yesNo are the two answers; no stands for an empty field.
func yesNo(x *exchange) []part.Option {
	return []part.Option{{Value: "", Words: x.text("answer.no")}, {Value: "yes", Words: x.text("answer.yes")}}
}
