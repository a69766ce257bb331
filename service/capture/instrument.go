package capture

import (
	"context"
	"slices"
	"strings"

	"rillmark/domain"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// Instruments are the kinds of kit that measure a survey value, the usual one first; none
// where the company keeps no instrument for it.
func Instruments(n sheet.Name) []kit.Kind {
	switch n {
	case sheet.Wall, sheet.MinimumWall, sheet.LinerThickness:
		return []kit.Kind{kit.WallGauge}
	case sheet.OutsideDiameter:
		return []kit.Kind{kit.Calliper, kit.Tape}
	case sheet.Temperature, sheet.AmbientTemperature:
		return []kit.Kind{kit.Thermometer}
	case sheet.Pressure, sheet.FluidSoundSpeed, sheet.PipeSoundSpeed, sheet.LinerSoundSpeed:
		return nil
	}
	if UnitOf(n) == "m" {
		return []kit.Kind{kit.Tape}
	}
	if about, _ := sheet.About(n); about.Kind == sheet.KindLength {
		return []kit.Kind{kit.Tape, kit.Calliper}
	}
	return nil
}

// measures looks that the instrument is there and of a kind that measures lengths,
// temperatures or whatever the value is: a thermometer measures no wall. That it is out of
// calibration or of service refuses nothing.
func (p *pen) measures(ctx context.Context, n sheet.Name, id domain.KitID) error {
	type item struct {
		Kind kit.Kind `db:"kind"`
		Tag  string   `db:"tag"`
	}
	found, err := store.Rows[item](ctx, p, "SELECT kind, tag FROM kit_item WHERE id = $1", id)
	switch {
	case err != nil:
		return err
	case len(found) == 0:
		return domain.Refuse(domain.Invalid, domain.NoSuchThing.At("kit_id", "kit"))
	}
	want, _ := quantityOf(n)
	if has, calibrates := found[0].Kind.Calibrates(); calibrates && has == want || slices.Contains(Instruments(n), found[0].Kind) {
		return nil
	}
	return domain.Refuse(domain.Invalid, WrongInstrument.At("kit_id", found[0].Tag, inWords(found[0].Kind)))
}

// inWords is a kind as people say it.
func inWords(k kit.Kind) string { return strings.ReplaceAll(string(k), "-", " ") }

// quantityOf is what an instrument for the value is calibrated in.
func quantityOf(n sheet.Name) (kit.Quantity, bool) {
	switch about, _ := sheet.About(n); about.Kind {
	case sheet.KindLength:
		return kit.Length, true
	case sheet.KindTemperature:
		return kit.Temperature, true
	}
	return "", false
}

// fits refuses an item that is not there or not of the kind that its place in a mounting asks for.
func (w *Work) fits(field string, id domain.KitID, kind kit.Kind) error {
	item, there := w.kit(id)
	if !there {
		return domain.Refuse(domain.Invalid, domain.NoSuchThing.At(field, "kit"))
	}
	if item.Kind != kind {
		return domain.Refuse(domain.Invalid, WrongKit.At(field, item.Tag, inWords(item.Kind), inWords(kind)))
	}
	return nil
}
