package web

import (
	"net/http"
	"net/url"
	"testing"

	. "rillmark/service/web/webtest"
)

// TestLengthsInTheUnitsOfThePerson: what was entered stands as it was; beside what was
// entered in the other units stands the person's own.
func TestLengthsInTheUnitsOfThePerson(t *testing.T) {
	t.Parallel()
	p := openPipeside(t)
	for name, entered := range map[string]string{"outside-diameter": "6 5/8 in", "liner-thickness": "3 mm", "straight-before": "2.5 m"} {
		p.send("/survey/"+name, "/survey", url.Values{"entered": {entered}, "source": {"measured"}})
	}
	for _, wall := range []string{"7.11 mm", "7.09 mm"} {
		p.send("/survey/wall", "/survey", url.Values{"entered": {wall}, "source": {"measured"}})
	}
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("6 5/8 in (168.28 mm)"), Says("7.10 mm"), Says("3 mm"), Says("2.5 m")))

	p.c.Get("/account").Want(http.StatusOK, Sound(), In("main", Says("millimetres and metres")))
	page := p.c.Get("/account/lengths").Want(http.StatusOK, Sound())
	p.c.Submit(page, "/account/lengths", url.Values{"lengths": {"yards"}}).Want(http.StatusUnprocessableEntity)
	p.c.Submit(p.c.Get("/account/lengths"), "/account/lengths", url.Values{"lengths": {"inch"}}).Want(http.StatusSeeOther)
	p.c.Get("/account").Want(http.StatusOK, In("main", Says("inches and feet")))
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("0.280 in"), Says("3 mm (0.118 in)"), Says("2.5 m (8.20 ft)"), Says("6 5/8 in")))
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Silent("168.28")))
}
