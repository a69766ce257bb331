package equipment_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"math"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // validity begins and ends by the company's clock

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/service/equipment"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

var actor = access.System("test")

type room struct {
	*equipment.Service
	t     *testing.T
	db    storetest.DB
	store *store.Store
	zone  *time.Location
}

func newRoom(t *testing.T) room {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Oslo")
	if err != nil {
		t.Fatal(err)
	}
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	return room{equipment.New(s, zone), t, db, s, zone}
}

func newID[K any]() domain.ID[K] { return domain.NewID[K](storetest.IDs()) }

func (r room) must(err error) {
	r.t.Helper()
	if err != nil {
		r.t.Fatal(err)
	}
}

func (r room) add(kind kit.Kind, texts kit.ItemTexts) domain.KitID {
	r.t.Helper()
	id := newID[domain.KitKind]()
	_, err := r.AddItem(r.t.Context(), actor, equipment.AddItem{Operation: storetest.Operation(), ID: id, Kind: string(kind), ItemTexts: texts})
	r.must(err)
	return id
}

func reference(tag string) kit.ItemTexts {
	return kit.ItemTexts{Tag: tag, Maker: "Tidewater", Model: "P2", WorksBy: "transit-time", TakesSpacing: "yes", Resolution: "0.01 m³/h", LeastSNR: "15 dB", Averaging: "5 s"}
}

func pair(tag string) kit.ItemTexts {
	return kit.ItemTexts{Tag: tag, Wave: "shear", WedgeAngle: "38 °", WedgeSoundSpeed: "2720 m/s", ExitOffset: "11.5 mm", Frequency: "1 MHz"}
}

func certificate(with domain.KitID) kit.CalibrationTexts {
	return kit.CalibrationTexts{PairID: with, CertificateNumber: "K-2026-118", Laboratory: "Estuary Flow Laboratory", Route: "accredited",
		CalibratedOn: "2026-03-15", ValidUntil: "2027-03-14", LeastInsideDiameter: "50 mm", MostInsideDiameter: "600 mm", Traverses: []string{"1", "2"},
		At: []string{"3 m/s", "0.5 m/s", ""}, Error: []string{"0,4 %", "-0.3 %", ""}, Expanded: []string{"0.6 %", "0.8 %", ""}, K: []string{"2", "", ""}}
}

func (r room) calibrate(of domain.KitID, texts kit.CalibrationTexts, d *equipment.Document) (domain.CalibrationID, error) {
	id := newID[domain.CalibrationKind]()
	_, err := r.AddCalibration(r.t.Context(), actor, equipment.AddCalibration{Operation: storetest.Operation(), ID: id, KitID: of, CalibrationTexts: texts, Document: d})
	return id, err
}

func wantFault(t *testing.T, what string, err error, kind domain.Kind, field string, code *fault.Code) {
	t.Helper()
	for _, f := range fault.AllOf(err) {
		if f.Code == code && f.Field == field && domain.KindOf(err) == kind {
			return
		}
	}
	t.Errorf("%s: %v, want %s in %q", what, err, code.Name(), field)
}

func TestItemIsKeptToTheLastBit(t *testing.T) {
	r := newRoom(t)
	ctx := t.Context()
	id := r.add(kit.TransducerPair, pair("TP-1"))
	kept, err := r.Item(ctx, actor, id)
	r.must(err)
	if *kept.WedgeAngle != 38*math.Pi/180 || *kept.ExitOffset != 0.0115 || *kept.Frequency != 1e6 {
		t.Errorf("kept: %v %v %v", *kept.WedgeAngle, *kept.ExitOffset, *kept.Frequency)
	}
	texts := kept.Texts(r.zone)
	if texts.WedgeAngle != "38 °" || texts.ExitOffset != "11.5 mm" {
		t.Errorf("given back: %+v", texts)
	}
	texts.Note = "New clamps."
	_, err = r.ChangeItem(ctx, actor, equipment.ChangeItem{Operation: storetest.Operation(), ID: id, Version: 1, ItemTexts: texts})
	r.must(err)
	after, err := r.Item(ctx, actor, id)
	r.must(err)
	if *after.WedgeAngle != *kept.WedgeAngle || after.Note != "New clamps." {
		t.Errorf("after a change of the note: %+v", after)
	}
	events, err := r.store.Trail(ctx, &audit.Subject{Kind: audit.KitItem, ID: id.String()}, 0, 10)
	r.must(err)
	if len(events) != 2 || len(events[0].Event.Changes[0].Fields) != 1 {
		t.Errorf("the trail tells more than the note: %+v", events[0].Event.Changes)
	}
	_, err = r.ChangeItem(ctx, actor, equipment.ChangeItem{Operation: storetest.Operation(), ID: id, Version: 1, ItemTexts: texts})
	if domain.KindOf(err) != domain.Stale {
		t.Errorf("on an old version: %v", err)
	}
	_, err = r.AddItem(ctx, actor, equipment.AddItem{Operation: storetest.Operation(), ID: newID[domain.KitKind](), Kind: "cable", ItemTexts: kit.ItemTexts{Tag: "tp-1"}})
	wantFault(t, "a tag twice", err, domain.Taken, "tag", kit.TagTaken)
}

