package web

import (
	"testing"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// What a piece of kit was used for stands on its page: what is affected when it turns out to
// be wrong.
func TestKitTellsWhereItWasUsed(t *testing.T) {
	p := openPipeside(t)
	auditor := p.house.as(access.Auditor)
	page := "/kit/" + p.Has("RM-2").String()
	auditor.Get(page).Want(200, Sound(), In("main", Says("It was not used on any task yet.")))
	p.fill("mounting")
	auditor.Get(page).Want(200, Sound(), In(`main a[href="`+p.path+`/sheet"]`, Says("FT-204")), In("main", Says("no certificate")))
}
