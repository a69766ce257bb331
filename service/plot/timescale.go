package plot

import (
	"math"
	"time"
)

// timeSteps are the distances that ticks of time may have, s; beyond them whole days.
var timeSteps = []float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400}

const day = 86400

// TimeTicks returns about so many ticks of a scale of seconds since 1970, at round times of
// the zone's clock. A tick tells the time of day, to the second where ticks stand closer
// than a minute; at midnight, and where ticks are days apart, it tells the day.
func (s Scale) TimeTicks(about int, zone *time.Location) []Tick {
	step := s.timeStep(about)
	var ticks []Tick
	for at := firstTick(s.Lo, step, zone); at <= s.Hi; at = nextTick(at, step, zone) {
		if at >= s.Lo {
			ticks = append(ticks, Tick{at, timeText(at, step, zone)})
		}
	}
	return ticks
}

func (s Scale) timeStep(about int) float64 {
	least := (s.Hi - s.Lo) / float64(max(about, 1))
	for _, step := range timeSteps {
		if step >= least {
			return step
		}
	}
	return day * math.Ceil(least/day)
}

// firstTick is the last round time that does not lie after the scale's beginning.
func firstTick(lo, step float64, zone *time.Location) float64 {
	t := time.Unix(int64(math.Floor(lo)), 0).In(zone)
	midnight := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, zone)
	if step >= day {
		return float64(midnight.Unix())
	}
	since := float64(t.Hour()*3600 + t.Minute()*60 + t.Second())
	return float64(t.Unix()) - math.Mod(since, step)
}

// nextTick steps on by the zone's clock: where it is put forward or back, the ticks stand
// at its round times again.
func nextTick(at, step float64, zone *time.Location) float64 {
	t := time.Unix(int64(at), 0).In(zone)
	if step >= day {
		return float64(time.Date(t.Year(), t.Month(), t.Day()+int(step/day), 0, 0, 0, 0, zone).Unix())
	}
	next := at + step
	if step <= 3600 {
		return next
	}
	_, before := t.Zone()
	_, after := time.Unix(int64(next), 0).In(zone).Zone()
	if shifted := next - float64(after-before); shifted > at {
		return shifted
	}
	return next
}

func timeText(at, step float64, zone *time.Location) string {
	t := time.Unix(int64(at), 0).In(zone)
	switch {
	case step >= day || t.Hour()+t.Minute()+t.Second() == 0:
		return t.Format("2 Jan")
	case step < 60:
		return t.Format("15:04:05")
	}
	return t.Format("15:04")
}
