package web

import (
	"math"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/capture"
	"rillmark/service/logfile"
	"rillmark/service/web/part"
)

// columnMap is a column map in the fields of a form. The names are those of the map, so
// that what is wrong stands beside its field.
type columnMap struct {
	Encoding    string `form:"encoding"`
	Delimiter   string `form:"delimiter"`
	HeaderLines string `form:"header_lines"`
	DecimalMark string `form:"decimal_mark"`
	Sheet       string `form:"sheet"`
	TimeColumn  string `form:"time_columns"`
	TimeOfDay   string `form:"time_of_day_column"`
	TimeForm    string `form:"time_form"`
	DateOrder   string `form:"date_order"`
	MapZone     string `form:"zone"`
	ValueColumn string `form:"value_column"`
	Unit        string `form:"unit"`
	Counter     string `form:"counter"`
	Modulus     string `form:"modulus"`
	Status      string `form:"status_column"`
	Good        string `form:"good_status"`
	Averaging   string `form:"averaging.kind"`
	Seconds     string `form:"averaging.seconds"`
}

// mappingFields are the names of columnMap.
var mappingFields = []string{"encoding", "delimiter", "header_lines", "decimal_mark", "sheet", "time_columns", "time_of_day_column", "time_form", "date_order", "zone",
	"value_column", "unit", "counter", "modulus", "status_column", "good_status", "averaging.kind", "averaging.seconds"}

// mappingOf reads a column map from the fields of a form. What is empty is left to the
// proposal.
func mappingOf(v url.Values) (logfile.Mapping, error) {
	var check domain.Check
	typed := func(name string) string { return domain.Line(v.Get(name)) }
	m := logfile.Mapping{Encoding: typed("encoding"), Delimiter: typed("delimiter"), DecimalMark: typed("decimal_mark"), Sheet: typed("sheet"),
		TimeForm: typed("time_form"), DateOrder: typed("date_order"), Zone: typed("zone"), ValueColumn: logfile.Column(typed("value_column")), Unit: typed("unit"),
		Counter: typed("counter") == "yes", Status: logfile.Column(typed("status_column"))}
	if t := typed("header_lines"); t != "" {
		n, err := strconv.Atoi(t)
		if err != nil {
			check.Add(FieldMalformed.At("header_lines", "a whole number"))
		}
		m.HeaderLines = &n
	}
	for _, name := range []string{"time_columns", "time_of_day_column"} {
		if t := typed(name); t != "" {
			m.TimeColumns = append(m.TimeColumns, logfile.Column(t))
		}
	}
	for _, word := range strings.Split(typed("good_status"), ",") {
		if word = domain.Line(word); word != "" {
			m.Good = append(m.Good, word)
		}
	}
	m.Modulus = numberIn(&check, "modulus", typed("modulus"))
	if kind := typed("averaging.kind"); kind != "" {
		m.Averaging = &logfile.Averaging{Kind: kind, Seconds: numberIn(&check, "averaging.seconds", typed("averaging.seconds"))}
	}
	return m, check.Err()
}

func numberIn(check *domain.Check, field, text string) float64 {
	if text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
		check.Add(FieldMalformed.At(field, "a number"))
		return 0
	}
	return v
}

// mappingValues are a column map's fields as a form holds them.
func mappingValues(m logfile.Mapping) url.Values {
	v := url.Values{}
	set := func(name, text string) {
		if text != "" {
			v.Set(name, text)
		}
	}
	set("encoding", m.Encoding)
	set("delimiter", m.Delimiter)
	if m.HeaderLines != nil {
		set("header_lines", strconv.Itoa(*m.HeaderLines))
	}
	set("decimal_mark", m.DecimalMark)
	set("sheet", m.Sheet)
	for i, c := range m.TimeColumns {
		set([]string{"time_columns", "time_of_day_column"}[min(i, 1)], string(c))
	}
	set("time_form", m.TimeForm)
	set("date_order", m.DateOrder)
	set("zone", m.Zone)
	set("value_column", string(m.ValueColumn))
	set("unit", m.Unit)
	if m.Counter {
		set("counter", "yes")
	}
	if m.Modulus > 0 {
		set("modulus", strconv.FormatFloat(m.Modulus, 'f', -1, 64))
	}
	set("status_column", string(m.Status))
	set("good_status", strings.Join(m.Good, ", "))
	if m.Averaging != nil {
		set("averaging.kind", m.Averaging.Kind)
		if m.Averaging.Seconds > 0 {
			set("averaging.seconds", strconv.FormatFloat(m.Averaging.Seconds, 'f', -1, 64))
		}
	}
	return v
}

