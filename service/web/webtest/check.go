package webtest

import (
	"fmt"
	"io"
	"strings"

	"golang.org/x/net/html"
)

// Check is a demand on a page or a part of it.
type Check func(*html.Node) error

// Parse reads a page and holds it to the checks; every one that fails is in the error.
func Parse(r io.Reader, checks ...Check) (*html.Node, error) {
	doc, err := html.Parse(r)
	if err != nil {
		return nil, fmt.Errorf("parse the page: %w", err)
	}
	return doc, every(doc, checks)
}

func every(n *html.Node, checks []Check) error {
	var wrong []string
	for _, check := range checks {
		if err := check(n); err != nil {
			wrong = append(wrong, err.Error())
		}
	}
	if len(wrong) > 0 {
		return fmt.Errorf("%s", strings.Join(wrong, "; "))
	}
	return nil
}

// In demands that the selector matches and that its first match holds the checks.
func In(selector string, checks ...Check) Check {
	return func(n *html.Node) error {
		found := All(n, selector)
		if len(found) == 0 {
			return fmt.Errorf("nothing matches %q", selector)
		}
		if err := every(found[0], checks); err != nil {
			return fmt.Errorf("in %q: %w", selector, err)
		}
		return nil
	}
}

// Not demands that the selector matches nothing.
func Not(selector string) Check { return Count(selector, 0) }

// Count demands so many matches.
func Count(selector string, want int) Check {
	return func(n *html.Node) error {
		if got := len(All(n, selector)); got != want {
			return fmt.Errorf("%q matches %d times, want %d", selector, got, want)
		}
		return nil
	}
}

// Says demands that the text, with blanks joined, is in the words.
func Says(text string) Check {
	return func(n *html.Node) error {
		if got := Words(n); !strings.Contains(got, text) {
			return fmt.Errorf("does not say %q but %q", text, shortened(got))
		}
		return nil
	}
}

// Silent demands that the text is not in the words.
func Silent(text string) Check {
	return func(n *html.Node) error {
		if strings.Contains(Words(n), text) {
			return fmt.Errorf("says %q", text)
		}
		return nil
	}
}

// Has demands an attribute with the value.
func Has(name, want string) Check {
	return func(n *html.Node) error {
		if got, there := lookup(n, name); !there || got != want {
			return fmt.Errorf("%s is %q, want %q", name, got, want)
		}
		return nil
	}
}

func shortened(text string) string {
	if r := []rune(text); len(r) > 300 {
		return string(r[:300]) + "…"
	}
	return text
}
