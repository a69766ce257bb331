package calcjson

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rillmark/calc/fault"
)

// object reads the fields of one JSON object, remembers which were asked for, and
// gathers what is wrong with them. A field that is null counts as absent.
type object struct {
	path   string // of this object, empty for the outermost
	node   node
	asked  []string
	faults *fault.List // shared with the objects inside
}

func newObject(n node) *object { return &object{node: n, faults: new(fault.List)} }

func (o *object) at(name string) string {
	if o.path == "" {
		return name
	}
	return o.path + "." + name
}

func (o *object) add(f fault.Fault) { *o.faults = append(*o.faults, f) }

// find marks the field as known and returns it, absent or of the wrong type as nil.
func (o *object) find(name string, wanted shape) *node {
	o.asked = append(o.asked, name)
	n, present := o.node.fields[name]
	if !present || n.shape == isNull {
		return nil
	}
	if n.shape != wanted {
		o.add(codeWrongType.At(o.at(name), string(wanted), string(n.shape)))
		return nil
	}
	return &n
}

// has reports whether the field is there and not null.
func (o *object) has(name string) bool {
	n, present := o.node.fields[name]
	return present && n.shape != isNull
}

// need notes a missing field. One of the wrong type was noted already.
func (o *object) need(name string) {
	if !o.has(name) {
		o.add(codeFieldMissing.At(o.at(name), name))
	}
}

// number returns a field that must be there.
func (o *object) number(name string) float64 {
	o.need(name)
	return o.numberOr(name, 0)
}

// numberOr returns a field that may be absent, and otherwise the fallback.
func (o *object) numberOr(name string, fallback float64) float64 {
	n := o.find(name, isNumber)
	if n == nil {
		return fallback
	}
	return o.parse(name, n.text)
}

// parse makes a float64 of a JSON number. One too large for it, or so small that it
// would silently become 0, is refused.
func (o *object) parse(name, text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	mantissa, _, _ := strings.Cut(strings.ToLower(text), "e")
	if err != nil || (v == 0 && strings.ContainsAny(mantissa, "123456789")) {
		o.add(codeNumberRange.At(o.at(name), abbreviate(text)))
		return 0
	}
	return v
}

// count returns a whole number that must be there.
func (o *object) count(name string) int {
	v := o.number(name)
	if v != math.Trunc(v) || math.Abs(v) > math.MaxInt32 {
		o.add(codeNotWhole.At(o.at(name), v))
		return 0
	}
	return int(v)
}

// word returns a text that must be there.
func (o *object) word(name string) string {
	o.need(name)
	return o.wordOr(name, "")
}

// wordOr returns a text that may be absent.
func (o *object) wordOr(name, fallback string) string {
	n := o.find(name, isText)
	if n == nil {
		return fallback
	}
	return n.text
}

// choice passes a word of a fixed list to the function that knows the list, and keeps
// what that finds wrong. A word that must be there is noted when it is missing.
func (o *object) choice(name string, must bool, parse func(word string) error) {
	if must {
		o.need(name)
	}
	n := o.find(name, isText)
	if n == nil {
		return
	}
	for _, f := range fault.AllOf(parse(n.text)) {
		o.add(f.In(o.at(name)))
	}
}

// flag returns a true or false that may be absent, which is false.
func (o *object) flag(name string) bool {
	n := o.find(name, isBool)
	return n != nil && n.text == "true"
}

// objects returns the objects of a list, each with its path; a list that is absent is
// empty. The list may hold so many at most.
func (o *object) objects(name string, most int) []*object {
	n := o.find(name, isList)
	if n == nil {
		return nil
	}
	if len(n.list) > most {
		o.add(codeTooMany.At(o.at(name), len(n.list), most))
		return nil
	}
	all := make([]*object, 0, len(n.list))
	for i, item := range n.list {
		path := fmt.Sprintf("%s[%d]", o.at(name), i)
		if item.shape != isObject {
			o.add(codeWrongType.At(path, string(isObject), string(item.shape)))
			continue
		}
		all = append(all, &object{path: path, node: item, faults: o.faults})
	}
	return all
}

// numbers returns the numbers of a list; a list that is absent is empty. The list may hold
// so many at most.
func (o *object) numbers(name string, most int) []float64 {
	n := o.find(name, isList)
	if n == nil {
		return nil
	}
	if len(n.list) > most {
		o.add(codeTooMany.At(o.at(name), len(n.list), most))
		return nil
	}
	all := make([]float64, 0, len(n.list))
	for i, item := range n.list {
		path := fmt.Sprintf("%s[%d]", name, i)
		if item.shape != isNumber {
			o.add(codeWrongType.At(o.at(path), string(isNumber), string(item.shape)))
			continue
		}
		all = append(all, o.parse(path, item.text))
	}
	return all
}

// inner returns the object in a field that is known to hold one.
func (o *object) inner(name string) *object {
	o.asked = append(o.asked, name)
	return &object{path: o.at(name), node: o.node.fields[name], faults: o.faults}
}

// done reports the fields nobody asked for and those given twice. They come first: a
// misspelt name is the likely cause of a missing one.
func (o *object) done() {
	var first fault.List
	for _, name := range o.node.names {
		if !slices.Contains(o.asked, name) {
			first = append(first, codeFieldUnknown.At(o.at(abbreviate(name)), abbreviate(name), strings.Join(o.known(), ", ")))
		}
	}
	for _, name := range o.node.doubled {
		first = append(first, codeFieldTwice.At(o.at(abbreviate(name)), abbreviate(name)))
	}
	*o.faults = append(first, *o.faults...)
}

func (o *object) known() []string {
	names := slices.Clone(o.asked)
	slices.Sort(names)
	return slices.Compact(names)
}

// err returns what is wrong so far, nil when nothing is.
func (o *object) err() error { return o.faults.Err() }

// abbreviate keeps a message readable whatever was sent.
func abbreviate(text string) string {
	const most = 40
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}
