package web

import (
	"net/url"
	"strings"
	"testing"

	. "rillmark/service/web/webtest"
)

// TestAdjustmentStandsOnTimelines holds that what was adjusted on a work sheet is told at
// the point and at the meter, once, with the way to the sheet, and that the sheet's other
// events do not drown what changed before.
func TestAdjustmentStandsOnTimelines(t *testing.T) {
	t.Parallel()
	p := openPipeside(t)
	point, meter := "/points/"+p.Point.String(), "/meters/"+p.Example.Task.MeterID.String()
	p.c.Submit(p.c.Get(meter+"/change"), meter, url.Values{"firmware": {"4.2"}}).Want(303)
	a := p.Example.Sheet.Adjustments[0]
	p.c.Get(point).Want(200, In(".timeline", Silent(a.Parameter)))
	p.fill("after")
	for _, page := range []string{point, meter} {
		got := p.c.Get(page).Want(200, Sound(), In(".timeline", Says(a.Parameter+": "+a.OldEntered+" → "+a.NewEntered), Says(a.Reason),
			Says("Firmware: 2.1 → 4.2"), Silent("Run taken"), Silent("Survey value entered"), Silent("Adjustment recorded")),
			In(`.timeline a[href="`+p.path+`/adjust"]`, Says("adjusted")))
		if n := strings.Count(string(got.Body), a.Parameter+": "); n != 1 {
			t.Errorf("%s tells the adjustment %d times", page, n)
		}
	}
}
