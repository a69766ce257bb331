package demo

import (
	"fmt"
	"time"

	"rillmark/calc/beam"
	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
)

// value is one value of a survey as it is written down.
type value struct {
	name     sheet.Name
	position string
	text     string
	source   sheet.Source
	by       int // the instrument, by its place in items; noInstrument without one
}

const noInstrument = -1

// from is a value that was not measured with an instrument of the kit.
func from(source sheet.Source, name sheet.Name, text string) value {
	return value{name, "", text, source, noInstrument}
}

// positions are where values are taken that are taken at several places.
var positions = map[sheet.Name][]string{
	sheet.OutsideDiameter: {"across", "up and down"},
	sheet.Wall:            {"12", "3", "6", "9"},
}

// by is what an instrument showed, at the usual positions one after the other.
func by(instrument int, name sheet.Name, texts ...string) (list []value) {
	for i, text := range texts {
		v := value{name, "", text, sheet.Measured, instrument}
		if at := positions[name]; i < len(at) {
			v.position = at[i]
		}
		list = append(list, v)
	}
	return list
}

// put together several parts of a survey.
func together(parts ...[]value) (all []value) {
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}

// picked is a pipe named by its product standard.
type picked struct {
	standard       string // empty: the first that is known
	size, schedule string
	source         sheet.Source
}

// product is the product standard.
func (p picked) product() string {
	if p.standard == "" {
		return pipe.Standards()[0]
	}
	return p.standard
}

// inForce is what a survey comes to, as the sheet has it.
func inForce(p *picked, list []value) (sheet.Survey, error) {
	var s sheet.Sheet
	add := func(v sheet.SurveyValue) {
		v.CapturedAt = time.Unix(int64(len(s.Survey)), 0)
		s.Survey = append(s.Survey, v)
	}
	if p != nil {
		found, err := pipe.Lookup(p.product(), p.size, p.schedule)
		if err != nil {
			return nil, err
		}
		outside, wall := found.Size.OutsideDiameter.SI(), found.Wall.SI()
		add(sheet.SurveyValue{Name: sheet.OutsideDiameter, Value: &outside, Source: sheet.Standard})
		add(sheet.SurveyValue{Name: sheet.Wall, Value: &wall, Source: sheet.Standard})
	}
	for _, v := range list {
		row := sheet.SurveyValue{Name: v.name, Position: v.position, Entered: v.text, Source: v.source}
		about, _ := sheet.About(v.name)
		if kind, is := about.Kind.Quantity(); is {
			entry, err := quantity.Parse(v.text, kind, quantity.Options{Pressure: quantity.Gauge})
			if err != nil {
				return nil, err
			}
			row.Value = &entry.SI
		}
		add(row)
	}
	return s.Now(), nil
}

// setup is the beam's set-up that a survey gives with a pair of transducers: what is told
// to the reference.
func setup(survey sheet.Survey, pair, traverses int) (beam.Setup, error) {
	item, err := kit.Item{Kind: items[pair].kind}.Read(items[pair].texts, time.UTC)
	if err != nil {
		return beam.Setup{}, err
	}
	s, missing, faults := evaluation.SetupOf(survey, item, current())
	if len(missing)+len(faults) > 0 {
		return s, fmt.Errorf("survey: missing %v, %w", missing, faults)
	}
	s.Traverses = traverses
	return s, nil
}
