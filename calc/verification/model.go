package verification

import (
	"math"
	"slices"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
)

// Acts says what an input of an ErrorModel acts on. The zero value is invalid.
type Acts string

// What inputs act on. Any other is an input of the beam's model by its name there, as
// beam.WallName.
const (
	OnReference  Acts = "reference"  // relative to the reference flow
	OnIndication Acts = "indication" // relative to the indication
	OnError      Acts = "error"      // added to the error
)

// ErrorInput is one input of an ErrorModel: a deviation from what is taken as true, in the
// unit of Quantity, of expectation zero.
type ErrorInput struct {
	uncertainty.Quantity
	Acts Acts
	// PerUnit is by how many of the unit of what it acts on one unit of the quantity counts:
	// 1, or, as for a temperature that acts on the fluid's sound speed, m/s per kelvin.
	PerUnit float64
}

// ErrorModel is the whole model of the error at a flow point: what the reference showed, and
// by its beam's model what the true flow was if pipe, fluid and transducers deviate from
// what was believed, against the indication,
//
//	E = q_ind·(1 + δ_ind)·shown(believed, truth) / (q_ref·(1 + δ_ref)·shown(believed, believed)) − 1 + δ_E.
//
// The beam is not linearised. It is what Comparison and FlowSlopes linearise.
type ErrorModel struct {
	Clamp
	Way        beam.Way
	Reference  float64 // m³/s, corrected
	Indication float64 // m³/s
	Inputs     []ErrorInput
}

// Of returns the error as a function of the inputs, dimensionless, for
// uncertainty.Simulation: it allocates nothing (but with beam.ConnectingRay, which searches
// for its ray) and gives the same digits on every machine. It keeps room of its own, so two
// goroutines need two. NaN where the beam lets no sound through.
//
// Errors: ReferenceZero; NoSuchInput; those of beam.NewBeliever.
//
// Source: the models of this package and of package beam; JCGM 101:2008, 5.2 for a model
// taken whole.
func (m ErrorModel) Of() (func(x []float64) float64, error) {
	if m.Reference == 0 {
		return nil, ReferenceZero.At("reference")
	}
	believer, err := beam.NewBeliever(m.Setup, m.Spacing, m.Way)
	if err != nil {
		return nil, err
	}
	e := &erring{believer: believer, truth: m.Clamp, undisturbed: believer.Shows(&m.Setup, m.Spacing)}
	e.ratio = m.Indication / m.Reference / e.undisturbed
	if faults := e.arrange(m.Inputs); len(faults) > 0 {
		return nil, faults
	}
	return e.of, nil
}

// erring is an ErrorModel laid out.
type erring struct {
	believer    *beam.Believer
	truth       Clamp
	ratio       float64 // of indication and reference, over undisturbed
	undisturbed float64 // what is shown where everything is as believed
	onBeam      []onBeam
	on          [3][]term // of OnReference, OnIndication, OnError
}

type term struct {
	at      int
	perUnit float64
}

type onBeam struct {
	term
	of       *float64 // in truth
	believed float64
	first    bool // of the inputs that act on the same
}

// arrange sorts the inputs by what they act on.
func (e *erring) arrange(inputs []ErrorInput) fault.List {
	var faults fault.List
	for i, in := range inputs {
		t := term{i, in.PerUnit}
		switch in.Acts {
		case OnReference:
			e.on[0] = append(e.on[0], t)
		case OnIndication:
			e.on[1] = append(e.on[1], t)
		case OnError:
			e.on[2] = append(e.on[2], t)
		default:
			p, known := placeOf(string(in.Acts))
			if !known {
				faults = append(faults, NoSuchInput.At("acts_on", string(in.Acts)))
				continue
			}
			t.perUnit /= p.perSI
			of := p.of(&e.truth)
			first := !slices.ContainsFunc(e.onBeam, func(b onBeam) bool { return b.of == of })
			e.onBeam = append(e.onBeam, onBeam{t, of, *of, first})
		}
	}
	return faults
}

func placeOf(name string) (place, bool) {
	for _, p := range places {
		if p.name == name {
			return p, true
		}
	}
	return place{}, false
}

// of is the model itself.
func (e *erring) of(x []float64) float64 {
	shown := e.undisturbed
	if len(e.onBeam) > 0 {
		for i := range e.onBeam {
			in := &e.onBeam[i]
			if in.first {
				*in.of = in.believed
			}
			*in.of += float64(in.perUnit * x[in.at])
		}
		shown = e.believer.Shows(&e.truth.Setup, e.truth.Spacing)
	}
	sums := [3]float64{}
	for k := range e.on {
		for _, t := range e.on[k] {
			sums[k] += float64(t.perUnit * x[t.at])
		}
	}
	return float64(float64(e.ratio*shown)*(1+sums[1]))/(1+sums[0]) - 1 + sums[2]
}

// Quantities returns what the inputs are drawn from, in their order.
func (m ErrorModel) Quantities() []uncertainty.Quantity {
	all := make([]uncertainty.Quantity, len(m.Inputs))
	for i, in := range m.Inputs {
		all[i] = in.Quantity
	}
	return all
}

// Sensitivities returns the error where every input has its expectation, and its change per
// unit of each input there, by the difference over one standard uncertainty, half to each
// side; 0 for an input without uncertainty. Dimensionless, and per unit of the quantity.
//
// Errors: those of Of; NotFinite where the beam lets no sound through that near.
//
// Source: JCGM 100:2008, 5.1.3 note 2.
func (m ErrorModel) Sensitivities() (errorThere float64, sensitivities []float64, err error) {
	of, err := m.Of()
	if err != nil {
		return 0, nil, err
	}
	x, all := make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs))
	for i, in := range m.Inputs {
		x[i] = in.Mean()
	}
	errorThere = of(x)
	sum := errorThere
	for i, in := range m.Inputs {
		u := in.StandardUncertainty()
		if u == 0 {
			continue
		}
		x[i] = in.Mean() + u/2
		up := of(x)
		x[i] = in.Mean() - u/2
		all[i] = (up - of(x)) / u
		x[i] = in.Mean()
		sum += all[i]
	}
	if !finite(sum) {
		return 0, nil, NotFinite.At("inputs")
	}
	return errorThere, all, nil
}

// Linear returns the standard uncertainty of the error by the law of propagation, with the
// sensitivities of the same model; dimensionless.
//
// Errors: those of Sensitivities.
//
// Source: JCGM 100:2008, 5.1.2.
func (m ErrorModel) Linear() (float64, error) {
	_, sensitivities, err := m.Sensitivities()
	sum := 0.0
	for i, c := range sensitivities {
		sum = math.Hypot(sum, c*m.Inputs[i].StandardUncertainty())
	}
	return sum, err
}
