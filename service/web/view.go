package web

import (
	"bytes"
	"fmt"
	"html/template"
	"io/fs"
	"path"
	"strings"

	"rillmark/service/sentence"
	"rillmark/service/web/part"
)

// view renders pages. It parses one template set per page at the start: the layouts and
// parts, and the page's own file, which defines "main" and may replace what the layout
// defines.
type view struct {
	book   *sentence.Book
	assets *assets
	pages  map[string]*template.Template
}

func openView(fsys fs.FS, book *sentence.Book) (*view, error) {
	as, err := openAssets(fsys)
	if err != nil {
		return nil, err
	}
	v := &view{book: book, assets: as, pages: map[string]*template.Template{}}
	shared, err := template.New("").Funcs(template.FuncMap{
		"t": book.Text, "asset": as.href, "permille": permille,
	}).Option("missingkey=error").ParseFS(fsys, "layout/*.html", "part/*.html")
	if err != nil {
		return nil, fmt.Errorf("templates: %w", err)
	}
	names, err := fs.Glob(fsys, "page/*.html")
	if err != nil || len(names) == 0 {
		return nil, fmt.Errorf("templates: no pages (%v)", err)
	}
	for _, name := range names {
		set, err := template.Must(shared.Clone()).ParseFS(fsys, name)
		if err != nil {
			return nil, fmt.Errorf("templates: %w", err)
		}
		v.pages[strings.TrimSuffix(path.Base(name), ".html")] = set
	}
	return v, nil
}

// permille writes thousandths as the percentage that SVG takes.
func permille(n int) string { return fmt.Sprintf("%d.%d%%", n/10, n%10) }

// usualPage is room for most pages, so that their buffer need not grow.
const usualPage = 32 << 10

// page renders a page whole before anything is sent, so that an error can still be
// answered with a page of its own.
func (v *view) page(name string, data any) ([]byte, error) {
	set, known := v.pages[name]
	if !known {
		return nil, fmt.Errorf("no page %q", name)
	}
	b := bytes.NewBuffer(make([]byte, 0, usualPage))
	if err := set.ExecuteTemplate(b, "page", data); err != nil {
		return nil, fmt.Errorf("page %s: %w", name, err)
	}
	return b.Bytes(), nil
}

// base is what every page has; page structs embed it.
type base struct {
	Lang    string
	Heading part.Heading
	Actor   *who
	Ways    []way
	Kept    *part.Kept
	Said    *part.Notice
	Company string
	Zone    string // in which times are told
}

// who is the person who is logged in, as the head of the page names them.
type who struct{ Name, Role, Href string }

// way is one place to go from every page. Current is "page" on the place itself, "true"
// below it, empty elsewhere (WAI-ARIA 1.2, aria-current).
type way struct{ Href, Words, Current string }
