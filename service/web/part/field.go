package part

import "slices"

// Kind is the kind of a field's value; it picks keypad and type size. The zero value is
// plain text.
type Kind string

// The kinds of field.
const (
	Text     Kind = "text"
	Number   Kind = "number" // decimal keypad, large figure
	Count    Kind = "count"  // whole numbers only
	Area     Kind = "area"   // several lines
	Choice   Kind = "choice" // one of Options, as a list that opens
	Email    Kind = "email"
	Phone    Kind = "tel"
	Password Kind = "password"
	Search   Kind = "search"
	Date     Kind = "date"
	At       Kind = "datetime-local" // date and time of day
	File     Kind = "file"
	Shown    Kind = "shown" // not for entry
)

// Option is one choice of a field.
type Option struct {
	Value string
	Words string
	More  string // a second line where the options are listed openly
}

// Field is one value to be entered: label above, value on the line, unit at its end,
// source under it, what is wrong beside it.
type Field struct {
	Name     string // name in the form
	ID       string // id in the page; empty: "f-" and Name
	Label    string
	Value    string
	Unit     string
	Kind     Kind
	Options  []Option
	Figure   bool     // with Shown: the value is a figure
	Several  bool     // more than one of Options may hold
	Values   []string // with Several: those that hold
	Offers   []string // texts offered while typing; others may be typed as well
	Hint     string   // what to enter, under the label
	Source   string   // who, when, with what; or the last visit's value with its date
	Wrong    []string // sentences: what is wrong, what to do
	Required bool
	Accept   string // of a file: the forms that are taken
	Focus    bool   // takes the cursor when the page opens
	Complete string // autocomplete token of HTML; empty: off
}

// Ident returns the id of the field's control.
func (f Field) Ident() string {
	if f.ID != "" {
		return f.ID
	}
	return "f-" + f.Name
}

// Numeric reports whether the value is a figure.
func (f Field) Numeric() bool { return f.Kind == Number || f.Kind == Count || f.Figure }

// InputType returns HTML's type of the control.
func (f Field) InputType() string {
	switch f.Kind {
	case Email, Phone, Password, Search, Date, At, File:
		return string(f.Kind)
	}
	return "text"
}

// InputMode returns the keypad a phone shows.
func (f Field) InputMode() string {
	switch f.Kind {
	case Number:
		return "decimal"
	case Count:
		return "numeric"
	case Email, Phone, Search:
		return string(f.Kind)
	}
	return ""
}

// Autocomplete returns HTML's autocomplete token.
func (f Field) Autocomplete() string {
	if f.Complete == "" {
		return "off"
	}
	return f.Complete
}

// Described returns the ids of the texts that describe the control, for a screen reader.
func (f Field) Described() string {
	var ids string
	for _, d := range []struct {
		there bool
		part  string
	}{
		{len(f.Wrong) > 0, "-wrong"}, {f.Hint != "", "-hint"}, {f.Unit != "", "-unit"}, {f.Source != "", "-source"},
	} {
		if d.there {
			if ids != "" {
				ids += " "
			}
			ids += f.Ident() + d.part
		}
	}
	return ids
}

// Chosen reports whether value is the field's, or among its values.
func (f Field) Chosen(value string) bool {
	if f.Several {
		return slices.Contains(f.Values, value)
	}
	return f.Value == value
}