func TestItemGoesOutOfServiceAndBack(t *testing.T) {
	r := newRoom(t)
	ctx := t.Context()
	id := r.add(kit.ReferenceMeter, reference("RM-1"))
	texts := reference("RM-1")
	texts.OutOfServiceOn, texts.OutOfServiceWhy = "2026-06-01", "Dropped on site."
	_, err := r.ChangeItem(ctx, actor, equipment.ChangeItem{Operation: storetest.Operation(), ID: id, Version: 1, ItemTexts: texts})
	r.must(err)
	i, err := r.Item(ctx, actor, id)
	r.must(err)
	if i.OutOfServiceAt == nil || i.OutOfServiceAt.UTC().Format(time.RFC3339) != "2026-05-31T22:00:00Z" {
		t.Errorf("out of service at %v", i.OutOfServiceAt)
	}
	_, err = r.ChangeItem(ctx, actor, equipment.ChangeItem{Operation: storetest.Operation(), ID: id, Version: 2, ItemTexts: reference("RM-1")})
	r.must(err)
	if i, err = r.Item(ctx, actor, id); err != nil || i.OutOfServiceAt != nil {
		t.Errorf("back in service: %v, %v", i.OutOfServiceAt, err)
	}
}

func TestCalibrationIsKeptWithPointsAndDocument(t *testing.T) {
	r := newRoom(t)
	ctx := t.Context()
	ref, with := r.add(kit.ReferenceMeter, reference("RM-1")), r.add(kit.TransducerPair, pair("TP-1"))
	file := bytes.Repeat([]byte("%PDF-1.7 a certificate "), 60000) // more than one part
	sum := sha256.Sum256(file)
	document := equipment.Document{SHA256: hex.EncodeToString(sum[:]), MediaType: "application/pdf", Size: int64(len(file)), File: bytes.NewReader(file)}
	id, err := r.calibrate(ref, certificate(with), &document)
	r.must(err)

	c, err := r.Calibration(ctx, actor, id)
	r.must(err)
	if c.ValidFrom.UTC().Format(time.RFC3339) != "2026-03-14T23:00:00Z" || c.ValidTo.UTC().Format(time.RFC3339) != "2027-03-14T23:00:00Z" {
		t.Errorf("valid from %s to %s", c.ValidFrom.UTC(), c.ValidTo.UTC())
	}
	if c.CalibratedOn.Format(time.DateOnly) != "2026-03-15" {
		t.Errorf("calibrated on %s", c.CalibratedOn)
	}
	if len(c.Points) != 2 || c.Points[0] != (kit.Point{N: 1, At: 0.5, Error: -0.003, Expanded: 0.008, K: 2}) || c.Entered[1].ErrorEntered != "0,4 %" {
		t.Errorf("points %+v, as entered %+v", c.Points, c.Entered)
	}
	if *c.LeastVelocity != 0.5 || *c.MostVelocity != 3 || c.KitTag != "RM-1" || c.PairTag != "TP-1" || !c.Document {
		t.Errorf("calibration: %+v", c)
	}
	var out bytes.Buffer
	media, err := r.DocumentOf(ctx, actor, id, &out)
	r.must(err)
	if media != "application/pdf" || !bytes.Equal(out.Bytes(), file) {
		t.Errorf("the document comes back as %s, %d bytes", media, out.Len())
	}
	if of, err := r.Calibrations(ctx, actor, with); err != nil || len(of) != 1 || of[0].ID != id {
		t.Errorf("calibrations of the pair: %+v, %v", of, err)
	}
	conn := r.db.Connect(t, store.App)
	for _, sql := range []string{"UPDATE calibration SET laboratory = 'x'", "DELETE FROM calibration_point", "UPDATE calibration_point SET error = 0"} {
		if _, err := conn.Exec(ctx, sql); err == nil {
			t.Errorf("the application may %s", sql)
		}
	}
}

