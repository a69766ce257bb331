package web

import (
	"net/http"
	"net/url"
	"testing"

	. "rillmark/service/web/webtest"
)

// TestImpossibleWallIsStayedWith: a wall that leaves no bore keeps the page at the wall,
// however many good readings follow, and the mounting leads back there; what is less than
// can be is told as it was typed.
func TestImpossibleWallIsStayedWith(t *testing.T) {
	t.Parallel()
	p := openPipeside(t)
	p.c.Submit(p.c.Get(p.path+"/survey/outside-diameter"), p.path+"/survey", url.Values{"entered": {"-219"}, "source": {"measured"}}).Want(http.StatusUnprocessableEntity,
		In("main", Says("“-219 mm” is less than can be.")))
	p.send("/survey/outside-diameter", "/survey", url.Values{"entered": {"219.1"}, "source": {"measured"}})
	for _, wall := range []string{"300", "6.3", "6.2", "6.4", "6.3"} {
		if got := p.insist("/survey/wall", "/survey", url.Values{"entered": {wall}, "source": {"measured"}}, "decimal point"); got.Location != p.path+"/survey/wall" {
			t.Errorf("after a wall of %s the page goes to %s", wall, got.Location)
		}
	}
	for _, name := range []string{"pipe-material", "fluid", "temperature"} {
		entered := map[string]string{"pipe-material": "carbon steel", "fluid": "water", "temperature": "20"}[name]
		p.send("/survey/"+name, "/survey", url.Values{"entered": {entered}, "source": {"measured"}})
	}
	p.c.Get(p.path+"/mounting").Want(200, Sound(), In(".say", Says("300 mm"), Says("leaves no bore")), In(`.say a[href="`+p.path+`/survey/wall"]`))
}
