package verification

import (
	"math"

	"rillmark/calc/uncertainty"
)

// Key names what makes results uncertain together: a component and the thing it is of.
// Two parts with the same key are fully correlated, any others are not.
type Key struct {
	Name  string
	Scope string
}

// Part is one component's part in an estimate.
type Part struct {
	Key
	Contribution float64 // c·u, signed, in the unit of the estimate
	Freedom      float64 // degrees of freedom of u; uncertainty.Infinite where it is exact
}

// Estimate is a value with the parts of its uncertainty, no two with the same key.
type Estimate struct {
	Value float64
	Parts []Part
}

// Linear returns Σ w·e, with the parts of one key added with their signs: what two
// estimates share adds up in their sum and cancels in their difference. There is one
// weight for each estimate; the order of the parts is that of their first appearance. Of
// degrees of freedom that differ under one key the smallest holds.
//
// Source: JCGM 100:2008, 5.2.2 equation (16) with r = 1 inside a key and 0 between keys;
// F.1.2.3 for inputs that depend on a common one.
func Linear(weights []float64, estimates []Estimate) Estimate {
	var sum Estimate
	most := 0
	for _, e := range estimates {
		most = max(most, len(e.Parts))
	}
	sum.Parts = make([]Part, 0, 2*most)
	at := keys{}
	for i, e := range estimates {
		sum.Value += weights[i] * e.Value
		for _, p := range e.Parts {
			p.Contribution *= weights[i]
			j, known := at.find(sum.Parts, p.Key)
			if !known {
				sum.Parts = append(sum.Parts, p)
				continue
			}
			sum.Parts[j].Contribution += p.Contribution
			sum.Parts[j].Freedom = math.Min(sum.Parts[j].Freedom, p.Freedom)
		}
	}
	return sum
}

// keys finds parts by key. Estimates that are combined mostly have the same parts in the
// same order, so the one after that found last is looked at first; a map is made only for
// many parts.
type keys struct {
	next int
	at   map[Key]int // of the first len(at) parts; nil: not made
}

// fewParts is how many parts are sooner looked through than hashed.
const fewParts = 48

func (k *keys) find(parts []Part, key Key) (int, bool) {
	if k.next < len(parts) && parts[k.next].Key == key {
		k.next++
		return k.next - 1, true
	}
	if len(parts) > fewParts {
		if k.at == nil {
			k.at = make(map[Key]int, 2*len(parts))
		}
		for i := len(k.at); i < len(parts); i++ {
			k.at[parts[i].Key] = i
		}
		j, known := k.at[key]
		k.next = j + 1
		return j, known
	}
	for j := range parts {
		if parts[j].Key == key {
			k.next = j + 1
			return j, true
		}
	}
	return 0, false
}

// Mean returns the arithmetic mean of estimates; of none it is the zero Estimate.
func Mean(estimates []Estimate) Estimate {
	weights := make([]float64, len(estimates))
	for i := range weights {
		weights[i] = 1 / float64(len(estimates))
	}
	return Linear(weights, estimates)
}

// Difference returns later − earlier.
func Difference(later, earlier Estimate) Estimate {
	return Linear([]float64{1, -1}, []Estimate{later, earlier})
}

// Scaled returns the parts times factor.
func Scaled(parts []Part, factor float64) []Part {
	scaled := make([]Part, len(parts))
	for i, p := range parts {
		p.Contribution *= factor
		scaled[i] = p
	}
	return scaled
}

// Covariance returns the covariance of two estimates, in the product of their units: the
// sum of the products of the parts they share.
//
// Source: JCGM 100:2008, F.1.2.3 equation (F.1).
func Covariance(a, b Estimate) float64 {
	shared := map[Key]float64{}
	for _, p := range a.Parts {
		shared[p.Key] += p.Contribution
	}
	sum := 0.0
	for _, p := range b.Parts {
		sum += shared[p.Key] * p.Contribution
	}
	return sum
}

// Uncertainty is the uncertainty of an estimate, in its unit.
type Uncertainty struct {
	Standard float64
	Freedom  float64 // effective, not rounded; uncertainty.Infinite where nothing limits it
	K        float64 // for Freedom rounded down
	Expanded float64
	Coverage float64
}

// Uncertainty combines the parts of the estimate, which are independent of one another:
//
//	u² = Σ p²,  ν_eff = u⁴ / Σ p⁴/ν,  U = k·u,  k = t_(1+p)/2(ν_eff rounded down)
//
// Errors: those of uncertainty.CoverageFactor.
//
// Source: JCGM 100:2008, 5.1.2, G.4.1 equation (G.2b), G.6.4.
func (e Estimate) Uncertainty(coverage float64) (Uncertainty, error) {
	variance := 0.0
	for _, p := range e.Parts {
		variance += p.Contribution * p.Contribution
	}
	u := Uncertainty{Standard: math.Sqrt(variance), Coverage: coverage, Freedom: uncertainty.Infinite}
	inverse := 0.0
	for _, p := range e.Parts {
		if variance > 0 {
			share := p.Contribution * p.Contribution / variance
			inverse += share * share / p.Freedom
		}
	}
	if inverse > 0 {
		u.Freedom = math.Max(1/inverse, 1)
	}
	var err error
	if u.K, err = uncertainty.CoverageFactor(coverage, u.Freedom); err != nil {
		return Uncertainty{}, err
	}
	u.Expanded = u.K * u.Standard
	return u, nil
}
