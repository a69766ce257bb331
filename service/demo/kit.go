package demo

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/kit"
	"rillmark/service/equipment"
)

// The pieces of kit that others name, by their places in items.
const (
	reference1 = iota
	reference2
	pairSteel1
	pairLarge
	pairPlastic
	pairSteel2
	cable1
	cable2
	gauge1
	gauge2
	thermometer1
	thermometer2
	tape1
	tape2
	calliper1
	loopCalibrator
	gaugeDropped
)

// item is a piece of kit; the day it left service counts from the founding.
type item struct {
	kind     kit.Kind
	texts    kit.ItemTexts
	leftDays int // with texts.OutOfServiceWhy
}

// items are two references with the transducer pairs that they were calibrated with, and
// what goes with them.
var items = []item{
	{kit.ReferenceMeter, kit.ItemTexts{Tag: "RM-1", Maker: "Pellandine", Model: "P-9 portable", Serial: "4410", Firmware: "2.06",
		WorksBy: "transit-time", TakesSpacing: "yes", LeastSNR: "15 dB", Resolution: "0.01 m³/h", Averaging: "10 s"}, 0},
	{kit.ReferenceMeter, kit.ItemTexts{Tag: "RM-2", Maker: "Pellandine", Model: "P-7 portable", Serial: "3872", Firmware: "1.31",
		WorksBy: "transit-time", TakesSpacing: "no", LeastSNR: "15 dB", Resolution: "0.01 m³/h", Averaging: "10 s"}, 0},
	{kit.TransducerPair, pair("TP-1", "shear", "1 MHz", "12 mm"), 0},
	{kit.TransducerPair, pair("TP-2", "shear", "500 kHz", "25 mm"), 0},
	{kit.TransducerPair, pair("TP-3", "longitudinal", "1 MHz", "12 mm"), 0},
	{kit.TransducerPair, pair("TP-4", "shear", "1 MHz", "12 mm"), 0},
	{kit.Cable, kit.ItemTexts{Tag: "CB-1", Note: "5 m, both transducers"}, 0},
	{kit.Cable, kit.ItemTexts{Tag: "CB-2", Note: "5 m, both transducers"}, 0},
	{kit.WallGauge, kit.ItemTexts{Tag: "WG-1", Maker: "Ostrey", Model: "Wall 4", Serial: "88", Resolution: "0.01 mm"}, 0},
	{kit.WallGauge, kit.ItemTexts{Tag: "WG-2", Maker: "Ostrey", Model: "Wall 3", Serial: "41", Resolution: "0.01 mm"}, 0},
	{kit.Thermometer, kit.ItemTexts{Tag: "TH-1", Maker: "Ostrey", Model: "Clip", Serial: "1207", Resolution: "0.1 K"}, 0},
	{kit.Thermometer, kit.ItemTexts{Tag: "TH-2", Maker: "Ostrey", Model: "Clip", Serial: "1219", Resolution: "0.1 K"}, 0},
	{kit.Tape, kit.ItemTexts{Tag: "TA-1", Serial: "T 31", Graduation: "1 mm", Note: "steel, 0.2 mm thick"}, 0},
	{kit.Tape, kit.ItemTexts{Tag: "TA-2", Serial: "T 36", Graduation: "1 mm", Note: "steel, 0.2 mm thick"}, 0},
	{kit.Calliper, kit.ItemTexts{Tag: "CA-1", Maker: "Ostrey", Model: "500 mm", Serial: "C 12", Resolution: "0.1 mm"}, 0},
	{kit.LoopCalibrator, kit.ItemTexts{Tag: "LC-1", Maker: "Ostrey", Model: "Loop 20", Serial: "620", Resolution: "0.001 mA"}, 0},
	{kit.WallGauge, kit.ItemTexts{Tag: "WG-0", Maker: "Ostrey", Model: "Wall 3", Serial: "17", Resolution: "0.01 mm",
		OutOfServiceWhy: "dropped from a pipe bridge; reads 0.3 mm too much on the step block"}, -240},
}

func pair(tag, wave, frequency, offset string) kit.ItemTexts {
	return kit.ItemTexts{Tag: tag, Maker: "Pellandine", Serial: tag[3:] + "-A/B", Wave: wave, Frequency: frequency,
		WedgeAngle: "38 °", WedgeSoundSpeed: "2480 m/s", ExitOffset: offset}
}

func (l *load) kit(ctx context.Context) error {
	for i, it := range items {
		texts := it.texts
		if texts.OutOfServiceWhy != "" {
			texts.OutOfServiceOn = l.day(it.leftDays)
		}
		_, err := l.Equipment.AddItem(ctx, as(tomas), equipment.AddItem{Operation: operation(kitWrite, i), ID: idOf[domain.KitKind](kitRow, i),
			Kind: string(it.kind), ItemTexts: texts})
		if err != nil {
			return err
		}
	}
	return nil
}

// sets are what travels together.
var sets = []struct {
	name  string
	items []int
}{
	{"Set 1, blue case", []int{reference1, pairSteel1, pairLarge, cable1, gauge1, thermometer1, tape1, calliper1, loopCalibrator}},
	{"Set 2, grey case", []int{reference2, pairPlastic, pairSteel2, cable2, gauge2, thermometer2, tape2}},
}

func (l *load) sets(ctx context.Context) error {
	for i, s := range sets {
		texts := kit.SetTexts{Name: s.name}
		for _, id := range kitIDs(s.items) {
			texts.Members = append(texts.Members, id.String())
		}
		_, err := l.Equipment.AddSet(ctx, as(tomas), equipment.AddSet{Operation: operation(setWrite, i),
			ID: idOf[domain.EquipmentSetKind](setRow, i), SetTexts: texts})
		if err != nil {
			return err
		}
	}
	return nil
}
