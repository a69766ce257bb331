package register_test

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/register"
)

// wantFaultsOf wants just these fields and codes, as an error of kind Invalid.
func wantFaultsOf(t *testing.T, name string, err error, want []string) {
	t.Helper()
	got := []string{}
	for _, f := range fault.AllOf(err) {
		got = append(got, f.Field+" "+f.Code.Name())
	}
	if !slices.Equal(got, append([]string{}, want...)) || (err != nil && domain.KindOf(err) != domain.Invalid) {
		t.Errorf("%s: %v, want %v", name, err, want)
	}
}

func TestClientTidyAndValidate(t *testing.T) {
	c := register.Client{Name: " Tidewater ", Address: "Quay 1 \r\nHarbour\r\n", ContactName: " Ingrid", ContactEmail: " i@example.org ", ContactPhone: " +47 ", Note: "\n a\n\n"}.Tidy()
	if want := (register.Client{Name: "Tidewater", Address: "Quay 1\nHarbour", ContactName: "Ingrid", ContactEmail: "i@example.org", ContactPhone: "+47", Note: "a"}); c != want {
		t.Errorf("%+v", c)
	}
	for name, e := range map[string]struct {
		edit func(*register.Client)
		want []string
	}{
		"good":    {func(*register.Client) {}, nil},
		"minimal": {func(c *register.Client) { *c = register.Client{Name: "x"} }, nil},
		"at the limits": {func(c *register.Client) {
			c.Name, c.Address, c.ContactName = strings.Repeat("n", 200), strings.Repeat("a", 1000), strings.Repeat("c", 200)
			c.ContactEmail, c.ContactPhone, c.Note = strings.Repeat("e", 250)+"@x.y", strings.Repeat("1", 60), strings.Repeat("n", 4000)
		}, nil},
		"beyond the limits": {func(c *register.Client) {
			c.Name, c.Address, c.ContactName = strings.Repeat("n", 201), strings.Repeat("a", 1001), strings.Repeat("c", 201)
			c.ContactEmail, c.ContactPhone, c.Note = strings.Repeat("e", 251)+"@x.y", strings.Repeat("1", 61), strings.Repeat("n", 4001)
		}, []string{"name text.too-long", "address text.too-long", "contact_name text.too-long", "contact_email text.too-long", "contact_phone text.too-long", "note text.too-long"}},
		"no name":         {func(c *register.Client) { c.Name = "" }, []string{"name text.required"}},
		"lines in a line": {func(c *register.Client) { c.Name, c.ContactName = "a\nb", "a\nb" }, []string{"name text.control-character", "contact_name text.control-character"}},
	} {
		edited := c
		e.edit(&edited)
		wantFaultsOf(t, name, edited.Validate(), e.want)
	}
}

func TestEmailThatCannotBeOne(t *testing.T) {
	for address, good := range map[string]bool{"": true, "a@b.c": true, "a.b+c@d-e.example": true, "é@ü.example": true,
		"a": false, "@b.c": false, "a@": false, "a@b": false, "a@b.c@d.e": false, "a b@c.d": false, "<a@b.c>": false, "a@b.c,d@e.f": false, "a;b@c.d": false, `"a"@b.c`: false} {
		err := register.Client{Name: "x", ContactEmail: address}.Validate()
		want := []string{"contact_email register.email-form"}
		if good {
			want = nil
		}
		wantFaultsOf(t, address, err, want)
	}
}

func TestSiteTidyAndValidate(t *testing.T) {
	s := register.Site{Name: " Plant ", Address: " a \n", TimeZone: " Europe/Oslo ", AccessNote: "x\r\n", SafetyNote: " y\n"}.Tidy()
	if want := (register.Site{Name: "Plant", Address: "a", TimeZone: "Europe/Oslo", AccessNote: "x", SafetyNote: "y"}); s != want {
		t.Errorf("%+v", s)
	}
	for zone, want := range map[string][]string{
		"Europe/Oslo": nil, "UTC": nil, "Etc/GMT+5": nil, "Asia/Kathmandu": nil,
		"":                            {"time_zone text.required"},
		"Local":                       {"time_zone register.time-zone-unknown"},
		"Mars/Olympus":                {"time_zone register.time-zone-unknown"},
		"+01:00":                      {"time_zone register.time-zone-unknown"},
		"../../etc/passwd":            {"time_zone register.time-zone-unknown"},
		"Europe/Oslo\x00":             {"time_zone text.control-character", "time_zone register.time-zone-unknown"},
		strings.Repeat("Europe/", 10): {"time_zone text.too-long", "time_zone register.time-zone-unknown"},
	} {
		wantFaultsOf(t, zone, register.Site{Name: "x", TimeZone: zone}.Validate(), want)
	}
	long := register.Site{Name: strings.Repeat("n", 201), Address: strings.Repeat("a", 1001), TimeZone: "UTC", AccessNote: strings.Repeat("x", 4001), SafetyNote: strings.Repeat("x", 4001)}
	wantFaultsOf(t, "beyond the limits", long.Validate(), []string{"name text.too-long", "address text.too-long", "access_note text.too-long", "safety_note text.too-long"})
}

