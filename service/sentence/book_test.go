package sentence_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"rillmark/calc/fault"
	"rillmark/service/sentence"
)

var (
	thick = fault.Define("sentencetest.thick", fault.N("wall_mm"), fault.T("layer"))
	short = fault.Define("sentencetest.short", fault.T("of"), fault.C("readings"))
	mute  = fault.Define("sentencetest.mute")
)

const codes = `
["sentencetest.thick"]
other = "The {{.layer}} is {{.wall_mm}} mm thick."
["sentencetest.short"]
one = "Only {{.readings}} reading of {{.of}}."
other = "Only {{.readings}} readings of {{.of}}."
`

const words = `
"greet" = "Good day, {{.name}}."
["found"]
one = "{{.n}} client"
other = "{{.n}} clients"
`

func open(t *testing.T) (*sentence.Book, *[]string) {
	t.Helper()
	book, err := sentence.Open(fstest.MapFS{
		"text/en.toml":      {Data: []byte(codes)},
		"text/page.en.toml": {Data: []byte(words)},
	}, "en")
	if err != nil {
		t.Fatal(err)
	}
	var missing []string
	book.OnMissing(func(key string, err error) { missing = append(missing, key) })
	return book, &missing
}

func TestFaultIsSaid(t *testing.T) {
	book, missing := open(t)
	for _, row := range []struct {
		f    fault.Fault
		want string
	}{
		{thick.At("wall", -7.5, "liner <b>"), "The liner <b> is −7.5 mm thick."},
		{short.At("", "the flow", 1), "Only 1 reading of the flow."},
		{short.At("", "{{.readings}}", 3), "Only 3 readings of {{.readings}}."},
	} {
		if got := book.Fault(row.f); got != row.want {
			t.Errorf("%v: got %q, want %q", row.f, got, row.want)
		}
	}
	if len(*missing) != 0 {
		t.Errorf("reported missing: %v", *missing)
	}
}

func TestByFieldKeepsEveryFault(t *testing.T) {
	book, _ := open(t)
	said := book.ByField(fault.List{thick.At("a", 1.0, "x"), thick.At("a", 2.0, "x"), thick.At("", 3.0, "x")})
	if len(said["a"]) != 2 || len(said[""]) != 1 || !strings.Contains(said["a"][1], "2 mm") {
		t.Errorf("ByField = %q", said)
	}
}

func TestTextCountsAndFills(t *testing.T) {
	book, missing := open(t)
	for _, row := range []struct {
		key  string
		args []any
		want string
	}{
		{"greet", []any{"name", "Ines"}, "Good day, Ines."},
		{"found", []any{"n", 1}, "1 client"},
		{"found", []any{"n", 0}, "0 clients"},
	} {
		if got := book.Text(row.key, row.args...); got != row.want {
			t.Errorf("Text(%s) = %q, want %q", row.key, got, row.want)
		}
	}
	if len(*missing) != 0 {
		t.Errorf("reported missing: %v", *missing)
	}
}

func TestMissingIsReportedAndShown(t *testing.T) {
	for name, say := range map[string]func(*sentence.Book) string{
		"absent":               func(b *sentence.Book) string { return b.Text("absent") },
		"greet":                func(b *sentence.Book) string { return b.Text("greet") },
		"found":                func(b *sentence.Book) string { return b.Text("found", "n") },
		mute.Name():            func(b *sentence.Book) string { return b.Fault(mute.At("")) },
		"fault without a code": func(b *sentence.Book) string { return b.Fault(fault.Fault{}) },
	} {
		book, missing := open(t)
		if got := say(book); got != "‹"+name+"›" || len(*missing) != 1 || (*missing)[0] != name {
			t.Errorf("%s: got %q, reported %v", name, got, *missing)
		}
	}
}

func TestOpenRefuses(t *testing.T) {
	good := &fstest.MapFile{Data: []byte(words)}
	for name, fsys := range map[string]fstest.MapFS{
		"no codes":  {"text/page.en.toml": good},
		"no words":  {"text/en.toml": good},
		"malformed": {"text/en.toml": {Data: []byte("a = ")}, "text/page.en.toml": good},
		"key twice": {"text/en.toml": {Data: []byte(codes)}, "text/more.en.toml": {Data: []byte(codes)}, "text/page.en.toml": good},
		"other one": {"text/de.toml": {Data: []byte(codes)}, "text/page.de.toml": good},
	} {
		if _, err := sentence.Open(fsys, "en"); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := sentence.Open(fstest.MapFS{}, "not a tag"); err == nil {
		t.Error("a malformed language is no error")
	}
}

func TestEveryFileOfTheLanguageIsRead(t *testing.T) {
	book, err := sentence.Open(fstest.MapFS{
		"text/en.toml":           {Data: []byte("\"a.b\" = \"One.\"")},
		"text/more.en.toml":      {Data: []byte("\"c.d\" = \"Two.\"")},
		"text/page.en.toml":      {Data: []byte("\"e\" = \"three\"")},
		"text/page.more.en.toml": {Data: []byte("\"f\" = \"four\"")},
		"text/de.toml":           {Data: []byte("\"g\" = \"fünf\"")},
	}, "en")
	if err != nil {
		t.Fatal(err)
	}
	if got := book.Text("a.b") + book.Text("c.d") + book.Text("e") + book.Text("f") + book.Text("g"); got != "One.Two.threefour‹g›" {
		t.Errorf("got %q", got)
	}
}
