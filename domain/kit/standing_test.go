package kit_test

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/kit"
)

func id(n byte) domain.KitID { return domain.KitID{UUID: uuid.UUID{6: 0x70, 8: 0x80, 15: n}} }

func date(text string) time.Time {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return t
}

func TestGapsAreNamedBeforeLeaving(t *testing.T) {
	ref, pair, other, cable, gauge := kit.Item{ID: id(1), Kind: kit.ReferenceMeter, Tag: "RM-1"}, kit.Item{ID: id(2), Kind: kit.TransducerPair, Tag: "TP-1"},
		kit.Item{ID: id(3), Kind: kit.TransducerPair, Tag: "TP-2"}, kit.Item{ID: id(4), Kind: kit.Cable, Tag: "CA-1"}, kit.Item{ID: id(5), Kind: kit.WallGauge, Tag: "WG-1"}
	why, since := "dropped", date("2026-06-01")
	broken := gauge
	broken.OutOfServiceAt, broken.OutOfServiceWhy = &since, &why
	of := func(with domain.KitID, cable *domain.KitID, from, to string) kit.Calibration {
		return kit.Calibration{KitID: ref.ID, PairID: &with, CableID: cable, Quantity: kit.Flow, ValidFrom: date(from), ValidTo: date(to)}
	}
	gauged := kit.Calibration{KitID: gauge.ID, Quantity: kit.Length, ValidFrom: date("2026-01-01"), ValidTo: date("2027-01-01")}
	year := of(pair.ID, nil, "2026-01-01", "2027-01-01")
	for name, row := range map[string]struct {
		items        []kit.Item
		calibrations []kit.Calibration
		from, to     string
		want         []*fault.Code
	}{
		"all is well":            {[]kit.Item{ref, pair, gauge}, []kit.Calibration{year, gauged}, "2026-05-01", "2026-05-02", nil},
		"the last moment":        {[]kit.Item{ref, pair}, []kit.Calibration{year}, "2026-12-31", "2027-01-01", nil},
		"lapses under way":       {[]kit.Item{ref, pair}, []kit.Calibration{year}, "2026-12-31", "2027-01-02", []*fault.Code{kit.Lapsed}},
		"lapsed":                 {[]kit.Item{ref, pair}, []kit.Calibration{year}, "2027-05-01", "2027-05-02", []*fault.Code{kit.Lapsed}},
		"not yet":                {[]kit.Item{ref, pair}, []kit.Calibration{year}, "2025-05-01", "2025-05-02", []*fault.Code{kit.NotYetValid}},
		"one takes over":         {[]kit.Item{ref, pair}, []kit.Calibration{of(pair.ID, nil, "2026-12-31", "2028-01-01"), year}, "2026-12-30", "2027-01-02", nil},
		"a gap between":          {[]kit.Item{ref, pair}, []kit.Calibration{of(pair.ID, nil, "2027-01-02", "2028-01-01"), year}, "2026-12-30", "2027-01-03", []*fault.Code{kit.GapInTheMiddle}},
		"no pair":                {[]kit.Item{ref}, []kit.Calibration{year}, "2026-05-01", "2026-05-02", []*fault.Code{kit.NoPair}},
		"another pair":           {[]kit.Item{ref, other}, []kit.Calibration{year}, "2026-05-01", "2026-05-02", []*fault.Code{kit.NotAsSet}},
		"a second pair":          {[]kit.Item{ref, pair, other}, []kit.Calibration{year}, "2026-05-01", "2026-05-02", nil},
		"a second pair lapsed":   {[]kit.Item{ref, pair, other}, []kit.Calibration{year, of(other.ID, nil, "2024-01-01", "2025-01-01")}, "2026-05-01", "2026-05-02", []*fault.Code{kit.Lapsed}},
		"with that cable":        {[]kit.Item{ref, pair, cable}, []kit.Calibration{of(pair.ID, &cable.ID, "2026-01-01", "2027-01-01")}, "2026-05-01", "2026-05-02", nil},
		"without that cable":     {[]kit.Item{ref, pair}, []kit.Calibration{of(pair.ID, &cable.ID, "2026-01-01", "2027-01-01")}, "2026-05-01", "2026-05-02", []*fault.Code{kit.NotAsSet}},
		"a gauge never was":      {[]kit.Item{gauge}, nil, "2026-05-01", "2026-05-02", []*fault.Code{kit.NoneOnRecord}},
		"a cable needs none":     {[]kit.Item{cable, pair}, nil, "2026-05-01", "2026-05-02", nil},
		"out of service":         {[]kit.Item{broken}, []kit.Calibration{gauged}, "2026-06-02", "2026-06-03", []*fault.Code{kit.OutOfService}},
		"before it went":         {[]kit.Item{broken}, []kit.Calibration{gauged}, "2026-05-30", "2026-06-01", nil},
		"out of service on duty": {[]kit.Item{broken}, []kit.Calibration{gauged}, "2026-05-30", "2026-06-02", []*fault.Code{kit.OutOfService}},
	} {
		found := kit.Gaps(row.items, row.calibrations, date(row.from), date(row.to), time.UTC)
		if len(found) != len(row.want) {
			t.Errorf("%s: %v", name, found)
			continue
		}
		for i, f := range found {
			if f.Code != row.want[i] {
				t.Errorf("%s: %v, want %s", name, f, row.want[i].Name())
			}
		}
	}
	lapses := kit.Gaps([]kit.Item{ref, pair}, []kit.Calibration{year}, date("2026-12-31"), date("2027-01-02"), time.UTC)
	if lapses[0].Value("last") != "31 December 2026" || lapses[0].Value("item") != "RM-1 + TP-1" {
		t.Errorf("the last day is told as %v of %v", lapses[0].Value("last"), lapses[0].Value("item"))
	}
}