// fieldsOfMap are the fields in which a column map is changed.
func (x *exchange) fieldsOfMap(w *capture.Work, r readAs) map[string]field {
	p := r.reading.Proposal
	words := func(prefix string, values ...string) []part.Option {
		var list []part.Option
		for _, v := range values {
			list = append(list, part.Option{Value: v, Words: x.text(prefix + v)})
		}
		return list
	}
	choice := func(name, hint string, options []part.Option) field {
		return field{name: name, label: "trace.map-" + name, hint: hint, kind: part.Choice, options: options}
	}
	all := []field{
		choice("value_column", "", columnOptions(x, p, x.text("sheet.choose"), func(c logfile.ColumnView) bool { return c.Role != "time" })),
		{name: "unit", label: "trace.map-unit", offers: []string{"m3/h", "L/s", "L/min", "m3/s", "US gal/min", "m3"}},
		{name: "counter", label: "trace.map-counter", open: true, several: true, options: []part.Option{{Value: "yes", Words: x.text("trace.counter-yes"), More: x.text("trace.counter-more")}}},
		{name: "modulus", label: "trace.map-modulus", hint: "trace.map-modulus-hint", kind: part.Number},
		choice("averaging.kind", "trace.map-averaging-hint", words("trace.averaging-", "unknown", "none", "trailing", "centred", "exponential")),
		{name: "averaging.seconds", label: "trace.map-averaging.seconds", kind: part.Number, unit: "s"},
		choice("time_columns", "", columnOptions(x, p, x.text("sheet.choose"), nil)),
		choice("time_of_day_column", "", columnOptions(x, p, x.text("trace.no-column"), nil)),
		choice("time_form", "", words("trace.time-form-", "date", "epoch-s", "epoch-ms", "serial")),
		choice("date_order", "", words("trace.date-order-", "ymd", "dmy", "mdy")),
		choice("decimal_mark", "", words("trace.decimal-", "point", "comma")),
		{name: "zone", label: "trace.map-zone", hint: "trace.map-zone-hint", offers: append([]string{w.TimeZone, "UTC", "+01:00", "+02:00"}, zones()...)},
		choice("status_column", "", columnOptions(x, p, x.text("trace.no-column"), nil)),
		{name: "good_status", label: "trace.map-good_status", hint: "trace.map-good-hint"},
		{name: "header_lines", label: "trace.map-header_lines", kind: part.Count},
		choice("delimiter", "", words("trace.delimiter-", "comma", "semicolon", "tab", "bar", "space")),
		choice("encoding", "", words("trace.encoding-", "utf-8", "utf-16le", "utf-16be", "latin-1")),
		{name: "sheet", label: "trace.map-sheet", hint: "trace.map-sheet-hint"},
	}
	byName := map[string]field{}
	for _, f := range all {
		byName[f.name] = f
	}
	return byName
}

// besideOf are the fields that stand beside the one before them.
var besideOf = map[string]bool{"unit": true, "averaging.seconds": true, "time_of_day_column": true, "date_order": true, "good_status": true, "encoding": true}

// mappingForm asks for every field of the map, filled with what is proposed.
func (x *exchange) mappingForm(w *capture.Work, r readAs) sheetForm {
	values := mappingValues(r.reading.Proposal.Mapping)
	for name, v := range r.given {
		if len(v) > 0 && v[0] != "" {
			values[name] = v
		}
	}
	byName := x.fieldsOfMap(w, r)
	var fields []field
	for _, name := range []string{"value_column", "unit", "counter", "modulus", "averaging.kind", "averaging.seconds", "time_columns", "time_of_day_column",
		"time_form", "date_order", "zone", "decimal_mark", "status_column", "good_status", "header_lines", "delimiter", "encoding", "sheet"} {
		f := byName[name]
		if len(f.options) == 1 && f.kind == part.Choice { // the file could not be read so far: a number will do
			f.kind, f.options, f.hint = part.Text, nil, "trace.map-column-hint"
		}
		f.beside = besideOf[name]
		fields = append(fields, f)
	}
	f := x.ask("map", "", fields, values, nil, nil)
	f.Hidden = nil
	f.Button.Deed = x.text("trace.read-again")
	f.Button.Second = true
	return f
}

