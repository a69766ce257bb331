package web

import (
	"net/url"
	"testing"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

func TestRegisterEndToEnd(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	client := h.addClient(c, "Aldermere Water")
	c.Get(client).Want(200, Sound(), In("h1", Says("Aldermere Water")), In(".say", Says("The client is added.")), In(".facts", Says("Quay Road 3")))
	c.Get(client).Want(200, Not(".say"))
	site := h.addSite(c, client, "Fenwick Lane pumping station")
	c.Get(client).Want(200, In(".rows .name", Says("Fenwick Lane pumping station")), In(".rows .much", Says("0 points")))
	point := h.addPoint(c, site, "FT-204")
	c.Get(site).Want(200, Sound(), In(".trail", Says("Aldermere Water")), In(".rows .name", Says("FT-204")))
	page := c.Get(point+"/change").Want(200, Sound(), In("#f-outside_diameter", Has("value", "219.1 mm")))
	c.Submit(page, point, url.Values{"name": {"rising main"}, "fluid": {"drinking water"}, "wall": {"6,5 mm"}}).Want(303)
	c.Get(point).Want(200, Sound(), In("h1", Says("FT-204 rising main")), In(".facts", Says("6,5 mm")))
	c.Get(point+"/history").Want(200, Sound(), Count(".history li", 2), In(".history li", Says("Measuring point changed"), Says("Cora Lindqvist"),
		Says("Wall thickness"), In("del", Says("6.3 mm")), In("ins")))
	c.Get(site+"/history").Want(200, Sound(), Count(".history li", 3))
	c.Get(client+"/history").Want(200, Sound(), Count(".history li", 4))
	c.Get("/clients").Want(200, Sound(), In(".rows .name", Says("Aldermere Water")), In(`.ways a[aria-current="page"]`, Says("Clients")))
	c.Get("/clients?search=ALDER").Want(200, In(".rows .name"))
	c.Get("/clients?search=%25").Want(200, Not(".rows"), In(".none", Says("%")))
}
