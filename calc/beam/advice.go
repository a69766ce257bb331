package beam

import (
	"math"
	"strconv"

	"rillmark/calc/fault"
)

// The bounds of the advice on mounting, in metres: common practice, no source.
const (
	// SmallBore is the clear bore below which two traverses leave little time difference, and
	// more of them gain signal time without costing much of the signal.
	SmallBore = 0.05
	// LargeBore is the clear bore above which two traverses usually lose too much signal.
	LargeBore = 0.6
	// TransducerLength is the length along the pipe that one transducer takes up with its
	// fixture, where nothing better is known.
	TransducerLength = 0.1
	// RailEnd is the length that a rail needs beyond each transducer.
	RailEnd = 0.05
	// LeastGap is the spacing below which the fixtures come into each other's way.
	LeastGap = 0.01
)

// The reasons of an advice, and what to look at. The field is TraversesName or SpacingName.
var (
	// AdviseTwo: both transducers on one side are easy to reach and to measure between.
	AdviseTwo = fault.Define("beam.advise-two-traverses")
	// AdviseMoreSmall: the bore is small, so more crossings lengthen the transit time.
	AdviseMoreSmall = fault.Define("beam.advise-more-small", fault.N("bore_mm"), fault.C("traverses"))
	// AdviseOneLarge: the bore is large, so one crossing keeps more of the signal.
	AdviseOneLarge = fault.Define("beam.advise-one-large", fault.N("bore_mm"))
	// AdviseOneAttenuating: liner or fluid takes much of the signal, so one crossing.
	AdviseOneAttenuating = fault.Define("beam.advise-one-attenuating")
	// AdviseMoreOverlap: with fewer traverses the transducers would overlap.
	AdviseMoreOverlap = fault.Define("beam.advise-more-overlap", fault.C("fewer"), fault.C("traverses"), fault.N("overlap_mm"))
	// AdviseFewerRoom: with more traverses the rail is longer than the straight pipe at hand.
	AdviseFewerRoom = fault.Define("beam.advise-fewer-room", fault.C("traverses"), fault.N("needed_mm"), fault.N("room_mm"))
	// NoRoom: not even one traverse finds room on the pipe at hand.
	NoRoom = fault.Define("beam.no-room", fault.N("needed_mm"), fault.N("room_mm"))
	// Opposite: an odd number of traverses puts the transducers on opposite sides.
	Opposite = fault.Define("beam.opposite-sides", fault.C("traverses"))
	// CertificateOther: the reference was calibrated with other numbers of traverses.
	CertificateOther = fault.Define("beam.certificate-other-traverses", fault.C("traverses"), fault.T("calibrated"))
)

// Names of the lengths of a site, as faults use them.
const (
	RoomName             = "room_m"
	TransducerLengthName = "transducer_length_m"
)

// Site is what the place offers for a mounting. What is zero is not known.
type Site struct {
	Room             float64 // m, length of pipe free for rail and transducers; 0: not known
	TransducerLength float64 // m of one transducer along the pipe; 0: TransducerLength
	Attenuating      bool    // a thick or soft liner, scale, solids or gas is known to take much of the signal
	Calibrated       []int   // numbers of traverses of the reference's calibration; empty: not known
}

// Advice is how many traverses to begin with, and why.
type Advice struct {
	Traverses int
	Spacing   float64    // m, with them
	Rail      float64    // m of pipe that transducers and rail take up
	Reasons   fault.List // the reason of the number first, then what to look at
}

// candidates are the numbers of traverses that are tried, the preferred one first, for a
// bore of the usual sizes. Odd ones beyond one are left to the person: their transducers
// are on opposite sides and as hard to set as one traverse, with less signal.
var candidates = []int{2, 4, 6}