func TestPointIsReadAndGivenBackAsTyped(t *testing.T) {
	texts := register.PointTexts{Tag: "FT-1", Name: "feed", Fluid: "water", Pipe: "steel", OutsideDiameter: "168,3 mm", Wall: "0.28 in", StraightBefore: "0 m", StraightAfter: "6 ft", Note: "a\nb"}
	p, err := register.Point{Version: 3}.Read(texts)
	if err != nil {
		t.Fatal(err)
	}
	// NIST SP 811: 1 in = 0.0254 m and 1 ft = 0.3048 m exactly.
	for name, c := range map[string]struct {
		got  *float64
		want float64
	}{"outside diameter": {p.OutsideDiameter, 0.1683}, "wall": {p.Wall, 0.28 * 0.0254}, "straight before": {p.StraightBefore, 0}, "straight after": {p.StraightAfter, 6 * 0.3048}} {
		if c.got == nil || math.Abs(*c.got-c.want) > 1e-15 {
			t.Errorf("%s: %v, want %v m", name, c.got, c.want)
		}
	}
	if p.Version != 3 || !reflect.DeepEqual(p.Texts(), texts) {
		t.Errorf("given back %+v", p.Texts())
	}
	blank := register.PointTexts{Tag: " x ", OutsideDiameter: "  "}
	p, err = register.Point{}.Read(blank)
	if err != nil || p.OutsideDiameter != nil || p.OutsideDiameterEntered != nil || p.Texts() != (register.PointTexts{Tag: "x"}) {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestPointThatIsWrong(t *testing.T) {
	for name, c := range map[string]struct {
		texts register.PointTexts
		want  []string
	}{
		"no tag":              {register.PointTexts{}, []string{"tag text.required"}},
		"beyond the limits":   {register.PointTexts{Tag: strings.Repeat("t", 61), Name: strings.Repeat("n", 201), Fluid: strings.Repeat("f", 101), Pipe: strings.Repeat("p", 201), Note: strings.Repeat("n", 4001)}, []string{"tag text.too-long", "name text.too-long", "fluid text.too-long", "pipe text.too-long", "note text.too-long"}},
		"nought where it can": {register.PointTexts{Tag: "x", StraightBefore: "0 m", StraightAfter: "0 mm"}, nil},
		"nought":              {register.PointTexts{Tag: "x", OutsideDiameter: "0 mm", Wall: "0 mm"}, []string{"outside_diameter register.not-positive", "wall register.not-positive"}},
		"negative":            {register.PointTexts{Tag: "x", OutsideDiameter: "-1 mm", Wall: "-1 mm", StraightBefore: "-1 m", StraightAfter: "-1 m"}, []string{"outside_diameter register.not-positive", "wall register.not-positive", "straight_before register.not-positive", "straight_after register.not-positive"}},
		"just a pipe":         {register.PointTexts{Tag: "x", OutsideDiameter: "100 mm", Wall: "49.999 mm"}, nil},
		"no bore":             {register.PointTexts{Tag: "x", OutsideDiameter: "100 mm", Wall: "50 mm"}, []string{"wall register.wall-beyond-radius"}},
		"wall alone":          {register.PointTexts{Tag: "x", Wall: "50 mm"}, nil},
	} {
		_, err := register.Point{}.Read(c.texts)
		wantFaultsOf(t, name, err, c.want)
	}
	for _, text := range []string{"NaN", "NaN m", "Inf m", "1e999 m", "12 bar", "x", "1 2 3 m", "168.3 mm 0"} {
		_, err := register.Point{}.Read(register.PointTexts{Tag: "x", Wall: text})
		all := fault.AllOf(err)
		if len(all) == 0 || all[0].Field != "wall" || domain.KindOf(err) != domain.Invalid {
			t.Errorf("%q: %v", text, err)
		}
	}
}
