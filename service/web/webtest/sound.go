package webtest

import (
	"fmt"
	"strings"

	"golang.org/x/net/html"
)

// Sound is what every page must hold, whatever it shows: a language, a title, one first
// heading and no gap among the others, a label on every control, ids that are there once
// and references that lead to one, words on every link and button, no style or script
// within the page. It follows the checkable part of WCAG 2.2 levels A and AA.
func Sound() Check {
	return func(n *html.Node) error {
		return every(n, []Check{frame, headings, ids, controls, named, plain})
	}
}

func frame(n *html.Node) error {
	page := All(n, "html")
	if len(page) != 1 || Attr(page[0], "lang") == "" {
		return fmt.Errorf("the page names no language")
	}
	if title := All(n, "head title"); len(title) != 1 || Words(title[0]) == "" {
		return fmt.Errorf("the page has no title")
	}
	if len(All(n, "main")) != 1 {
		return fmt.Errorf("the page has not one main part")
	}
	return nil
}

func headings(n *html.Node) error {
	last, firsts := 0, 0
	for d := range n.Descendants() {
		if d.Type != html.ElementNode || len(d.Data) != 2 || d.Data[0] != 'h' || d.Data[1] < '1' || d.Data[1] > '6' {
			continue
		}
		level := int(d.Data[1] - '0')
		if level == 1 {
			firsts++
		}
		if level > last+1 {
			return fmt.Errorf("heading %q of level %d follows one of level %d", Words(d), level, last)
		}
		if Words(d) == "" {
			return fmt.Errorf("a heading is empty")
		}
		last = level
	}
	if firsts != 1 {
		return fmt.Errorf("the page has %d first headings", firsts)
	}
	return nil
}

func ids(n *html.Node) error {
	seen := map[string]bool{}
	for _, e := range All(n, "[id]") {
		id := Attr(e, "id")
		if seen[id] {
			return fmt.Errorf("the id %q is there twice", id)
		}
		seen[id] = true
	}
	for _, name := range []string{"for", "aria-describedby", "aria-labelledby", "form"} {
		for _, e := range All(n, "["+name+"]") {
			for _, id := range strings.Fields(Attr(e, name)) {
				if !seen[id] {
					return fmt.Errorf("%s refers to %q, which is not there", name, id)
				}
			}
		}
	}
	return nil
}

func controls(n *html.Node) error {
	labelled := map[string]bool{}
	for _, l := range All(n, "label[for]") {
		if Words(l) != "" {
			labelled[Attr(l, "for")] = true
		}
	}
	for _, tag := range []string{"input", "select", "textarea"} {
		for _, e := range All(n, tag) {
			if Attr(e, "type") == "hidden" || labelled[Attr(e, "id")] || Attr(e, "aria-label") != "" || within(e, "label") {
				continue
			}
			return fmt.Errorf("the control %q has no label", Attr(e, "name"))
		}
	}
	for _, f := range All(n, "fieldset") {
		if len(All(f, "legend")) == 0 {
			return fmt.Errorf("a group of controls has no legend")
		}
	}
	return nil
}

func named(n *html.Node) error {
	for _, tag := range []string{"a", "button"} {
		for _, e := range All(n, tag) {
			if Words(e) == "" && Attr(e, "aria-label") == "" {
				return fmt.Errorf("a %s has no words (%v)", tag, e.Attr)
			}
		}
	}
	for _, e := range All(n, "svg") {
		if Attr(e, "aria-hidden") != "true" && Attr(e, "aria-label") == "" {
			return fmt.Errorf("a drawing has neither words nor is hidden")
		}
	}
	for _, e := range All(n, "img") {
		if _, there := lookup(e, "alt"); !there {
			return fmt.Errorf("a picture has no words")
		}
	}
	return nil
}

func plain(n *html.Node) error {
	if len(All(n, "style"))+len(All(n, "[style]")) > 0 {
		return fmt.Errorf("the page holds styles of its own")
	}
	for _, s := range All(n, "script") {
		if Attr(s, "src") == "" || Words(s) != "" {
			return fmt.Errorf("the page holds a script of its own")
		}
	}
	for d := range n.Descendants() {
		for _, a := range d.Attr {
			if strings.HasPrefix(a.Key, "on") || strings.HasPrefix(strings.ToLower(strings.TrimSpace(a.Val)), "javascript:") {
				return fmt.Errorf("<%s %s=%q> runs a script", d.Data, a.Key, a.Val)
			}
		}
	}
	return nil
}

func within(n *html.Node, tag string) bool {
	for up := n.Parent; up != nil; up = up.Parent {
		if up.Type == html.ElementNode && up.Data == tag {
			return true
		}
	}
	return false
}
