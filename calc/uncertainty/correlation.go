package uncertainty

import (
	"fmt"
	"sort"
	"strings"

	"gonum.org/v1/gonum/mat"

	"rillmark/calc/fault"
)

// Correlation is the correlation coefficient r of two components of a budget, by name;
// −1 ≤ r ≤ 1. Pairs that are not named are uncorrelated.
type Correlation struct {
	A, B string
	R    float64
}

// eigenvalueTolerance is how far below zero an eigenvalue may come out by rounding
// before a correlation matrix counts as impossible, per row of the matrix.
const eigenvalueTolerance = 1e-12

// correlations holds the coefficients of n components, and the groups of components that
// are tied to each other, directly or through others.
type correlations struct {
	r      map[[2]int]float64
	groups [][]int // every component is in exactly one; each sorted, in order of its first
}

// between returns r(i, j).
func (c correlations) between(i, j int) float64 {
	if i == j {
		return 1
	}
	return c.r[[2]int{min(i, j), max(i, j)}]
}

// newCorrelations checks the list against the components and arranges it.
func newCorrelations(components []Component, list []Correlation) (correlations, fault.List) {
	index := map[string]int{}
	for i, c := range components {
		index[c.Name] = i
	}
	c := correlations{r: map[[2]int]float64{}}
	var faults fault.List
	for n, one := range list {
		pair, problems := one.resolve(fmt.Sprintf("correlations[%d]", n), index)
		if _, twice := c.r[pair]; len(problems) == 0 && twice {
			problems = fault.List{CodeCorrelationTwice.At(fmt.Sprintf("correlations[%d]", n), one.A, one.B)}
		}
		if len(problems) == 0 {
			c.r[pair] = one.R
		}
		faults = append(faults, problems...)
	}
	c.groups = c.tied(len(components))
	if len(faults) == 0 {
		faults = c.possible(components)
	}
	return c, faults
}

// resolve returns the two components' places, the smaller first.
func (c Correlation) resolve(path string, index map[string]int) ([2]int, fault.List) {
	var faults fault.List
	a, knownA := index[c.A]
	if !knownA {
		faults = append(faults, CodeCorrelationUnknown.At(path+".a", c.A))
	}
	b, knownB := index[c.B]
	if !knownB {
		faults = append(faults, CodeCorrelationUnknown.At(path+".b", c.B))
	}
	if knownA && c.A == c.B {
		faults = append(faults, CodeCorrelationSelf.At(path+".b", c.A))
	}
	if !(c.R >= -1 && c.R <= 1) {
		faults = append(faults, CodeCorrelationRange.At(path+".r", c.R))
	}
	return [2]int{min(a, b), max(a, b)}, faults
}

// tied finds the groups: components joined by a coefficient other than 0.
func (c correlations) tied(n int) [][]int {
	leader := make([]int, n)
	for i := range leader {
		leader[i] = i
	}
	var find func(int) int
	find = func(i int) int {
		if leader[i] != i {
			leader[i] = find(leader[i])
		}
		return leader[i]
	}
	for pair, r := range c.r {
		if r != 0 {
			a, b := find(pair[0]), find(pair[1])
			leader[max(a, b)] = min(a, b)
		}
	}
	members := map[int][]int{}
	for i := range leader {
		members[find(i)] = append(members[find(i)], i)
	}
	groups := make([][]int, 0, len(members))
	for _, group := range members {
		groups = append(groups, group)
	}
	sort.Slice(groups, func(i, j int) bool { return groups[i][0] < groups[j][0] })
	return groups
}

// possible refuses groups whose correlation matrix is not positive semi-definite. The
// whole matrix is block-diagonal in the groups, so each may be judged alone.
func (c correlations) possible(components []Component) fault.List {
	var faults fault.List
	for _, group := range c.groups {
		if len(group) > 1 && !c.semiDefinite(group) {
			names := make([]string, len(group))
			for i, g := range group {
				names[i] = components[g].Name
			}
			faults = append(faults, CodeCorrelationImpossible.At("correlations", strings.Join(names, ", ")))
		}
	}
	return faults
}

func (c correlations) semiDefinite(group []int) bool {
	m := mat.NewSymDense(len(group), nil)
	for i := range group {
		for j := i; j < len(group); j++ {
			m.SetSym(i, j, c.between(group[i], group[j]))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(m, false) {
		return false
	}
	return eigen.Values(nil)[0] >= -eigenvalueTolerance*float64(len(group))
}
