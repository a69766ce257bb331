// Package sentence turns codes and keys into what people read. A Book is one language's
// catalogue from templates/text: <language>.toml and <subject>.<language>.toml hold one
// sentence per fault code, saying what is wrong and what to do; page.<language>.toml and
// page.<subject>.<language>.toml hold the words of pages by key. It does no I/O beyond
// reading the catalogue it is given and decides nothing. Plural rules are those of the
// Unicode CLDR, by go-i18n.
package sentence

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
	"sync"
	"text/template"

	"github.com/BurntSushi/toml"
	"github.com/nicksnyder/go-i18n/v2/i18n"
	parser "github.com/nicksnyder/go-i18n/v2/i18n/template"
	"golang.org/x/text/language"
)

// Book is the catalogue of one language. Make it with Open; the zero value is unusable.
// It is safe for use by many goroutines.
type Book struct {
	localizer *i18n.Localizer
	parser    parser.Parser
	ready     sync.Map // texts that were made already, by phrase

	mu      sync.Mutex
	missing func(key string, err error)
}

// Open reads every file of the language below text in fsys. The language is a BCP 47 tag
// such as "en". A language without sentences or without words of pages, a malformed file,
// and a key that stands twice are errors.
func Open(fsys fs.FS, lang string) (*Book, error) {
	tag, err := language.Parse(lang)
	if err != nil {
		return nil, fmt.Errorf("catalogue language %q: %w", lang, err)
	}
	bundle := i18n.NewBundle(tag)
	bundle.RegisterUnmarshalFunc("toml", toml.Unmarshal)
	codes, words := CodeFiles(fsys, lang), PageFiles(fsys, lang)
	if len(codes) == 0 || len(words) == 0 {
		return nil, fmt.Errorf("catalogue: no sentences or no words of pages in language %q", lang)
	}
	from := map[string]string{}
	for _, name := range append(codes, words...) {
		file, err := bundle.LoadMessageFileFS(fsys, name)
		if err != nil {
			return nil, fmt.Errorf("catalogue %s: %w", name, err)
		}
		for _, m := range file.Messages {
			if other, twice := from[m.ID]; twice {
				return nil, fmt.Errorf("catalogue %s: %q stands in %s already", name, m.ID, other)
			}
			from[m.ID] = name
		}
	}
	return &Book{
		localizer: i18n.NewLocalizer(bundle, lang),
		parser:    strictParser{},
		missing:   func(string, error) {},
	}, nil
}

// CodeFiles returns the paths of the files that hold a language's sentences of fault
// codes, sorted.
func CodeFiles(fsys fs.FS, lang string) []string { return files(fsys, lang, false) }

// PageFiles returns the paths of the files that hold a language's words of pages, sorted.
func PageFiles(fsys fs.FS, lang string) []string { return files(fsys, lang, true) }

func files(fsys fs.FS, lang string, ofPages bool) []string {
	all, _ := fs.Glob(fsys, "text/*.toml") // the pattern is well formed
	var found []string
	for _, name := range all {
		base := path.Base(name)
		if (base == lang+".toml" || strings.HasSuffix(base, "."+lang+".toml")) && strings.HasPrefix(base, "page.") == ofPages {
			found = append(found, name)
		}
	}
	return found
}

// OnMissing sets what is called when a key or one of its arguments is missing: a log
// line in the program, a failure in tests. The reader sees the key itself meanwhile, so
// that no page is lost for want of a word.
func (b *Book) OnMissing(call func(key string, err error)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.missing = call
}

// Text returns the words under key. Arguments are pairs of a name and its value; floats
// are printed by Number, whole numbers as they are. A whole number named "n" selects the
// plural form. A missing key or argument is reported to OnMissing and shown as ‹key›.
func (b *Book) Text(key string, pairs ...any) string {
	p, repeats := phraseOf(key, pairs)
	if repeats {
		if text, made := b.ready.Load(p); made {
			return text.(string)
		}
	}
	text, err := b.make(key, pairs)
	if err != nil {
		return b.report(key, err)
	}
	if repeats {
		b.ready.Store(p, text)
	}
	return text
}

// phrase is a text that every page asks for again: bare words, and a small count of things.
type phrase struct {
	key   string
	count int // −1: none
}

// mostCounted bounds how many forms of one sentence are kept ready.
const mostCounted = 100

func phraseOf(key string, pairs []any) (p phrase, repeats bool) {
	switch len(pairs) {
	case 0:
		return phrase{key, -1}, true
	case 2:
		n, whole := pairs[1].(int)
		return phrase{key, n}, whole && pairs[0] == "n" && 0 <= n && n < mostCounted
	}
	return phrase{}, false
}

func (b *Book) make(key string, pairs []any) (string, error) {
	if len(pairs)%2 != 0 {
		return "", fmt.Errorf("odd number of arguments")
	}
	data := make(map[string]any, len(pairs)/2)
	var count any
	for i := 0; i < len(pairs); i += 2 {
		name, ok := pairs[i].(string)
		if !ok {
			return "", fmt.Errorf("argument name %v is no string", pairs[i])
		}
		if n, whole := pairs[i+1].(int); whole && name == "n" {
			count = n
		}
		data[name] = printed(pairs[i+1])
	}
	return b.look(key, data, count)
}

func (b *Book) look(key string, data map[string]any, count any) (string, error) {
	text, err := b.localizer.Localize(&i18n.LocalizeConfig{
		MessageID: key, TemplateData: data, PluralCount: count, TemplateParser: b.parser,
	})
	if err != nil && count != nil { // a sentence with one form says it for every number
		text, err = b.localizer.Localize(&i18n.LocalizeConfig{MessageID: key, TemplateData: data, TemplateParser: b.parser})
	}
	return text, err
}

func (b *Book) report(key string, err error) string {
	b.mu.Lock()
	call := b.missing
	b.mu.Unlock()
	call(key, err)
	return "‹" + key + "›"
}

func printed(v any) any {
	if x, ok := v.(float64); ok {
		return Number(x)
	}
	return v
}

// strictParser parses catalogue entries so that an absent argument is an error instead
// of the words "no value" in front of a person.
type strictParser struct{}

// Cacheable implements go-i18n's template.Parser.
func (strictParser) Cacheable() bool { return true }

// Parse implements go-i18n's template.Parser.
func (strictParser) Parse(src, left, right string) (parser.ParsedTemplate, error) {
	t, err := template.New("").Delims(left, right).Option("missingkey=error").Parse(src)
	if err != nil {
		return nil, err
	}
	return parsed{t}, nil
}
