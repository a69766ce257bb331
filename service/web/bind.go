package web

import (
	"bytes"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"net/url"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"rillmark/calc/fault"
	"rillmark/domain"
)

// bind fills a command struct from the request. A form and a JSON object fill the same
// fields, those with a "form" tag; what a text may hold is the domain's to judge. Every
// field that cannot be read is in the error, keyed by its name. The returned fields are
// those of the form, for showing it again.
func (x *exchange) bind(command any) (url.Values, error) {
	if !isJSON(x.r) {
		form, err := x.fields()
		if err != nil {
			return form, err
		}
		return form, fill(command, form)
	}
	form, err := x.object(command)
	if err != nil {
		return form, err
	}
	return form, fill(command, form)
}

// object reads a JSON object as if its members were the fields of a form. Members that the
// command does not know, or that come twice, are refused: a misspelt name must not be
// taken for an empty field.
func (x *exchange) object(command any) (url.Values, error) {
	form := url.Values{}
	body, err := io.ReadAll(x.r.Body)
	if err != nil {
		return form, bodyError(err, x.route.bodyLimit())
	}
	if !utf8.Valid(body) {
		return form, domain.Refuse(domain.Invalid, domain.NotUTF8.At(""))
	}
	known := tagged(reflect.ValueOf(command).Elem())
	d := json.NewDecoder(bytes.NewReader(body))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return form, domain.Refuse(domain.Invalid, NotJSON.At(""))
	}
	var check domain.Check
	for d.More() {
		key, err := d.Token()
		name, ok := key.(string)
		var raw json.RawMessage
		if err != nil || !ok || d.Decode(&raw) != nil {
			return form, domain.Refuse(domain.Invalid, NotJSON.At(""))
		}
		values, readable := plainValues(raw)
		switch _, is := known[name]; {
		case !is:
			check.Add(FieldUnknown.At("", shortened(name, 60)))
		case form.Has(name):
			check.Add(FieldTwice.At(name))
		case !readable:
			check.Add(FieldMalformed.At(name, "a text, a number, true or false, or a list of texts"))
		default:
			form[name] = values
		}
	}
	if _, err := d.Token(); err != nil { // the closing brace
		return form, domain.Refuse(domain.Invalid, NotJSON.At(""))
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return form, domain.Refuse(domain.Invalid, NotJSON.At(""))
	}
	return form, check.Err()
}

// plainValues reads a JSON value as the texts that a form would have sent.
func plainValues(raw json.RawMessage) (texts []string, ok bool) {
	switch raw[0] {
	case '"':
		var text string
		err := json.Unmarshal(raw, &text)
		return []string{text}, err == nil
	case '[':
		return texts, json.Unmarshal(raw, &texts) == nil
	case 'n':
		return []string{}, true
	case '{':
		return nil, false
	}
	return []string{string(raw)}, true // a number, true or false
}

func fill(command any, form url.Values) error {
	var check domain.Check
	fields := tagged(reflect.ValueOf(command).Elem())
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		if f, wrong := set(fields[name], name, form[name]); wrong {
			check.Add(f)
		}
	}
	return check.Err()
}

// tagged returns the settable fields of a struct by their form tag, those of embedded
// structs included.
func tagged(v reflect.Value) map[string]reflect.Value {
	fields := map[string]reflect.Value{}
	for i := range v.NumField() {
		field := v.Type().Field(i)
		if name := field.Tag.Get("form"); name == "-" {
			continue // filled by its handler
		} else if name != "" {
			fields[name] = v.Field(i)
		} else if field.Anonymous && field.Type.Kind() == reflect.Struct {
			for name, inner := range tagged(v.Field(i)) {
				fields[name] = inner
			}
		}
	}
	return fields
}

// set puts the texts of one field into it and says what is wrong, if anything.
func set(v reflect.Value, name string, texts []string) (fault.Fault, bool) {
	for _, t := range texts {
		if !utf8.ValidString(t) {
			return domain.NotUTF8.At(name), true
		}
	}
	if v.Kind() == reflect.Slice {
		return setList(v, name, texts)
	}
	if len(texts) > 1 {
		return FieldTwice.At(name), true
	}
	text := strings.Join(texts, "")
	if reader, is := v.Addr().Interface().(encoding.TextUnmarshaler); is {
		if text == "" {
			return fault.Fault{}, false
		}
		return domain.NotAnID.At(name), reader.UnmarshalText([]byte(text)) != nil || !valid(v)
	}
	return setPlain(v, name, text)
}

// setList fills a list of texts, or of ids; an empty id is a choice not made.
func setList(v reflect.Value, name string, texts []string) (fault.Fault, bool) {
	if v.Type().Elem().Kind() == reflect.String {
		v.Set(reflect.ValueOf(append([]string{}, texts...)))
		return fault.Fault{}, false
	}
	list := reflect.MakeSlice(v.Type(), 0, len(texts))
	for _, text := range texts {
		if text == "" {
			continue
		}
		one := reflect.New(v.Type().Elem())
		reader, is := one.Interface().(encoding.TextUnmarshaler)
		if !is {
			panic("web: a command has a list of a type that no form can fill: " + name)
		}
		if reader.UnmarshalText([]byte(text)) != nil || !valid(one.Elem()) {
			return domain.NotAnID.At(name), true
		}
		list = reflect.Append(list, one.Elem())
	}
	v.Set(list)
	return fault.Fault{}, false
}

// valid reports whether a value that knows its own validity is valid.
func valid(v reflect.Value) bool {
	judge, is := v.Interface().(interface{ Valid() bool })
	return !is || judge.Valid()
}

func setPlain(v reflect.Value, name, text string) (fault.Fault, bool) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
	case reflect.Bool:
		switch text {
		case "", "false", "no":
		case "true", "yes", "on":
			v.SetBool(true)
		default:
			return FieldMalformed.At(name, "true or false"), true
		}
	case reflect.Int64:
		if text == "" {
			return fault.Fault{}, false
		}
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return FieldMalformed.At(name, "a whole number"), true
		}
		v.SetInt(n)
	default:
		panic("web: a command has a field of a type that no form can fill: " + name)
	}
	return fault.Fault{}, false
}

// formOf is the way back: the fields of a command as a form would send them.
func formOf(command any) url.Values {
	form := url.Values{}
	for name, field := range tagged(reflect.ValueOf(command).Elem()) {
		switch {
		case field.Kind() == reflect.Slice:
			for i := range field.Len() {
				if text, is := field.Index(i).Interface().(fmt.Stringer); is {
					form.Add(name, text.String())
				} else {
					form.Add(name, field.Index(i).String())
				}
			}
		case field.Kind() == reflect.Bool:
			if field.Bool() {
				form.Set(name, "yes")
			}
		case field.Kind() == reflect.Int64:
			form.Set(name, strconv.FormatInt(field.Int(), 10))
		case field.Kind() == reflect.String:
			form.Set(name, field.String())
		default:
			if judge, is := field.Interface().(interface{ Valid() bool }); is && !judge.Valid() {
				continue // an id that is not chosen yet is an empty field
			}
			if text, is := field.Interface().(fmt.Stringer); is {
				form.Set(name, text.String())
			}
		}
	}
	return form
}
