package register

import (
	"regexp"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
)

// Way says how a meter shows its flow. The zero value is none.
type Way string

// The ways.
const (
	Display       Way = "display"
	Pulse         Way = "pulse"
	CurrentLoop   Way = "current"
	Bus           Way = "bus"
	ControlSystem Way = "control-system"
)

// Ways are all, in the order in which they are shown.
var Ways = []Way{Display, Pulse, CurrentLoop, Bus, ControlSystem}

// Indication is one way in which a meter shows its flow. Several of one meter, read side
// by side, tell errors of the sensor, the output and the scaling apart. What is nil does
// not belong to the way, or is not known.
type Indication struct {
	ID                 domain.IndicationID `db:"id"`
	ClientID           domain.ClientID     `db:"client_id"`
	MeterID            domain.MeterID      `db:"meter_id"`
	Name               string              `db:"name" audit:"text"`
	Way                Way                 `db:"way" audit:"text"`
	Unit               string              `db:"unit" audit:"text"`
	Resolution         *float64            `db:"resolution"` // m³/s
	ResolutionEntered  *string             `db:"resolution_entered" audit:"text"`
	LowSignal          *float64            `db:"low_signal" audit:"text"`  // A
	HighSignal         *float64            `db:"high_signal" audit:"text"` // A
	FlowAtLow          *float64            `db:"flow_at_low"`              // m³/s
	FlowAtLowEntered   *string             `db:"flow_at_low_entered" audit:"text"`
	FlowAtHigh         *float64            `db:"flow_at_high"` // m³/s
	FlowAtHighEntered  *string             `db:"flow_at_high_entered" audit:"text"`
	PulseVolume        *float64            `db:"pulse_volume"` // m³
	PulseVolumeEntered *string             `db:"pulse_volume_entered" audit:"text"`
	UpdateInterval     *float64            `db:"update_interval_s" audit:"text"` // s
	Version            int64               `db:"version"`
	CreatedAt          time.Time           `db:"created_at"`
	ChangedAt          time.Time           `db:"changed_at"`
}

// IndicationTexts is an indication as typed.
type IndicationTexts struct {
	Name           string `json:"name" form:"name"`
	Way            string `json:"way" form:"way"`
	Unit           string `json:"unit" form:"unit"`
	Resolution     string `json:"resolution" form:"resolution"`
	LowSignal      string `json:"low_signal" form:"low_signal"`
	HighSignal     string `json:"high_signal" form:"high_signal"`
	FlowAtLow      string `json:"flow_at_low" form:"flow_at_low"`
	FlowAtHigh     string `json:"flow_at_high" form:"flow_at_high"`
	PulseVolume    string `json:"pulse_volume" form:"pulse_volume"`
	UpdateInterval string `json:"update_interval_s" form:"update_interval_s"`
}

// Read puts the typed texts into the indication and returns every problem, keyed by
// field. What does not belong to the way is refused, not dropped: whoever typed it meant
// something. The unit of a meter of volume must be one of flow, or of volume for pulses;
// units of other measurands are taken as they are.
func (i Indication) Read(t IndicationTexts, of Measurand) (Indication, error) {
	var check domain.Check
	i.Name, i.Way, i.Unit = domain.Line(t.Name), Way(t.Way), domain.Line(t.Unit)
	check.Line("name", i.Name, 60, true)
	domain.OneOf(&check, "way", i.Way, Ways)
	check.Line("unit", i.Unit, 30, true)
	if of == Volume && i.Unit != "" && !readsFlow(i.Unit, i.Way) {
		check.Add(UnitNotOfFlow.At("unit", i.Unit))
	}
	i.Resolution, i.ResolutionEntered = check.Measure("resolution", t.Resolution, quantity.KindFlow, domain.Positive)
	i.UpdateInterval, _ = check.Measure("update_interval_s", t.UpdateInterval, quantity.KindTime, domain.NotNegative)
	i.readCurrent(&check, t)
	i.readPulse(&check, t)
	return i, check.Err()
}

func readsFlow(unit string, way Way) bool {
	if _, err := quantity.Parse("1 "+unit, quantity.KindFlow, quantity.Options{}); err == nil {
		return true
	}
	_, err := quantity.Parse("1 "+unit, quantity.KindVolume, quantity.Options{})
	return err == nil && way == Pulse
}

