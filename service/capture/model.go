package capture

import (
	"math"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/quantity"
	"rillmark/domain/canonical"
	"rillmark/domain/evaluation"
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
	r.Setup, r.Missing, r.Refused = w.setup(survey, pair)
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
		r.Acceptance, err = beam.AcceptSpacing(r.Setup, evaluation.WayOf(reference), r.Told)
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

// setup makes the beam's set-up of a survey, or names what is missing: where a sound speed
// would come from the material, the material.
func (w *Work) setup(survey sheet.Survey, pair kit.Item) (beam.Setup, []sheet.Name, fault.List) {
	setup, missing, faults := evaluation.SetupOf(survey, pair, w.Facts.Method.Content)
	setup.Traverses = 1
	for i, name := range missing {
		switch name {
		case sheet.PipeSoundSpeed:
			missing[i] = sheet.PipeMaterial
		case sheet.LinerSoundSpeed:
			missing[i] = sheet.LinerMaterial
		}
	}
	return setup, missing, faults
}

func orElse(x *float64, otherwise float64) float64 {
	if x == nil {
		return otherwise
	}
	return *x
}

// Where the recommended spacing of a mounting comes from.
const (
	FromSurvey    = "survey"
	FromReference = "reference"
	FromNothing   = "nothing" // the survey was not complete, and the reference was not asked
)

// mountingBasis is what the recommended spacing of a mounting was computed from.
type mountingBasis struct {
	Request *beam.SpacingRequest `json:"request,omitempty"`
	From    string               `json:"from"`              // one of the three
	Missing []sheet.Name         `json:"missing,omitempty"` // of the survey
}

// recommendedFor returns the recommended spacing of a mounting and its basis.
func (w *Work) recommendedFor(m sheet.Mounting, shown *float64) (*float64, string) {
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
		return &r.Spacing.Spacing, asJSON(mountingBasis{Request: &request, From: FromSurvey})
	case shown != nil:
		return shown, asJSON(mountingBasis{From: FromReference, Missing: r.Missing})
	}
	return nil, asJSON(mountingBasis{From: FromNothing, Missing: r.Missing})
}

// asJSON is the canonical JSON of a value that is known to have one.
func asJSON(v any) string {
	text, err := canonical.Marshal(v)
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
func soundSpeedAt(l fluid.Liquid, kelvins, pascals float64) (float64, error) {
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return 0, err
	}
	p, err := quantity.Pascals(pascals)
	if err != nil {
		return 0, err
	}
	properties, err := l.At(fluid.State{Temperature: t, Pressure: p})
	if err == nil && properties.SoundSpeed.Source == "" {
		err = fluid.NoSoundSpeed.At(string(sheet.Fluid), l.Name)
	}
	return properties.SoundSpeed.Value, err
}

// Recomputed works a mounting out again from the request that its recommended spacing was
// computed from, as it was then.
func (w *Work) Recomputed(request beam.SpacingRequest, m sheet.Mounting) Recommendation {
	reference, _ := w.kit(m.ReferenceID)
	r := Recommendation{Setup: request.Setup, Told: reference.TakesSpacing != nil && *reference.TakesSpacing}
	var err error
	if r.Spacing, err = beam.Spacing(request); err == nil {
		r.Acceptance, err = beam.AcceptSpacing(r.Setup, evaluation.WayOf(reference), r.Told)
	}
	r.Refused = fault.AllOf(err)
	return r
}
