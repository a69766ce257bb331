package pipe_test

import (
	"math"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/pipe"
)

const standard = "ASME B36.10M"

func TestLookupAgainstPublishedInchValues(t *testing.T) {
	for _, r := range read(t, "testdata/b3610_in.csv") {
		got, err := pipe.Lookup(standard, r["size"], r["schedule"])
		if err != nil {
			t.Errorf("%s, %s: %v", r["size"], r["schedule"], err)
			continue
		}
		for name, c := range map[string]struct{ got, want float64 }{
			"outside": {got.Size.OutsideDiameter.SI(), r.number(t, "outside_diameter_in")},
			"wall":    {got.Wall.SI(), r.number(t, "wall_in")},
			"inside":  {got.InsideDiameter.SI(), r.number(t, "inside_diameter_in")},
		} {
			if math.Abs(c.got/0.0254-c.want) > 1e-9 {
				t.Errorf("NPS %s, %s: %s %v in, want %v (%s)", r["size"], r["schedule"], name, c.got/0.0254, c.want, r["source"])
			}
		}
	}
}

// exceptions are designations of the table that the metric reference lacks: it stops
// at NPS 48 and leaves out the heaviest walls of the three smallest sizes.
var exceptions = map[string]bool{
	"1/8 160": true, "1/8 XXS": true, "1/4 160": true, "1/4 XXS": true, "3/8 160": true, "3/8 XXS": true,
}

// Every designation of the metric reference is held with the same dimensions up to the
// rounding of its millimetres, and none is held that it does not have.
func TestLookupAgainstTheMetricColumns(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range read(t, "testdata/b3610_mm.csv") {
		seen[r["size"]+" "+r["schedule"]] = true
		got, err := pipe.Lookup(standard, r["size"], r["schedule"])
		if err != nil {
			t.Errorf("%s, %s: %v", r["size"], r["schedule"], err)
			continue
		}
		outside, wall := got.Size.OutsideDiameter.SI()*1000, got.Wall.SI()*1000
		// The standard rounds to 0.1 mm below NPS 18 and to 1 mm from there; walls to 0.01 mm,
		// and once down to 10.15 mm for 10.16 mm.
		rounding := 0.0501
		if outside > 410 {
			rounding = 0.501
		}
		if math.Abs(outside-r.number(t, "outside_diameter_mm")) > rounding || math.Abs(wall-r.number(t, "wall_mm")) > 0.0101 {
			t.Errorf("NPS %s, %s: %v × %v mm, want %s × %s", r["size"], r["schedule"], outside, wall, r["outside_diameter_mm"], r["wall_mm"])
		}
	}
	sizes, err := pipe.Sizes(standard)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sizes {
		names, err := pipe.Schedules(standard, s.Name)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			if key := s.Name + " " + name; !seen[key] && !exceptions[key] {
				t.Errorf("NPS %s: schedule %s is in no reference", s.Name, name)
			}
		}
	}
}

func TestTheTableIsComplete(t *testing.T) {
	want := strings.Split("1/8,1/4,3/8,1/2,3/4,1,1 1/4,1 1/2,2,2 1/2,3,3 1/2,4,5,6,8,10,12,14,16,18,20,22,24,26,28,30,32,34,36,38,40,42,44,46,48,52,56,60,64,68,72,76,80", ",")
	sizes, err := pipe.Sizes(standard)
	if err != nil || len(sizes) != len(want) {
		t.Fatalf("%d sizes, %v, want %d", len(sizes), err, len(want))
	}
	for i, s := range sizes {
		if s.Name != want[i] {
			t.Errorf("size %d is %s, want %s", i, s.Name, want[i])
		}
		if i > 0 && (s.OutsideDiameter.SI() <= sizes[i-1].OutsideDiameter.SI() || s.DN <= sizes[i-1].DN) {
			t.Errorf("%s is not above %s", s.Label(), sizes[i-1].Label())
		}
	}
}

