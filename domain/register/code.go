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
