package calcjson

import (
	"encoding"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
)

// codeTime: a text that is no time.
var codeTime = fault.Define("calcjson.time-malformed", fault.T("text"))

// fill puts a node into a Go value by the names of its json tags, as strictly as the other
// kinds are read: unknown and repeated names, missing ones, wrong types, numbers that do
// not fit and malformed ids and times are all found, each with its path. A field may be
// absent, or null, where it is a list, a pointer or marked omitempty.
func fill(n node, into any) error {
	var l fault.List
	(&filler{&l}).value("", n, reflect.ValueOf(into).Elem())
	return l.Err()
}

type filler struct{ faults *fault.List }

func (f *filler) add(one fault.Fault) { *f.faults = append(*f.faults, one) }

func (f *filler) value(path string, n node, v reflect.Value) {
	if v.Kind() == reflect.Pointer {
		if n.shape != isNull {
			v.Set(reflect.New(v.Type().Elem()))
			f.value(path, n, v.Elem())
		}
		return
	}
	if text, is := v.Addr().Interface().(encoding.TextUnmarshaler); is {
		f.text(path, n, text)
		return
	}
	wanted := shapeOf(v.Kind())
	if n.shape != wanted {
		f.add(codeWrongType.At(path, string(wanted), string(n.shape)))
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		f.object(path, n, v)
	case reflect.Slice:
		f.list(path, n, v)
	case reflect.String:
		v.SetString(n.text)
	case reflect.Bool:
		v.SetBool(n.text == "true")
	default:
		f.number(path, n, v)
	}
}

func shapeOf(k reflect.Kind) shape {
	switch k {
	case reflect.Struct:
		return isObject
	case reflect.Slice:
		return isList
	case reflect.String:
		return isText
	case reflect.Bool:
		return isBool
	}
	return isNumber
}

func (f *filler) text(path string, n node, into encoding.TextUnmarshaler) {
	if n.shape != isText {
		f.add(codeWrongType.At(path, string(isText), string(n.shape)))
		return
	}
	err := into.UnmarshalText([]byte(n.text))
	if _, isTime := into.(*time.Time); isTime {
		if err != nil {
			f.add(codeTime.At(path, abbreviate(n.text)))
		}
		return
	}
	if id, ok := into.(interface{ Valid() bool }); err != nil || len(n.text) != 36 || ok && !id.Valid() {
		f.add(domain.NotAnID.At(path))
	}
}

func (f *filler) number(path string, n node, v reflect.Value) {
	x := (&object{faults: f.faults}).parse(path, n.text)
	if v.Kind() == reflect.Float64 {
		v.SetFloat(x)
		return
	}
	if x != math.Trunc(x) || math.Abs(x) > math.MaxInt32 {
		f.add(codeNotWhole.At(path, x))
		return
	}
	v.SetInt(int64(x))
}

func (f *filler) list(path string, n node, v reflect.Value) {
	if len(n.list) > maxElements {
		f.add(codeTooMany.At(path, len(n.list), maxElements))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.list), len(n.list)))
	for i, item := range n.list {
		f.value(fmt.Sprintf("%s[%d]", path, i), item, v.Index(i))
	}
}

func (f *filler) object(path string, n node, v reflect.Value) {
	fields := fieldsOf(v)
	names := make([]string, 0, len(fields))
	for _, one := range fields {
		names = append(names, one.name)
	}
	slices.Sort(names)
	for _, name := range n.names {
		if !slices.Contains(names, name) {
			f.add(codeFieldUnknown.At(inside(path, abbreviate(name)), abbreviate(name), strings.Join(names, ", ")))
		}
	}
	for _, name := range n.doubled {
		f.add(codeFieldTwice.At(inside(path, abbreviate(name)), abbreviate(name)))
	}
	for _, one := range fields {
		given, there := n.fields[one.name]
		switch {
		case there && given.shape != isNull:
			f.value(inside(path, one.name), given, one.value)
		case !one.optional:
			f.add(codeFieldMissing.At(inside(path, one.name), one.name))
		}
	}
}

func inside(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// tagged is a field with its name in JSON.
type tagged struct {
	name     string
	optional bool
	value    reflect.Value
}

// fieldsOf lists the fields of a struct, those of embedded ones among them.
func fieldsOf(v reflect.Value) []tagged {
	var all []tagged
	for i := range v.NumField() {
		about := v.Type().Field(i)
		name, options, _ := strings.Cut(about.Tag.Get("json"), ",")
		switch {
		case about.Anonymous && name == "":
			all = append(all, fieldsOf(v.Field(i))...)
		case name != "" && name != "-":
			kind := about.Type.Kind()
			optional := kind == reflect.Pointer || kind == reflect.Slice || options == "omitempty"
			all = append(all, tagged{name, optional, v.Field(i)})
		}
	}
	return all
}
