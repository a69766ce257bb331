package domain_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
)

func TestLineIsTidied(t *testing.T) {
	for in, want := range map[string]string{
		"":                  "",
		"  a  b ":           "a  b",
		"\t\r\n x \u00a0":   "x",
		"A\u030apen":        "Åpen", // composed (Unicode NFC)
		"\ufb01":            "\ufb01",
		"a\x00b":            "a\x00b", // judged by Check, not mended
		"broken \xff":       "broken \xff",
		"\u3000ideographic": "ideographic",
	} {
		if got := domain.Line(in); got != want || domain.Line(got) != got {
			t.Errorf("%q: %q, and again %q", in, got, domain.Line(got))
		}
	}
}

func TestLinesAreTidied(t *testing.T) {
	for in, want := range map[string]string{
		"":                        "",
		"a\r\nb\rc\nd":            "a\nb\nc\nd",
		"a \t\n b\n\n\n":          "a\n b",
		"\n\n first\nsecond  \n ": "first\nsecond",
		"one":                     "one",
		"A\u030a":                 "Å",
		"a\n\n\nb":                "a\n\n\nb",
	} {
		if got := domain.Lines(in); got != want || domain.Lines(got) != got {
			t.Errorf("%q: %q, and again %q", in, got, domain.Lines(got))
		}
	}
}

func TestCheckOfATextOfOneLineAndOfSeveral(t *testing.T) {
	for name, c := range map[string]struct {
		text             string
		required         bool
		oneLine, several string
	}{
		"plain":                {"Tide & é Ж Ω → ≤", true, "", ""},
		"empty":                {"", false, "", ""},
		"empty but required":   {"", true, "text.required", "text.required"},
		"blank but required":   {" \t\n", true, "text.required", "text.required"},
		"at the limit":         {strings.Repeat("Ж", 20), true, "", ""},
		"beyond the limit":     {strings.Repeat("Ж", 21), true, "text.too-long", "text.too-long"},
		"a line end":           {"a\nb", true, "text.control-character", ""},
		"a tab":                {"a\tb", true, "text.control-character", ""},
		"carriage return":      {"a\rb", true, "text.control-character", "text.control-character"},
		"nought":               {"a\x00", true, "text.control-character", "text.control-character"},
		"escape":               {"\x1b[31m", true, "text.control-character", "text.control-character"},
		"delete":               {"a\x7f", true, "text.control-character", "text.control-character"},
		"C1 control":           {"a\u0085b", true, "text.control-character", "text.control-character"},
		"line separator":       {"a\u2028b", true, "text.control-character", "text.control-character"},
		"paragraph separator":  {"a\u2029b", true, "text.control-character", "text.control-character"},
		"turned direction":     {"a\u202eb", true, "text.control-character", "text.control-character"},
		"isolated direction":   {"a\u2066b", true, "text.control-character", "text.control-character"},
		"nothing to see":       {"\u200b", true, "text.control-character", "text.control-character"},
		"byte-order mark":      {"\ufeffa", true, "text.control-character", "text.control-character"},
		"replaced character":   {"a\ufffd", true, "text.control-character", "text.control-character"},
		"broken":               {"a\xff", true, "text.not-utf8", "text.not-utf8"},
		"half a surrogate":     {"\xed\xa0\x80", true, "text.not-utf8", "text.not-utf8"},
		"no letter of ours":    {"Aldermere 水", true, "text.not-printable", "text.not-printable"},
		"joined family emoji":  {"👨\u200d👩\u200d👧", true, "text.not-printable", "text.not-printable"},
		"Hebrew with its mark": {"שלום\u200f", true, "text.not-printable", "text.not-printable"},
	} {
		for _, way := range []struct {
			want  string
			check func(*domain.Check)
		}{
			{c.oneLine, func(k *domain.Check) { k.Line("f", c.text, 20, c.required) }},
			{c.several, func(k *domain.Check) { k.Lines("f", c.text, 20, c.required) }},
		} {
			var check domain.Check
			way.check(&check)
			err, got := check.Err(), ""
			if f, found := fault.Of(err); found {
				got = f.Code.Name()
				if f.Field != "f" || domain.KindOf(err) != domain.Invalid || len(check.Faults) != 1 {
					t.Errorf("%s: %v", name, err)
				}
			}
			if got != way.want {
				t.Errorf("%s: %q, want %q", name, got, way.want)
			}
		}
	}
}

func TestCheckTellsEverythingAtOnce(t *testing.T) {
	var check domain.Check
	if check.Err() != nil {
		t.Error("nothing wrong is an error")
	}
	check.Line("a", strings.Repeat("x", 9)+"\x07", 5, true)
	check.Merge(domain.Refuse(domain.Invalid, domain.NotAnID.At("b")))
	check.Merge(nil)
	check.Merge(domain.Required.At("c"))
	check.Add(domain.NotUTF8.At("d"))
	var got []string
	for _, f := range fault.AllOf(check.Err()) {
		got = append(got, fmt.Sprint(f))
	}
	want := []string{"a: text.too-long limit=5 length=10", "a: text.control-character character=U+0007", "b: id.malformed", "c: text.required", "d: text.not-utf8"}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}
