package uncertainty

import (
	"math"
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

// Density is the kind of probability density that a quantity is drawn from. The zero
// value is invalid.
type Density int

// The densities, JCGM 101:2008, 6.4 and Table 1. Scale and Shape are those of Quantity.
const (
	_                    Density = iota
	DensityNormal                // Scale: standard uncertainty (6.4.7)
	DensityStudent               // Scale: that of the shifted and scaled t, as s/√n or U/k; Shape: degrees of freedom, above 2 (6.4.9)
	DensityRectangular           // Scale: half-width (6.4.2)
	DensityTriangular            // Scale: half-width (6.4.5)
	DensityTrapezoidal           // Scale: half-width of the base; Shape: top over base, from 0 to 1 (6.4.4)
	DensityInexactLimits         // Scale: half-width; Shape: by how much each limit may be off, below the half-width (6.4.3, curvilinear trapezoid)
	DensityArcsine               // Scale: half-width, as of a cycle (6.4.6)
	DensityExponential           // Location: the mean, above 0; of a quantity that cannot be negative (6.4.10)
	DensityGamma                 // Shape: events counted, 0 or more; Scale: of one event (6.4.11)
)

var densityNames = []string{DensityNormal: "normal", DensityStudent: "student", DensityRectangular: "rectangular",
	DensityTriangular: "triangular", DensityTrapezoidal: "trapezoidal", DensityInexactLimits: "inexact-limits",
	DensityArcsine: "arcsine", DensityExponential: "exponential", DensityGamma: "gamma"}

// Densities lists the names that ParseDensity takes, with commas between.
func Densities() string { return strings.Join(densityNames[1:], ", ") }

// ParseDensity returns the density of the name, as Densities lists them. The error has
// CodeDistributionUnknown, in the field "distribution".
func ParseDensity(name string) (Density, error) {
	for d := DensityNormal; d <= DensityGamma; d++ {
		if densityNames[d] == name {
			return d, nil
		}
	}
	return 0, CodeDistributionUnknown.At("distribution", name, Densities())
}

// String returns the name, empty for an invalid density.
func (d Density) String() string {
	if d < DensityNormal || d > DensityGamma {
		return ""
	}
	return densityNames[d]
}

// Quantity is an input of a measurement model with the probability density that describes
// what is known of it.
type Quantity struct {
	Name     string
	Density  Density
	Location float64 // centre; mean of an exponential; added to a gamma
	Scale    float64 // as Density says, in the unit of the quantity; not negative; not looked at by an exponential
	Shape    float64 // as Density says
}

// QuantityOf returns the quantity that a component of a budget is, about zero: a normal or
// standard one with finite degrees of freedom has the t distribution, of scale u.
//
// Source: JCGM 101:2008, 6.4.9.
func QuantityOf(c Component) Quantity {
	q := Quantity{Name: c.Name, Scale: c.Value}
	switch c.Distribution {
	case Rectangular:
		q.Density = DensityRectangular
	case Triangular:
		q.Density = DensityTriangular
	case Arcsine:
		q.Density = DensityArcsine
	case Normal, Standard:
		q.Density, q.Scale = DensityNormal, c.StandardUncertainty()
		if !math.IsInf(c.DegreesOfFreedom, 1) {
			q.Density, q.Shape = DensityStudent, c.DegreesOfFreedom
		}
	}
	return q
}

// Mean returns the expectation of the quantity, in its unit.
//
// Source: JCGM 101:2008, Table 1 and 6.4.
func (q Quantity) Mean() float64 {
	if q.Density == DensityGamma {
		return q.Location + (q.Shape+1)*q.Scale
	}
	return q.Location
}

// StandardUncertainty returns the standard deviation of the quantity, in its unit.
//
// Source: JCGM 101:2008, 6.4.2.3 (rectangular), 6.4.3.3, 6.4.4.3, 6.4.5.3, 6.4.6.3,
// 6.4.7.3, 6.4.9.4, 6.4.10.3, 6.4.11.3.
func (q Quantity) StandardUncertainty() float64 {
	switch q.Density {
	case DensityStudent:
		return q.Scale * math.Sqrt(q.Shape/(q.Shape-2))
	case DensityRectangular:
		return q.Scale / math.Sqrt(3)
	case DensityTriangular:
		return q.Scale / math.Sqrt(6)
	case DensityTrapezoidal:
		return q.Scale * math.Sqrt((1+q.Shape*q.Shape)/6)
	case DensityInexactLimits:
		return math.Sqrt(q.Scale*q.Scale/3 + q.Shape*q.Shape/9)
	case DensityArcsine:
		return q.Scale / math.Sqrt2
	case DensityExponential:
		return q.Location
	case DensityGamma:
		return q.Scale * math.Sqrt(q.Shape+1)
	}
	return q.Scale
}

// validate returns every problem of the quantity, with fields below the path.
func (q Quantity) validate(path string) fault.List {
	var faults fault.List
	add := func(code *fault.Code, field string, values ...any) {
		faults = append(faults, code.At(path+"."+field, values...))
	}
	for i, x := range []float64{q.Location, q.Scale, q.Shape} {
		if !finite(x) {
			add(CodeNotFinite, []string{"location", "scale", "shape"}[i], q.Name)
		}
	}
	switch d := q.Density; {
	case d.String() == "":
		add(CodeDistributionUnknown, "distribution", d.String(), Densities())
	case d == DensityStudent && !(q.Shape > 2):
		add(CodeFreedomForMonteCarlo, "degrees_of_freedom", q.Name, q.Shape)
	case d == DensityTrapezoidal && !(q.Shape >= 0 && q.Shape <= 1),
		d == DensityInexactLimits && !(q.Shape >= 0 && q.Shape <= q.Scale),
		d == DensityGamma && q.Shape < 0,
		d == DensityExponential && !(q.Location > 0):
		add(CodeShape, "shape", q.Name, d.String())
	}
	if q.Scale < 0 {
		add(CodeNegative, "scale", q.Name, q.Scale)
	}
	return faults
}

// draw draws the quantity.
//
// Source: JCGM 101:2008, 6.4.2.4 and the corresponding clause of each density.
func (q *Quantity) draw(r *random) float64 {
	x := 0.0
	switch q.Density {
	case DensityNormal:
		x = r.normal()
	case DensityStudent:
		x = r.student(q.Shape)
	case DensityRectangular:
		x = 2*r.unit() - 1
	case DensityTriangular:
		x = r.unit() - r.unit()
	case DensityTrapezoidal:
		x = float64((1+q.Shape)*(r.unit()-0.5)) + float64((1-q.Shape)*(r.unit()-0.5))
	case DensityInexactLimits:
		lower := -q.Scale + float64(q.Shape*(2*r.unit()-1))
		return q.Location + float64(lower*(1-2*r.unit()))
	case DensityArcsine:
		x = num.ReproducibleSine(float64(math.Pi * (r.unit() - 0.5)))
	case DensityExponential:
		return -float64(q.Location * num.ReproducibleLog(r.unit()))
	case DensityGamma:
		x = r.gamma(q.Shape + 1)
	}
	return q.Location + float64(q.Scale*x)
}
