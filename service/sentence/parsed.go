package sentence

import (
	"strings"
	"text/template"
)

// parsed is one catalogue entry ready to be filled.
type parsed struct{ t *template.Template }

// Execute implements go-i18n's template.ParsedTemplate.
func (p parsed) Execute(data any) (string, error) {
	var b strings.Builder
	if err := p.t.Execute(&b, data); err != nil {
		return "", err
	}
	return b.String(), nil
}
