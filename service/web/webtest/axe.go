package webtest

import (
	_ "embed"
)

// axe is axe-core 4.14.1 as its maker publishes it (MPL-2.0, axe/LICENSE). No page of the
// program holds it.
//
//go:embed axe/axe.min.js
var axe string

// Barriers returns what keeps people from using the open page, as axe-core finds it: each
// rule that is broken, best practices among them, with the first element that breaks it.
func (p *Page) Barriers() []string {
	p.t.Helper()
	if !Eval[bool](p, `"axe" in window`) {
		Eval[bool](p, axe+"; true")
	}
	Eval[bool](p, `window.barriers = null, axe.run(document, {resultTypes: ["violations"]}).then(r => {
		window.barriers = r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.length + " such as " + v.nodes[0].html.slice(0, 200));
	}, e => { window.barriers = [String(e)]; }), true`)
	p.await("axe-core", "window.barriers !== null")
	return Eval[[]string](p, "window.barriers")
}

// HoldBarriers fails the test where the open page has barriers.
func (p *Page) HoldBarriers(name string) {
	p.t.Helper()
	for _, b := range p.Barriers() {
		p.t.Errorf("%s: %s", name, b)
	}
}
