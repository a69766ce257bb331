package plot

import "time"

// mostDayTicks is how many texts of four figures stand side by side on a narrow drawing.
const mostDayTicks = 8

const wholeDay = 24 * time.Hour

// Days is a time as days since 1970, in UTC: the scale of a chart over time.
func Days(at time.Time) float64 { return float64(at.Unix()) / wholeDay.Seconds() }

// DayTicks returns the beginnings of years, in the zone of the first time, between it and
// the last; of every second, third … year where more than mostDayTicks would crowd, of
// quarters within two years, of months within half a year. first and end hold both times
// with room beside them.
func DayTicks(from, to time.Time) (ticks []Tick, first, end float64) {
	room := max(to.Sub(from)/12, 30*wholeDay)
	from, to = from.Add(-room), to.Add(room)
	years, months, layout := to.Year()-from.Year()+1, 3, "Jan 2006"
	if to.Sub(from) >= 2*365*wholeDay {
		months, layout = 12*((years+mostDayTicks-1)/mostDayTicks), "2006"
	}
	if to.Sub(from) <= 183*wholeDay {
		months = 1
	}
	step := max(months/12, 1)
	for at := time.Date(from.Year()-from.Year()%step, 1, 1, 0, 0, 0, 0, from.Location()); !at.After(to); at = at.AddDate(0, months, 0) {
		if !at.Before(from) {
			ticks = append(ticks, Tick{Days(at), at.Format(layout)})
		}
	}
	return ticks, Days(from), Days(to)
}