func TestItemsAreReadByTheirKind(t *testing.T) {
	reference := kit.ItemTexts{Tag: "RM-1", WorksBy: "transit-time", TakesSpacing: "no"}
	for name, row := range map[string]struct {
		kind  kit.Kind
		texts kit.ItemTexts
		field string
		code  *fault.Code
	}{
		"a reference":             {kit.ReferenceMeter, reference, "", nil},
		"a reference by nothing":  {kit.ReferenceMeter, kit.ItemTexts{Tag: "RM-1", TakesSpacing: "no"}, "works_by", domain.Required},
		"a reference with a wave": {kit.ReferenceMeter, kit.ItemTexts{Tag: "RM-1", WorksBy: "transit-time", TakesSpacing: "no", Wave: "shear"}, "wave", kit.NotOfKind},
		"a pair of nothing":       {kit.TransducerPair, kit.ItemTexts{Tag: "TP-1", Wave: "shear", WedgeAngle: "38 °", WedgeSoundSpeed: "2720 m/s"}, "exit_offset", domain.Required},
		"a pair too steep": {kit.TransducerPair, kit.ItemTexts{Tag: "TP-1", Wave: "shear", WedgeAngle: "91 °", WedgeSoundSpeed: "2720 m/s", ExitOffset: "0 mm"},
			"wedge_angle", kit.WedgeTooSteep},
		"a tape":            {kit.Tape, kit.ItemTexts{Tag: "TA-1", Graduation: "1 mm"}, "", nil},
		"a tape of nothing": {kit.Tape, kit.ItemTexts{Tag: "TA-1"}, "graduation", domain.Required},
		"no kind":           {"spanner", kit.ItemTexts{Tag: "SP-1"}, "kind", domain.UnknownWord},
		"no tag":            {kit.Cable, kit.ItemTexts{}, "tag", domain.Required},
		"half out":          {kit.Cable, kit.ItemTexts{Tag: "CA-1", OutOfServiceWhy: "cut"}, "out_of_service_on", kit.ServiceHalf},
	} {
		_, err := kit.Item{Kind: row.kind}.Read(row.texts, time.UTC)
		f, wrong := fault.Of(err)
		if row.code == nil && wrong || row.code != nil && (f.Code != row.code || f.Field != row.field) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
