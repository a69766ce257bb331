package capture

import (
	"encoding/json"
	"math"
	"strings"

	"github.com/gowebpki/jcs"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/quantity"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
)

// Recommendation is what the survey in force means for a mounting.
type Recommendation struct {
	Missing    []sheet.Name // what the model still needs; empty: the rest is filled in
	Refused    fault.List   // why the model does not hold, as for total reflection
	Setup      beam.Setup
	Advice     beam.Advice
	Spacing    beam.SpacingResult
	Acceptance beam.SpacingAcceptance
	Told       bool // the reference is told the actual spacing
}

// Ready reports whether there is a recommended spacing.
func (r Recommendation) Ready() bool { return len(r.Missing) == 0 && len(r.Refused) == 0 }

// usualGraduation is taken where the tape has none: a millimetre.
const usualGraduation = 0.001

// Recommend works out where the transducers go. Traverses 0 takes the advised number.
func (w *Work) Recommend(reference, pair, tape kit.Item, traverses int) Recommendation {
	survey := w.Facts.Sheet.Now()
	r := Recommendation{Told: reference.TakesSpacing != nil && *reference.TakesSpacing}
	r.Setup, r.Missing = w.setup(survey, pair)
	if !r.Ready() {
		return r
	}
	var err error
	if r.Advice, err = beam.Advise(r.Setup, w.site(survey, reference, pair)); err != nil {
		r.Refused = fault.AllOf(err)
		return r
	}
	if r.Setup.Traverses = traverses; traverses == 0 {
		r.Setup.Traverses = r.Advice.Traverses
	}
	request := beam.SpacingRequest{Setup: r.Setup, Graduation: orElse(tape.Graduation, usualGraduation), Frequency: orElse(pair.Frequency, 0)}
	if r.Spacing, err = beam.Spacing(request); err == nil {
		r.Acceptance, err = beam.AcceptSpacing(r.Setup, wayOf(reference), r.Told)
	}
	r.Refused = fault.AllOf(err)
	return r
}

// site is what the survey says of room and attenuation. A liner of rubber attenuates, and
// so does a thick one: common practice, no source.
func (w *Work) site(survey sheet.Survey, reference, pair kit.Item) beam.Site {
	const thickLiner = 0.006
	site := beam.Site{Attenuating: survey[sheet.LinerThickness].Number > thickLiner || survey.Text(sheet.LinerMaterial) == "rubber"}
	for _, c := range w.calibrations {
		if c.KitID == reference.ID && c.PairID != nil && *c.PairID == pair.ID {
			site.Calibrated = c.Traverses
		}
	}
	return site
}

// setup makes the beam's set-up of a survey, or names what is missing.
func (w *Work) setup(survey sheet.Survey, pair kit.Item) (beam.Setup, []sheet.Name) {
	var missing []sheet.Name
	need := func(name sheet.Name, x float64, ok bool) float64 {
		if !ok {
			missing = append(missing, name)
		}
		return x
	}
	wave := beam.Shear
	if pair.Wave != nil {
		wave = beam.Wave(*pair.Wave)
	}
	outside, _, known := survey.Diameter()
	s := beam.Setup{PipeWave: wave, Traverses: 1, WedgeAngle: orElse(pair.WedgeAngle, 0), WedgeSoundSpeed: orElse(pair.WedgeSoundSpeed, 0),
		ExitOffset: orElse(pair.ExitOffset, 0), LinerThickness: survey[sheet.LinerThickness].Number}
	s.OutsideDiameter = need(sheet.OutsideDiameter, outside, known)
	s.Wall = need(sheet.Wall, survey[sheet.Wall].Number, survey.Has(sheet.Wall))
	speed, known := soundSpeed(survey, sheet.PipeSoundSpeed, sheet.PipeMaterial, w.Facts.Method.Content.PipeSpeed, wave)
	s.PipeSoundSpeed = need(sheet.PipeMaterial, speed, known)
	if s.LinerThickness > 0 {
		speed, known := soundSpeed(survey, sheet.LinerSoundSpeed, sheet.LinerMaterial, w.Facts.Method.Content.LinerSpeed, wave)
		s.LinerSoundSpeed = need(sheet.LinerMaterial, speed, known)
	}
	if survey.Has(sheet.FluidSoundSpeed) {
		s.FluidSoundSpeed = survey[sheet.FluidSoundSpeed].Number
	} else if need(sheet.Fluid, 0, survey.Has(sheet.Fluid)); survey.Has(sheet.Fluid) {
		p, err := w.properties(survey, survey[sheet.Temperature].Number)
		s.FluidSoundSpeed = need(sheet.Temperature, p.SoundSpeed.Value, survey.Has(sheet.Temperature) && err == nil)
	}
	return s, missing
}

// soundSpeed is a solid's: the surveyed one, else its material's in the method's table,
// as the evaluation takes it.
func soundSpeed(survey sheet.Survey, speed, material sheet.Name, table func(string, beam.Wave) (float64, bool), wave beam.Wave) (float64, bool) {
	if survey.Has(speed) {
		return survey[speed].Number, true
	}
	return table(survey.Text(material), wave)
}

