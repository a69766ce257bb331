package sheet_test

import (
	"math"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/sheet"
)

var morning = time.Date(2026, 6, 16, 8, 0, 0, 0, time.UTC)

// stamped is a stamp so many minutes into the morning.
func stamped(minute int) sheet.Stamp {
	return sheet.Stamp{By: made[domain.PersonKind](1), CapturedAt: morning.Add(time.Duration(minute) * time.Minute)}
}

func made[K any](n byte) domain.ID[K] {
	id, err := domain.ParseID[K]("01980000-0000-7000-8000-000000000000")
	if err != nil {
		panic(err)
	}
	id.UUID[15] = n
	return id
}

func number(x float64) *float64 { return &x }

// value is a survey row of a number.
func value(n byte, name sheet.Name, x float64, source sheet.Source, position string, minute int) sheet.SurveyValue {
	return sheet.SurveyValue{ID: made[domain.SurveyValueKind](n), Name: name, Position: position, Value: &x,
		Entered: "as typed", Source: source, Stamp: stamped(minute)}
}

func correcting(v sheet.SurveyValue, of byte) sheet.SurveyValue {
	id := made[domain.SurveyValueKind](of)
	v.Corrects, v.Reason = &id, "misread"
	return v
}

func TestWhichValueIsInForce(t *testing.T) {
	wall := func(n byte, x float64, source sheet.Source, position string, minute int) sheet.SurveyValue {
		return value(n, sheet.Wall, x, source, position, minute)
	}
	for _, c := range []struct {
		name   string
		rows   []sheet.SurveyValue
		number float64
		count  int
		source sheet.Source
	}{
		{"one", []sheet.SurveyValue{wall(1, 7, sheet.Assumed, "", 1)}, 7, 1, sheet.Assumed},
		{"the newer of two", []sheet.SurveyValue{wall(2, 6, sheet.Client, "", 2), wall(1, 7, sheet.Assumed, "", 1)}, 6, 1, sheet.Client},
		{"measured beats what comes later", []sheet.SurveyValue{wall(1, 7, sheet.Measured, "", 1), wall(2, 6, sheet.Client, "", 2)}, 7, 1, sheet.Measured},
		{"measured anywhere beats assumed elsewhere", []sheet.SurveyValue{wall(1, 7, sheet.Standard, "", 3), wall(2, 6, sheet.Measured, "12", 2)}, 6, 1, sheet.Measured},
		{"positions are averaged", []sheet.SurveyValue{wall(1, 7, sheet.Measured, "12", 1), wall(2, 6, sheet.Measured, "6", 2)}, 6.5, 2, sheet.Measured},
		{"a position measured again", []sheet.SurveyValue{wall(1, 7, sheet.Measured, "12", 1), wall(2, 6, sheet.Measured, "12", 2)}, 6, 1, sheet.Measured},
		{"a correction", []sheet.SurveyValue{wall(1, 70, sheet.Measured, "", 1), correcting(wall(2, 7, sheet.Measured, "", 2), 1)}, 7, 1, sheet.Measured},
		{"a correction that was captured earlier", []sheet.SurveyValue{wall(1, 70, sheet.Measured, "", 2), correcting(wall(2, 7, sheet.Measured, "", 1), 1)}, 7, 1, sheet.Measured},
		{"a correction of a correction", []sheet.SurveyValue{wall(1, 70, sheet.Measured, "", 1), correcting(wall(2, 700, sheet.Measured, "", 2), 1), correcting(wall(3, 7, sheet.Measured, "", 3), 2)}, 7, 1, sheet.Measured},
		{"corrected to not measured", []sheet.SurveyValue{wall(1, 7, sheet.Measured, "", 1), correcting(wall(2, 6, sheet.Client, "", 2), 1)}, 6, 1, sheet.Client},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := sheet.Sheet{Survey: c.rows}.Now()[sheet.Wall]
			if v.Number != c.number || v.Count != c.count || v.Source != c.source {
				t.Errorf("%v of %d rows, %s; want %v of %d, %s", v.Number, v.Count, v.Source, c.number, c.count, c.source)
			}
		})
	}
}

func TestSingleValuesAreNotAveraged(t *testing.T) {
	s := sheet.Sheet{Survey: []sheet.SurveyValue{value(1, sheet.Temperature, 290, sheet.Measured, "inlet", 1), value(2, sheet.Temperature, 293, sheet.Measured, "outlet", 2)}}
	if v := s.Now()[sheet.Temperature]; v.Number != 293 || v.Count != 1 {
		t.Errorf("%v of %d rows", v.Number, v.Count)
	}
}

