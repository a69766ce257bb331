package kit

import (
	"slices"
	"time"

	"rillmark/calc/fault"
)

// onItsOwn are the kinds whose measurements need a calibration of their own.
func onItsOwn(k Kind) bool {
	_, has := k.Calibrates()
	return has && k != ReferenceMeter
}

// Gaps names what of the equipment cannot carry results over the whole time from from
// until before to: what is out of service, and what no calibration covers; a reference is
// looked at together with the pairs and cables that go along. Dates are told in the zone.
// Nothing of this forbids measuring: what was observed is kept, and said to be for
// information.
func Gaps(items []Item, calibrations []Calibration, from, to time.Time, zone *time.Location) fault.List {
	var found fault.List
	for _, i := range items {
		if i.OutOfServiceAt != nil && i.OutOfServiceAt.Before(to) {
			why := ""
			if i.OutOfServiceWhy != nil {
				why = *i.OutOfServiceWhy
			}
			found = append(found, OutOfService.At("kit", i.Tag, day(*i.OutOfServiceAt, zone), why))
		}
		switch {
		case i.Kind == ReferenceMeter:
			found = append(found, gapsOfReference(i, items, calibrations, from, to, zone)...)
		case onItsOwn(i.Kind):
			of := slices.DeleteFunc(slices.Clone(calibrations), func(c Calibration) bool { return c.KitID != i.ID })
			if len(of) == 0 {
				found = append(found, NoneOnRecord.At("kit", i.Tag))
			} else if !covered(of, from, to) {
				found = append(found, gap(i.Tag, of, from, to, zone))
			}
		}
	}
	return found
}

// gapsOfReference looks whether one of the pairs that go along was calibrated with the
// reference, and whether that still holds.
func gapsOfReference(ref Item, items []Item, calibrations []Calibration, from, to time.Time, zone *time.Location) fault.List {
	var pairs, cables []Item
	for _, i := range items {
		switch i.Kind {
		case TransducerPair:
			pairs = append(pairs, i)
		case Cable:
			cables = append(cables, i)
		}
	}
	if len(pairs) == 0 {
		return fault.List{NoPair.At("kit", ref.Tag)}
	}
	var found fault.List
	for _, pair := range pairs {
		of := slices.DeleteFunc(slices.Clone(calibrations), func(c Calibration) bool { return !fitsSet(c, ref, pair, cables) })
		switch {
		case covered(of, from, to):
		case len(of) == 0:
			found = append(found, NotAsSet.At("kit", ref.Tag, pair.Tag))
		default:
			found = append(found, gap(ref.Tag+" + "+pair.Tag, of, from, to, zone))
		}
	}
	if len(found) < len(pairs) {
		// One pair can carry the work; another that cannot is still named when it was
		// calibrated with this reference at some time, or nobody would know before leaving.
		return slices.DeleteFunc(found, func(f fault.Fault) bool { return f.Code == NotAsSet })
	}
	return found
}

func fitsSet(c Calibration, ref, pair Item, cables []Item) bool {
	if c.OfSet(ref.ID, pair.ID, nil) {
		return true
	}
	return slices.ContainsFunc(cables, func(cable Item) bool { return c.OfSet(ref.ID, pair.ID, &cable.ID) })
}

// covered reports whether some chain of calibrations holds all the time: each result rests
// on one, but the visit may see it change.
func covered(of []Calibration, from, to time.Time) bool {
	at := from
	for at.Before(to) {
		next := at
		for _, c := range of {
			if c.Valid(at) && c.ValidTo.After(next) {
				next = c.ValidTo
			}
		}
		if next.Equal(at) {
			return false
		}
		at = next
	}
	return true
}

// gap says why what there is does not cover the time.
func gap(tag string, of []Calibration, from, to time.Time, zone *time.Location) fault.Fault {
	first, last := of[0].ValidFrom, of[0].ValidTo
	for _, c := range of {
		if c.ValidFrom.Before(first) {
			first = c.ValidFrom
		}
		if c.ValidTo.After(last) {
			last = c.ValidTo
		}
	}
	switch {
	case last.Before(to):
		return Lapsed.At("kit", tag, day(last.Add(-time.Nanosecond), zone))
	case first.After(from):
		return NotYetValid.At("kit", tag, day(first, zone))
	}
	return GapInTheMiddle.At("kit", tag)
}

func day(t time.Time, zone *time.Location) string { return t.In(zone).Format("2 January 2006") }
