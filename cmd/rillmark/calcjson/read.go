package calcjson

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"unicode/utf8"
)

// The limits of what is read: far above any use, low enough that no input makes the
// program run out of memory or stack.
const (
	maxBytes    = 16 << 20
	maxDepth    = 16
	maxElements = 100_000
)

// shape is the JSON type of a node; its text is what a message calls it.
type shape string

const (
	isNull   shape = "null"
	isBool   shape = "true or false"
	isNumber shape = "a number"
	isText   shape = "a text"
	isList   shape = "a list"
	isObject shape = "an object"
)

// node is one JSON value as it was written. Numbers stay text until a field asks for
// one; an object keeps the names that occurred twice, which encoding/json would drop.
type node struct {
	shape   shape
	text    string // of a number or a text
	list    []node
	fields  map[string]node
	names   []string // of the fields, in the order written
	doubled []string
}

// read reads one JSON value, bounded in size and depth, with nothing after it.
func read(r io.Reader) (node, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	switch {
	case err != nil:
		return node{}, codeUnreadable.At("", err.Error())
	case len(data) > maxBytes:
		return node{}, codeTooLarge.At("", maxBytes)
	case len(bytes.TrimSpace(data)) == 0:
		return node{}, codeEmpty.At("")
	case !utf8.Valid(data):
		return node{}, codeNotUTF8.At("", firstBadByte(data)+1)
	}
	var whole json.RawMessage
	decoder := json.NewDecoder(bytes.NewReader(data))
	if err := decoder.Decode(&whole); err != nil {
		return node{}, syntax(data, err)
	}
	if end := int(decoder.InputOffset()); len(bytes.TrimLeft(data[end:], " \t\r\n")) > 0 {
		return node{}, codeTrailing.At("", end+1)
	}
	tokens := json.NewDecoder(bytes.NewReader(whole))
	tokens.UseNumber()
	return build(tokens, maxDepth)
}

func firstBadByte(data []byte) int {
	at := 0
	for at < len(data) {
		r, size := utf8.DecodeRune(data[at:])
		if r == utf8.RuneError && size == 1 {
			break
		}
		at += size
	}
	return at
}

// syntax places an error of the syntax, counting bytes from 1, and knows the numbers that
// other programs write but JSON does not have.
func syntax(data []byte, err error) error {
	var wrong *json.SyntaxError
	if !errors.As(err, &wrong) {
		return codeSyntax.At("", len(data))
	}
	at := int(wrong.Offset)
	from := max(at-2, 0)
	for _, word := range []string{"NaN", "nan", "Infinity", "inf"} {
		if i := bytes.Index(data[from:min(from+1+len(word)+1, len(data))], []byte(word)); i >= 0 {
			return codeNotJSONNumber.At("", from+i+1)
		}
	}
	return codeSyntax.At("", at)
}

// build makes a node of the next value. The text was parsed once already, so the only
// thing that can still be wrong is the depth.
func build(tokens *json.Decoder, depth int) (node, error) {
	if depth == 0 {
		return node{}, codeTooDeep.At("", maxDepth)
	}
	token, err := tokens.Token()
	if err != nil {
		return node{}, codeUnreadable.At("", err.Error())
	}
	switch v := token.(type) {
	case json.Number:
		return node{shape: isNumber, text: v.String()}, nil
	case string:
		return node{shape: isText, text: v}, nil
	case bool:
		n := node{shape: isBool}
		if v {
			n.text = "true"
		}
		return n, nil
	case json.Delim:
		if v == '[' {
			return buildList(tokens, depth)
		}
		return buildObject(tokens, depth)
	}
	return node{shape: isNull}, nil
}

func buildList(tokens *json.Decoder, depth int) (node, error) {
	n := node{shape: isList}
	for tokens.More() {
		item, err := build(tokens, depth-1)
		if err != nil {
			return node{}, err
		}
		n.list = append(n.list, item)
	}
	_, err := tokens.Token()
	return n, err
}

func buildObject(tokens *json.Decoder, depth int) (node, error) {
	n := node{shape: isObject, fields: map[string]node{}}
	for tokens.More() {
		token, err := tokens.Token()
		if err != nil {
			return node{}, err
		}
		name, _ := token.(string)
		value, err := build(tokens, depth-1)
		if err != nil {
			return node{}, err
		}
		if _, twice := n.fields[name]; twice {
			n.doubled = append(n.doubled, name)
			continue
		}
		n.names = append(n.names, name)
		n.fields[name] = value
	}
	_, err := tokens.Token()
	return n, err
}
