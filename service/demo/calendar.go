package demo

import (
	"time"

	"rillmark/domain"
)

// calendar tells the days of the company's story from the moment at which it was founded:
// when its first person was written. A load that was killed and goes on the day after thus
// tells the same days, and writes nothing twice.
type calendar struct{ founded time.Time }

// date is the day so many days after that of the founding, as it was in the zone; midnight
// in UTC.
func (c calendar) date(days int, zone *time.Location) time.Time {
	at := c.founded.In(zone)
	return time.Date(at.Year(), at.Month(), at.Day()+days, 0, 0, 0, 0, time.UTC)
}

// day is that day as forms take it, by the company's own zone.
func (c calendar) day(days int) string {
	return c.date(days, time.UTC).Format(domain.DayLayout)
}

// clock is a time of that day as forms take it.
func (c calendar) clock(days int, at string, zone *time.Location) string {
	return c.date(days, zone).Format(domain.DayLayout) + "T" + at
}

// at is the instant of a time of that day in the zone.
func (c calendar) at(days int, hour, minute int, zone *time.Location) time.Time {
	d := c.date(days, zone)
	return time.Date(d.Year(), d.Month(), d.Day(), hour, minute, 0, 0, zone)
}

// hours of a visit that is under way while the company is founded: a working day's, or
// whatever of the day is needed to hold the moment.
func (c calendar) hours(zone *time.Location) (from, until string) {
	from, until = "07:00", "17:30"
	switch hour := c.founded.In(zone).Hour(); {
	case hour < 9:
		from = "00:00"
	case hour >= 15:
		until = "23:59"
	}
	return from, until
}

// pace spreads work that takes so long at a usual pace over the time until the founding,
// without going back into the day before: when it begins, and the factor of its pace.
func (c calendar) pace(takes time.Duration, zone *time.Location) (begins time.Time, factor float64) {
	midnight := c.at(0, 0, 0, zone)
	begins = c.founded.Add(-takes)
	if begins.Before(midnight) {
		begins = midnight
	}
	return begins, float64(c.founded.Sub(begins)) / float64(takes)
}
