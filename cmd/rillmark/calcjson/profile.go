package calcjson

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/profile"
)

type profileAnswer struct {
	Velocity       float64         `json:"velocity_m_s"`
	Flow           float64         `json:"flow_m3_s"`
	Reynolds       float64         `json:"reynolds"`
	Regime         string          `json:"regime"`
	ForInformation bool            `json:"for_information"`
	Roughness      float64         `json:"relative_roughness"`
	FrictionSmooth *float64        `json:"friction_factor_smooth"`
	FrictionRough  *float64        `json:"friction_factor_rough"`
	Smooth         *float64        `json:"profile_factor_smooth"`
	Rough          *float64        `json:"profile_factor_rough"`
	Uncertainty    *float64        `json:"profile_factor_standard_uncertainty"`
	Source         string          `json:"profile_factor_source"`
	Straight       *straightAnswer `json:"straight"`
	Remarks        []problem       `json:"remarks"`
}

// The defaults of the transition: common practice, no source.
const (
	lowerReynolds = 2300
	upperReynolds = 10_000
)

// What a profile factor rests on.
const (
	laminarSource   = "parabolic profile (Hagen and Poiseuille): exact"
	turbulentSource = "logarithmic law of the wall, kappa 0.40, with Colebrook's friction factor; usual formulas differ by 0.008 at most"
)

// profileOf is the kind "profile": profile.Reynolds, profile.FactorOf, profile.Share.
func profileOf(o *object, say func(fault.Fault) string) (any, error) {
	bore := o.number("inside_diameter_m")
	viscosity := o.kinematic()
	area := math.Pi / 4 * bore * bore
	velocity := o.numberOr("velocity_m_s", 0)
	flow := o.numberOr("flow_m3_s", velocity*area)
	switch {
	case o.has("velocity_m_s") && o.has("flow_m3_s"):
		o.add(codeFieldsTogether.At("flow_m3_s", "velocity_m_s, flow_m3_s"))
	case o.has("flow_m3_s"):
		velocity = flow / area
	default:
		o.need("velocity_m_s")
	}
	roughness := o.numberOr("roughness_m", 0)
	lower, upper := o.numberOr("lower_reynolds", lowerReynolds), o.numberOr("upper_reynolds", upperReynolds)
	pipe := o.straightPipe()
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	reynolds, err := profile.Reynolds(1, velocity, bore, viscosity)
	if err != nil {
		return nil, renamed(err, map[string]string{"viscosity": "kinematic_viscosity_m2_s", "diameter": "inside_diameter_m", "velocity": "velocity_m_s"})
	}
	a := profileAnswer{Velocity: velocity, Flow: flow, Reynolds: reynolds, Roughness: roughness / bore, Remarks: []problem{}}
	if err := a.factors(lower, upper); err != nil {
		return nil, err
	}
	if a.ForInformation {
		a.Remarks = append(a.Remarks, told(profile.ForInformation.At("reynolds", reynolds, lower, upper), say))
	}
	if a.Straight, err = pipe.answer(bore, &a.Remarks, say); err != nil {
		return nil, err
	}
	return a, nil
}

// factors fills in what smooth and rough pipe give.
func (a *profileAnswer) factors(lower, upper float64) error {
	smooth, err := profile.FactorOf(a.Reynolds, 0, lower, upper)
	if err != nil {
		return err
	}
	rough, err := profile.FactorOf(a.Reynolds, a.Roughness, lower, upper)
	if err != nil {
		return err
	}
	a.Regime, a.ForInformation = string(smooth.Regime), smooth.Regime == profile.Transition
	switch smooth.Regime {
	case profile.Transition:
		a.Source = "none in the transition"
		return nil
	case profile.Laminar:
		a.Source = laminarSource
	default:
		a.Source = turbulentSource
	}
	a.Smooth, a.Rough, a.Uncertainty = &smooth.Value, &rough.Value, &smooth.StandardUncertainty
	if smooth.Friction > 0 {
		a.FrictionSmooth, a.FrictionRough = &smooth.Friction, &rough.Friction
	}
	return nil
}

// kinematic reads the viscosity in m²/s: as it is, over a density, or of a named fluid.
func (o *object) kinematic() float64 {
	switch {
	case o.has("fluid"):
		liquid, celsius, pascals := o.liquid(), o.number("temperature_C"), o.number("pressure_Pa")
		if o.err() != nil {
			return 0
		}
		s, err := stateOf(celsius+kelvin, pascals)
		if err == nil {
			p, failed := liquid.At(s)
			if failed == nil && p.DynamicViscosity.Source != "" && p.Density.Source != "" {
				return p.DynamicViscosity.Value / p.Density.Value
			}
			if err = failed; err == nil {
				err = codeNoViscosity.At("fluid", liquid.Name)
			}
		}
		for _, f := range fault.AllOf(err) {
			o.add(f)
		}
		return 0
	case o.has("dynamic_viscosity_Pa_s") || o.has("density_kg_m3"):
		dynamic, density := o.number("dynamic_viscosity_Pa_s"), o.number("density_kg_m3")
		if density <= 0 {
			o.add(profile.NotPositive.At("density_kg_m3", density))
			return 0
		}
		return dynamic / density
	}
	return o.number("kinematic_viscosity_m2_s")
}

// codeNoViscosity: the fluid's viscosity or density is not known.
var codeNoViscosity = fault.Define("calcjson.no-viscosity", fault.T("fluid"))
