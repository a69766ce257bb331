package web

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/service/equipment"
	"rillmark/service/sentence"
	"rillmark/service/web/part"
)

// calibrationLimit is the largest body with a calibration's document.
const calibrationLimit = equipment.LargestDocument + 1<<20

func (x *exchange) pathCalibration() (equipment.CalibrationRow, kit.Item, error) {
	id, err := pathID[domain.CalibrationKind](x, "calibration", "calibration")
	if err != nil {
		return equipment.CalibrationRow{}, kit.Item{}, err
	}
	c, err := x.Equipment.Calibration(x.ctx(), x.actor, id)
	if err != nil {
		return c, kit.Item{}, err
	}
	i, err := x.Equipment.Item(x.ctx(), x.actor, c.KitID)
	return c, i, err
}

// calibration shows one calibration: how long it holds, what it covers, its points.
func (w *Web) calibration(x *exchange) error {
	c, i, err := x.pathCalibration()
	if err != nil {
		return err
	}
	here := "/calibrations/" + c.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: itemTrail(x, i), Title: x.text("calibration.of-day", "day", c.CalibratedOn.Format(wordedDay)),
		Lead: joined(" · ", c.Laboratory, x.text("calibration.number", "number", c.CertificateNumber))}),
		Side: []stretch{{Title: x.text("thing.facts"), Facts: x.calibrationFacts(c)}}, Main: []stretch{{Table: x.pointTable(c)}},
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	if much, needs := x.validity(c.ValidTo); needs != "" {
		p.Notices = []part.Notice{{Act: true, Lead: asSentence(needs)}}
	} else {
		p.Notices = []part.Notice{{Lead: asSentence(much)}}
	}
	if c.Document {
		p.Acts = []part.Button{{Deed: x.text("calibration.document"), Href: here + "/document"}}
	}
	return x.page(http.StatusOK, "record", p)
}

// asSentence gives words a capital and a full stop.
func asSentence(words string) string {
	first, size := utf8.DecodeRuneInString(words)
	return string(unicode.ToUpper(first)) + words[size:] + "."
}

func (x *exchange) pointTable(c equipment.CalibrationRow) *part.Table {
	t := part.Table{Caption: x.text("calibration.points-of", "number", c.CertificateNumber), Stack: true, Columns: []part.Column{
		{Head: x.text("calibration.at-" + string(c.Quantity)), Figure: true}, {Head: x.text("column.error"), Figure: true},
		{Head: x.text("column.uncertainty"), Figure: true}, {Head: x.text("calibration.k"), Figure: true}}}
	for _, p := range c.Entered {
		t.Rows = append(t.Rows, []part.Cell{{Text: p.AtEntered}, {Text: p.ErrorEntered}, {Text: p.ExpandedEntered}, {Text: sentence.Number(p.K)}})
	}
	return &t
}

func (x *exchange) calibrationFacts(c equipment.CalibrationRow) []part.Fact {
	facts := []part.Fact{
		{Word: x.text("label.calibration.kit_id"), Text: c.KitTag, Href: "/kit/" + c.KitID.String()},
	}
	if c.PairID != nil {
		facts = append(facts, part.Fact{Word: x.text("label.calibration.pair_id"), Text: c.PairTag, Href: "/kit/" + c.PairID.String()})
	}
	if c.CableID != nil {
		facts = append(facts, part.Fact{Word: x.text("label.calibration.cable_id"), Text: c.CableTag, Href: "/kit/" + c.CableID.String()})
	}
	facts = append(facts, part.Fact{Word: x.text("label.calibration.route"), Text: x.text("route." + c.Route)},
		part.Fact{Word: x.text("label.calibration.valid_from"), Text: c.ValidFrom.In(x.Zone).Format(wordedDay)},
		part.Fact{Word: x.text("label.calibration.valid_to"), Text: domain.LastDay(c.ValidTo, x.Zone).Format(wordedDay)})
	for _, r := range []struct {
		key         string
		least, most *float64
		show        func(float64) string
	}{
		{"inside-diameter", c.LeastInsideDiameter, c.MostInsideDiameter, func(v float64) string { return domain.Shown(v, quantity.KindLength, "mm") }},
		{"velocity", c.LeastVelocity, c.MostVelocity, func(v float64) string { return domain.Shown(v, quantity.KindVelocity, "m/s") }},
		{"reynolds", c.LeastReynolds, c.MostReynolds, sentence.Number},
	} {
		if r.least != nil && r.most != nil {
			facts = append(facts, part.Fact{Word: x.text("calibration.covers-" + r.key), Text: x.text("calibration.range", "least", r.show(*r.least), "most", r.show(*r.most))})
		}
	}
	if len(c.Traverses) > 0 {
		numbers := make([]string, len(c.Traverses))
		for i, n := range c.Traverses {
			numbers[i] = strconv.Itoa(n)
		}
		facts = append(facts, part.Fact{Word: x.text("label.calibration.traverses"), Text: strings.Join(numbers, ", ")})
	}
	return facts
}

