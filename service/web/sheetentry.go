package web

import (
	"math"

	"rillmark/calc/beam"
	"rillmark/calc/quantity"
	"rillmark/domain/evaluation"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// entries is what is to be entered in the reference: the pipe as it is at the temperature
// and pressure of its fluid, which may differ from the survey's values by the standard, and
// the sound speeds that the evaluation rests on.
func (x *exchange) entries(w *capture.Work, s beam.Setup) block {
	b := block{Title: x.text("sheet.to-enter")}
	length := func(key string, metres float64) {
		text := inUnit(metres, quantity.KindLength, "mm", 0.01)
		if inch := x.besideMillimetres(metres); inch != "" {
			text = x.length("mm", metres) + " (" + text + ")"
		}
		b.Facts = append(b.Facts, part.Fact{Word: x.text("sheet.name-" + key), Text: text})
	}
	speed := func(word string, metresPerSecond float64) {
		b.Facts = append(b.Facts, part.Fact{Word: word, Text: inUnit(metresPerSecond, quantity.KindVelocity, "m/s", 1)})
	}
	length("outside-diameter", s.OutsideDiameter)
	length("wall", s.Wall)
	speed(x.text("sheet.wave-"+string(s.PipeWave)), s.PipeSoundSpeed)
	if s.LinerThickness > 0 {
		length("liner-thickness", s.LinerThickness)
		speed(x.text("sheet.name-liner-sound-speed"), s.LinerSoundSpeed)
	}
	speed(x.text("sheet.name-fluid-sound-speed"), s.FluidSoundSpeed)
	carried := evaluation.Carry(w.Facts.Sheet.Now(), w.Facts.Method.Content)
	if math.Abs(carried.Percent) >= leastTold {
		b.Notices = append(b.Notices, part.Notice{Text: x.text("sheet.carried", "percent", inUnitPlain(carried.Percent, 2))})
	}
	return b
}

// leastTold is the change of the bore, in per cent, from which it is worth a word.
const leastTold = 0.01
