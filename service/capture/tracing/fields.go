package tracing

import (
	"strconv"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/capture"
)

// renamed gives the faults of an error other fields.
func renamed(err error, field func(string) string) error {
	faults := fault.AllOf(err)
	if len(faults) == 0 {
		return err
	}
	out := make(fault.List, len(faults))
	for i, f := range faults {
		out[i] = f.In(field(f.Field))
	}
	return &domain.Error{Kind: domain.KindOf(err), Faults: out, Cause: err}
}

// secondsIn reads a number of seconds, with a decimal point or comma.
func secondsIn(check *domain.Check, field, text string) float64 {
	text = domain.Line(text)
	if text == "" {
		check.Add(domain.Required.At(field))
		return 0
	}
	plain := strings.TrimSpace(strings.TrimSuffix(strings.Replace(strings.Replace(text, ",", ".", 1), "−", "-", 1), "s"))
	x, err := strconv.ParseFloat(plain, 64)
	if err != nil || strings.ContainsAny(plain, "nNxXpP_iI") || x > 1e6 || x < -1e6 {
		check.Add(NotASecond.At(field, clipped(text)))
		return 0
	}
	return x
}

func clipped(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}

// whole reads a whole number.
func whole(check *domain.Check, field, text string) int {
	text = domain.Line(text)
	if text == "" {
		check.Add(domain.Required.At(field))
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		check.Add(capture.NotWhole.At(field, clipped(text)))
	}
	return n
}

// stamps are the ways in which a time is typed or comes from a form.
var stamps = []string{"2006-01-02 15:04:05", "2006-01-02T15:04:05", "2006-01-02 15:04", "2006-01-02T15:04"}

// timeIn reads a time of a zone; one without a date is of the day given.
func timeIn(check *domain.Check, field, text string, zone *time.Location, day time.Time) time.Time {
	text = domain.Line(text)
	if text == "" {
		check.Add(domain.Required.At(field))
		return time.Time{}
	}
	dated := text
	if !strings.Contains(text, "-") {
		dated = day.In(zone).Format(time.DateOnly) + " " + text
	}
	for _, form := range stamps {
		if t, err := time.ParseInLocation(form, dated, zone); err == nil {
			return t.UTC()
		}
	}
	check.Add(NotATime.At(field, clipped(text)))
	return time.Time{}
}
