package sentence

import (
	"rillmark/calc/fault"
	"rillmark/domain/sheet"
)

// Worded returns the fault with the words for survey values and sources in the place of
// their names, for a page or a document to say.
func (b *Book) Worded(f fault.Fault) fault.Fault {
	if f.Code == nil {
		return f
	}
	var values []any
	for _, arg := range f.Code.Args() {
		v := f.Value(arg.Name)
		text, isText := v.(string)
		switch _, value := sheet.About(sheet.Name(text)); {
		case isText && arg.Name == "name" && value:
			v = b.Text("sheet.name-" + text)
		case isText && arg.Name == "source" && sheet.Source(text).Known():
			v = b.Text("sheet.source-" + text)
		}
		values = append(values, v)
	}
	return f.Code.At(f.Field, values...)
}
