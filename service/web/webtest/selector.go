package webtest

import (
	"fmt"
	"strings"

	"golang.org/x/net/html"
)

// step is one simple selector and how it is joined to the one before.
type step struct {
	tag, id string
	classes []string
	attrs   []attr
	child   bool // ">" stands before it
}

type attr struct {
	name, value string
	valued      bool
}

// parseSelector reads tags, #ids, .classes and [attribute] or [attribute="value"], joined
// by blanks (descendant) and ">" (child): the part of CSS that tests of pages need.
func parseSelector(selector string) ([]step, error) {
	var steps []step
	child := false
	for _, word := range words(selector) {
		if word == ">" {
			child = true
			continue
		}
		s, err := parseStep(word)
		if err != nil {
			return nil, fmt.Errorf("selector %q: %w", selector, err)
		}
		s.child = child
		child = false
		steps = append(steps, s)
	}
	if len(steps) == 0 || child {
		return nil, fmt.Errorf("selector %q is not complete", selector)
	}
	return steps, nil
}

// words splits at blanks that are not within brackets.
func words(selector string) []string {
	inside := false
	return strings.FieldsFunc(selector, func(r rune) bool {
		switch r {
		case '[':
			inside = true
		case ']':
			inside = false
		}
		return r == ' ' && !inside
	})
}

func parseStep(word string) (step, error) {
	var s step
	for word != "" {
		kind := word[0]
		if kind == '[' {
			body, rest, closed := strings.Cut(word[1:], "]")
			if !closed {
				return s, fmt.Errorf("%q has no closing bracket", word)
			}
			name, value, valued := strings.Cut(body, "=")
			s.attrs = append(s.attrs, attr{name, strings.Trim(value, `"`), valued})
			word = rest
			continue
		}
		if kind == '#' || kind == '.' {
			word = word[1:]
		}
		end := strings.IndexAny(word, "#.[")
		if end < 0 {
			end = len(word)
		}
		name := word[:end]
		word = word[end:]
		if name == "" {
			return s, fmt.Errorf("a name is missing")
		}
		switch kind {
		case '#':
			s.id = name
		case '.':
			s.classes = append(s.classes, name)
		default:
			s.tag = name
		}
	}
	return s, nil
}

func (s step) matches(n *html.Node) bool {
	if n.Type != html.ElementNode || s.tag != "" && s.tag != "*" && s.tag != n.Data {
		return false
	}
	if s.id != "" && Attr(n, "id") != s.id {
		return false
	}
	classes := strings.Fields(Attr(n, "class"))
	for _, c := range s.classes {
		if !contains(classes, c) {
			return false
		}
	}
	for _, a := range s.attrs {
		value, there := lookup(n, a.name)
		if !there || a.valued && value != a.value {
			return false
		}
	}
	return true
}

func matchesAll(n *html.Node, steps []step) bool {
	last := steps[len(steps)-1]
	if !last.matches(n) {
		return false
	}
	if len(steps) == 1 {
		return true
	}
	for up := n.Parent; up != nil; up = up.Parent {
		if matchesAll(up, steps[:len(steps)-1]) {
			return true
		}
		if last.child {
			return false
		}
	}
	return false
}

// All returns every element under n that the selector matches, in order. A malformed
// selector panics: only the test's author can have written it.
func All(n *html.Node, selector string) []*html.Node {
	steps, err := parseSelector(selector)
	if err != nil {
		panic(err)
	}
	var found []*html.Node
	for d := range n.Descendants() {
		if matchesAll(d, steps) {
			found = append(found, d)
		}
	}
	return found
}

// Attr returns the value of an attribute, empty when it is not there.
func Attr(n *html.Node, name string) string {
	value, _ := lookup(n, name)
	return value
}

func lookup(n *html.Node, name string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val, true
		}
	}
	return "", false
}

// Words returns the text under n with blanks joined, as a reader sees it.
func Words(n *html.Node) string {
	var b strings.Builder
	if n.Type == html.TextNode {
		b.WriteString(n.Data)
	}
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
		if d.Type == html.ElementNode {
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func contains(list []string, item string) bool {
	for _, l := range list {
		if l == item {
			return true
		}
	}
	return false
}
