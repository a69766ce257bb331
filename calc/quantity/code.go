package quantity

import "rillmark/calc/fault"

// The codes of this package. A fault's field is empty, or names the option or argument
// that was refused.
var (
	// Empty: the text holds nothing.
	Empty = fault.Define("quantity.empty", fault.T("kind"), fault.T("units"))
	// TooLong: the text is longer than MaxText bytes.
	TooLong = fault.Define("quantity.too-long", fault.C("length"), fault.C("most"))
	// UnreadableNumber: the text does not begin with a number that can be read.
	UnreadableNumber = fault.Define("quantity.unreadable-number", fault.T("text"))
	// BeyondReach: the power of ten is of three digits or more, which no quantity here has.
	BeyondReach = fault.Define("quantity.beyond-reach", fault.T("text"))
	// AmbiguousNumber: the number can be read in two ways, both named.
	AmbiguousNumber = fault.Define("quantity.ambiguous-number", fault.T("text"), fault.T("first"), fault.T("second"))
	// AmbiguousGallon: the text does not say which gallon.
	AmbiguousGallon = fault.Define("quantity.ambiguous-gallon", fault.T("unit"), fault.T("first"), fault.T("second"))
	// NoUnit: a number stands without a unit.
	NoUnit = fault.Define("quantity.no-unit", fault.T("kind"), fault.T("units"))
	// UnknownUnit: the unit is not one of the kind.
	UnknownUnit = fault.Define("quantity.unknown-unit", fault.T("unit"), fault.T("kind"), fault.T("units"))
	// UnknownKind: no kind has the name.
	UnknownKind = fault.Define("quantity.unknown-kind", fault.T("kind"), fault.T("kinds"))
	// UnknownReference: a pressure is asked for as neither gauge nor absolute.
	UnknownReference = fault.Define("quantity.unknown-reference", fault.T("reference"))
	// UnknownOption: an option has a value that is not one of its own.
	UnknownOption = fault.Define("quantity.unknown-option", fault.T("option"), fault.T("value"), fault.T("accepted"))
	// BadAtmosphere: the atmospheric pressure given is not a positive number.
	BadAtmosphere = fault.Define("quantity.bad-atmosphere", fault.N("pascals"))
	// NotFinite: a value is NaN or infinite.
	NotFinite = fault.Define("quantity.not-finite", fault.T("kind"))
	// BelowAbsoluteZero: a temperature is below 0 K.
	BelowAbsoluteZero = fault.Define("quantity.below-absolute-zero", fault.N("kelvins"))
	// BelowVacuum: an absolute pressure is below zero.
	BelowVacuum = fault.Define("quantity.below-vacuum", fault.N("pascals"))
	// WrongKind: an entry of one kind is used as another.
	WrongKind = fault.Define("quantity.wrong-kind", fault.T("kind"), fault.T("wanted"))
	// BadResolution: a resolution is not a positive number from 1e-30 to 1e30.
	BadResolution = fault.Define("quantity.bad-resolution", fault.N("resolution"))
	// TooFine: the value would need more digits at the resolution than it has.
	TooFine = fault.Define("quantity.resolution-too-fine", fault.N("resolution"), fault.T("unit"))
)

// clip shortens a text that goes into a message; whoever wrote it sees enough to know it.
func clip(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most]) + "…"
}
