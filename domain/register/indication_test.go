package register_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/register"
)

func TestIndicationIsReadByItsWay(t *testing.T) {
	good := register.IndicationTexts{Name: "Loop", Way: "current", Unit: "m³/h", LowSignal: "4 mA", HighSignal: "20 mA", FlowAtLow: "0 m³/h", FlowAtHigh: "300 m³/h"}
	for name, row := range map[string]struct {
		change    func(*register.IndicationTexts)
		measurand register.Measurand
		field     string
		code      *fault.Code
	}{
		"a loop":                   {func(*register.IndicationTexts) {}, register.Volume, "", nil},
		"a loop without its end":   {func(t *register.IndicationTexts) { t.FlowAtHigh = "" }, register.Volume, "flow_at_high", domain.Required},
		"a loop upside down":       {func(t *register.IndicationTexts) { t.FlowAtLow = "400 m³/h" }, register.Volume, "flow_at_high", register.ScaleReversed},
		"signals upside down":      {func(t *register.IndicationTexts) { t.LowSignal = "22 mA" }, register.Volume, "high_signal", register.ScaleReversed},
		"a loop with a pulse":      {func(t *register.IndicationTexts) { t.PulseVolume = "10 L" }, register.Volume, "pulse_volume", register.NotOfWay},
		"a display with a scale":   {func(t *register.IndicationTexts) { t.Way = "display" }, register.Volume, "low_signal", register.NotOfWay},
		"a way nobody knows":       {func(t *register.IndicationTexts) { t.Way = "smoke" }, register.Volume, "way", domain.UnknownWord},
		"a unit of no flow":        {func(t *register.IndicationTexts) { t.Unit = "furlong" }, register.Volume, "unit", register.UnitNotOfFlow},
		"a unit of volume":         {func(t *register.IndicationTexts) { t.Unit = "m³" }, register.Volume, "unit", register.UnitNotOfFlow},
		"a unit of mass":           {func(t *register.IndicationTexts) { t.Unit = "t/h" }, register.Mass, "", nil},
		"a number without a unit":  {func(t *register.IndicationTexts) { t.FlowAtHigh = "300" }, register.Volume, "flow_at_high", quantity.NoUnit},
		"an interval below nought": {func(t *register.IndicationTexts) { t.UpdateInterval = "-1 s" }, register.Volume, "update_interval_s", domain.Negative},
	} {
		texts := good
		row.change(&texts)
		_, err := register.Indication{}.Read(texts, row.measurand)
		f, wrong := fault.Of(err)
		if row.code == nil && wrong || row.code != nil && (f.Code != row.code || f.Field != row.field) {
			t.Errorf("%s: %v, want %v in %q", name, err, row.code, row.field)
		}
	}
}

func TestPulseIsReadEitherWay(t *testing.T) {
	for text, want := range map[string]float64{
		"10 L": 0.01, "1 US gal": 0.003785411784, "100 pulses/m3": 0.01, "100 pulses/m³": 0.01, "0,5 pulses per L": 0.002, "2 imp/L": 0.0005, "1000 p/m3": 0.001,
	} {
		i, err := register.Indication{}.Read(register.IndicationTexts{Name: "Out 1", Way: "pulse", Unit: "m³", PulseVolume: text}, register.Volume)
		if err != nil || math.Abs(*i.PulseVolume/want-1) > 1e-15 || *i.PulseVolumeEntered != text {
			t.Errorf("%q: %v, %v", text, i.PulseVolume, err)
		}
	}
	for text, code := range map[string]*fault.Code{"0 pulses/m3": domain.NotPositive, "many pulses/m3": quantity.UnreadableNumber, "10 pulses/furlong": quantity.UnknownUnit,
		"-1 L": domain.NotPositive, "": domain.Required} {
		_, err := register.Indication{}.Read(register.IndicationTexts{Name: "Out 1", Way: "pulse", Unit: "m³", PulseVolume: text}, register.Volume)
		if f, _ := fault.Of(err); f.Code != code || f.Field != "pulse_volume" {
			t.Errorf("%q: %v", text, err)
		}
	}
}
