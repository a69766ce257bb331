package calcjson

import (
	"math"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

const degrees = math.Pi / 180

type spacingAnswer struct {
	FluidAngle       float64   `json:"fluid_angle_deg"`
	PipeAngle        float64   `json:"pipe_angle_deg"`
	ClearBore        float64   `json:"clear_bore_m"`
	EntryDistance    float64   `json:"entry_distance_m"`
	Spacing          float64   `json:"spacing_m"`
	SettingMark      float64   `json:"setting_mark_m"`
	SettingMarkText  string    `json:"setting_mark_text"`
	PathLength       float64   `json:"path_length_m"`
	FluidTransitTime float64   `json:"fluid_transit_time_s"`
	TotalTransitTime float64   `json:"total_transit_time_s"`
	Warnings         []problem `json:"warnings"`
}

// spacing is the kind "spacing": beam.Spacing.
func spacing(o *object, say func(fault.Fault) string) (any, error) {
	request := beam.SpacingRequest{
		Setup: beam.Setup{
			OutsideDiameter: o.number(beam.OutsideDiameterName),
			Wall:            o.number(beam.WallName),
			PipeSoundSpeed:  o.number(beam.PipeSoundSpeedName),
			PipeWave:        beam.Wave(o.word(beam.PipeWaveName)),
			LinerThickness:  o.numberOr(beam.LinerThicknessName, 0),
			LinerSoundSpeed: o.numberOr(beam.LinerSoundSpeedName, 0),
			FluidSoundSpeed: o.number(beam.FluidSoundSpeedName),
			WedgeSoundSpeed: o.number(beam.WedgeSoundSpeedName),
			WedgeAngle:      o.number(beam.WedgeAngleName) * degrees,
			ExitOffset:      o.number(beam.ExitOffsetName),
			Traverses:       o.count(beam.TraversesName),
		},
		Graduation: o.number(beam.GraduationName),
		Frequency:  o.numberOr(beam.FrequencyName, 0),
	}
	if request.LinerThickness > 0 {
		o.need(beam.LinerSoundSpeedName)
	}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	r, err := beam.Spacing(request)
	if err != nil {
		return nil, err
	}
	return spacingAnswer{
		FluidAngle:       r.FluidAngle / degrees,
		PipeAngle:        r.PipeAngle / degrees,
		ClearBore:        r.Bore,
		EntryDistance:    r.EntryDistance,
		Spacing:          r.Spacing,
		SettingMark:      r.SettingMark,
		SettingMarkText:  r.SettingMarkText,
		PathLength:       r.PathLength,
		FluidTransitTime: r.FluidTransitTime,
		TotalTransitTime: r.TotalTransitTime,
		Warnings:         toldAll(r.Warnings, say),
	}, nil
}
