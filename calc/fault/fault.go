// Package fault names what can be wrong, or doubtful, with a value: a code with
// typed arguments and the field it belongs to. The sentences that people read are
// not here; they live in one catalogue per language under templates/text, and a
// test holds codes and sentences together. The package follows no standard; it is
// the error vocabulary of calc and domain, and it does no I/O.
package fault

import (
	"fmt"
	"sort"
	"strings"
	"sync"
)

// Kind is the type of one argument of a code.
type Kind int

// The kinds of argument. The zero value is invalid.
const (
	_      Kind = iota
	Text        // a string: a word the person wrote, or a name from a fixed list
	Number      // a float64, printed with the digits it needs
	Count       // an int
)

// Arg declares one argument of a code: its name in the sentence and its kind.
type Arg struct {
	Name string
	Kind Kind
}

// T declares a text argument.
func T(name string) Arg { return Arg{name, Text} }

// N declares a number argument. Put the unit into the name, "wall_mm", or into the sentence.
func N(name string) Arg { return Arg{name, Number} }

// C declares a count argument.
func C(name string) Arg { return Arg{name, Count} }

// Code is one thing that can be wrong. Make it once with Define, in a package-level
// variable of the package that finds the fault. The zero value is invalid.
type Code struct {
	name string
	args []Arg
}

var registry struct {
	sync.Mutex
	codes map[string]*Code
}

// Define declares a code. The name is lower-case words joined by hyphens with the
// package in front: "beam.total-reflection". It panics on a name that is malformed or
// taken, which can only be a programmer's misuse at start.
func Define(name string, args ...Arg) *Code {
	registry.Lock()
	defer registry.Unlock()
	if registry.codes == nil {
		registry.codes = map[string]*Code{}
	}
	if !wellFormed(name) {
		panic("fault: malformed code name " + name)
	}
	if _, taken := registry.codes[name]; taken {
		panic("fault: code defined twice: " + name)
	}
	c := &Code{name: name, args: args}
	registry.codes[name] = c
	return c
}

func wellFormed(name string) bool {
	pkg, rest, found := strings.Cut(name, ".")
	if !found || pkg == "" || rest == "" {
		return false
	}
	return strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-.") == ""
}

// All returns every code defined in the running program, sorted by name.
func All() []*Code {
	registry.Lock()
	defer registry.Unlock()
	all := make([]*Code, 0, len(registry.codes))
	for _, c := range registry.codes {
		all = append(all, c)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].name < all[j].name })
	return all
}

// Name returns the code's name, which is also the key of its sentence.
func (c *Code) Name() string { return c.name }

// Args returns the declared arguments in order.
func (c *Code) Args() []Arg { return append([]Arg(nil), c.args...) }

// At makes a fault of this code in the named field (empty: of the whole). The values
// follow the declared arguments; a wrong number or type of values panics, which can
// only be a programmer's misuse.
func (c *Code) At(field string, values ...any) Fault {
	if len(values) != len(c.args) {
		panic(fmt.Sprintf("fault: %s takes %d arguments, got %d", c.name, len(c.args), len(values)))
	}
	for i, v := range values {
		ok := false
		switch c.args[i].Kind {
		case Text:
			_, ok = v.(string)
		case Number:
			_, ok = v.(float64)
		case Count:
			_, ok = v.(int)
		}
		if !ok {
			panic(fmt.Sprintf("fault: %s: argument %s has type %T", c.name, c.args[i].Name, v))
		}
	}
	return Fault{Field: field, Code: c, values: values}
}

// Fault is one thing that is wrong (as an error) or doubtful (as a warning beside a
// result). Its Error text is for logs; people read the catalogue's sentence.
type Fault struct {
	Field  string // the field as the caller named it; empty: the whole
	Code   *Code
	values []any
}

// Value returns the argument's value by name, nil when the code has none of that name.
func (f Fault) Value(name string) any {
	for i, a := range f.Code.args {
		if a.Name == name {
			return f.values[i]
		}
	}
	return nil
}

// Values returns the arguments by name: what the sentence is filled with.
func (f Fault) Values() map[string]any {
	m := make(map[string]any, len(f.values))
	for i, a := range f.Code.args {
		m[a.Name] = f.values[i]
	}
	return m
}

// In returns the same fault in another field: what an outer layer calls the value.
func (f Fault) In(field string) Fault {
	f.Field = field
	return f
}

// Error implements error: field, code and arguments, for logs.
func (f Fault) Error() string {
	var b strings.Builder
	if f.Field != "" {
		b.WriteString(f.Field + ": ")
	}
	if f.Code == nil {
		return b.String() + "fault without a code"
	}
	b.WriteString(f.Code.name)
	for i, a := range f.Code.args {
		fmt.Fprintf(&b, " %s=%v", a.Name, f.values[i])
	}
	return b.String()
}

// List is several faults at once, as a validation returns them. A nil list is no error;
// return it through Err.
type List []Fault

// Error implements error.
func (l List) Error() string {
	texts := make([]string, len(l))
	for i, f := range l {
		texts[i] = f.Error()
	}
	return strings.Join(texts, "; ")
}

// Unwrap lets errors.As find the single faults.
func (l List) Unwrap() []error {
	errs := make([]error, len(l))
	for i, f := range l {
		errs[i] = f
	}
	return errs
}

// Err returns the list as an error, nil when it is empty.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	return l
}