// Each row of the embedded table: walls rise and leave a bore, and the millimetre column
// that is kept beside the inches for reference is the same value rounded.
func TestTheRowsAreConsistent(t *testing.T) {
	size, last := "", 0.0
	for _, r := range read(t, "b3610.csv") {
		outside, wall := r.number(t, "outside_diameter_in"), r.number(t, "wall_in")
		if r["size"] != size {
			size, last = r["size"], 0
		}
		if wall <= last || 2*wall >= outside {
			t.Errorf("NPS %s: wall %v after %v, outside %v", size, wall, last, outside)
		}
		last = wall
		if math.Abs(wall*25.4-r.number(t, "wall_mm")) > 0.00501 {
			t.Errorf("NPS %s: %v in is not %s mm", size, wall, r["wall_mm"])
		}
		if math.Abs(outside*25.4-r.number(t, "outside_diameter_mm")) > 0.501 {
			t.Errorf("NPS %s: %v in is not %s mm", size, outside, r["outside_diameter_mm"])
		}
		if r["basis"] == "" {
			t.Errorf("NPS %s, %v: no basis", size, wall)
		}
	}
}

func TestSizesAsPainted(t *testing.T) {
	for text, want := range map[string]string{
		"8": "8", `8"`: "8", "8 in": "8", "8 INCH": "8", "NPS 8": "8", "nps8": "8", "DN 200": "8", "dn200": "8", " 8 ": "8",
		"1 1/2": "1 1/2", "1-1/2": "1 1/2", "1½": "1 1/2", `1 1/2"`: "1 1/2", "1.5": "1 1/2", "1,5": "1 1/2", "DN 40": "1 1/2", "NPS 1½": "1 1/2",
		"1/8": "1/8", ".125": "1/8", "½": "1/2", "80": "80", "DN 80": "3", "DN 2000": "80", "2 1/2 in": "2 1/2",
	} {
		got, err := pipe.SizeOf(standard, text)
		if err != nil || got.Name != want {
			t.Errorf("%q: %v, %v, want %s", text, got, err, want)
		}
	}
}

func TestSchedulesAsWritten(t *testing.T) {
	for _, c := range []struct {
		size, schedule, want string
		wall                 float64 // inches
	}{
		{"8", "40", "40", 0.322}, {"8", "Sch. 40", "40", 0.322}, {"8", "SCH40", "40", 0.322}, {"8", "schedule 80", "80", 0.5},
		{"8", "std", "STD", 0.322}, {"8", "Standard", "STD", 0.322}, {"8", "XS", "XS", 0.5}, {"8", "XH", "XS", 0.5},
		{"8", "extra strong", "XS", 0.5}, {"8", "XXS", "XXS", 0.875}, {"8", "XXH", "XXS", 0.875}, {"8", "Double Extra-Strong", "XXS", 0.875},
		{"8", "0.322 in", "", 0.322}, {"8", "8.18 mm", "", 0.322}, {"8", `0.277"`, "", 0.277}, {"1 1/2", "10.15 mm", "", 0.4},
		{"60", "0.5 in", "", 0.5}, {"80", "25.4 mm", "", 1},
	} {
		got, err := pipe.Lookup(standard, c.size, c.schedule)
		if err != nil || got.Schedule != c.want || math.Abs(got.Wall.SI()/0.0254-c.wall) > 1e-12 {
			t.Errorf("NPS %s, %q: %q %v in, %v", c.size, c.schedule, got.Schedule, got.Wall.SI()/0.0254, err)
		}
	}
}

func TestAPipeSaysWhereItIsFrom(t *testing.T) {
	got, err := pipe.Lookup("B36.10", "8", "40")
	if err != nil {
		t.Fatal(err)
	}
	if got.Standard != standard || got.Size.Label() != "NPS 8 (DN 200)" || got.WallTolerancePercent != 12.5 {
		t.Errorf("got %+v", got)
	}
	if strings.Join(got.Designations, " ") != "STD 40" {
		t.Errorf("designations %v", got.Designations)
	}
	for _, part := range []string{standard, "two tables", "12.5 %", "A53"} {
		if !strings.Contains(got.Source, part) {
			t.Errorf("source %q lacks %q", got.Source, part)
		}
	}
	big, err := pipe.Lookup(standard, "60", "0.5 in")
	if err != nil || !strings.Contains(big.Source, "from memory") {
		t.Errorf("a row from memory does not say so: %q, %v", big.Source, err)
	}
	got.Designations[0] = "changed"
	again, _ := pipe.Lookup("B36.10", "8", "40")
	if again.Designations[0] != "STD" {
		t.Error("a caller can change the table")
	}
}

