package sentence

import "rillmark/calc/fault"

// Fault returns the sentence of f's code, filled with its arguments. The first count
// among the arguments selects the plural form. A code without a sentence is reported to
// OnMissing.
func (b *Book) Fault(f fault.Fault) string {
	if f.Code == nil {
		return b.report("fault without a code", errNoCode)
	}
	data := f.Values()
	var count any
	for _, arg := range f.Code.Args() {
		if arg.Kind == fault.Count && count == nil {
			count = data[arg.Name]
		}
		data[arg.Name] = printed(data[arg.Name])
	}
	text, err := b.look(f.Code.Name(), data, count)
	if err != nil {
		return b.report(f.Code.Name(), err)
	}
	return text
}

// ByField returns the sentences of faults keyed by field, in the order given; the key ""
// holds those that belong to the whole.
func (b *Book) ByField(faults fault.List) map[string][]string {
	said := make(map[string][]string, len(faults))
	for _, f := range faults {
		said[f.Field] = append(said[f.Field], b.Fault(f))
	}
	return said
}

type constError string

func (e constError) Error() string { return string(e) }

const errNoCode = constError("the fault names no code")
