package domain

import (
	"time"

	"rillmark/calc/fault"
)

// Codes of dates and times.
var (
	TimeForm    = fault.Define("time.form")
	DayForm     = fault.Define("time.day-form")
	TimeSkipped = fault.Define("time.skipped", fault.T("zone"))
	TimeTwice   = fault.Define("time.twice", fault.T("zone"))
	TimeAbsurd  = fault.Define("time.out-of-range")
	EndsBefore  = fault.Define("time.ends-before-start")
)

// The forms in which dates and times are typed and given back to forms; a blank instead
// of the T is taken as well.
const (
	TimeLayout = "2006-01-02T15:04"
	DayLayout  = time.DateOnly
)

// firstYear and lastYear bound what can be meant by a date here.
const firstYear, lastYear = 1900, 2199

// Time reads a time of day at a place, such as 2026-11-25T14:30, and returns it in UTC. A
// time that the clock there skips, or shows twice, is refused. The zero time stands for a
// text that is empty or was refused.
func (c *Check) Time(field, text string, zone *time.Location, required bool) time.Time {
	text = Line(text)
	if text == "" {
		if required {
			c.Add(Required.At(field))
		}
		return time.Time{}
	}
	wall, ok := wallTime(text)
	switch {
	case !ok:
		c.Add(TimeForm.At(field))
		return time.Time{}
	case wall.Year() < firstYear || wall.Year() > lastYear:
		c.Add(TimeAbsurd.At(field))
		return time.Time{}
	}
	first, second := readings(wall, zone)
	switch {
	case first.IsZero():
		c.Add(TimeSkipped.At(field, zone.String()))
	case !second.IsZero():
		c.Add(TimeTwice.At(field, zone.String()))
		return time.Time{}
	}
	return first
}

func wallTime(text string) (time.Time, bool) {
	for _, layout := range []string{TimeLayout, "2006-01-02 15:04", "2006-01-02T15:04:05", "2006-01-02 15:04:05"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// readings returns the instants at which the clock of the zone shows the wall time: none,
// one, or two around the end of summer time.
func readings(wall time.Time, zone *time.Location) (first, second time.Time) {
	for _, near := range []time.Duration{-24 * time.Hour, 24 * time.Hour} {
		_, offset := wall.Add(near).In(zone).Zone()
		at := wall.Add(-time.Duration(offset) * time.Second)
		if _, there := at.In(zone).Zone(); there != offset || at.Equal(first) {
			continue
		}
		if first.IsZero() {
			first = at
		} else {
			second = at
		}
	}
	return first, second
}

// Day reads a date, such as 2026-11-25, and returns its midnight in UTC: a date has no
// place. The zero time stands for a text that is empty or was refused.
func (c *Check) Day(field, text string, required bool) time.Time {
	text = Line(text)
	if text == "" {
		if required {
			c.Add(Required.At(field))
		}
		return time.Time{}
	}
	day, err := time.Parse(DayLayout, text)
	switch {
	case err != nil:
		c.Add(DayForm.At(field))
		return time.Time{}
	case day.Year() < firstYear || day.Year() > lastYear:
		c.Add(TimeAbsurd.At(field))
		return time.Time{}
	}
	return day
}

// DayStart returns the instant at which a date, as Day returns it, begins in the zone.
func DayStart(day time.Time, zone *time.Location) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, zone).UTC()
}

// NextDay returns the instant at which the day after the date begins in the zone: the end
// of what holds until that date, the date itself included.
func NextDay(day time.Time, zone *time.Location) time.Time {
	return DayStart(day.AddDate(0, 0, 1), zone)
}

// LastDay is the way back from NextDay: the last date on which something that ends then
// still holds.
func LastDay(end time.Time, zone *time.Location) time.Time { return end.In(zone).Add(-time.Nanosecond) }
