package uncertainty

import (
	"fmt"
	"math"

	"rillmark/calc/fault"
)

// draws draws the quantities of a model together.
type draws struct {
	random     *random
	quantities []Quantity // of a tied one the location is 0 and the scale 1
	ties       []tie      // the last first
}

// tie makes a normal quantity that is correlated with earlier ones from independent draws:
// location + scale·Σ weight·draw.
type tie struct {
	of              int
	location, scale float64
	from            []int
	weights         []float64
}

func newDraws(seed uint64, quantities []Quantity, correlations []Correlation) (*draws, error) {
	d := &draws{random: newRandom(seed), quantities: append([]Quantity(nil), quantities...)}
	components := make([]Component, len(quantities))
	for i, q := range quantities {
		components[i].Name = q.Name
	}
	correlated, faults := newCorrelations(components, correlations)
	for _, group := range correlated.groups {
		for _, i := range group {
			if len(group) > 1 && quantities[i].Density != DensityNormal {
				faults = append(faults, CodeCorrelatedDensity.At(fmt.Sprintf("components[%d].distribution", i), quantities[i].Name))
			}
		}
	}
	if len(faults) > 0 {
		return nil, faults
	}
	for _, group := range correlated.groups {
		if len(group) > 1 {
			d.tie(group, correlated)
		}
	}
	return d, nil
}

// tie adds the ties of a group by the Cholesky factor of its correlation matrix. Where the
// matrix is singular a row needs no draw of its own.
//
// Source: JCGM 101:2008, 6.4.8.4 and C.5.
func (d *draws) tie(group []int, correlated correlations) {
	factor := make([][]float64, len(group))
	for i := range group {
		factor[i] = make([]float64, i+1)
		for j := 0; j <= i; j++ {
			left := correlated.between(group[i], group[j])
			for k := range j {
				left -= float64(factor[i][k] * factor[j][k])
			}
			switch {
			case i == j:
				factor[i][i] = math.Sqrt(math.Max(left, 0))
			case factor[j][j] > singular:
				factor[i][j] = left / factor[j][j]
			}
		}
	}
	for i := len(group) - 1; i >= 0; i-- {
		q := &d.quantities[group[i]]
		d.ties = append(d.ties, tie{group[i], q.Location, q.Scale, group[:i+1], factor[i]})
		q.Location, q.Scale = 0, 1
	}
}

// singular is a pivot of the Cholesky factor that is no more than rounding.
const singular = 1e-7

// into draws one value of each quantity.
func (d *draws) into(x []float64) {
	for i := range d.quantities {
		x[i] = d.quantities[i].draw(d.random)
	}
	for i := range d.ties {
		t := &d.ties[i]
		sum := 0.0
		for j, from := range t.from {
			sum += float64(t.weights[j] * x[from])
		}
		x[t.of] = t.location + float64(t.scale*sum)
	}
}

func validateQuantities(quantities []Quantity) fault.List {
	if len(quantities) == 0 {
		return fault.List{CodeEmpty.At("components")}
	}
	var faults fault.List
	taken := map[string]bool{}
	for i, q := range quantities {
		path := fmt.Sprintf("components[%d]", i)
		faults = append(faults, q.validate(path)...)
		switch {
		case q.Name == "":
			faults = append(faults, CodeNameMissing.At(path+".name"))
		case taken[q.Name]:
			faults = append(faults, CodeNameTaken.At(path+".name", q.Name))
		}
		taken[q.Name] = true
	}
	return faults
}