// TestWhatWasKnownThen: a value in force at the mounting is that of the rows captured by
// then, whatever was corrected later.
func TestWhatWasKnownThen(t *testing.T) {
	s := sheet.Sheet{Survey: []sheet.SurveyValue{value(1, sheet.Wall, 7, sheet.Assumed, "", 1), value(2, sheet.Wall, 6, sheet.Measured, "", 30)}}
	at := func(minute int) sheet.Value {
		return s.At(morning.Add(time.Duration(minute) * time.Minute))[sheet.Wall]
	}
	if at(0).Count != 0 || at(1).Number != 7 || at(29).Number != 7 || at(30).Number != 6 {
		t.Errorf("%v, %v, %v, %v", at(0), at(1), at(29), at(30))
	}
	s.Survey[1] = correcting(s.Survey[1], 1)
	if got := at(29); got.Number != 7 {
		t.Errorf("a later correction reaches back: %v", got)
	}
}

func TestScatterAndText(t *testing.T) {
	s := sheet.Sheet{Survey: []sheet.SurveyValue{value(1, sheet.Wall, 7, sheet.Measured, "12", 1), value(2, sheet.Wall, 7.2, sheet.Measured, "6", 1),
		{ID: made[domain.SurveyValueKind](3), Name: sheet.Fluid, Entered: "water", Source: sheet.Client, Stamp: stamped(1)}}}
	now := s.Now()
	if math.Abs(now[sheet.Wall].Scatter-0.2/math.Sqrt2) > 1e-12 || now.Text(sheet.Fluid) != "water" || now.Text(sheet.Side) != "" {
		t.Errorf("scatter %v, fluid %q", now[sheet.Wall].Scatter, now.Text(sheet.Fluid))
	}
	if x := now.Number(sheet.Wall); x == nil || *x != 7.1 || now.Number(sheet.Pressure) != nil || now.Has(sheet.Pressure) {
		t.Errorf("number %v", x)
	}
}

func TestOutsideDiameter(t *testing.T) {
	if got := sheet.FromCircumference(0.53, 0.0005, 0.0002); math.Abs(got-(0.53/math.Pi-0.001-0.0002)) > 1e-15 {
		t.Errorf("from a circumference of 530 mm: %v", got)
	}
	od := func(source sheet.Source) sheet.SurveyValue {
		return value(1, sheet.OutsideDiameter, 0.1683, source, "", 1)
	}
	round := func(source sheet.Source) sheet.SurveyValue { return value(2, sheet.Circumference, 0.53, source, "", 1) }
	paint := value(3, sheet.CoatingThickness, 0.0005, sheet.Measured, "", 1)
	for _, c := range []struct {
		name string
		rows []sheet.SurveyValue
		want float64
		from sheet.Name
	}{
		{"none", nil, 0, ""},
		{"direct", []sheet.SurveyValue{od(sheet.Client)}, 0.1683, sheet.OutsideDiameter},
		{"round", []sheet.SurveyValue{round(sheet.Measured), paint}, 0.53/math.Pi - 0.001, sheet.Circumference},
		{"both measured", []sheet.SurveyValue{od(sheet.Measured), round(sheet.Measured)}, 0.1683, sheet.OutsideDiameter},
		{"the measured one", []sheet.SurveyValue{od(sheet.Client), round(sheet.Measured)}, 0.53 / math.Pi, sheet.Circumference},
		{"neither measured", []sheet.SurveyValue{od(sheet.Client), round(sheet.Client)}, 0.1683, sheet.OutsideDiameter},
	} {
		got, from, ok := sheet.Sheet{Survey: c.rows}.Now().Diameter()
		if math.Abs(got-c.want) > 1e-15 || from != c.from || ok != (c.from != "") {
			t.Errorf("%s: %v from %q", c.name, got, from)
		}
	}
}

func TestAdjustmentFactor(t *testing.T) {
	for _, c := range []struct {
		kind     sheet.AdjustmentKind
		old, new *float64
		want     float64
		ok       bool
	}{
		{sheet.Multiplier, number(1), number(0.97), 0.97, true},
		{sheet.PulsesPerVolume, number(100), number(103), 100.0 / 103, true},
		{sheet.Zero, number(0), number(1), 0, false},
		{sheet.Span, number(4), number(5), 0, false},
		{sheet.Multiplier, nil, number(1), 0, false},
		{sheet.Multiplier, number(1), nil, 0, false},
		{sheet.PulsesPerVolume, number(1), number(0), 0, false},
	} {
		a := sheet.Adjustment{Kind: c.kind, OldValue: c.old, NewValue: c.new}
		if got, ok := a.Factor(); got != c.want || ok != c.ok {
			t.Errorf("%s: %v, %v", c.kind, got, ok)
		}
	}
}

func TestMeaningsAreComplete(t *testing.T) {
	seen := map[sheet.Name]bool{}
	for _, m := range sheet.Meanings() {
		if about, ok := sheet.About(m.Name); !ok || about.Kind != m.Kind || seen[m.Name] {
			t.Errorf("%s", m.Name)
		}
		seen[m.Name] = true
		_, is := m.Kind.Quantity()
		if is == (m.Kind == sheet.KindText || m.Kind == sheet.KindChoice) || (len(m.Choices) > 0) != (m.Kind == sheet.KindChoice) {
			t.Errorf("%s: kind %q, choices %v", m.Name, m.Kind, m.Choices)
		}
	}
	if _, ok := sheet.About("colour"); ok {
		t.Error("a name of no value is known")
	}
}
