package calcjson

import (
	"math"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

const degrees = math.Pi / 180

type spacingAnswer struct {
	FluidAngle       float64          `json:"fluid_angle_deg"`
	PipeAngle        float64          `json:"pipe_angle_deg"`
	ClearBore        float64          `json:"clear_bore_m"`
	WedgeSoundSpeed  float64          `json:"wedge_sound_speed_m_s"`
	EntryDistance    float64          `json:"entry_distance_m"`
	Spacing          float64          `json:"spacing_m"`
	SettingMark      float64          `json:"setting_mark_m"`
	SettingMarkText  string           `json:"setting_mark_text"`
	PathLength       float64          `json:"path_length_m"`
	FluidTransitTime float64          `json:"fluid_transit_time_s"`
	TotalTransitTime float64          `json:"total_transit_time_s"`
	Advice           adviceAnswer     `json:"advice"`
	WorksBy          string           `json:"works_by"`
	FlowPowerOfBore  float64          `json:"flow_power_of_bore"`
	Sensitivities    []sensitivityRow `json:"sensitivities"`
	Warnings         []problem        `json:"warnings"`
}

type adviceAnswer struct {
	Traverses int       `json:"traverses"`
	Mounting  string    `json:"mounting"`
	Spacing   float64   `json:"spacing_m"`
	Rail      float64   `json:"rail_m"`
	Reasons   []problem `json:"reasons"`
}

// spacing is the kind "spacing": beam.Spacing, beam.Advise, and what each input does to
// spacing and flow.
func spacing(o *object, say func(fault.Fault) string) (any, error) {
	request := beam.SpacingRequest{
		Setup:      o.setup(),
		Graduation: o.number(beam.GraduationName),
		Frequency:  o.numberOr(beam.FrequencyName, 0),
	}
	wedge := o.wedge()
	request.WedgeSoundSpeed = wedge.speed
	site, reference := o.mountingSite(), o.reference()
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	r, err := beam.Spacing(request)
	if err != nil {
		return nil, err
	}
	advice, err := beam.Advise(request.Setup, site)
	if err != nil {
		return nil, err
	}
	a := spacingAnswer{
		FluidAngle:       r.FluidAngle / degrees,
		PipeAngle:        r.PipeAngle / degrees,
		ClearBore:        r.Bore,
		WedgeSoundSpeed:  request.WedgeSoundSpeed,
		EntryDistance:    r.EntryDistance,
		Spacing:          r.Spacing,
		SettingMark:      r.SettingMark,
		SettingMarkText:  r.SettingMarkText,
		PathLength:       r.PathLength,
		FluidTransitTime: r.FluidTransitTime,
		TotalTransitTime: r.TotalTransitTime,
		Advice:           tellAdvice(advice, say),
		WorksBy:          reference.worksBy,
		Warnings:         toldAll(r.Warnings, say),
	}
	a.Sensitivities, err = sensitivities(request.Setup, r.Spacing, wedge, reference.way)
	a.FlowPowerOfBore = powerOfBore(a.Sensitivities, r.Bore)
	return a, err
}

// setup reads all of a set-up but the wedge's sound speed.
func (o *object) setup() beam.Setup {
	s := beam.Setup{
		OutsideDiameter: o.number(beam.OutsideDiameterName),
		Wall:            o.number(beam.WallName),
		PipeSoundSpeed:  o.number(beam.PipeSoundSpeedName),
		PipeWave:        beam.Wave(o.word(beam.PipeWaveName)),
		LinerThickness:  o.numberOr(beam.LinerThicknessName, 0),
		LinerSoundSpeed: o.numberOr(beam.LinerSoundSpeedName, 0),
		FluidSoundSpeed: o.number(beam.FluidSoundSpeedName),
		WedgeAngle:      o.number(beam.WedgeAngleName) * degrees,
		ExitOffset:      o.number(beam.ExitOffsetName),
		Traverses:       o.count(beam.TraversesName),
	}
	if s.LinerThickness > 0 {
		o.need(beam.LinerSoundSpeedName)
	}
	return s
}

// mountingSite reads what the place offers.
func (o *object) mountingSite() beam.Site {
	s := beam.Site{Room: o.numberOr(beam.RoomName, 0), TransducerLength: o.numberOr(beam.TransducerLengthName, 0),
		Attenuating: o.flag("attenuating")}
	for _, n := range o.numbers("calibrated_traverses", maxTraverses) {
		if n != math.Trunc(n) || n < 1 || n > maxTraverses {
			o.add(codeNotWhole.At(o.at("calibrated_traverses"), n))
			continue
		}
		s.Calibrated = append(s.Calibrated, int(n))
	}
	return s
}

// maxTraverses bounds what a calibration can name.
const maxTraverses = 100

func tellAdvice(a beam.Advice, say func(fault.Fault) string) adviceAnswer {
	told := adviceAnswer{Traverses: a.Traverses, Mounting: "same-side", Spacing: a.Spacing, Rail: a.Rail, Reasons: toldAll(a.Reasons, say)}
	switch {
	case a.Traverses == 1:
		told.Mounting = "direct"
	case a.Traverses == 2:
		told.Mounting = "reflect"
	case a.Traverses%2 == 1:
		told.Mounting = "opposite-sides"
	}
	return told
}

// wedgeInput is a wedge's sound speed, and how it came about where a temperature is given.
type wedgeInput struct {
	speed, slope, temperature float64
	warmed                    bool // by a temperature
}

// wedge reads a wedge's sound speed: as it is, or at a temperature with what it was stated at.
func (o *object) wedge() wedgeInput {
	w := wedgeInput{speed: o.number(beam.WedgeSoundSpeedName), warmed: o.has(beam.WedgeTemperatureName)}
	w.temperature = o.numberOr(beam.WedgeTemperatureName, 0)
	reference := o.numberOr(beam.WedgeReferenceName, beam.DefaultWedgeReference)
	w.slope = o.numberOr(beam.WedgeSlopeName, beam.DefaultWedgeSlope)
	if !w.warmed {
		if o.has(beam.WedgeReferenceName) || o.has(beam.WedgeSlopeName) {
			o.need(beam.WedgeTemperatureName)
		}
		return w
	}
	if o.err() == nil {
		speed, err := beam.WedgeSoundSpeedAt(w.speed, reference, w.slope, w.temperature)
		for _, f := range fault.AllOf(err) {
			o.add(f)
		}
		w.speed = speed
	}
	return w
}

// referenceWay is how a reference works, as asked and as the model names it.
type referenceWay struct {
	worksBy string
	way     beam.Way
}

// reference reads how the reference finds the flow; without a word it measures the transit
// time and is told the spacing.
func (o *object) reference() referenceWay {
	r := referenceWay{o.wordOr("works_by", transitTime), beam.WedgeAngleAndSpacing}
	told := !o.has("takes_spacing") || o.flag("takes_spacing")
	o.asked = append(o.asked, "takes_spacing")
	switch {
	case r.worksBy == enteredSpeed:
		r.way = beam.SoundSpeedEntered
	case r.worksBy != transitTime:
		o.add(codeUnknownWord.At(o.at("works_by"), abbreviate(r.worksBy), transitTime+", "+enteredSpeed))
	case !told:
		r.way = beam.WedgeAngle
	}
	return r
}

// The ways in which a reference may work, as kit is described.
const (
	transitTime  = "transit-time"
	enteredSpeed = "entered-sound-speed"
)