// calibrationDocument sends the certificate as it came. It is read whole before anything
// is sent, so that a broken file is told and not half delivered.
func (w *Web) calibrationDocument(x *exchange) error {
	c, i, err := x.pathCalibration()
	if err != nil {
		return err
	}
	var file bytes.Buffer
	media, err := w.Equipment.DocumentOf(x.ctx(), x.actor, c.ID, &file)
	if err != nil {
		return err
	}
	x.gin.Header("Content-Disposition", fmt.Sprintf(`attachment; filename="calibration-%s-%s%s"`, plainName(i.Tag), c.CalibratedOn.Format(domain.DayLayout), endings[media]))
	x.gin.Data(http.StatusOK, media, file.Bytes())
	return nil
}

// endings are those of files by their media type.
var endings = map[string]string{"application/pdf": ".pdf", "image/jpeg": ".jpg", "image/png": ".png", "text/xml": ".xml", "application/xml": ".xml"}

// plainName keeps of a text what may stand in the name of a file everywhere.
func plainName(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '-' {
			return r
		}
		return '-'
	}, text)
}

func (w *Web) calibrationHistory(x *exchange) error {
	c, i, err := x.pathCalibration()
	if err != nil {
		return err
	}
	here := "/calibrations/" + c.ID.String()
	return x.history(here, append(itemTrail(x, i), part.Link{Href: here, Words: x.text("calibration.of-day", "day", c.CalibratedOn.Format(wordedDay))}),
		audit.Subject{Kind: audit.Calibration, ID: c.ID.String()})
}

// itemsOf are the items of a kind as choices, those in service.
func (x *exchange) itemsOf(kind kit.Kind, none string) ([]part.Option, error) {
	found, err := x.Equipment.Items(x.ctx(), x.actor, kind, equipment.Filter{Limit: mostToChoose})
	if err != nil {
		return nil, err
	}
	list := []part.Option{{Words: none}}
	for _, i := range found.Items {
		if i.OutOfServiceAt == nil {
			list = append(list, part.Option{Value: i.ID.String(), Words: joined(" · ", i.Tag, meterName(i.Maker, i.Model, i.Serial))})
		}
	}
	return list, nil
}

func (x *exchange) calibrationForm(i kit.Item) (entry, error) {
	here := "/kit/" + i.ID.String()
	e := entry{heading: part.Heading{Trail: itemTrail(x, i), Title: x.text("calibration.add-title"), Lead: x.text("calibration.add-lead")},
		action: here + "/calibrations", hidden: []string{"operation", "id"}, deed: x.text("calibration.add"), back: part.Link{Href: here, Words: x.text("entry.back")},
		upload: true, wide: true}
	e.fields = calibrationFields(x)
	q, _ := i.Kind.Calibrates()
	if q == kit.Flow {
		own, err := x.flowFields()
		if err != nil {
			return e, err
		}
		e.fields = append(e.fields, own...)
	}
	e.fields = append(e.fields, field{name: "points", label: "calibration.points", hint: "hint.calibration.points-" + string(q), rows: 5, columns: []field{
		{name: "at", label: "calibration.at-" + string(q), kind: part.Number}, {name: "error", label: "column.error", kind: part.Number},
		{name: "expanded", label: "calibration.expanded", kind: part.Number}, {name: "k", label: "calibration.k", kind: part.Number}}},
		field{name: "document", label: "label.calibration.document", hint: "hint.calibration.document", kind: part.File, accept: ".pdf,.jpg,.jpeg,.png,.xml"})
	return e, nil
}

