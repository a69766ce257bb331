package register

import (
	"strings"
	"time"

	"rillmark/calc/fault"
)

// Codes of this package.
var (
	EmailForm    = fault.Define("register.email-form")
	ZoneUnknown  = fault.Define("register.time-zone-unknown", fault.T("zone"))
	NameTaken    = fault.Define("register.name-taken")
	TagTaken     = fault.Define("register.tag-taken")
	NotPositive  = fault.Define("register.not-positive")
	WallTooThick = fault.Define("register.wall-beyond-radius")

	SerialTaken         = fault.Define("register.serial-taken")
	IndicationNameTaken = fault.Define("register.indication-name-taken")
	UnitNotOfFlow       = fault.Define("register.unit-not-of-flow", fault.T("unit"))
	NotOfWay            = fault.Define("register.not-of-this-way")
	ScaleReversed       = fault.Define("register.scale-reversed")
	SlotTaken           = fault.Define("register.slot-taken", fault.T("meter"), fault.T("since"), fault.T("until"))
	SlotTakenBySome     = fault.Define("register.slot-taken-by-some")
	MeterElsewhere      = fault.Define("register.meter-elsewhere", fault.T("point"), fault.T("site"), fault.T("since"), fault.T("until"))
	MeterElsewhereSome  = fault.Define("register.meter-elsewhere-some")
	OfOtherClient       = fault.Define("register.of-other-client")
)

func plausibleEmail(text string) bool {
	name, host, found := strings.Cut(text, "@")
	return found && name != "" && strings.Contains(host, ".") && !strings.ContainsAny(text, " <>,;\"") && strings.Count(text, "@") == 1
}

// zoneKnown reports whether the text is an IANA time zone; "Local" would be this
// machine's and says nothing to anyone else.
func zoneKnown(name string) bool {
	if name == "" || name == "Local" {
		return name == "" // an empty one is refused as missing, once
	}
	_, err := time.LoadLocation(name)
	return err == nil
}
