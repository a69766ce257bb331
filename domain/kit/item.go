package kit

import (
	"slices"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
)

// WaysToWork and Waves are the words of works_by and wave, in the order in which they are shown.
var (
	WaysToWork = []WorksBy{TransitTime, EnteredSoundSpeed}
	Waves      = []string{"shear", "longitudinal"}
)

// ItemTexts is a piece of kit as typed. What does not belong to its kind stays empty.
type ItemTexts struct {
	Tag             string `json:"tag" form:"tag"`
	Maker           string `json:"maker" form:"maker"`
	Model           string `json:"model" form:"model"`
	Serial          string `json:"serial" form:"serial"`
	Firmware        string `json:"firmware" form:"firmware"`
	WorksBy         string `json:"works_by" form:"works_by"`
	TakesSpacing    string `json:"takes_spacing" form:"takes_spacing"` // yes or no
	LeastSNR        string `json:"least_snr_db" form:"least_snr_db"`
	Resolution      string `json:"resolution" form:"resolution"`
	Averaging       string `json:"averaging_s" form:"averaging_s"`
	Wave            string `json:"wave" form:"wave"`
	WedgeAngle      string `json:"wedge_angle" form:"wedge_angle"`
	WedgeSoundSpeed string `json:"wedge_sound_speed" form:"wedge_sound_speed"`
	ExitOffset      string `json:"exit_offset" form:"exit_offset"`
	Frequency       string `json:"frequency" form:"frequency"`
	Graduation      string `json:"graduation" form:"graduation"`
	OutOfServiceOn  string `json:"out_of_service_on" form:"out_of_service_on"` // a date of the company
	OutOfServiceWhy string `json:"out_of_service_why" form:"out_of_service_why"`
	Note            string `json:"note" form:"note"`
}

// Resolves returns the kind of quantity in which an item's resolution is given, and
// whether it has one.
func (k Kind) Resolves() (quantity.Kind, bool) {
	switch k {
	case ReferenceMeter:
		return quantity.KindFlow, true
	case Thermometer:
		return quantity.KindTemperatureDifference, true
	case WallGauge, Calliper:
		return quantity.KindLength, true
	case LoopCalibrator:
		return quantity.KindCurrent, true
	case Clock:
		return quantity.KindTime, true
	}
	return "", false
}

// own are the fields that belong to some kinds alone.
var own = map[Kind][]string{
	ReferenceMeter: {"firmware", "works_by", "takes_spacing", "least_snr_db", "resolution", "averaging_s"},
	TransducerPair: {"wave", "wedge_angle", "wedge_sound_speed", "exit_offset", "frequency"},
	WallGauge:      {"firmware", "resolution"},
	Thermometer:    {"resolution"},
	Calliper:       {"resolution"},
	LoopCalibrator: {"firmware", "resolution"},
	Clock:          {"resolution"},
	Tape:           {"graduation"},
}

// Has reports whether the field of the name belongs to the kind; those that belong to
// every kind are not asked for here.
func (k Kind) Has(field string) bool { return slices.Contains(own[k], field) }

// Read puts the typed texts into the item and returns every problem, keyed by field. The
// item has its kind already; zone is the company's. A value that is kept without its text
// stays to the last bit where the text is still what Texts gave.
func (i Item) Read(t ItemTexts, zone *time.Location) (Item, error) {
	var check domain.Check
	was := i.Texts(zone)
	i.Tag, i.Maker, i.Model, i.Serial, i.Firmware = domain.Line(t.Tag), domain.Line(t.Maker), domain.Line(t.Model), domain.Line(t.Serial), domain.Line(t.Firmware)
	i.Note = domain.Lines(t.Note)
	domain.OneOf(&check, "kind", i.Kind, Kinds)
	check.Line("tag", i.Tag, 40, true)
	check.Line("maker", i.Maker, 100, false)
	check.Line("model", i.Model, 100, false)
	check.Line("serial", i.Serial, 60, false)
	check.Line("firmware", i.Firmware, 60, false)
	check.Lines("note", i.Note, 4000, false)
	i.strangers(&check, t)
	i.readWords(&check, t)
	i.Resolution, i.ResolutionEntered = nil, nil
	if kind, has := i.Kind.Resolves(); has {
		i.Resolution, i.ResolutionEntered = check.Measure("resolution", t.Resolution, kind, domain.Positive)
	}
	same := func(value **float64, field, text, before string, kind quantity.Kind, sign domain.Sign, required bool) {
		if domain.Line(text) == before && before != "" {
			return
		}
		if required && domain.Line(text) == "" {
			check.Add(domain.Required.At(field))
		}
		*value, _ = check.Measure(field, text, kind, sign)
	}
	pair := i.Kind == TransducerPair
	same(&i.LeastSNR, "least_snr_db", t.LeastSNR, was.LeastSNR, quantity.KindLevel, domain.AnySign, false)
	same(&i.Averaging, "averaging_s", t.Averaging, was.Averaging, quantity.KindTime, domain.NotNegative, false)
	same(&i.WedgeAngle, "wedge_angle", t.WedgeAngle, was.WedgeAngle, quantity.KindAngle, domain.Positive, pair)
	same(&i.WedgeSoundSpeed, "wedge_sound_speed", t.WedgeSoundSpeed, was.WedgeSoundSpeed, quantity.KindVelocity, domain.Positive, pair)
	same(&i.ExitOffset, "exit_offset", t.ExitOffset, was.ExitOffset, quantity.KindLength, domain.NotNegative, pair)
	same(&i.Frequency, "frequency", t.Frequency, was.Frequency, quantity.KindFrequency, domain.Positive, false)
	same(&i.Graduation, "graduation", t.Graduation, was.Graduation, quantity.KindLength, domain.Positive, i.Kind == Tape)
	if i.WedgeAngle != nil && *i.WedgeAngle >= quarterTurn {
		check.Add(WedgeTooSteep.At("wedge_angle"))
	}
	i.readService(&check, t, was, zone)
	return i, check.Err()
}

