// Package sentence turns codes and keys into what people read. A Book is one language's
// catalogue from templates/text: the file named for the language holds one sentence per
// fault code, saying what is wrong and what to do; the file page.<language>.toml holds
// the words of pages by key. It does no I/O beyond reading the catalogue it is given and
// decides nothing. Plural rules are those of the Unicode CLDR, by go-i18n.
package sentence

import (
	"fmt"
	"io/fs"
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

	mu      sync.Mutex
	missing func(key string, err error)
}

// Open reads text/<lang>.toml (codes) and text/page.<lang>.toml (words of pages) of
// fsys. The language is a BCP 47 tag such as "en". A file that is absent or malformed is
// an error.
func Open(fsys fs.FS, lang string) (*Book, error) {
	tag, err := language.Parse(lang)
	if err != nil {
		return nil, fmt.Errorf("catalogue language %q: %w", lang, err)
	}
	bundle := i18n.NewBundle(tag)
	bundle.RegisterUnmarshalFunc("toml", toml.Unmarshal)
	for _, name := range []string{CodeFile(lang), PageFile(lang)} {
		if _, err := bundle.LoadMessageFileFS(fsys, name); err != nil {
			return nil, fmt.Errorf("catalogue %s: %w", name, err)
		}
	}
	return &Book{
		localizer: i18n.NewLocalizer(bundle, lang),
		parser:    strictParser{},
		missing:   func(string, error) {},
	}, nil
}

// CodeFile returns the path of the file that holds a language's sentences of fault codes.
func CodeFile(lang string) string { return "text/" + lang + ".toml" }

// PageFile returns the path of the file that holds a language's words of pages.
func PageFile(lang string) string { return "text/page." + lang + ".toml" }

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
	if len(pairs)%2 != 0 {
		return b.report(key, fmt.Errorf("odd number of arguments"))
	}
	data := make(map[string]any, len(pairs)/2)
	var count any
	for i := 0; i < len(pairs); i += 2 {
		name, ok := pairs[i].(string)
		if !ok {
			return b.report(key, fmt.Errorf("argument name %v is no string", pairs[i]))
		}
		if n, whole := pairs[i+1].(int); whole && name == "n" {
			count = n
		}
		data[name] = printed(pairs[i+1])
	}
	return b.look(key, data, count)
}

func (b *Book) look(key string, data map[string]any, count any) string {
	text, err := b.localizer.Localize(&i18n.LocalizeConfig{
		MessageID: key, TemplateData: data, PluralCount: count, TemplateParser: b.parser,
	})
	if err != nil {
		return b.report(key, err)
	}
	return text
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