// Advise proposes a number of traverses for a set-up (whose own number is not looked at):
// two where they work; one where the bore is large or liner or fluid attenuate; four in a
// small bore, and as many as it takes to keep the transducers from overlapping; and one
// again where the pipe at hand has no room for the rail. The rail takes
//
//	|spacing| + 2·transducer length + 2·RailEnd
//
// for transducers on one side, and the same length is needed on both sides of the pipe for
// those opposite each other.
//
// It is a proposal: a person may mount otherwise, and the set-up check decides whether the
// signal carries it.
//
// Errors: as Setup.Validate; NotFinite, Negative for the site's lengths.
//
// Source: common practice, no source; the lengths by Snell's law, see Spacing.
func Advise(s Setup, site Site) (Advice, error) {
	s.Traverses = 2
	l := s.problems()
	notNegative(&l, RoomName, site.Room)
	notNegative(&l, TransducerLengthName, site.TransducerLength)
	if err := l.Err(); err != nil {
		return Advice{}, err
	}
	a := begin(s, site)
	a = site.fit(s, a)
	if a.Traverses%2 == 1 {
		a.Reasons = append(a.Reasons, Opposite.At(TraversesName, a.Traverses))
	}
	if other, calibrated := site.otherwise(a.Traverses); other {
		a.Reasons = append(a.Reasons, CertificateOther.At(TraversesName, a.Traverses, calibrated))
	}
	return a, nil
}

// begin chooses by size and attenuation, and then by overlap.
func begin(s Setup, site Site) Advice {
	bore := s.Bore()
	switch {
	case bore > LargeBore:
		return site.with(s, 1, AdviseOneLarge.At(TraversesName, bore*1e3))
	case site.Attenuating && site.gap(s, 1) >= LeastGap:
		return site.with(s, 1, AdviseOneAttenuating.At(TraversesName))
	case bore < SmallBore:
		return site.without(s, 4, AdviseMoreSmall.At(TraversesName, bore*1e3, 4))
	}
	return site.without(s, 2, AdviseTwo.At(TraversesName))
}

// without raises the number until the transducers do not overlap.
func (site Site) without(s Setup, from int, reason fault.Fault) Advice {
	last := from
	for _, n := range candidates {
		if n < from {
			continue
		}
		gap := site.gap(s, n)
		if gap >= LeastGap && n > from {
			return site.with(s, n, AdviseMoreOverlap.At(TraversesName, last, n, math.Max(0, -site.gap(s, last)*1e3)))
		}
		if gap >= LeastGap {
			return site.with(s, n, reason)
		}
		last = n
	}
	a := site.with(s, last, AdviseMoreOverlap.At(TraversesName, from, last, math.Max(0, -site.gap(s, from)*1e3)))
	if a.Spacing < 0 {
		a.Reasons = append(a.Reasons, Overlap.At(SpacingName, -a.Spacing*1e3))
	}
	return a
}

// fit goes back to one traverse where the rail would be longer than the pipe at hand.
func (site Site) fit(s Setup, a Advice) Advice {
	if site.Room == 0 || a.Rail <= site.Room {
		return a
	}
	one := site.with(s, 1, AdviseFewerRoom.At(TraversesName, a.Traverses, a.Rail*1e3, site.Room*1e3))
	if a.Traverses > 1 && one.Rail <= site.Room {
		return one
	}
	a.Reasons = append(a.Reasons, NoRoom.At(SpacingName, math.Min(one.Rail, a.Rail)*1e3, site.Room*1e3))
	return a
}

func (site Site) gap(s Setup, n int) float64 {
	s.Traverses = n
	return s.recommended()
}

func (site Site) with(s Setup, n int, reason fault.Fault) Advice {
	length := site.TransducerLength
	if length == 0 {
		length = TransducerLength
	}
	spacing := site.gap(s, n)
	return Advice{Traverses: n, Spacing: spacing, Rail: math.Abs(spacing) + 2*length + 2*RailEnd, Reasons: fault.List{reason}}
}

// otherwise reports that the calibration was made with other numbers of traverses, and names them.
func (site Site) otherwise(n int) (bool, string) {
	words := ""
	for i, c := range site.Calibrated {
		if c == n {
			return false, ""
		}
		if i > 0 {
			words += ", "
		}
		words += strconv.Itoa(c)
	}
	return words != "", words
}