// properties are the fluid's at a temperature in kelvin, under the surveyed pressure or
// the one the method assumes.
func (w *Work) properties(survey sheet.Survey, kelvins float64) (fluid.Properties, error) {
	pascals := w.Facts.Method.Content.AssumedPressure
	if survey.Has(sheet.Pressure) {
		pascals = survey[sheet.Pressure].Number
	}
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return fluid.Properties{}, err
	}
	p, err := quantity.Pascals(pascals)
	if err != nil {
		return fluid.Properties{}, err
	}
	return fluid.At(fluidName(survey), fluid.State{Temperature: t, Pressure: p})
}

func fluidName(survey sheet.Survey) string {
	return strings.ToLower(strings.TrimSpace(survey.Text(sheet.Fluid)))
}

// wayOf says how a reference finds the flow, as the model names it.
func wayOf(reference kit.Item) beam.Way {
	switch {
	case reference.WorksBy != nil && *reference.WorksBy == kit.EnteredSoundSpeed:
		return beam.SoundSpeedEntered
	case reference.TakesSpacing != nil && *reference.TakesSpacing:
		return beam.WedgeAngleAndSpacing
	}
	return beam.WedgeAngle
}

func orElse(x *float64, otherwise float64) float64 {
	if x == nil {
		return otherwise
	}
	return *x
}

// mountingBasis is what the recommended spacing of a mounting was computed from.
type mountingBasis struct {
	Request *beam.SpacingRequest `json:"request,omitempty"`
	From    string               `json:"from"`              // survey, reference, or spacing-set
	Missing []sheet.Name         `json:"missing,omitempty"` // of the survey
}

// recommendedFor returns the recommended spacing of a mounting and its basis.
func (w *Work) recommendedFor(m sheet.Mounting, shown *float64) (float64, string) {
	reference, _ := w.kit(m.ReferenceID)
	pair, _ := w.kit(m.PairID)
	var tape kit.Item
	if m.TapeID != nil {
		tape, _ = w.kit(*m.TapeID)
	}
	r := w.Recommend(reference, pair, tape, m.Traverses)
	switch {
	case r.Ready():
		request := beam.SpacingRequest{Setup: r.Setup, Graduation: orElse(tape.Graduation, usualGraduation), Frequency: orElse(pair.Frequency, 0)}
		return r.Spacing.Spacing, canonical(mountingBasis{Request: &request, From: "survey"})
	case shown != nil:
		return *shown, canonical(mountingBasis{From: "reference", Missing: r.Missing})
	}
	return m.Spacing, canonical(mountingBasis{From: "spacing-set", Missing: r.Missing})
}

// canonical is the canonical JSON of a value that is known to have one.
func canonical(v any) string {
	text, err := json.Marshal(v)
	if err == nil {
		text, err = jcs.Transform(text)
	}
	if err != nil {
		panic("capture: a basis has no JSON: " + err.Error()) // its numbers were checked to be finite
	}
	return string(text)
}

// SpacingSays judges the actual spacing against the recommended one.
func (r Recommendation) SpacingSays(recommended, actual float64) fault.Fault {
	off := (actual - recommended) * 1e3
	flow := math.Abs(r.Acceptance.FlowPerMetre*(actual-recommended)) * 100
	switch {
	case !r.Acceptance.Accepts(recommended, actual):
		return SpacingFar.At("spacing", math.Abs(tenth(off)), tenth(r.Acceptance.Limit*1e3), hundredth(flow))
	case r.Told:
		return SpacingTold.At("spacing", math.Abs(tenth(off)))
	}
	return SpacingGood.At("spacing", math.Abs(tenth(off)), hundredth(flow))
}

func tenth(x float64) float64     { return math.Round(x*10) / 10 }
func hundredth(x float64) float64 { return math.Round(x*100) / 100 }

// soundSpeedAt is a fluid's sound speed at a temperature (K) and an absolute pressure (Pa).
func soundSpeedAt(name string, kelvins, pascals float64) (float64, error) {
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return 0, err
	}
	p, err := quantity.Pascals(pascals)
	if err != nil {
		return 0, err
	}
	properties, err := fluid.At(name, fluid.State{Temperature: t, Pressure: p})
	return properties.SoundSpeed.Value, err
}

// Recomputed works a mounting out again from the request that its recommended spacing was
// computed from, as it was then.
func (w *Work) Recomputed(request beam.SpacingRequest, m sheet.Mounting) Recommendation {
	reference, _ := w.kit(m.ReferenceID)
	r := Recommendation{Setup: request.Setup, Told: reference.TakesSpacing != nil && *reference.TakesSpacing}
	var err error
	if r.Spacing, err = beam.Spacing(request); err == nil {
		r.Acceptance, err = beam.AcceptSpacing(r.Setup, wayOf(reference), r.Told)
	}
	r.Refused = fault.AllOf(err)
	return r
}
