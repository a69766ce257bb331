package web

import (
	"bytes"
	"testing"

	. "rillmark/service/web/webtest"
)

func TestPartsPageShowsEveryPart(t *testing.T) {
	v := openTest(t)
	b := base{Lang: "en", Actor: &who{"I. Sørby", "approver", "/account"}, Ways: []way{{"/", "Today", ""}, {"/clients", "Clients", "page"}}}
	page, err := v.page("parts", showParts(b, v.book))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Parse(bytes.NewReader(page), Sound(),
		In(".tape text", Says("1 of 6")),
		In(".field.number .unit", Says("mm")),
		In("#f-wall", Has("aria-invalid", "true"), Has("inputmode", "decimal"), Has("aria-describedby", "f-wall-wrong f-wall-unit f-wall-source")),
		In("#f-wall-wrong", Says("leaves no bore")),
		In("textarea", Says("Key at the gatehouse")),
		In(`select option[selected]`, Says("water")),
		In(`input[type="radio"][checked]`, Has("value", "painted")),
		In(`input[type="checkbox"][checked]`, Has("value", "hot")),
		In("button.do", Says("Gauge the wall again")),
		In("button.do.second", Says("Keep and say why")),
		In(".say.act", Has("role", "alert")),
		Count(".verdict svg", 10),
		In(".verdict.large", Says("reads 2.9 % low: fail")),
		In(".verdict svg", Has("aria-label", "Error −2.9 %, uncertainty U 0.62 %, limits −2 to 2 %")),
		Count(".verdict rect.open", 4),
		In("table caption"),
		In(".rows a.row .needs", Says("overdue")),
		In(".further a[rel=\"next\"]", Says("Further")),
		In(".timeline li.now"), In(".timeline li.needs"),
		In(".history del", Says("7.5 mm")), In(".history ins", Says("6.5 mm")),
		In(".sides .theirs output", Says("6.5")),
		In(`.ways a[aria-current="page"]`, Says("Clients")),
		In(".who", Says("I. Sørby, approver")),
	); err != nil {
		t.Error(err)
	}
}
