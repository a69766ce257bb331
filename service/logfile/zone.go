package logfile

import "time"

// zoneClock turns readings of a wall clock into UTC, minding the steps of daylight saving.
type zoneClock struct {
	loc        *time.Location
	from, to   int64 // local microseconds between which the offset holds and is the only one
	offset     int64 // microseconds
	fixedKnown bool
}

// margin keeps the quick way clear of the hours around a step.
const margin = 3 * 3600 * 1e6

// utc returns the reading in UTC. An hour that happens twice is taken for the first time
// unless that would not lie after the reading before it; twice reports such an hour. An
// hour that does not happen is not ok.
func (z *zoneClock) utc(local, last int64) (micro int64, twice, ok bool) {
	if z.fixedKnown && local >= z.from && local < z.to {
		return local - z.offset, false, true
	}
	near := time.UnixMicro(local).In(z.loc)
	start, end := near.ZoneBounds()
	_, seconds := near.Zone()
	offset := int64(seconds) * 1e6
	z.offset, z.fixedKnown = offset, true
	z.from, z.to = -1<<62, 1<<62
	if !start.IsZero() {
		z.from = start.UnixMicro() + offset + margin
	}
	if !end.IsZero() {
		z.to = end.UnixMicro() + offset - margin
	}
	if local >= z.from && local < z.to {
		return local - offset, false, true
	}
	return z.nearStep(local, last)
}

// nearStep tries the offsets before and after.
func (z *zoneClock) nearStep(local, last int64) (micro int64, twice, ok bool) {
	z.fixedKnown = false
	var found []int64
	for _, hours := range []int64{-24, 24} {
		_, seconds := time.UnixMicro(local + hours*3600*1e6).In(z.loc).Zone()
		u := local - int64(seconds)*1e6
		_, back := time.UnixMicro(u).In(z.loc).Zone()
		if back == seconds && (len(found) == 0 || found[0] != u) {
			found = append(found, u)
		}
	}
	switch len(found) {
	case 0:
		return 0, false, false
	case 1:
		return found[0], false, true
	}
	first, second := min(found[0], found[1]), max(found[0], found[1])
	if first > last {
		return first, true, true
	}
	return second, true, true
}
