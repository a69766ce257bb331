package logfile

import (
	"regexp"
	"strconv"
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

var bracketed = regexp.MustCompile(`[\[({]([^\])}]+)[\])}]`)

// unitIn finds a unit of the kind in a heading: in brackets, as its last words, or in the
// form flow_m3_h. A unit that may be two, as a bare gallon, is found and left to be asked.
func unitIn(heading string, kind quantity.Kind) string {
	for _, m := range bracketed.FindAllStringSubmatch(heading, -1) {
		if isUnit(m[1], kind) {
			return strings.TrimSpace(m[1])
		}
	}
	words := strings.FieldsFunc(heading, func(r rune) bool { return r == ' ' || r == ',' || r == ':' || r == ';' })
	for i := range words {
		if text := strings.Join(words[i:], " "); isUnit(text, kind) {
			return text
		}
	}
	parts := strings.Split(heading, "_")
	for i := 1; i < len(parts); i++ {
		for _, text := range []string{strings.Join(parts[i:], "/"), strings.Join(parts[i:], " ")} {
			if isUnit(text, kind) {
				return text
			}
		}
	}
	return ""
}

func isUnit(text string, kind quantity.Kind) bool {
	if len(text) == 0 || len(text) > 40 || strings.Trim(text, "0123456789 .,-+") == "" {
		return false
	}
	if text[0] >= '0' && text[0] <= '9' {
		return false
	}
	_, err := quantity.Parse("1 "+text, kind, quantity.Options{})
	for _, f := range fault.AllOf(err) {
		if f.Code == quantity.AmbiguousGallon {
			return true
		}
	}
	return err == nil
}

// Words that loggers head their columns with, in a few languages. From memory.
var (
	flowWords   = regexp.MustCompile(`(?i)\b(flow|flowrate|q|durchfluss|volumenstrom|d[ée]bit|caudal|portata|debiet|fl[öo]de)`)
	statusWords = regexp.MustCompile(`(?i)\b(status|quality|state|flag|alarm|valid|qualit[äa]t|qualit[ée]|estado)`)
	goodWords   = regexp.MustCompile(`(?i)^(ok|good|valid|normal|g|gut|bon|true|192)$`)
)

// How the lines before the data speak of the time zone and the averaging.
var (
	zoneOffset     = regexp.MustCompile(`(?:UTC|GMT|zone|Zone)[^0-9+−-]{0,3}([+−-])(\d{1,2}):?(\d{2})?`)
	zoneName       = regexp.MustCompile(`\b[A-Z][A-Za-z]+/[A-Z][A-Za-z_/]+\b`)
	zoneUTC        = regexp.MustCompile(`\b(UTC|GMT)\b`)
	averagingWords = regexp.MustCompile(`(?i)(averag|damping|moving mean|trailing mean|smoothing|filter)`)
	timeSpan       = regexp.MustCompile(`(\d+(?:[.,]\d+)?)\s*(s|sec|seconds|min|minutes)\b`)
	switchedOff    = regexp.MustCompile(`\boff\b`)
)

// zoneIn finds a time zone in the lines before the data.
func zoneIn(lines []string) string {
	for _, line := range lines {
		if m := zoneOffset.FindStringSubmatch(line); m != nil {
			hours, minutes := m[2], m[3]
			if len(hours) == 1 {
				hours = "0" + hours
			}
			if minutes == "" {
				minutes = "00"
			}
			zone := strings.Replace(m[1], "−", "-", 1) + hours + ":" + minutes
			if _, err := zoneOf(zone); err == nil {
				return zone
			}
		}
		for _, name := range zoneName.FindAllString(line, -1) {
			if _, err := zoneOf(name); err == nil {
				return name
			}
		}
	}
	for _, line := range lines {
		if zoneUTC.MatchString(line) {
			return "UTC"
		}
	}
	return ""
}

// averagingIn finds a statement of the averaging in the lines before the data. Where it
// gives a time and no kind, the kind stays unknown and the time is its range.
func averagingIn(lines []string) *Averaging {
	for _, line := range lines {
		if !averagingWords.MatchString(line) {
			continue
		}
		low := strings.ToLower(line)
		if strings.Contains(low, "none") || strings.Contains(low, "no averag") || switchedOff.MatchString(low) {
			return &Averaging{Kind: "none"}
		}
		m := timeSpan.FindStringSubmatch(low)
		if m == nil {
			continue
		}
		seconds, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
		if err != nil || seconds == 0 {
			continue
		}
		if strings.HasPrefix(m[2], "min") {
			seconds *= 60
		}
		kind := "unknown"
		switch {
		case strings.Contains(low, "trailing"):
			kind = "trailing"
		case strings.Contains(low, "centred"), strings.Contains(low, "centered"):
			kind = "centred"
		case strings.Contains(low, "exponential"), strings.Contains(low, "time constant"):
			kind = "exponential"
		}
		return &Averaging{Kind: kind, Seconds: seconds}
	}
	return nil
}
