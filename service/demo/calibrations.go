package demo

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/kit"
	"rillmark/service/equipment"
)

// calibration is one of an item, or of a reference with its pair. Its days count from the
// founding.
type calibration struct {
	item        int
	pair        int // of a reference
	number      string
	on, until   int
	least, most string // inside diameters, of a reference
	points      []calibrated
}

// calibrated is one point, as the laboratory wrote it.
type calibrated struct{ at, error, expanded string }

// calibrations: of the first reference with its usual pair there is an earlier one, and
// the present one is about to lapse; that of the second wall gauge has lapsed.
var calibrations = []calibration{
	{reference1, pairSteel1, "F 24-091", -722, -357, "40 mm", "420 mm", []calibrated{
		{"0.2 m/s", "0.7 %", "0.6 %"}, {"0.5 m/s", "0.4 %", "0.4 %"}, {"1 m/s", "0.3 %", "0.3 %"}, {"2 m/s", "0.2 %", "0.3 %"}, {"4 m/s", "0.2 %", "0.3 %"}}},
	{reference1, pairSteel1, "F 25-118", -353, 12, "40 mm", "420 mm", []calibrated{
		{"0.2 m/s", "0.6 %", "0.6 %"}, {"0.5 m/s", "0.3 %", "0.4 %"}, {"1 m/s", "0.2 %", "0.3 %"}, {"2 m/s", "0.12 %", "0.3 %"}, {"4 m/s", "0.1 %", "0.3 %"}}},
	{reference1, pairLarge, "F 25-119", -353, 12, "200 mm", "1000 mm", []calibrated{
		{"0.3 m/s", "−0.4 %", "0.6 %"}, {"1 m/s", "−0.2 %", "0.4 %"}, {"3 m/s", "−0.1 %", "0.4 %"}}},
	{reference2, pairPlastic, "F 26-020", -150, 215, "40 mm", "600 mm", []calibrated{
		{"0.2 m/s", "−0.9 %", "0.8 %"}, {"0.6 m/s", "−0.5 %", "0.5 %"}, {"1.5 m/s", "−0.3 %", "0.4 %"}, {"3 m/s", "−0.3 %", "0.4 %"}}},
	{reference2, pairSteel2, "F 26-021", -150, 215, "40 mm", "450 mm", []calibrated{
		{"0.2 m/s", "0.5 %", "0.8 %"}, {"0.6 m/s", "0.2 %", "0.5 %"}, {"1.5 m/s", "0.1 %", "0.4 %"}, {"3 m/s", "0.1 %", "0.4 %"}}},
	{gauge1, 0, "L 25-031", -420, 310, "", "", walls},
	{gauge2, 0, "L 24-077", -750, -20, "", "", walls},
	{gaugeDropped, 0, "L 24-012", -800, -70, "", "", walls},
	{thermometer1, 0, "T 25-009", -430, 300, "", "", temperatures},
	{thermometer2, 0, "T 26-004", -160, 570, "", "", temperatures},
	{tape1, 0, "L 25-040", -420, 675, "", "", lengths},
	{tape2, 0, "L 26-018", -155, 940, "", "", lengths},
	{calliper1, 0, "L 25-032", -420, 310, "", "", []calibrated{{"50 mm", "0 mm", "0.05 mm"}, {"400 mm", "0.1 mm", "0.08 mm"}}},
	{loopCalibrator, 0, "E 25-210", -300, 65, "", "", []calibrated{{"4 mA", "0.001 mA", "0.002 mA"}, {"20 mA", "−0.001 mA", "0.003 mA"}}},
}

var (
	walls        = []calibrated{{"2 mm", "0 mm", "0.03 mm"}, {"10 mm", "0.02 mm", "0.04 mm"}, {"25 mm", "0.03 mm", "0.06 mm"}}
	temperatures = []calibrated{{"5 °C", "0.1 K", "0.2 K"}, {"40 °C", "0 K", "0.2 K"}, {"85 °C", "−0.2 K", "0.3 K"}}
	lengths      = []calibrated{{"0.5 m", "0.1 mm", "0.2 mm"}, {"3 m", "0.2 mm", "0.4 mm"}}
)

// texts is the calibration as it is typed.
func (c calibration) texts(days calendar) kit.CalibrationTexts {
	t := kit.CalibrationTexts{CertificateNumber: c.number, Laboratory: "Cold Beck Laboratory", Route: "accredited",
		CalibratedOn: days.day(c.on), ValidFrom: days.day(c.on + 2), ValidUntil: days.day(c.until),
		LeastInsideDiameter: c.least, MostInsideDiameter: c.most}
	if items[c.item].kind == kit.ReferenceMeter {
		t.PairID, t.Traverses = idOf[domain.KitKind](kitRow, c.pair), []string{"1", "2"}
	}
	for _, p := range c.points {
		t.At, t.Error, t.Expanded, t.K = append(t.At, p.at), append(t.Error, p.error), append(t.Expanded, p.expanded), append(t.K, "2")
	}
	return t
}

// ofPair is the last calibration of a reference with a pair that was made by the day.
func ofPair(reference, pair, day int) (found calibration) {
	for _, c := range calibrations {
		if c.item == reference && c.pair == pair && c.on <= day {
			found = c
		}
	}
	return found
}

// read is the calibration as numbers.
func (c calibration) read(days calendar) (kit.Calibration, error) {
	read, _, err := kit.ReadCalibration(items[c.item].kind, c.texts(days), time.UTC)
	return read, err
}

func (l *load) calibrations(ctx context.Context) error {
	for i, c := range calibrations {
		_, err := l.Equipment.AddCalibration(ctx, as(tomas), equipment.AddCalibration{Operation: operation(calibrationWrite, i),
			ID: idOf[domain.CalibrationKind](calibrationRow, i), KitID: idOf[domain.KitKind](kitRow, c.item), CalibrationTexts: c.texts(l.calendar)})
		if err != nil {
			return err
		}
	}
	return nil
}
