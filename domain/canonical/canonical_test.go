package canonical

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/gowebpki/jcs"
)

// numbers are the samples of RFC 8785, Appendix B.
var numbers = []struct {
	bits uint64
	want string
}{
	{0x0000000000000000, "0"},
	{0x8000000000000000, "0"},
	{0x0000000000000001, "5e-324"},
	{0x8000000000000001, "-5e-324"},
	{0x7fefffffffffffff, "1.7976931348623157e+308"},
	{0xffefffffffffffff, "-1.7976931348623157e+308"},
	{0x4340000000000000, "9007199254740992"},
	{0xc340000000000000, "-9007199254740992"},
	{0x4430000000000000, "295147905179352830000"},
	{0x44b52d02c7e14af5, "9.999999999999997e+22"},
	{0x44b52d02c7e14af6, "1e+23"},
	{0x44b52d02c7e14af7, "1.0000000000000001e+23"},
	{0x444b1ae4d6e2ef4e, "999999999999999700000"},
	{0x444b1ae4d6e2ef4f, "999999999999999900000"},
	{0x444b1ae4d6e2ef50, "1e+21"},
	{0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"},
	{0x3eb0c6f7a0b5ed8d, "0.000001"},
	{0x41b3de4355555553, "333333333.3333332"},
	{0x41b3de4355555554, "333333333.33333325"},
	{0x41b3de4355555555, "333333333.3333333"},
	{0x41b3de4355555556, "333333333.3333334"},
	{0x41b3de4355555557, "333333333.33333343"},
	{0xbecbf647612f3696, "-0.0000033333333333333333"},
	{0x43143ff3c1cb0959, "1424953923781206.2"},
}

func TestNumbers(t *testing.T) {
	for _, row := range numbers {
		x := math.Float64frombits(row.bits)
		if got := string(appendNumber(nil, x)); got != row.want {
			t.Errorf("%#x: %s, want %s", row.bits, got, row.want)
		}
		text, err := json.Marshal(x)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := Transform(text); err != nil || string(got) != row.want {
			t.Errorf("%s: %s, want %s (%v)", text, got, row.want, err)
		}
	}
}

// texts are what both implementations must write alike; the first is the example of
// RFC 8785, 3.2.2, the second its names of 3.2.3.
var texts = []string{
	`{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
	  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}`,
	"{\"\\u20ac\":\"Euro Sign\",\"\\r\":\"Carriage Return\",\"\\ufb33\":\"Hebrew Letter Dalet With Dagesh\",\"1\":\"One\"," +
		"\"\\ud83d\\ude00\":\"Emoji: Grinning Face\",\"\\u0080\":\"Control\",\"\\u00f6\":\"Latin Small Letter O With Diaeresis\"}",
	`{"b":{"z":1,"a":[{"y":2,"x":{}}]},"a":[]}`,
	`[-0, -0.0, 0e5, 1e21, 100000000000000000000, 12345678901234567890, -7, 123456789012345, 1.0]`,
	"[\"\\u2028\\u003c<>& \\u0000\\b\\f\\n\\r\\t é \\ud834\\udd1e\", \"\U0001d11e\", \"\"]",
	`{"":1,"aa":2,"a":3,"\u0061b":4}`,
	`[{"b":1,"a":2},{"b":3,"a":4},{"a":5,"b":6},{"c":7,"a":8},{"\u0062":9,"a":10},{"b":[{"b":0,"a":0}],"a":{"b":1,"a":2}}]`,
	`"alone"`, `[1]`, `{}`, `[[],{},[{}]]`,
}

func TestTransformAgainstAnotherImplementation(t *testing.T) {
	for _, text := range texts {
		want, err := jcs.Transform([]byte(text))
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if got, err := Transform([]byte(text)); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s:\n got %s\nwant %s (%v)", text, got, want, err)
		}
	}
}

func TestExampleOfTheStandard(t *testing.T) {
	for i, want := range []string{
		`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`,
		"{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"ö\":\"Latin Small Letter O With Diaeresis\"," +
			"\"€\":\"Euro Sign\",\"😀\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}",
	} {
		if got, err := Transform([]byte(texts[i])); err != nil || string(got) != want {
			t.Errorf("got %s\nwant %s (%v)", got, want, err)
		}
	}
}

func TestRefused(t *testing.T) {
	for text, want := range map[string]error{
		``: ErrSyntax, `{`: ErrSyntax, `1 2`: ErrSyntax, `[01]`: ErrSyntax, "\"\xff\"": ErrSyntax,
		`{"a":1,"a":2}`: ErrDuplicate, `{"b":1,"a":2,"\u0062":3}`: ErrDuplicate,
		`[{"b":1,"a":2},{"b":1,"b":2},{"b":1,"a":2}]`: ErrDuplicate, `[{"b":1,"a":2,"c":3},{"b":1,"a":2,"b":3}]`: ErrDuplicate,
		`[1e999]`: ErrNumber, `"\ud800"`: ErrSurrogate, `"\ud800\u0041"`: ErrSurrogate, `"\udc00\ud800"`: ErrSurrogate, `{"\ud800":1}`: ErrSurrogate,
	} {
		if got, err := Transform([]byte(text)); !errors.Is(err, want) {
			t.Errorf("%q: %q, %v; want %v", text, got, err, want)
		}
	}
	if _, err := Marshal(math.NaN()); err == nil {
		t.Error("NaN was written")
	}
	if got, err := Marshal(map[string]any{"b": "<é>", "a": 1e-7}); err != nil || string(got) != `{"a":1e-7,"b":"<é>"}` {
		t.Errorf("%s, %v", got, err)
	}
}

// FuzzTransform holds every valid text against the other implementation, and what comes
// out against itself.
func FuzzTransform(f *testing.F) {
	for _, text := range texts {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		got, err := Transform(text)
		if err != nil {
			return
		}
		if again, err := Transform(got); err != nil || !bytes.Equal(again, got) {
			t.Fatalf("%q: %q, again %q, %v", text, got, again, err)
		}
		if first := strings.TrimLeft(string(text), " \t\r\n"); first == "" || !strings.ContainsRune(`{["`, rune(first[0])) {
			return // the other one reads literals alone in its own way
		}
		want, err := jcs.Transform(text)
		if err != nil || !bytes.Equal(got, want) {
			t.Fatalf("%q:\n got %q\nwant %q (%v)", text, got, want, err)
		}
	})
}
