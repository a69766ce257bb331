// Package part holds the parts that pages are made of, as plain values: field with unit,
// choice, notice, facts, rows, table, timeline, step, verdict mark, button, conflict,
// kept entry, history. Each has a template of the same name under templates/part; the
// texts in a part are ready to be shown. The package renders nothing, looks no sentence
// up and knows no request.
package part

// Link is a place to go and the words that say so.
type Link struct {
	Href  string
	Words string
}

// Notice says something in a sentence. Lead is its bold beginning, Text the rest. Act
// marks what needs a person; it is the only use of the signal colour.
type Notice struct {
	Act   bool
	Lead  string
	Text  string
	Items []string // further sentences, as a list
	Links []Link   // what can be done about it
}

// Fact is one line of a list of facts: a word and what is so. None marks that nothing is
// known; Text then says that.
type Fact struct {
	Word string
	Text string
	None bool
	Href string // where the text leads, empty: nowhere
	Call string // a telephone number, digits and plus only: the text calls it
}

// Button is the deed a form does. The words say the deed.
type Button struct {
	Deed   string
	Second bool   // drawn as an outline, beside a first button
	Name   string // with Value: sent when this button is the one pressed
	Value  string
	Href   string // set: drawn as a button but a link, for a deed that begins on another page
	Form   string // id of the form it sends when it stands outside of it
}

// Row is one line of a list that leads somewhere.
type Row struct {
	Href  string
	Name  string
	More  string // second line
	Much  string // at the end: a count, a date
	Needs string // what needs a person, in the signal colour
	Done  bool   // nothing is asked of the reader any more
}

// Further leads to the next part of a list that is read by key, not by page number.
// Empty texts show nothing.
type Further struct {
	Next  Link
	First Link
}

// Step is the place in a sequence, drawn as the mark on a tape. Place counts from 1.
type Step struct {
	Place int
	Of    int
	Name  string
	Words string // "3 of 6  Mounting"
	Back  Link
	Next  Link
}

// Permille returns how far along the tape the mark stands, in thousandths: the middle of
// the step's share.
func (s Step) Permille() int {
	if s.Of < 1 {
		return 0
	}
	return (2*s.Place - 1) * 1000 / (2 * s.Of)
}

// Late reports whether the words stand left of the mark, so that they stay on the screen.
func (s Step) Late() bool { return s.Permille() > 550 }

// Moment is one entry of a timeline. Now marks what holds today, Needs what needs a
// person.
type Moment struct {
	When  string
	Title string
	Text  string
	Href  string
	Now   bool
	Needs bool
}

// Change is one field of an event: before and after. Empty strings are shown as None.
type Change struct {
	Word   string
	Before string
	After  string
}

// Event is one entry of a thing's history.
type Event struct {
	When     string
	DateTime string // RFC 3339, for machines
	Who      string
	What     string
	Href     string // where the thing is that it happened to, empty: nowhere
	Reason   string
	Changes  []Change
	New      bool   // the thing was made: there is nothing before
	None     string // the word for an empty value
}

// Kept is an entry that met an expired session and waits for its person. Take leads to
// it; the button of Drop is posted to DropAt.
type Kept struct {
	Notice Notice
	Take   Link
	Drop   string
	DropAt string
}

// Heading is the top of a page: the places above it, its title, and the sentence that
// says what is so.
type Heading struct {
	Trail []Link
	Title string
	Lead  string
}
