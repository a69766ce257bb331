package interval

import (
	"math"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/num"
	"rillmark/calc/uncertainty"
)

// Limits are the limits of error, relative; infinite where there is none on a side.
type Limits struct{ Lower, Upper float64 }

// Validate returns LimitsReversed where the lower limit is not below the upper one.
func (l Limits) Validate() error {
	if !(l.Lower < l.Upper) {
		return LimitsReversed.At("upper_limit_percent")
	}
	return nil
}

// Reach says when the error would reach its limit. What is nil cannot be said.
type Reach struct {
	Limit    float64    // relative, the one that the drift goes towards
	On       *time.Time // if the drift goes on as it is
	Earliest *time.Time // by the band about 95 %; the last verification itself where that touches the limit already
	Latest   *time.Time
	Why      fault.List // why something cannot be said
}

// horizon is how far ahead dates are told, in years.
const horizon = 50

// ReachOf returns when the error, as the last verification left it, would reach the limit:
//
//	E(t) = E_left + rate·t,  U²(t) = U²(E_left) + (U(rate)·t)²
//
// on: E reaches the limit; earliest, latest: E ± U does. A rate within its own uncertainty
// gives no date, and still an earliest one. Nothing is told beyond 50 years.
//
// Errors: NoneYet; LimitsReversed; those of uncertainty.CoverageFactor.
//
// Source: this program's rule after the control chart of OIML D 10 (from memory).
func ReachOf(all []Verification, t Trend, l Limits) (Reach, error) {
	if err := l.Validate(); err != nil {
		return Reach{}, err
	}
	if len(all) == 0 {
		return Reach{}, NoneYet.At("verifications")
	}
	last := all[len(all)-1]
	left := last.left()
	u, err := left.Uncertainty(uncertainty.CoverageDefault)
	if err != nil {
		return Reach{}, err
	}
	// Downwards is upwards in a mirror.
	side, limit := 1.0, l.Upper
	if t.Rate < 0 || t.Rate == 0 && left.Value < 0 {
		side, limit = -1, l.Lower
	}
	line, to := ahead{side * left.Value, u.Expanded, side * t.Rate, t.Expanded}, side*limit
	r := Reach{Limit: limit}
	at := func(years float64, told bool) *time.Time {
		if !told {
			return nil
		}
		day := last.At.Add(time.Duration(years * float64(year)).Round(time.Second))
		return &day
	}
	switch {
	case math.IsInf(limit, 0):
		r.Why = append(r.Why, NoLimit.At("limits"))
		return r, nil
	case line.error > to:
		r.On, r.Earliest = at(0, true), at(0, true)
		r.Why = append(r.Why, Beyond.At("verifications", percent(left.Value), 100*limit))
		return r, nil
	}
	r.Earliest = at(line.reaches(to, +1))
	if !t.Significant {
		r.Why = append(r.Why, NoDrift.At("verifications", percent(t.Rate), percent(t.Expanded)))
		return r, nil
	}
	r.On = at(line.reaches(to, 0))
	r.Latest = at(line.reaches(to, -1))
	return r, nil
}

// ahead is a line of error with its band, rising towards a limit.
type ahead struct{ error, expanded, rate, rateExpanded float64 }

// at returns the error after years, plus side times its band.
func (a ahead) at(years, side float64) float64 {
	return a.error + a.rate*years + side*math.Hypot(a.expanded, a.rateExpanded*years)
}

// reaches returns after how many years the line, or an edge of its band, is at the limit.
func (a ahead) reaches(limit, side float64) (years float64, told bool) {
	over := func(t float64) (float64, error) { return a.at(t, side) - limit, nil }
	if now, _ := over(0); now >= 0 {
		return 0, true
	}
	if end, _ := over(horizon); end < 0 {
		return 0, false
	}
	years, err := num.Root(over, 0, horizon, num.Search{})
	return years, err == nil
}
