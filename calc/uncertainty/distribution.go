package uncertainty

import (
	"math"
	"strings"
)

// Distribution says what the value of a component is and how it becomes a standard
// uncertainty. The zero value is invalid.
type Distribution int

// The distributions.
const (
	_           Distribution = iota
	Normal                   // value = expanded uncertainty U; u = U/k (JCGM 100:2008, 4.3.3)
	Rectangular              // value = half-width a; u = a/√3 (4.3.7)
	Triangular               // value = half-width a; u = a/√6 (4.3.9)
	Arcsine                  // value = half-width a; u = a/√2 (JCGM 101:2008, 6.4.6; JCGM 100 H.1.3.4)
	Standard                 // value = standard uncertainty u
)

var distributionNames = []string{Normal: "normal", Rectangular: "rectangular",
	Triangular: "triangular", Arcsine: "arcsine", Standard: "standard"}

// Distributions lists the names that ParseDistribution takes, with commas between.
func Distributions() string { return strings.Join(distributionNames[1:], ", ") }

// ParseDistribution returns the distribution of the name: normal, rectangular,
// triangular, arcsine or standard. The error has CodeDistributionUnknown, in the field
// "distribution".
func ParseDistribution(name string) (Distribution, error) {
	for d := Normal; d <= Standard; d++ {
		if distributionNames[d] == name {
			return d, nil
		}
	}
	return 0, CodeDistributionUnknown.At("distribution", name, Distributions())
}

// String returns the name, empty for an invalid distribution.
func (d Distribution) String() string {
	if !d.valid() {
		return ""
	}
	return distributionNames[d]
}

func (d Distribution) valid() bool { return d >= Normal && d <= Standard }

// divisor is what the value is divided by to give the standard uncertainty.
func (d Distribution) divisor(k float64) float64 {
	switch d {
	case Normal:
		return k
	case Rectangular:
		return math.Sqrt(3)
	case Triangular:
		return math.Sqrt(6)
	case Arcsine:
		return math.Sqrt2
	}
	return 1
}
