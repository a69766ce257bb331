package domain

import (
	"slices"

	"rillmark/calc/fault"
)

// TooMany says that a list is longer than it may be.
var TooMany = fault.Define("list.too-many", fault.C("most"))

// IDTexts checks a list of ids as a form sends it, and returns it sorted, each once. Empty
// texts are left out.
func IDTexts[K any](check *Check, field string, texts []string, most int) []string {
	ids := []string{}
	for _, text := range texts {
		if text == "" {
			continue
		}
		id, err := ParseID[K](text)
		if err != nil {
			check.Add(NotAnID.At(field))
			return nil
		}
		ids = append(ids, id.String())
	}
	slices.Sort(ids)
	if ids = slices.Compact(ids); len(ids) > most {
		check.Add(TooMany.At(field, most))
	}
	return ids
}
