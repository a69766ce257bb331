package certificate

import (
	"fmt"
	"time"
)

// In tells a time as printed in the zone, to the minute, and as RFC 3339 in UTC. The zero
// time gives none.
func In(zone *time.Location, at time.Time) Moment {
	if at.IsZero() {
		return Moment{}
	}
	local := at.In(zone)
	return Moment{day(local) + ", " + local.Format("15:04") + " (" + offset(local) + ")", at.UTC().Format(time.RFC3339)}
}

// On tells the date in the zone.
func On(zone *time.Location, at time.Time) Moment {
	if at.IsZero() {
		return Moment{}
	}
	return Moment{day(at.In(zone)), at.UTC().Format(time.RFC3339)}
}

func day(t time.Time) string { return t.Format("2 January 2006") }

// offset names a zone by its distance from UTC, which stays true when rules change.
func offset(t time.Time) string {
	_, seconds := t.Zone()
	if seconds == 0 {
		return "UTC"
	}
	sign := "+"
	if seconds < 0 {
		sign, seconds = "−", -seconds
	}
	if minutes := seconds / 60 % 60; minutes != 0 {
		return fmt.Sprintf("UTC%s%d:%02d", sign, seconds/3600, minutes)
	}
	return fmt.Sprintf("UTC%s%d", sign, seconds/3600)
}

// span tells from when to when, in as few words as are clear.
func span(zone *time.Location, from, to time.Time) string {
	if from.IsZero() {
		return ""
	}
	a, z := from.In(zone), to.In(zone)
	switch {
	case day(a) == day(z) && a.Format("15:04") == z.Format("15:04"):
		return day(a) + ", " + a.Format("15:04") + " (" + offset(a) + ")"
	case day(a) == day(z) && offset(a) == offset(z):
		return day(a) + ", " + a.Format("15:04") + " to " + z.Format("15:04") + " (" + offset(a) + ")"
	}
	return day(a) + ", " + a.Format("15:04") + " (" + offset(a) + ") to " + day(z) + ", " + z.Format("15:04") + " (" + offset(z) + ")"
}

func (b *builder) at(t time.Time) Moment { return In(b.paper.Zone, t) }

// dates are the first and the last thing captured on the sheet.
func (b *builder) dates() Dates {
	var first, last time.Time
	see := func(t time.Time) {
		if first.IsZero() || t.Before(first) {
			first = t
		}
		if t.After(last) {
			last = t
		}
	}
	sheet := b.facts.Sheet
	for _, v := range sheet.Survey {
		see(v.CapturedAt)
	}
	for _, m := range sheet.Mountings {
		see(m.CapturedAt)
	}
	for _, c := range sheet.SetupChecks {
		see(c.CapturedAt)
	}
	for _, r := range sheet.Readings {
		see(r.CapturedAt)
	}
	for _, r := range sheet.Runs {
		see(r.CapturedAt)
	}
	for _, a := range sheet.AdjustmentsInForce() {
		see(a.CapturedAt)
	}
	d := Dates{Work: span(b.paper.Zone, first, last)}
	if !first.IsZero() {
		d.From, d.To = first.UTC().Format(time.RFC3339), last.UTC().Format(time.RFC3339)
	}
	return d
}