// quarterTurn is the least angle in radians that no wedge can have; the table's bound.
const quarterTurn = 1.5708

// WedgeTooSteep says that a wedge's angle is a quarter turn or more.
var WedgeTooSteep = fault.Define("kit.wedge-too-steep")

// strangers refuses what does not belong to the kind: whoever typed it meant something.
func (i Item) strangers(check *domain.Check, t ItemTexts) {
	for field, text := range map[string]string{"firmware": t.Firmware, "works_by": t.WorksBy, "takes_spacing": t.TakesSpacing, "least_snr_db": t.LeastSNR,
		"resolution": t.Resolution, "averaging_s": t.Averaging, "wave": t.Wave, "wedge_angle": t.WedgeAngle, "wedge_sound_speed": t.WedgeSoundSpeed,
		"exit_offset": t.ExitOffset, "frequency": t.Frequency, "graduation": t.Graduation} {
		if domain.Line(text) != "" && !i.Kind.Has(field) {
			check.Add(NotOfKind.At(field))
		}
	}
}

func (i *Item) readWords(check *domain.Check, t ItemTexts) {
	i.WorksBy, i.TakesSpacing, i.Wave = nil, nil, nil
	if i.Kind == ReferenceMeter {
		works, takes := WorksBy(t.WorksBy), t.TakesSpacing == "yes"
		domain.OneOf(check, "works_by", works, WaysToWork)
		domain.OneOf(check, "takes_spacing", t.TakesSpacing, []string{"yes", "no"})
		i.WorksBy, i.TakesSpacing = &works, &takes
	}
	if i.Kind == TransducerPair {
		wave := t.Wave
		domain.OneOf(check, "wave", wave, Waves)
		i.Wave = &wave
	}
}

func (i *Item) readService(check *domain.Check, t ItemTexts, was ItemTexts, zone *time.Location) {
	why := domain.Lines(t.OutOfServiceWhy)
	check.Lines("out_of_service_why", why, 1000, false)
	day := check.Day("out_of_service_on", t.OutOfServiceOn, false)
	switch {
	case (why == "") != (domain.Line(t.OutOfServiceOn) == ""):
		check.Add(ServiceHalf.At("out_of_service_on"))
	case why == "":
		i.OutOfServiceAt, i.OutOfServiceWhy = nil, nil
	case domain.Line(t.OutOfServiceOn) == was.OutOfServiceOn:
		i.OutOfServiceWhy = &why
	default:
		at := domain.DayStart(day, zone)
		i.OutOfServiceAt, i.OutOfServiceWhy = &at, &why
	}
}

// Texts gives the item back as a form takes it.
func (i Item) Texts(zone *time.Location) ItemTexts {
	t := ItemTexts{Tag: i.Tag, Maker: i.Maker, Model: i.Model, Serial: i.Serial, Firmware: i.Firmware, Note: i.Note,
		Resolution: domain.Optional(i.ResolutionEntered), Wave: domain.Optional(i.Wave), OutOfServiceWhy: domain.Optional(i.OutOfServiceWhy),
		LeastSNR:        domain.ShownOrEmpty(i.LeastSNR, quantity.KindLevel, "dB"),
		Averaging:       domain.ShownOrEmpty(i.Averaging, quantity.KindTime, "s"),
		WedgeAngle:      domain.ShownOrEmpty(i.WedgeAngle, quantity.KindAngle, "°"),
		WedgeSoundSpeed: domain.ShownOrEmpty(i.WedgeSoundSpeed, quantity.KindVelocity, "m/s"),
		ExitOffset:      domain.ShownOrEmpty(i.ExitOffset, quantity.KindLength, "mm"),
		Frequency:       domain.ShownOrEmpty(i.Frequency, quantity.KindFrequency, "MHz"),
		Graduation:      domain.ShownOrEmpty(i.Graduation, quantity.KindLength, "mm")}
	if i.WorksBy != nil {
		t.WorksBy = string(*i.WorksBy)
	}
	if i.TakesSpacing != nil {
		t.TakesSpacing = map[bool]string{true: "yes", false: "no"}[*i.TakesSpacing]
	}
	if i.OutOfServiceAt != nil {
		t.OutOfServiceOn = i.OutOfServiceAt.In(zone).Format(domain.DayLayout)
	}
	return t
}
