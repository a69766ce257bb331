package demo

import (
	"testing"
	"time"
)

func TestTodaysVisitHoldsTheMoment(t *testing.T) {
	for _, zone := range []string{"Europe/London", "America/New_York", "Pacific/Auckland"} {
		place, err := time.LoadLocation(zone)
		if err != nil {
			t.Fatal(err)
		}
		for hour := range 24 {
			c := calendar{time.Date(2026, 7, 14, hour, 31, 7, 0, time.UTC)}
			from, until := c.hours(place)
			begin, err1 := time.ParseInLocation("2006-01-02T15:04", c.clock(0, from, place), place)
			end, err2 := time.ParseInLocation("2006-01-02T15:04", c.clock(0, until, place), place)
			if err1 != nil || err2 != nil || c.founded.Before(begin) || !c.founded.Before(end) || end.Sub(begin) < 8*time.Hour {
				t.Errorf("%s at %v: from %v until %v, %v, %v", zone, c.founded.In(place), begin, end, err1, err2)
			}
			began, factor := c.pace(95*time.Minute, place)
			if ends := began.Add(time.Duration(factor * float64(95*time.Minute))); began.Before(begin) || ends.Sub(c.founded).Abs() > time.Millisecond || factor <= 0 || factor > 1 {
				t.Errorf("%s at %v: work begins %v, ends %v, factor %v", zone, c.founded.In(place), began, ends, factor)
			}
		}
	}
}

func TestDaysAreThoseOfTheZone(t *testing.T) {
	c := calendar{time.Date(2026, 12, 31, 23, 30, 0, 0, time.UTC)}
	amsterdam, err := time.LoadLocation("Europe/Amsterdam")
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct{ got, want string }{
		{c.day(0), "2026-12-31"}, {c.day(1), "2027-01-01"}, {c.day(-365), "2025-12-31"},
		{c.clock(0, "08:00", amsterdam), "2027-01-01T08:00"}, {c.clock(-1, "08:00", amsterdam), "2026-12-31T08:00"},
		{c.at(2, 9, 15, amsterdam).Format(time.RFC3339), "2027-01-03T09:15:00+01:00"},
	} {
		if row.got != row.want {
			t.Errorf("%s, want %s", row.got, row.want)
		}
	}
}
