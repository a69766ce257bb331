package evaluation

import (
	"math"
	"slices"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/interval"
	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// Kept is the result of one verification of a measuring point, with what tells it from
// others of the same point.
type Kept struct {
	At         time.Time // the first run
	TaskID     domain.TaskID
	MeterID    domain.MeterID
	References []domain.KitID // that were mounted, in order of id
	Result     Result
}

// Course is how one indication's mean error went from verification to verification.
type Course struct {
	Name   string
	Visits []CourseVisit
	Limits interval.Limits // as agreed at the last one, before adjustment; infinite where none are

	Verifications []interval.Verification
	Intervals     []interval.Interval
	Trend         *interval.Trend // nil: too few intervals count
	Reach         *interval.Reach // nil: no trend, or no limits
}

// CourseVisit is one verification on the course. Errors are means over the flow points.
type CourseVisit struct {
	Kept        int // which of the kept results
	Found, Left *CourseError
	Break       interval.Break
}

// CourseError is a mean error with its expanded uncertainty, relative.
type CourseError struct{ Error, Expanded float64 }

// Courses follows every indication of the last result back through the kept ones, the
// oldest first. The indications of a replaced meter count by their name, and the line is
// broken there; so it is where another reference was mounted. What two verifications share
// (a component of one name and scope, such as the bore of the point or one calibration of
// the kit) is fully correlated. Verifications without a mean error before adjustment are
// left out.
//
// Errors: those of package interval.
func Courses(kept []Kept) ([]Course, error) {
	if len(kept) == 0 {
		return nil, nil
	}
	var all []Course
	for _, name := range indicationsOf(kept[len(kept)-1].Result) {
		c, err := courseOf(kept, name)
		if err != nil {
			return nil, err
		}
		if len(c.Visits) > 0 {
			all = append(all, c)
		}
	}
	return all, nil
}

func indicationsOf(r Result) (names []string) {
	for _, p := range r.Phases {
		for _, i := range p.Indications {
			if !slices.Contains(names, i.Name) {
				names = append(names, i.Name)
			}
		}
	}
	return names
}

func courseOf(kept []Kept, name string) (Course, error) {
	c := Course{Name: name, Limits: interval.Limits{Lower: math.Inf(-1), Upper: math.Inf(1)}}
	last := -1
	for n, k := range kept {
		before := phaseOf(k.Result, sheet.Before, name)
		found, told := meanOf(k, before)
		if !told || last >= 0 && !k.At.After(kept[last].At) {
			continue
		}
		visit := CourseVisit{Kept: n, Found: &found.CourseError}
		one := interval.Verification{At: k.At, Found: found.estimate}
		if left, told := meanOf(k, phaseOf(k.Result, sheet.After, name)); told {
			visit.Left, one.Left = &left.CourseError, &left.estimate
		}
		if last >= 0 {
			visit.Break = breakBetween(kept[last], k)
			one.Break = visit.Break
		}
		c.limits(before)
		c.Visits, c.Verifications, last = append(c.Visits, visit), append(c.Verifications, one), n
	}
	return c, c.conclude()
}

func breakBetween(before, now Kept) interval.Break {
	switch {
	case before.MeterID != now.MeterID:
		return interval.Replaced
	case !slices.Equal(before.References, now.References):
		return interval.OtherKit
	}
	return ""
}

func phaseOf(r Result, phase sheet.Phase, name string) *IndicationResult {
	for _, p := range r.Phases {
		for i := range p.Indications {
			if p.Phase == phase && p.Indications[i].Name == name {
				return &p.Indications[i]
			}
		}
	}
	return nil
}

// mean is a mean error with all that makes it uncertain.
type mean struct {
	CourseError
	estimate verification.Estimate
}

// meanOf is the mean error of an indication, its uncertainty parted in what another
// verification may share (scopes of point and kit) and the rest, which is of this one alone.
// Together they give the uncertainty that was stated.
func meanOf(k Kept, of *IndicationResult) (m mean, told bool) {
	if of == nil || of.MeanError == nil {
		return m, false
	}
	var errors []verification.Estimate
	for _, p := range of.Points {
		if p.U != nil && p.RunsUsed > 0 {
			errors = append(errors, p.shared())
		}
	}
	stated := of.MeanError
	m.CourseError = CourseError{stated.Error, stated.U.Expanded}
	m.estimate = verification.Mean(errors)
	m.estimate.Value = stated.Error
	rest := stated.U.Standard * stated.U.Standard
	for _, p := range m.estimate.Parts {
		rest -= p.Contribution * p.Contribution
	}
	own := verification.Part{Key: verification.Key{Name: "own", Scope: k.TaskID.String() + " " + of.IndicationID.String()},
		Contribution: math.Sqrt(math.Max(rest, 0)), Freedom: math.Inf(1)}
	if f := stated.U.Freedom; f != nil {
		own.Freedom = *f
	}
	m.estimate.Parts = append(m.estimate.Parts, own)
	return m, len(errors) > 0
}

// shared is a flow point's error with the components that verifications years apart share.
func (p PointResult) shared() verification.Estimate {
	e := verification.Estimate{Value: p.Error}
	for _, s := range p.Components {
		scope, of, _ := strings.Cut(s.Scope, ":")
		if of == "" || scope != string(method.ScopePoint) && scope != string(method.ScopeKit) {
			continue
		}
		part := verification.Part{Key: verification.Key{Name: s.Name, Scope: s.Scope}, Contribution: math.Copysign(s.Contribution, s.Sensitivity), Freedom: math.Inf(1)}
		if s.Freedom != nil {
			part.Freedom = *s.Freedom
		}
		e.Parts = append(e.Parts, part)
	}
	return e
}

func (c *Course) limits(before *IndicationResult) {
	c.Limits = interval.Limits{Lower: math.Inf(-1), Upper: math.Inf(1)}
	l := before.MeanError.Limits
	if l == nil {
		return
	}
	if l.LowerError != nil {
		c.Limits.Lower = *l.LowerError
	}
	if l.UpperError != nil {
		c.Limits.Upper = *l.UpperError
	}
}

// conclude fills in drift, trend and date, as far as they can be told.
func (c *Course) conclude() error {
	if len(c.Verifications) == 0 {
		return nil
	}
	var err error
	if c.Intervals, err = interval.Intervals(c.Verifications); err != nil {
		return err
	}
	trend, err := interval.TrendOf(c.Intervals)
	if err != nil {
		return unless(err, interval.TooFew)
	}
	c.Trend = &trend
	if c.unlimited() {
		return nil
	}
	reach, err := interval.ReachOf(c.Verifications, trend, c.Limits)
	c.Reach = &reach
	return err
}

func (c *Course) unlimited() bool {
	return math.IsInf(c.Limits.Lower, -1) && math.IsInf(c.Limits.Upper, 1)
}

// Recommend returns the intervals that the course speaks for, given the one agreed (months):
// by the staircase, and by the control chart where there is a trend. None without limits.
//
// Errors: those of package interval.
func (c *Course) Recommend(months int, p interval.Policy) ([]interval.Recommendation, error) {
	if len(c.Verifications) == 0 || c.unlimited() {
		return nil, nil
	}
	stair, err := interval.ByStaircase(c.Verifications, c.Limits, months, p)
	if err != nil {
		return nil, err
	}
	all := []interval.Recommendation{stair}
	if c.Trend == nil {
		return all, nil
	}
	chart, err := interval.ByControlChart(c.Verifications, *c.Trend, c.Limits, p)
	if err != nil {
		return all, unless(err, interval.Beyond)
	}
	return append(all, chart), nil
}

// unless lets an error pass that only says that there is nothing to tell.
func unless(err error, code *fault.Code) error {
	if fault.Has(err, code) {
		return nil
	}
	return err
}