func calibrationFields(x *exchange) []field {
	return []field{
		{name: "laboratory", label: "label.calibration.laboratory", required: true},
		{name: "certificate_number", label: "label.calibration.certificate_number", required: true, beside: true},
		{name: "route", label: "label.calibration.route", hint: "hint.calibration.route", kind: part.Choice, required: true, options: choose(x.text("answer.choose"), options(x, "route.", kit.Routes))},
		{name: "calibrated_on", label: "label.calibration.calibrated_on", kind: part.Date, required: true},
		{name: "valid_until", label: "label.calibration.valid_to", hint: "hint.calibration.valid_until", kind: part.Date, required: true, beside: true},
		{name: "valid_from", label: "label.calibration.valid_from", hint: "hint.calibration.valid_from", kind: part.Date},
	}
}

// flowFields are what a calibration of flow covers, and with which transducers.
func (x *exchange) flowFields() ([]field, error) {
	pairs, err := x.itemsOf(kit.TransducerPair, x.text("answer.choose"))
	if err != nil {
		return nil, err
	}
	cables, err := x.itemsOf(kit.Cable, x.text("calibration.any-cable"))
	if err != nil {
		return nil, err
	}
	traverses := make([]part.Option, 0, kit.MostTraverses)
	for _, n := range []string{"1", "2", "4"} {
		traverses = append(traverses, part.Option{Value: n, Words: n, More: x.text("traverses-more." + n)})
	}
	return []field{
		{name: "pair_id", label: "label.calibration.pair_id", kind: part.Choice, required: true, options: pairs},
		{name: "cable_id", label: "label.calibration.cable_id", kind: part.Choice, options: cables, beside: true},
		{name: "least_inside_diameter", label: "label.calibration.least_inside_diameter", hint: "hint.calibration.diameter", kind: part.Number, required: true},
		{name: "most_inside_diameter", label: "label.calibration.most_inside_diameter", hint: "hint.calibration.diameter", kind: part.Number, required: true, beside: true},
		{name: "least_velocity", label: "label.calibration.least_velocity", hint: "hint.calibration.velocity", kind: part.Number},
		{name: "most_velocity", label: "label.calibration.most_velocity", hint: "hint.calibration.velocity", kind: part.Number, beside: true},
		{name: "least_reynolds", label: "label.calibration.least_reynolds", hint: "hint.calibration.reynolds", kind: part.Number},
		{name: "most_reynolds", label: "label.calibration.most_reynolds", hint: "hint.calibration.reynolds", kind: part.Number, beside: true},
		{name: "traverses", label: "label.calibration.traverses", options: traverses, several: true, open: true},
	}, nil
}

func (w *Web) newCalibration(x *exchange) error {
	i, err := x.pathItem()
	if err != nil {
		return err
	}
	e, err := x.calibrationForm(i)
	if err != nil {
		return err
	}
	return x.show(e, x.ids(true))
}

func (w *Web) addCalibration(x *exchange) error {
	i, err := x.pathItem()
	if err != nil {
		return err
	}
	e, err := x.calibrationForm(i)
	if err != nil {
		return err
	}
	var c equipment.AddCalibration
	form, err := x.bind(&c)
	if err == nil && x.wantsMore() {
		return x.show(e, form)
	}
	var done equipment.Written
	if err == nil {
		c.KitID = i.ID
		c.Document, err = x.document("document")
	}
	if err == nil {
		done, err = w.Equipment.AddCalibration(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done("/calibrations/"+done.ID, "calibration.added", http.StatusCreated, done)
}
