package capture_test

import (
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/capture"
)

// What a form never sends, and somebody else might.
func TestWhatNoFormSends(t *testing.T) {
	d := open(t)
	m, _, _ := d.prepared()
	at := func() capture.At { return d.at(time.Time{}) }
	mount := func(reference, pair domain.KitID) error {
		_, err := d.Mount(d.ctx, d.Technician, capture.Mount{At: at(), ID: id[domain.MountingKind](), ReferenceID: reference, PairID: pair, Traverses: "2", Spacing: "117"})
		return err
	}
	wall := func(row domain.SurveyValueID, kit domain.KitID) error {
		_, err := d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: at(), ID: row, Name: "wall", Position: "12 o'clock", Entered: "7.1", Source: "measured", KitID: kit})
		return err
	}
	run := func(point string) error {
		_, err := d.AddRun(d.ctx, d.Technician, capture.AddRun{At: at(), ID: id[domain.RunKind](), Phase: "before", MountingID: m, FlowPoint: point,
			Shown: capture.Shown{Indications: []string{d.Indication.String()}, References: []string{"60"}, Values: []string{"61"}}})
		return err
	}
	row := id[domain.SurveyValueKind]()
	if err := wall(row, domain.KitID{}); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		err   error
		kind  domain.Kind
		code  *fault.Code
		field string
	}{
		"a pair as reference":          {mount(d.Has("TP-7"), d.Has("TP-7")), domain.Invalid, capture.WrongKit, "reference_id"},
		"a reference as pair":          {mount(d.Has("RM-2"), d.Has("RM-2")), domain.Invalid, capture.WrongKit, "pair_id"},
		"a wall by the reference":      {wall(id[domain.SurveyValueKind](), d.Has("RM-2")), domain.Invalid, capture.WrongInstrument, "kit_id"},
		"a wall by what is not there":  {wall(id[domain.SurveyValueKind](), id[domain.KitKind]()), domain.Invalid, domain.NoSuchThing, "kit_id"},
		"an id for a second time":      {wall(row, domain.KitID{}), domain.Reused, domain.OperationReused, "id"},
		"a flow point nobody planned":  {run("99"), domain.Invalid, capture.FlowPointBeyond, "flow_point"},
		"the first of planned ones":    {run("1"), 0, nil, ""},
		"a reference and its own pair": {mount(d.Has("RM-2"), d.Has("TP-7")), 0, nil, ""},
	} {
		f, _ := fault.Of(c.err)
		if domain.KindOf(c.err) != c.kind || f.Code != c.code || f.Field != c.field {
			t.Errorf("%s: %v, want %v", name, c.err, c)
		}
	}
}

// The device's time is kept where it can be; another would date the certificate.
func TestCapturedWhen(t *testing.T) {
	d := open(t)
	captured := func(at time.Time) (captured, received time.Time) {
		row := id[domain.SurveyValueKind]()
		must(t)(d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: d.at(at), ID: row, Name: "ambient-temperature", Entered: "12", Source: "assumed"}))
		w, err := d.Sheet(d.ctx, d.Technician, d.Task)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range w.Facts.Sheet.Survey {
			if v.ID == row {
				return v.CapturedAt, v.ReceivedAt
			}
		}
		t.Fatal("the value is not there")
		return
	}
	now := time.Now().UTC().Truncate(time.Microsecond)
	for name, c := range map[string]struct {
		at       time.Time
		believed bool
	}{
		"an hour ago":          {now.Add(-time.Hour), true},
		"a minute ahead":       {now.Add(time.Minute), true},
		"a year ahead":         {now.AddDate(1, 0, 0), false},
		"years before":         {now.AddDate(-8, 0, 0), false},
		"before there was any": {time.Unix(0, 0), false},
	} {
		captured, received := captured(c.at)
		if is := captured.Equal(c.at); is != c.believed || !is && !captured.Equal(received) {
			t.Errorf("%s: captured %v, received %v", name, captured, received)
		}
	}
}

// What was mistyped of an adjustment is corrected by a further row, once.
func TestCorrectedAdjustment(t *testing.T) {
	d := open(t)
	d.prepared()
	adjust := func(value string, corrects domain.AdjustmentID) (domain.AdjustmentID, error) {
		row := id[domain.AdjustmentKind]()
		_, err := d.Adjust(d.ctx, d.Technician, capture.Adjust{At: d.at(time.Time{}), ID: row, Parameter: "factor", Kind: "multiplier", Old: "1", New: value,
			Permission: "the operator", Reason: "reads high", Corrects: corrects})
		return row, err
	}
	wrong, err := adjust("9,85", domain.AdjustmentID{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := adjust("0,985", wrong); err != nil {
		t.Fatal(err)
	}
	if _, err := adjust("0,986", wrong); domain.KindOf(err) != domain.Taken {
		t.Errorf("corrected twice: %v", err)
	}
	if _, err := adjust("0,986", id[domain.AdjustmentKind]()); domain.KindOf(err) != domain.NotFound {
		t.Errorf("a correction of nothing: %v", err)
	}
	w, err := d.Sheet(d.ctx, d.Technician, d.Task)
	if err != nil {
		t.Fatal(err)
	}
	if odd := w.Oddities(); len(odd) != 0 {
		t.Errorf("the approver is still told of %+v", odd)
	}
	if held := w.Facts.Sheet.AdjustmentsInForce(); len(held) != 1 || held[0].NewEntered != "0,985" || len(w.Facts.Sheet.Adjustments) != 2 {
		t.Errorf("%+v", held)
	}
}
