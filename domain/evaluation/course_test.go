package evaluation_test

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/interval"
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
)

// again is the worked example verified again, years earlier, with another error: what is of
// a run, a mounting or a visit is another one's, the point and the kit are the same.
func again(t *testing.T, r evaluation.Result, yearsAgo int, off float64) evaluation.Kept {
	t.Helper()
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	other := string(text)
	for _, scope := range []string{"reading", "run", "mounting", "visit"} {
		other = strings.ReplaceAll(other, `"`+scope+`:`, `"`+scope+`:`+strconv.Itoa(yearsAgo)+"-")
	}
	k := evaluation.Kept{At: time.Date(2026-yearsAgo, 3, 1, 9, 0, 0, 0, time.UTC), TaskID: fresh[domain.TaskKind](byte(yearsAgo))}
	if err := json.Unmarshal([]byte(other), &k.Result); err != nil {
		t.Fatal(err)
	}
	for _, p := range k.Result.Phases {
		for i := range p.Indications {
			of := &p.Indications[i]
			of.MeanError.Error += off
			for j := range of.Points {
				of.Points[j].Error += off
			}
		}
	}
	return k
}

// beforeOnly leaves the phase after adjustment out.
func beforeOnly(k evaluation.Kept) evaluation.Kept {
	var kept []evaluation.PhaseResult
	for _, p := range k.Result.Phases {
		if p.Phase == sheet.Before {
			kept = append(kept, p)
		}
	}
	k.Result.Phases = kept
	return k
}

func meanBefore(t *testing.T, r evaluation.Result, name string) *evaluation.MeanResult {
	t.Helper()
	for _, p := range r.Phases {
		for _, i := range p.Indications {
			if p.Phase == sheet.Before && i.Name == name {
				return i.MeanError
			}
		}
	}
	t.Fatalf("no mean of %s", name)
	return nil
}

func courses(t *testing.T, kept ...evaluation.Kept) []evaluation.Course {
	t.Helper()
	all, err := evaluation.Courses(kept)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// With nothing shared the drift of two like verifications has √2 times the uncertainty that
// the evaluation itself gave the mean error; what belongs to the point and to the kit takes
// away just its part.
func TestDriftSharesThePointAndTheKit(t *testing.T) {
	r := evaluate(t, facts(t))
	older, newer := beforeOnly(again(t, r, 1, -0.004)), beforeOnly(again(t, r, 0, 0))
	c := courses(t, older, newer)[0]
	mean := meanBefore(t, r, c.Name)
	shared := c.Intervals[0]
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9*math.Abs(want) {
			t.Errorf("%s: %.12g, want %.12g", what, got, want)
		}
	}
	near("drift", shared.Drift, 0.004)
	for _, p := range older.Result.Phases {
		for i := range p.Indications {
			for j := range p.Indications[i].Points {
				for n := range p.Indications[i].Points[j].Components {
					s := &p.Indications[i].Points[j].Components[n]
					s.Scope = strings.Replace(strings.Replace(s.Scope, "point:", "point:other-", 1), "kit:", "kit:other-", 1)
				}
			}
		}
	}
	apart := courses(t, older, newer)[0].Intervals[0]
	near("apart", apart.Standard, math.Sqrt2*mean.U.Standard)
	if !(shared.Standard < 0.9*apart.Standard) || shared.Standard == 0 {
		t.Errorf("u %g with what is shared, %g without", shared.Standard, apart.Standard)
	}
	if got := *c.Visits[1].Found; got.Error != mean.Error || got.Expanded != mean.U.Expanded {
		t.Errorf("%+v, stated %g ± %g", got, mean.Error, mean.U.Expanded)
	}
}

func TestCourseOfFourYears(t *testing.T) {
	r := evaluate(t, facts(t))
	var kept []evaluation.Kept
	for i, off := range []float64{-0.012, -0.008, -0.004, 0} {
		kept = append(kept, beforeOnly(again(t, r, 3-i, off)))
	}
	c := courses(t, kept...)[0]
	if c.Trend == nil || c.Trend.Intervals != 3 || math.Abs(c.Trend.Rate-0.012/(1096/365.2425)) > 1e-9 {
		t.Errorf("trend %+v", c.Trend)
	}
	mean := meanBefore(t, r, c.Name)
	if mean.Limits == nil || c.Reach == nil || mean.Limits.UpperError != nil && c.Limits.Upper != *mean.Limits.UpperError {
		t.Errorf("limits %+v, reach %+v", c.Limits, c.Reach)
	}
	advised, err := c.Recommend(12, interval.DefaultPolicy)
	if err != nil || len(advised) == 0 || advised[0].Method != interval.Staircase {
		t.Errorf("%+v, %v", advised, err)
	}
	// Another reference, and another meter, break the line; the trend goes.
	kept[2].References, kept[3].References = []domain.KitID{fresh[domain.KitKind](1)}, []domain.KitID{fresh[domain.KitKind](1)}
	c = courses(t, kept...)[0]
	if c.Visits[2].Break != interval.OtherKit || c.Intervals[1].Counts || c.Trend != nil || c.Reach != nil {
		t.Errorf("%+v", c.Visits)
	}
	kept[3].MeterID = fresh[domain.MeterKind](2)
	if c = courses(t, kept...)[0]; c.Visits[3].Break != interval.Replaced {
		t.Errorf("%+v", c.Visits)
	}
	if advised, err = c.Recommend(0, interval.DefaultPolicy); err != nil || len(advised) != 1 || advised[0].Reason.Code != interval.NoInterval {
		t.Errorf("%+v, %v", advised, err)
	}
	if _, err := c.Recommend(12, interval.Policy{}); !fault.Has(err, interval.PolicyImpossible) {
		t.Errorf("%v", err)
	}
}

// As left is where the next drift begins; what has no mean error is no part of the course.
func TestCourseFromAsLeft(t *testing.T) {
	r := evaluate(t, facts(t))
	older, newer := again(t, r, 1, 0), beforeOnly(again(t, r, 0, 0.001))
	var left *evaluation.MeanResult
	for _, p := range older.Result.Phases {
		if p.Phase == sheet.After {
			left = p.Indications[0].MeanError
		}
	}
	c := courses(t, older, newer)[0]
	if left == nil || c.Visits[0].Left == nil || c.Visits[0].Left.Error != left.Error {
		t.Fatalf("left %+v, course %+v", left, c.Visits)
	}
	if want := meanBefore(t, newer.Result, c.Name).Error - left.Error; math.Abs(c.Intervals[0].Drift-want) > 1e-15 {
		t.Errorf("drift %g, want %g", c.Intervals[0].Drift, want)
	}
	unknown := beforeOnly(again(t, r, 2, 0))
	for i := range unknown.Result.Phases[0].Indications {
		unknown.Result.Phases[0].Indications[i].MeanError = nil
	}
	if c := courses(t, unknown, older, newer)[0]; len(c.Visits) != 2 || c.Visits[0].Kept != 1 {
		t.Errorf("%+v", c.Visits)
	}
	if all := courses(t); all != nil {
		t.Errorf("%+v", all)
	}
}