func TestCalibrationSaysWhatIsWrong(t *testing.T) {
	r := newRoom(t)
	ref, with, cable := r.add(kit.ReferenceMeter, reference("RM-1")), r.add(kit.TransducerPair, pair("TP-1")), r.add(kit.Cable, kit.ItemTexts{Tag: "CA-1"})
	thermometer := r.add(kit.Thermometer, kit.ItemTexts{Tag: "TH-1"})
	for name, row := range map[string]struct {
		of     domain.KitID
		change func(*kit.CalibrationTexts)
		field  string
		code   *fault.Code
	}{
		"no pair":            {ref, func(t *kit.CalibrationTexts) { t.PairID = domain.KitID{} }, "pair_id", domain.Required},
		"a cable as pair":    {ref, func(t *kit.CalibrationTexts) { t.PairID = cable }, "pair_id", kit.PairKind},
		"a pair as cable":    {ref, func(t *kit.CalibrationTexts) { t.CableID = with }, "cable_id", kit.CableKind},
		"of a cable":         {cable, func(*kit.CalibrationTexts) {}, "", kit.NotCalibrated},
		"thermometer's pair": {thermometer, func(*kit.CalibrationTexts) {}, "pair_id", kit.PairUnused},
		"ends before":        {ref, func(t *kit.CalibrationTexts) { t.ValidUntil = "2026-03-13" }, "valid_until", domain.EndsBefore},
		"no traverses":       {ref, func(t *kit.CalibrationTexts) { t.Traverses = nil }, "traverses", kit.TraversesAbsent},
		"beyond its points":  {ref, func(t *kit.CalibrationTexts) { t.MostVelocity = "4 m/s" }, "most_velocity", kit.BeyondPoints},
		"half a row":         {ref, func(t *kit.CalibrationTexts) { t.Error[1] = "" }, "points[1].error", domain.Required},
		"U of nothing":       {ref, func(t *kit.CalibrationTexts) { t.Expanded[0] = "0 %" }, "points[0].expanded", domain.NotPositive},
		"k below one":        {ref, func(t *kit.CalibrationTexts) { t.K[0] = "0.5" }, "points[0].k", kit.FactorBelowOne},
		"a point twice":      {ref, func(t *kit.CalibrationTexts) { t.At[1] = "3000 mm/s" }, "points[1].at", kit.PointTwice},
		"no points":          {ref, func(t *kit.CalibrationTexts) { t.At, t.Error, t.Expanded = nil, nil, nil }, "points", kit.NoPoints},
		"half of Reynolds":   {ref, func(t *kit.CalibrationTexts) { t.LeastReynolds = "1e4" }, "most_reynolds", kit.RangeHalf},
	} {
		texts := certificate(with)
		row.change(&texts)
		_, err := r.calibrate(row.of, texts, nil)
		wantFault(t, name, err, domain.Invalid, row.field, row.code)
	}
	_, err := r.calibrate(ref, certificate(with), &equipment.Document{MediaType: "text/html", File: strings.NewReader("x"), Size: 1})
	wantFault(t, "a document of no form", err, domain.Invalid, "document", equipment.DocumentForm)
	_, err = r.calibrate(thermometer, kit.CalibrationTexts{CertificateNumber: "T-1", Laboratory: "Estuary", Route: "in-house", CalibratedOn: "2026-03-15",
		ValidUntil: "2027-03-14", At: []string{"20 °C"}, Error: []string{"0.1 K"}, Expanded: []string{"0.05 K"}}, nil)
	r.must(err)
}

