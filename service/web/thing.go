package web

import (
	"net/url"
	"strings"

	"rillmark/domain/kit"
	"rillmark/service/web/part"
)

// facts shows the fields of a thing by their labels; an empty one says so. The name is
// the page's title already.
func (x *exchange) facts(fields []field, values url.Values) []part.Fact {
	var facts []part.Fact
	for _, f := range fields {
		if f.name == "name" || f.name == "safety_note" || f.kind == part.Password { // shown elsewhere
			continue
		}
		fact := part.Fact{Word: x.text(f.label), Text: strings.Join(values[f.name], ", ")}
		if len(f.options) > 0 {
			fact.Text = optionWords(f.options, values[f.name])
		}
		if fact.Text == "" {
			fact.Text, fact.None = x.text("fact.unknown"), true
		} else if f.kind == part.Email {
			fact.Href = "mailto:" + fact.Text
		} else if f.kind == part.Phone {
			fact.Call = dialled(fact.Text)
		}
		facts = append(facts, fact)
	}
	return facts
}

// keptFields are the fields of all forms, each name once, in the order in which a kept
// form shows them.
func (x *exchange) keptFields() []field {
	return fieldsOf(clientFields(), siteFields(nil), pointFields(), personFields(nil), x.meterFields(), x.indicationFields(),
		installFields(nil), removeFields(), x.itemFields(kit.ReferenceMeter), x.itemFields(kit.TransducerPair), x.itemFields(kit.Tape),
		calibrationFields(x), methodFields(true), editionFields(), spanFields(), agreementFields(nil), x.termFields(), sheetKeptFields())
}

func fieldsOf(forms ...[]field) []field {
	seen := map[string]bool{}
	var all []field
	for _, form := range forms {
		for _, f := range form {
			if !seen[f.name] {
				seen[f.name] = true
				all = append(all, f)
			}
		}
	}
	return all
}

func merged(forms ...url.Values) url.Values {
	all := url.Values{}
	for _, form := range forms {
		for name, values := range form {
			all[name] = values
		}
	}
	return all
}

func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return line
}

// joined puts the texts that are not empty together.
func joined(by string, texts ...string) string {
	var there []string
	for _, t := range texts {
		if t != "" {
			there = append(there, t)
		}
	}
	return strings.Join(there, by)
}

// dialled keeps of a telephone number what a telephone dials.
func dialled(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r == '+' {
			return r
		}
		return -1
	}, text)
}