func (i *Indication) readCurrent(check *domain.Check, t IndicationTexts) {
	for _, f := range []struct{ field, text string }{{"low_signal", t.LowSignal}, {"high_signal", t.HighSignal},
		{"flow_at_low", t.FlowAtLow}, {"flow_at_high", t.FlowAtHigh}} {
		given := domain.Line(f.text) != ""
		if i.Way == CurrentLoop && !given {
			check.Add(domain.Required.At(f.field))
		} else if i.Way != CurrentLoop && given {
			check.Add(NotOfWay.At(f.field))
		}
	}
	i.LowSignal, _ = check.Measure("low_signal", t.LowSignal, quantity.KindCurrent, domain.NotNegative)
	i.HighSignal, _ = check.Measure("high_signal", t.HighSignal, quantity.KindCurrent, domain.Positive)
	i.FlowAtLow, i.FlowAtLowEntered = check.Measure("flow_at_low", t.FlowAtLow, quantity.KindFlow, domain.AnySign)
	i.FlowAtHigh, i.FlowAtHighEntered = check.Measure("flow_at_high", t.FlowAtHigh, quantity.KindFlow, domain.AnySign)
	if i.LowSignal != nil && i.HighSignal != nil && *i.LowSignal >= *i.HighSignal {
		check.Add(ScaleReversed.At("high_signal"))
	}
	if i.FlowAtLow != nil && i.FlowAtHigh != nil && *i.FlowAtLow >= *i.FlowAtHigh {
		check.Add(ScaleReversed.At("flow_at_high"))
	}
}

// pulseFactor is a number of pulses for a volume: "100 pulses/m3".
var pulseFactor = regexp.MustCompile(`(?i)^(.+?) ?(?:pulses|pulse|imp|p) ?(?:/|per) ?(.+)$`)

func (i *Indication) readPulse(check *domain.Check, t IndicationTexts) {
	text := domain.Line(t.PulseVolume)
	i.PulseVolume, i.PulseVolumeEntered = nil, nil
	switch {
	case text == "" && i.Way == Pulse:
		check.Add(domain.Required.At("pulse_volume"))
	case text != "" && i.Way != Pulse:
		check.Add(NotOfWay.At("pulse_volume"))
	case text == "":
	case pulseFactor.MatchString(text):
		i.PulseVolume, i.PulseVolumeEntered = volumeOfFactor(check, text)
	default:
		i.PulseVolume, i.PulseVolumeEntered = check.Measure("pulse_volume", text, quantity.KindVolume, domain.Positive)
	}
}

// volumeOfFactor turns pulses per volume into the volume of one pulse.
func volumeOfFactor(check *domain.Check, text string) (*float64, *string) {
	parts := pulseFactor.FindStringSubmatch(text)
	var own domain.Check
	unit, _ := own.Must("pulse_volume", "1 "+parts[2], quantity.KindVolume, domain.Positive)
	one, _ := own.Must("pulse_volume", parts[1]+" "+parts[2], quantity.KindVolume, domain.Positive)
	if len(own.Faults) > 0 {
		check.Faults = append(check.Faults, fault.List{own.Faults[0]}...)
		return nil, nil
	}
	volume := unit * (unit / one) // one of n·unit, with the number's own rounding
	return &volume, &text
}

// Texts gives the indication back as it was typed.
func (i Indication) Texts() IndicationTexts {
	return IndicationTexts{Name: i.Name, Way: string(i.Way), Unit: i.Unit, Resolution: domain.Optional(i.ResolutionEntered),
		LowSignal:  domain.ShownOrEmpty(i.LowSignal, quantity.KindCurrent, "mA"),
		HighSignal: domain.ShownOrEmpty(i.HighSignal, quantity.KindCurrent, "mA"),
		FlowAtLow:  domain.Optional(i.FlowAtLowEntered), FlowAtHigh: domain.Optional(i.FlowAtHighEntered),
		PulseVolume:    domain.Optional(i.PulseVolumeEntered),
		UpdateInterval: domain.ShownOrEmpty(i.UpdateInterval, quantity.KindTime, "s")}
}
