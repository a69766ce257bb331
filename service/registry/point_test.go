package registry_test

import (
	"math"
	"strings"
	"testing"

	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/registry"
	"rillmark/service/store/storetest"
)

func TestPointIsAddedChangedAndItsHistoryTold(t *testing.T) {
	t.Parallel()
	o := open(t)
	client := o.client(t, "Tidewater")
	site := o.site(t, client, "Plant")
	c := addPoint(site, " FT-101 ")
	c.Fluid, c.Pipe, c.OutsideDiameter, c.Wall, c.StraightBefore = "cooling water", "steel", "168,3 mm", "0.28 in", "0 m"
	if w, err := o.AddPoint(t.Context(), boss, c); err != nil || w.Version != 1 {
		t.Fatalf("%+v, %v", w, err)
	}
	got, err := o.Point(t.Context(), boss, c.ID)
	if err != nil || got.ClientID != client || got.SiteID != site || got.Tag != "FT-101" || got.OutsideDiameter == nil || math.Abs(*got.OutsideDiameter-0.1683) > 1e-15 ||
		*got.OutsideDiameterEntered != "168,3 mm" || *got.Wall != 0.28*0.0254 || *got.StraightBefore != 0 || got.StraightAfter != nil || got.StraightAfterEntered != nil {
		t.Errorf("%+v, %v", got, err)
	}
	ch := registry.ChangePoint{Operation: storetest.Operation(), ID: c.ID, Version: 1, PointTexts: got.Texts()}
	ch.Wall, ch.StraightAfter, ch.Note = "", "2 m", "behind the boiler"
	if w, err := o.ChangePoint(t.Context(), boss, ch); err != nil || w.Version != 2 {
		t.Fatalf("%+v, %v", w, err)
	}
	changed, err := o.Point(t.Context(), boss, c.ID)
	if err != nil || changed.Wall != nil || *changed.StraightAfter != 2 || *changed.OutsideDiameter != *got.OutsideDiameter || changed.ClientID != client {
		t.Errorf("%+v, %v", changed, err)
	}
	history := []string{"measuring_point.change", `wall_entered: "0.28 in" → ""`, `straight_after_entered: "" → "2 m"`, `note: "" → "behind the boiler"`,
		"measuring_point.add", `tag: "" → "FT-101"`, `fluid: "" → "cooling water"`, `pipe: "" → "steel"`, `outside_diameter_entered: "" → "168,3 mm"`,
		`wall_entered: "" → "0.28 in"`, `straight_before_entered: "" → "0 m"`}
	wantTold(t, o.told(t, audit.Point, c.ID), history...)
	wantTold(t, o.told(t, audit.Site, site)[:len(history)], history...)
	wantTold(t, o.told(t, audit.Client, client)[:len(history)], history...)
	ch.Operation = storetest.Operation()
	_, err = o.ChangePoint(t.Context(), boss, ch)
	if now := current[register.Point](t, err); now.Version != 2 || now.Note != "behind the boiler" {
		t.Errorf("%+v", now)
	}
}

func TestPointThatIsWrongIsRefusedWhole(t *testing.T) {
	t.Parallel()
	o := open(t)
	site := o.site(t, o.client(t, "Tidewater"), "Plant")
	for name, c := range map[string]struct {
		texts register.PointTexts
		want  []string
	}{
		"texts": {register.PointTexts{Name: strings.Repeat("x", 201), Fluid: "a\nb", Pipe: "\u202a", Note: "\xff"},
			[]string{"tag text.required", "name text.too-long", "fluid text.control-character", "pipe text.control-character", "note text.not-utf8"}},
		"negative":     {register.PointTexts{Tag: "x", OutsideDiameter: "-168 mm", StraightAfter: "-1 m"}, []string{"outside_diameter register.not-positive", "straight_after register.not-positive"}},
		"nought":       {register.PointTexts{Tag: "x", OutsideDiameter: "0 mm", Wall: "0 in"}, []string{"outside_diameter register.not-positive", "wall register.not-positive"}},
		"wall too big": {register.PointTexts{Tag: "x", OutsideDiameter: "100 mm", Wall: "50 mm"}, []string{"wall register.wall-beyond-radius"}},
	} {
		t.Run(name, func(t *testing.T) {
			add := addPoint(site, "")
			add.PointTexts = c.texts
			_, err := o.AddPoint(t.Context(), boss, add)
			wantFaults(t, err, c.want...)
		})
	}
	for _, text := range []string{"NaN mm", "Inf m", "1e999 m", "1e400 mm", "much", "12 bar", strings.Repeat("9", 5000) + " mm", "168\x00 mm", "168 \xff"} {
		add := addPoint(site, "x")
		add.OutsideDiameter = text
		if _, err := o.AddPoint(t.Context(), boss, add); domain.KindOf(err) != domain.Invalid {
			t.Errorf("%.20q: %v", text, err)
		}
	}
	add := addPoint(site, "x")
	add.ID = domain.PointID{}
	_, err := o.AddPoint(t.Context(), boss, add)
	wantFaults(t, err, "id id.malformed")
	page, err := o.Points(t.Context(), boss, site, registry.Filter{})
	if err != nil || len(page.Items) != 0 {
		t.Errorf("stored: %v, %v", page.Items, err)
	}
}

func TestTagIsTakenOnceForEachSite(t *testing.T) {
	t.Parallel()
	o := open(t)
	client := o.client(t, "Tidewater")
	first, second := o.site(t, client, "First"), o.site(t, client, "Second")
	o.point(t, first, "FT-1")
	o.point(t, second, "FT-1")
	other := o.point(t, first, "FT-2")
	_, err := o.AddPoint(t.Context(), boss, addPoint(first, "ft-1"))
	wantKind(t, err, domain.Taken, register.TagTaken)
	_, err = o.ChangePoint(t.Context(), boss, registry.ChangePoint{Operation: storetest.Operation(), ID: other, Version: 1, PointTexts: register.PointTexts{Tag: "Ft-1"}})
	wantKind(t, err, domain.Taken, register.TagTaken)
}

func TestPointOfNoSiteIsRefused(t *testing.T) {
	t.Parallel()
	o := open(t)
	_, err := o.AddPoint(t.Context(), boss, addPoint(newID[domain.SiteKind](), "x"))
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
	_, err = o.Point(t.Context(), boss, newID[domain.PointKind]())
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
	_, err = o.ChangePoint(t.Context(), boss, registry.ChangePoint{Operation: storetest.Operation(), ID: newID[domain.PointKind](), PointTexts: register.PointTexts{Tag: "x"}})
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
}