// questionForm asks what the file leaves open, each answer with what it would mean. What
// was answered before is carried along.
func (x *exchange) questionForm(w *capture.Work, r readAs) sheetForm {
	byName := x.fieldsOfMap(w, r)
	values := url.Values{}
	for name, v := range r.given {
		values[name] = v
	}
	said := x.Book.ByField(r.faults)
	var fields []field
	asked := map[string]bool{}
	for _, one := range r.faults {
		f, known := byName[one.Field]
		if one.Field == "value_column" && isQuestion(one) {
			f.options = columnOptions(x, r.reading.Proposal, x.text("sheet.choose"), func(c logfile.ColumnView) bool { return c.Numbers && c.Role != "time" })
		}
		if !known || asked[one.Field] {
			continue
		}
		asked[one.Field] = true
		if options := x.readings(one.Field, said[one.Field], r); options != nil {
			f.options, f.open, f.kind = options, true, ""
		} else if f.kind == part.Choice {
			f.open, f.kind = len(f.options) > 1, ""
			if len(f.options) > 1 && f.options[0].Value == "" {
				f.options = f.options[1:]
			}
			if len(f.options) <= 1 {
				f.options, f.hint = nil, "trace.map-column-hint"
			}
		}
		f.required = true
		fields = append(fields, f)
	}
	form := x.ask("answer", tracePath(w, "files/"+r.file.ID.String()), fields, values, nil, nil)
	form.Method = "get"
	form.Hidden = nil
	for _, name := range mappingFields {
		if !asked[name] && values.Get(name) != "" {
			form.Hidden = append(form.Hidden, part.Field{Name: name, Value: values.Get(name)})
		}
	}
	for i, g := range form.Groups {
		for j, f := range g.Fields {
			if k := slices.IndexFunc(r.faults, func(one fault.Fault) bool { return one.Field == f.Name }); isQuestion(r.faults[k]) {
				form.Groups[i].Fields[j].Hint = x.text("trace.ask-" + f.Name)
				continue
			}
			form.Groups[i].Fields[j].Wrong = said[f.Name]
		}
	}
	for _, one := range r.faults {
		if !asked[one.Field] {
			n := part.Notice{Act: true, Text: x.Book.Fault(one)}
			form.Notice = &n
		}
	}
	form.Button.Deed = x.text("trace.answer-deed")
	if len(fields) == 0 {
		form.Button = part.Button{Deed: x.text("trace.another-file"), Href: sheetPath(w, "traces")}
	}
	return form
}

// isQuestion tells what a file leaves open from what is wrong.
func isQuestion(f fault.Fault) bool { return strings.HasPrefix(f.Code.Name(), "logfile.ask-") }

// figuredDate is a date in figures that can be read in more than one order.
var figuredDate = regexp.MustCompile(`(\d{1,4})[./\- ](\d{1,2})[./\- ](\d{1,4})`)

// readings are the answers to a question together with what each would mean; nil where the
// field's own options say it.
func (x *exchange) readings(name string, _ []string, r readAs) []part.Option {
	example := x.example(name, r)
	switch name {
	case "date_order":
		g := figuredDate.FindStringSubmatch(example)
		if g == nil {
			return nil
		}
		var list []part.Option
		for _, order := range []string{"dmy", "mdy", "ymd"} {
			if day, ok := dayOf(g[1:], order); ok {
				list = append(list, part.Option{Value: order, Words: x.text("trace.date-order-" + order), More: x.text("trace.would-mean", "text", g[0], "means", day.Format(wordedDay))})
			}
		}
		return list
	case "decimal_mark":
		if example == "" {
			return nil
		}
		point := strings.ReplaceAll(example, ",", "")
		comma := strings.Replace(strings.ReplaceAll(example, ".", ""), ",", ".", 1)
		return []part.Option{{Value: "point", Words: x.text("trace.decimal-point"), More: x.text("trace.would-mean", "text", example, "means", point)},
			{Value: "comma", Words: x.text("trace.decimal-comma"), More: x.text("trace.would-mean", "text", example, "means", comma)}}
	}
	return nil
}

// example is the text that a question is about.
func (x *exchange) example(name string, r readAs) string {
	for _, f := range r.faults {
		if f.Field == name {
			if text, is := f.Value("text").(string); is {
				return text
			}
		}
	}
	return ""
}

// dayOf reads three figures as a date in the order.
func dayOf(g []string, order string) (time.Time, bool) {
	at := map[string][3]int{"ymd": {0, 1, 2}, "dmy": {2, 1, 0}, "mdy": {2, 0, 1}}[order]
	var n [3]int
	for i, place := range at {
		n[i], _ = strconv.Atoi(g[place])
	}
	if n[0] < 100 {
		n[0] += 2000
	}
	day := time.Date(n[0], time.Month(n[1]), n[2], 0, 0, 0, 0, time.UTC)
	return day, n[1] >= 1 && n[1] <= 12 && day.Day() == n[2] && n[0] >= firstLoggedYear && n[0] <= lastLoggedYear
}

// No logger of ours wrote before, none writes after.
const firstLoggedYear, lastLoggedYear = 1980, 2199
