package domain_test

import (
	"testing"
	"time"
	_ "time/tzdata" // the zones are part of what is tested

	"rillmark/calc/fault"
	"rillmark/domain"
)

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// Offsets and changes of clock by the IANA database: Oslo goes to UTC+2 on 2026-03-29 at
// 02:00 and back on 2026-10-25 at 03:00; Lord Howe moves by half an hour on 2026-04-05 at 02:00.
func TestTimesAreReadWhereTheyAreMeant(t *testing.T) {
	for _, row := range []struct {
		text, zone, want string
		code             *fault.Code
	}{
		{"2026-11-25T14:30", "Europe/Oslo", "2026-11-25T13:30:00Z", nil},
		{"2026-07-01 08:00", "Europe/Oslo", "2026-07-01T06:00:00Z", nil},
		{"2026-07-01T08:00:30", "Europe/Oslo", "2026-07-01T06:00:30Z", nil},
		{"2026-03-29T01:59", "Europe/Oslo", "2026-03-29T00:59:00Z", nil},
		{"2026-03-29T02:30", "Europe/Oslo", "", domain.TimeSkipped},
		{"2026-03-29T03:00", "Europe/Oslo", "2026-03-29T01:00:00Z", nil},
		{"2026-10-25T02:00", "Europe/Oslo", "", domain.TimeTwice},
		{"2026-10-25T02:59", "Europe/Oslo", "", domain.TimeTwice},
		{"2026-10-25T03:00", "Europe/Oslo", "2026-10-25T02:00:00Z", nil},
		{"2026-04-05T01:45", "Australia/Lord_Howe", "", domain.TimeTwice},
		{"2026-04-05T02:00", "Australia/Lord_Howe", "2026-04-04T15:30:00Z", nil},
		{"2026-11-25T14:30", "UTC", "2026-11-25T14:30:00Z", nil},
		{"25.11.2026 14:30", "UTC", "", domain.TimeForm},
		{"2026-13-01T00:00", "UTC", "", domain.TimeForm},
		{"0026-11-25T14:30", "UTC", "", domain.TimeAbsurd},
		{"", "UTC", "", domain.Required},
	} {
		var check domain.Check
		got := check.Time("at", row.text, zone(t, row.zone), true)
		if row.code != nil {
			if !fault.Has(check.Err(), row.code) || !got.IsZero() {
				t.Errorf("%q in %s: %v, %v", row.text, row.zone, got, check.Err())
			}
			continue
		}
		if check.Err() != nil || got.UTC().Format(time.RFC3339) != row.want {
			t.Errorf("%q in %s: %v (%v), want %s", row.text, row.zone, got.UTC(), check.Err(), row.want)
		}
	}
}

func TestDaysEndWithTheirLast(t *testing.T) {
	oslo := zone(t, "Europe/Oslo")
	var check domain.Check
	day := check.Day("on", "2026-10-25", true)
	if err := check.Err(); err != nil {
		t.Fatal(err)
	}
	if got := domain.DayStart(day, oslo).Format(time.RFC3339); got != "2026-10-24T22:00:00Z" {
		t.Errorf("begins %s", got)
	}
	end := domain.NextDay(day, oslo)
	if got := end.Format(time.RFC3339); got != "2026-10-25T23:00:00Z" { // 25 hours later
		t.Errorf("ends %s", got)
	}
	if got := domain.LastDay(end, oslo).Format(time.DateOnly); got != "2026-10-25" {
		t.Errorf("last day %s", got)
	}
	for text, code := range map[string]*fault.Code{"": domain.Required, "2026-02-30": domain.DayForm, "1.2.2026": domain.DayForm, "2999-01-01": domain.TimeAbsurd} {
		var check domain.Check
		if got := check.Day("on", text, true); !got.IsZero() || !fault.Has(check.Err(), code) {
			t.Errorf("%q: %v, %v", text, got, check.Err())
		}
	}
}