func TestSetsHoldAnItemOnce(t *testing.T) {
	r := newRoom(t)
	ctx := t.Context()
	ref, with := r.add(kit.ReferenceMeter, reference("RM-1")), r.add(kit.TransducerPair, pair("TP-1"))
	a, b := newID[domain.EquipmentSetKind](), newID[domain.EquipmentSetKind]()
	put := func(id domain.EquipmentSetID, name string, members ...string) error {
		_, err := r.AddSet(ctx, actor, equipment.AddSet{Operation: storetest.Operation(), ID: id, SetTexts: kit.SetTexts{Name: name, Members: members}})
		return err
	}
	r.must(put(a, "North van", ref.String(), with.String()))
	wantFault(t, "an item in two sets", put(b, "South van", with.String()), domain.Taken, "members", kit.InOtherSet)
	wantFault(t, "a name twice", put(b, "north VAN"), domain.Taken, "name", kit.SetNameTaken)
	if err := put(b, "South van", newID[domain.KitKind]().String()); domain.KindOf(err) != domain.NotFound {
		t.Errorf("an item that is not there: %v", err)
	}
	_, err := r.ChangeSet(ctx, actor, equipment.ChangeSet{Operation: storetest.Operation(), ID: a, Version: 1, SetTexts: kit.SetTexts{Name: "North van", Members: []string{ref.String()}}})
	r.must(err)
	r.must(put(b, "South van", with.String()))
	set, items, err := r.Set(ctx, actor, a)
	r.must(err)
	if len(items) != 1 || items[0].Tag != "RM-1" || set.Version != 2 {
		t.Errorf("set %+v holds %+v", set, items)
	}
	page, err := r.Sets(ctx, actor, equipment.Filter{})
	r.must(err)
	if len(page.Items) != 2 || page.Items[1].Tags[0] != "TP-1" {
		t.Errorf("sets: %+v", page.Items)
	}
	kept, err := r.Items(ctx, actor, kit.TransducerPair, equipment.Filter{})
	r.must(err)
	if len(kept.Items) != 1 || *kept.Items[0].SetName != "South van" {
		t.Errorf("pairs: %+v", kept.Items)
	}
	events, err := r.store.Trail(ctx, &audit.Subject{Kind: audit.KitItem, ID: with.String()}, 0, 10)
	r.must(err)
	if len(events) != 4 {
		t.Errorf("the pair's history has %d events, want 4: added, in, out, in", len(events))
	}
}

func TestWhatLapsesNextComesFirst(t *testing.T) {
	r := newRoom(t)
	ctx := t.Context()
	one, two, with := r.add(kit.ReferenceMeter, reference("RM-1")), r.add(kit.ReferenceMeter, reference("RM-2")), r.add(kit.TransducerPair, pair("TP-1"))
	_, err := r.calibrate(one, certificate(with), nil)
	r.must(err)
	early := certificate(with)
	early.ValidUntil = "2026-12-24"
	_, err = r.calibrate(two, early, nil)
	r.must(err)
	soon, err := r.Lapsing(ctx, actor, time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC))
	r.must(err)
	if len(soon) != 1 || soon[0].Tag != "RM-2" || soon[0].ValidTo.In(r.zone).Format(time.DateOnly) != "2026-12-25" {
		t.Errorf("lapsing: %+v", soon)
	}
	if later, err := r.Lapsing(ctx, actor, time.Date(2028, 1, 1, 0, 0, 0, 0, time.UTC)); err != nil || len(later) != 3 || later[0].Tag != "RM-2" {
		t.Errorf("lapsing later: %+v, %v", later, err)
	}
}

func TestKitIsTheCoordinators(t *testing.T) {
	r := newRoom(t)
	technician := access.Actor{Person: newID[domain.PersonKind](), Roles: []access.Role{access.Technician}}
	for name, err := range map[string]error{
		"item": second(r.AddItem(t.Context(), technician, equipment.AddItem{})), "calibration": second(r.AddCalibration(t.Context(), technician, equipment.AddCalibration{})),
		"set": second(r.AddSet(t.Context(), technician, equipment.AddSet{})), "change": second(r.ChangeItem(t.Context(), technician, equipment.ChangeItem{})),
	} {
		if domain.KindOf(err) != domain.Forbidden {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := r.Items(t.Context(), technician, "", equipment.Filter{}); err != nil {
		t.Errorf("a technician looks at the kit: %v", err)
	}
}

func second(_ equipment.Written, err error) error { return err }
