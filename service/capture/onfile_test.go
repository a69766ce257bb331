package capture_test

import (
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
)

// A survey that contradicts the register is kept, and said beside the value.
func TestSurveyAgainstWhatIsOnFile(t *testing.T) {
	d := open(t)
	d.SQL("UPDATE measuring_point SET pipe = 'Stainless steel 1.4404', outside_diameter = 0.2191, outside_diameter_entered = '219.1 mm', wall = 0.003, wall_entered = '3.0 mm', straight_before = 2.4, straight_before_entered = '2.4 m'")
	enter := func(name, text string) {
		must(t)(d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: d.at(time.Time{}), ID: id[domain.SurveyValueKind](), Name: name, Entered: text, Source: "assumed"}))
	}
	against := func() (names []string) {
		w, err := d.Sheet(d.ctx, d.Technician, d.Task)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range w.AgainstFile() {
			names = append(names, f.Field)
		}
		return names
	}
	if got := against(); len(got) != 0 {
		t.Errorf("%v before anything was surveyed", got)
	}
	for _, v := range [][2]string{{string(sheet.OutsideDiameter), "219.5"}, {string(sheet.Wall), "3.1"}, {string(sheet.MeterStraightBefore), "2.3"}, {string(sheet.PipeMaterial), "stainless steel"}} {
		enter(v[0], v[1])
	}
	if got := against(); len(got) != 0 {
		t.Errorf("%v of what is as on file", got)
	}
	for _, v := range [][2]string{{string(sheet.OutsideDiameter), "273"}, {string(sheet.Wall), "6.3"}, {string(sheet.MeterStraightBefore), "4.2"}, {string(sheet.PipeMaterial), "carbon steel"}} {
		enter(v[0], v[1])
	}
	if got := against(); len(got) != 4 {
		t.Errorf("%v, want all four", got)
	}
}