func TestStandardNames(t *testing.T) {
	for _, name := range []string{"ASME B36.10M", "asme b36.10m", "ASME B36.10M-2018", "ANSI B36.10", "ANSI/ASME B36.10M", "B36.10"} {
		if _, err := pipe.Sizes(name); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
	for _, name := range []string{"", "ASME B36.1", "B36.100", "B36.10Q", "B36.10M-18", strings.Repeat("x", 100)} {
		if _, err := pipe.Sizes(name); !fault.Has(err, pipe.UnknownStandard) {
			t.Errorf("%q: %v", name, err)
		}
	}
	if got := pipe.Standards(); len(got) != 8 || got[0] != standard {
		t.Errorf("standards %v", got)
	}
}

func TestLookupNamesWhatExists(t *testing.T) {
	for name, c := range map[string]struct {
		standard, size, schedule string
		code                     *fault.Code
		field, with              string
	}{
		"standard":         {"EN 10229", "8", "40", pipe.UnknownStandard, "standard", standard},
		"size between":     {standard, "7", "40", pipe.UnknownSize, "size", "NPS 6 (DN 150), NPS 8 (DN 200)"},
		"size too big":     {standard, "100", "40", pipe.UnknownSize, "size", "NPS 80 (DN 2000)"},
		"metric size":      {standard, "DN 210", "40", pipe.UnknownSize, "size", "DN 200"},
		"not metric":       {standard, "DN x", "40", pipe.UnknownSize, "size", "3 1/2"},
		"not a size":       {standard, "big", "40", pipe.UnknownSize, "size", "1 1/2"},
		"millimetres":      {standard, "200 mm", "40", pipe.UnknownSize, "size", "1 1/2"},
		"no size":          {standard, "", "40", pipe.UnknownSize, "size", "1 1/2"},
		"lost space":       {standard, "11/2", "40", pipe.UnknownSize, "size", "1 1/2"},
		"schedule":         {standard, "8", "50", pipe.UnknownSchedule, "schedule", "STD 40"},
		"stainless":        {standard, "8", "40S", pipe.UnknownSchedule, "schedule", "XXS"},
		"split number":     {standard, "8", "4 0", pipe.UnknownSchedule, "schedule", "60"},
		"no such wall":     {standard, "8", "0.3 in", pipe.UnknownSchedule, "schedule", "0.312 in"},
		"no schedules":     {standard, "60", "40", pipe.UnknownSchedule, "schedule", "none"},
		"wall of its own":  {standard, "60", "STD", pipe.UnknownSchedule, "schedule", "0.375 in"},
		"no schedule said": {standard, "8", "", pipe.UnknownSchedule, "schedule", "40"},
	} {
		_, err := pipe.Lookup(c.standard, c.size, c.schedule)
		f, _ := fault.Of(err)
		text := strings.ReplaceAll(f.Error(), "STD, 40", "STD 40")
		if f.Code != c.code || f.Field != c.field || !strings.Contains(text, c.with) {
			t.Errorf("%s: got %v, want %s with %q", name, err, c.code.Name(), c.with)
		}
	}
	if _, err := pipe.SizeOf("other", "8"); !fault.Has(err, pipe.UnknownStandard) {
		t.Errorf("SizeOf: %v", err)
	}
	if _, err := pipe.Schedules("other", "8"); !fault.Has(err, pipe.UnknownStandard) {
		t.Errorf("Schedules: %v", err)
	}
	if names, err := pipe.Schedules(standard, "7"); !fault.Has(err, pipe.UnknownSize) || names != nil {
		t.Errorf("Schedules of no size: %v, %v", names, err)
	}
}
