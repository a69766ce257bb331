package certificate_test

import (
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain/certificate"
)

func TestNumber(t *testing.T) {
	for _, tt := range []struct {
		number certificate.Number
		text   string
	}{
		{certificate.Number{Year: 2026, Serial: 412}, "2026-00412"},
		{certificate.Number{Year: 2026, Serial: 1}, "2026-00001"},
		{certificate.Number{Year: 2026, Serial: 99999}, "2026-99999"},
		{certificate.Number{Year: 2026, Serial: 100000}, "2026-100000"},
		{certificate.Number{Year: 987, Serial: 5}, "0987-00005"},
	} {
		if got := tt.number.String(); got != tt.text {
			t.Errorf("%+v prints as %q, want %q", tt.number, got, tt.text)
		}
		if got, err := certificate.ParseNumber(tt.text); err != nil || got != tt.number {
			t.Errorf("%q reads as %+v, %v", tt.text, got, err)
		}
	}
	if got := (certificate.Number{Year: 2026, Serial: 9}).Next(); got != (certificate.Number{Year: 2026, Serial: 10}) {
		t.Errorf("next is %v", got)
	}
	if got := (certificate.Number{}).String(); got != "" {
		t.Errorf("no number prints as %q", got)
	}
}

func TestNumberMalformed(t *testing.T) {
	for _, text := range []string{"", "2026", "2026-412", "2026-000412", "2026-00000", "2026_00412", "2026-0041x", " 2026-00412",
		"2026-00412 ", "+026-00412", "2026-+0412", "26-00412", "2026--0412", "2026-00412-2", "２０２６-00412"} {
		if _, err := certificate.ParseNumber(text); !fault.Has(err, certificate.NotANumber) {
			t.Errorf("%q reads without NotANumber: %v", text, err)
		}
	}
}

func FuzzParseNumber(f *testing.F) {
	for _, text := range []string{"2026-00412", "2026-100000", "2026-0", "", "----------"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if n, err := certificate.ParseNumber(text); err == nil && n.String() != text {
			t.Errorf("%q reads as %v", text, n)
		}
	})
}
