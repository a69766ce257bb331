package webtest_test

import (
	"strings"
	"testing"

	. "rillmark/service/web/webtest"
)

const page = `<!doctype html><html lang="en"><head><title>Clients</title></head><body><main>
<h1>Clients</h1><p class="over lead">Four <b>clients</b></p>
<form id="seek" method="get"><label for="q">Find</label><input id="q" name="q" aria-describedby="h"><span id="h">by name</span></form>
<ul class="rows"><li><a href="/a">One</a></li><li><a href="/b" rel="next">Two</a></li></ul></main></body></html>`

func TestChecks(t *testing.T) {
	for name, row := range map[string]struct {
		check Check
		holds bool
	}{
		"sound":             {Sound(), true},
		"in, text":          {In("p.lead", Says("Four clients")), true},
		"in, other text":    {In("p.lead", Says("Five")), false},
		"both classes":      {In("p.over.lead"), true},
		"class is not part": {In("p.ov"), false},
		"descendant":        {In("main ul a"), true},
		"child":             {In("ul.rows > li > a", Has("href", "/a")), true},
		"no child":          {In("main > a"), false},
		"attribute":         {In(`a[rel="next"]`, Says("Two")), true},
		"id":                {In("#seek input", Has("name", "q")), true},
		"wrong attribute":   {In("#q", Has("name", "p")), false},
		"count":             {Count("ul.rows li", 2), true},
		"wrong count":       {Count("ul.rows li", 3), false},
		"not":               {Not("table"), true},
		"not, but there":    {Not("ul"), false},
		"silent":            {Silent("Five"), true},
		"not silent":        {Silent("Four"), false},
	} {
		if _, err := Parse(strings.NewReader(page), row.check); (err == nil) != row.holds {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSoundFindsWhatIsWrong(t *testing.T) {
	for name, change := range map[string][2]string{
		"language":       {`lang="en"`, ``},
		"title":          {`<title>Clients</title>`, ``},
		"no heading":     {`<h1>Clients</h1>`, ``},
		"two firsts":     {`<h1>Clients</h1>`, `<h1>Clients</h1><h1>More</h1>`},
		"gap":            {`<h1>Clients</h1>`, `<h1>Clients</h1><h3>More</h3>`},
		"empty heading":  {`<h1>Clients</h1>`, `<h1>Clients</h1><h2> </h2>`},
		"no label":       {`<label for="q">Find</label>`, ``},
		"id twice":       {`<b>`, `<b id="q">`},
		"lost reference": {`id="h"`, `id="i"`},
		"silent link":    {`>One<`, `><`},
		"silent drawing": {`<b>`, `<svg></svg><b>`},
		"picture":        {`<b>`, `<img src="/x"><b>`},
		"style":          {`<b>`, `<b style="color:red">`},
		"style sheet":    {`<b>`, `<style>b{}</style><b>`},
		"script":         {`<b>`, `<script>1</script><b>`},
		"handler":        {`<b>`, `<b onclick="x()">`},
		"script address": {`href="/a"`, `href="javascript:x()"`},
		"no legend":      {`<b>`, `<fieldset></fieldset><b>`},
		"no main":        {`main`, `div`},
	} {
		broken := strings.ReplaceAll(page, change[0], change[1])
		if broken == page {
			t.Fatalf("%s: the change changes nothing", name)
		}
		if _, err := Parse(strings.NewReader(broken), Sound()); err == nil {
			t.Errorf("%s: not found", name)
		}
	}
}

func TestMalformedSelectorPanics(t *testing.T) {
	for _, selector := range []string{"", "a >", "a[b", "a..b"} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%q: no panic", selector)
				}
			}()
			_, _ = Parse(strings.NewReader(page), In(selector))
		}()
	}
}
