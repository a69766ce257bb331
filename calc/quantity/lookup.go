package quantity

import (
	"math/big"
	"strings"
)

// spell brings the text of a unit into the spelling of the tables: without spaces, dots,
// carets and brackets; "per" as a stroke, superscripts as digits, ° as deg, µ as u.
var spell = strings.NewReplacer(
	" per ", "/", " ", "", ".", "", "^", "", "**", "", "(", "", ")", "", "·", "", "⋅", "",
	"³", "3", "²", "2", "₂", "2", "µ", "u", "μ", "u",
	"°", "deg", "º", "deg", "˚", "deg", "℃", "degC", "℉", "degF",
	"''", `"`,
)

// find returns the unit of the kind that the text names. The gallon is taken where the
// text leaves it open, and assumed says so.
//
// Errors: NoUnit, AmbiguousGallon, UnknownUnit.
func find(k Kind, text string, g Gallon) (u unit, assumed bool, err error) {
	word := spell.Replace(text)
	if word == "" {
		return unit{}, false, NoUnit.At("", k.words(), k.Units())
	}
	over, per, isRate := rate(k, word)
	base := ratios[k]
	if k == KindPulseFactor || k == KindDensity {
		return findOver(k, text, over, per, isRate, g)
	}
	if base == "" {
		over, per, base = word, "", k
	} else if !isRate {
		return unit{}, false, UnknownUnit.At("", clip(text), k.words(), k.Units())
	}
	if bare, open := bareGallons[strings.ToLower(over)]; open && base == KindVolume {
		switch g {
		case GallonUS:
			over = bare.us
		case GallonImperial:
			over = bare.imperial
		default:
			us, imperial := bothGallons(bare.us, bare.imperial, per)
			return unit{}, false, AmbiguousGallon.At("", clip(text), us, imperial)
		}
		assumed = true
	}
	u, ok := match(units[base], over)
	if ok && isRate {
		var t unit
		t, ok = match(units[KindTime], per)
		if ok {
			u = u.over(t)
		}
	}
	if !ok {
		return unit{}, false, UnknownUnit.At("", clip(text), k.words(), k.Units())
	}
	return u, assumed, nil
}

// findOver returns a unit over a volume, or, for a pulse factor, a volume over a pulse,
// whose reciprocal the value is.
func findOver(k Kind, text, over, per string, isRate bool, g Gallon) (u unit, assumed bool, err error) {
	unknown := UnknownUnit.At("", clip(text), k.words(), k.Units())
	if !isRate {
		return unit{}, false, unknown
	}
	top, known := match(units[ratios[k]], over)
	inverse := false
	if !known && k == KindPulseFactor {
		top, inverse = match(units[ratios[k]], per)
		known, per = inverse, over
	}
	if !known {
		return unit{}, false, unknown
	}
	if bare, open := bareGallons[strings.ToLower(per)]; open {
		switch g {
		case GallonUS:
			per = bare.us
		case GallonImperial:
			per = bare.imperial
		default:
			us, _ := match(units[unders[k]], bare.us)
			imperial, _ := match(units[unders[k]], bare.imperial)
			return unit{}, false, AmbiguousGallon.At("", clip(text), pair(top, us, inverse).name, pair(top, imperial, inverse).name)
		}
		assumed = true
	}
	bottom, known := match(units[unders[k]], per)
	if !known {
		return unit{}, false, unknown
	}
	return pair(top, bottom, inverse), assumed, nil
}

// pair is one unit over another; inverse turns it over: L/pulse.
func pair(top, bottom unit, inverse bool) unit {
	u := top.over(bottom)
	if bottom.gallon != "" {
		u.gallon = bottom.gallon
	}
	if inverse {
		u.name, u.inverse = bottom.name+"/"+top.name, true
	}
	return u
}

// rate splits a word for a unit over a time.
func rate(k Kind, word string) (over, per string, ok bool) {
	for _, r := range rates[k] {
		if strings.EqualFold(r.word, word) {
			return r.over, r.per, true
		}
	}
	if ratios[k] == "" {
		return word, "", false
	}
	return strings.Cut(word, "/")
}

func bothGallons(us, imperial, per string) (string, string) {
	a, _ := match(units[KindVolume], us)
	b, _ := match(units[KindVolume], imperial)
	if per == "" {
		return a.name, b.name
	}
	if t, ok := match(units[KindTime], per); ok {
		per = t.name
	}
	return a.name + "/" + per, b.name + "/" + per
}

// over divides a unit by a time.
func (u unit) over(t unit) unit {
	return unit{name: u.name + "/" + t.name, factor: new(big.Rat).Quo(u.factor, t.factor), gallon: u.gallon}
}

// match prefers the spelling as it is; mixed-up case is forgiven only where no other
// unit could be meant (m and M stand for a thousandth and a million).
func match(in []unit, word string) (unit, bool) {
	for _, u := range in {
		for _, alias := range u.aliases {
			if alias == word {
				return u, true
			}
		}
	}
	for _, u := range in {
		for _, alias := range u.aliases {
			if u.folds && strings.EqualFold(alias, word) {
				return u, true
			}
		}
	}
	return unit{}, false
}
