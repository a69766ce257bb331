package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"rillmark/domain/access"
	"rillmark/service/store/storetest"
	. "rillmark/service/web/webtest"
)

func TestSentTwiceHappensOnce(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	form := c.Get("/clients/new").Form("/clients")
	form.Set("name", "Aldermere Water")
	first, second := c.Post("/clients", form).Want(303), c.Post("/clients", form).Want(303)
	if first.Location != second.Location {
		t.Errorf("the second answer leads to %s, the first to %s", second.Location, first.Location)
	}
	point := h.addPoint(c, h.addSite(c, first.Location, "Fenwick Lane"), "FT-204")
	change := c.Get(point + "/change").Form(point)
	change.Set("wall", "6.5 mm")
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if a := c.Post(point, change); a.Status != 303 {
				t.Errorf("status %d: %s", a.Status, a.Body)
			}
		})
	}
	all.Wait()
	if n := h.count("SELECT count(*) FROM client"); n != 1 {
		t.Errorf("%d clients", n)
	}
	if n := h.count("SELECT version FROM measuring_point"); n != 2 {
		t.Errorf("the point has version %d after one change sent 8 times", n)
	}
	if n := h.count("SELECT count(*) FROM audit.event WHERE payload LIKE '%measuring_point.change%'"); n != 1 {
		t.Errorf("%d events for one change", n)
	}
}

func TestSameFormWithOtherContent(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	form := c.Get("/clients/new").Form("/clients")
	form.Set("name", "Aldermere Water")
	c.Post("/clients", form).Want(303)
	form.Set("name", "Brackwell Dairies")
	again := c.Post("/clients", form).Want(http.StatusConflict, Sound(), In(".say.act", Says("sent before with other content")), In("#f-name", Has("value", "Brackwell Dairies")))
	c.Submit(again, "/clients", nil).Want(303)
	if n := h.count("SELECT count(*) FROM client"); n != 2 {
		t.Errorf("%d clients", n)
	}
}

// TestRefusedFieldsKeepWhatWasTyped sends what no field takes. Each is told beside its
// field, the first has the cursor, and everything typed is still there.
func TestRefusedFieldsKeepWhatWasTyped(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	client := h.addClient(c, "Taken Water")
	site := h.addSite(c, client, "Fenwick Lane")
	h.addPoint(c, site, "FT-204")
	for name, row := range map[string]struct {
		page, action, field, value, sentence string
		status                               int
	}{
		"empty":           {"/clients/new", "/clients", "name", " ", "cannot stay empty", 422},
		"over-long":       {"/clients/new", "/clients", "name", strings.Repeat("ä", 201), "longer than 200 characters: 201", 422},
		"over-long note":  {"/clients/new", "/clients", "note", strings.Repeat("ä", 4001), "longer than 4000 characters: 4001", 422},
		"control":         {"/clients/new", "/clients", "contact_name", "Ines\x07", "invisible character (U+0007)", 422},
		"nul":             {"/clients/new", "/clients", "contact_name", "Ines\x00", "invisible character (U+0000)", 422},
		"turned text":     {"/clients/new", "/clients", "contact_name", "Ines\u202e", "invisible character (U+202E)", 422},
		"line in a line":  {"/clients/new", "/clients", "contact_name", "Ines\nSørby", "invisible character (U+000A)", 422},
		"no text":         {"/clients/new", "/clients", "contact_name", "In\xffes", "no text (UTF-8)", 422},
		"no address":      {"/clients/new", "/clients", "contact_email", "office at example", "no e-mail address", 422},
		"name taken":      {"/clients/new", "/clients", "name", "taken WATER", "is taken already", 409},
		"no zone":         {client + "/sites/new", client + "/sites", "time_zone", "Europe/Atlantis", "no time zone of the IANA", 422},
		"no length":       {site + "/points/new", site + "/points", "wall", "six", "", 422},
		"no unit":         {site + "/points/new", site + "/points", "wall", "6.3", "", 422},
		"negative length": {site + "/points/new", site + "/points", "wall", "-6.3 mm", "", 422},
		"tag taken":       {site + "/points/new", site + "/points", "tag", "ft-204", "taken at this site", 409},
	} {
		form := c.Get(row.page).Form(row.action)
		switch row.action {
		case "/clients":
			form.Set("name", "Some Client")
		case site + "/points":
			form.Set("tag", "FT-1")
		default:
			form.Set("name", "Some Place")
		}
		form.Set(row.field, row.value)
		a := c.Post(row.action, form)
		if a.Status != row.status {
			t.Errorf("%s: status %d, want %d: %s", name, a.Status, row.status, a.Body)
			continue
		}
		a.Want(row.status, Sound(), In(".say.act", Says("This was not saved.")), In("#f-"+row.field, Has("aria-invalid", "true"), Has("autofocus", "")),
			In("#f-"+row.field+"-wrong", Says(row.sentence)))
		kept := a.Form(row.action)
		for field, values := range form {
			want := strings.ToValidUTF8(strings.ReplaceAll(values[0], "\x00", "\ufffd"), "\ufffd") // HTML has no way to hold these
			if got := kept.Get(field); got != want {
				t.Errorf("%s: the field %s was %q and is %q", name, field, want, got)
			}
		}
	}
}

func TestWallBeyondRadius(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Technician)
	site := h.addSite(h.as(access.Coordinator), h.addClient(h.as(access.Coordinator), "Aldermere Water"), "Fenwick Lane")
	page := c.Get(site + "/points/new")
	c.Submit(page, site+"/points", url.Values{"tag": {"FT-1"}, "outside_diameter": {"100 mm"}, "wall": {"2 in"}}).
		Want(422, In("#f-wall-wrong", Says("leaves no bore")))
}

func TestStaleFormShowsBothSides(t *testing.T) {
	h := openHouse(t)
	c, other := h.as(access.Coordinator), h.as(access.Technician)
	point := h.addPoint(c, h.addSite(c, h.addClient(c, "Aldermere Water"), "Fenwick Lane"), "FT-204")
	mine, theirs := c.Get(point+"/change"), other.Get(point+"/change")
	other.Submit(theirs, point, url.Values{"wall": {"6.5 mm"}, "fluid": {"drinking water"}, "pipe": {"carbon steel"}}).Want(303)
	conflict := c.Submit(mine, point, url.Values{"wall": {"6.8 mm"}, "note": {"Scale inside."}, "fluid": {"drinking water"}}).
		Want(http.StatusPreconditionFailed, Sound(), In(".say.act", Says("Tem Okonjo changed this on"), Says("Nothing you typed is lost")),
			Count(".sides .side", 2), In("#f-wall", Has("value", "6.8 mm")), In(".side .theirs", Says("6.5 mm")), In("#f-note", Says("Scale inside.")))
	form := conflict.Form(point)
	if form.Get("version") != "2" || form.Get("fluid") != "drinking water" || form.Get("tag") != "FT-204" || form.Get("pipe") != "carbon steel" { // the pipe nobody touched here
		t.Errorf("the form carries %v", form)
	}
	c.Submit(conflict, point, url.Values{"wall": {"6.7 mm"}}).Want(303)
	c.Get(point).Want(200, In(".facts", Says("6.7 mm"), Says("Scale inside."), Says("drinking water"), Says("carbon steel")))
	c.Submit(mine, point, url.Values{"operation": {storetest.Operation().String()}, "fluid": {"drinking water"}, "wall": {"6.7 mm"}, "note": {"Scale inside."}}).
		Want(http.StatusPreconditionFailed, Sound(), Not(".side"), In(".say.act", Says("nothing left to save")))
}

func TestFormAndJSONFillTheSameCommand(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	id, op := storetest.IDs()().String(), storetest.Operation().String()
	body := `{"operation":"` + op + `","id":"` + id + `","name":"Aldermere Water","address":"Quay Road 3\nAldermere"}`
	made := c.PostJSON("/clients", body)
	if made.Status != http.StatusCreated || made.Location != "/clients/"+id || !strings.Contains(made.Body, `"version":"1"`) {
		t.Fatalf("status %d, location %q: %s", made.Status, made.Location, made.Body)
	}
	if again := c.PostJSON("/clients", body); again.Status != http.StatusCreated || again.Body != made.Body {
		t.Errorf("sent again: status %d: %s", again.Status, again.Body)
	}
	c.Get(made.Location).Want(200, In("h1", Says("Aldermere Water")))
	for name, row := range map[string]struct {
		body   string
		status int
		code   string
		field  string
	}{
		"unknown field":  {`{"nmae":"x"}`, 422, "web.field-unknown", ""},
		"field twice":    {`{"name":"x","name":"y"}`, 422, "web.field-twice", "name"},
		"object":         {`{"name":{}}`, 422, "web.field-malformed", "name"},
		"no object":      {`[]`, 422, "web.not-json", ""},
		"cut":            {`{"name":"x"`, 422, "web.not-json", ""},
		"more":           {`{} {}`, 422, "web.not-json", ""},
		"empty":          {``, 422, "web.not-json", ""},
		"no text":        {"{\"name\":\"\xff\"}", 422, "text.not-utf8", ""},
		"malformed id":   {`{"id":"x","name":"y"}`, 422, "id.malformed", "id"},
		"no name":        {`{"operation":"` + op + `","id":"` + id + `"}`, 422, "text.required", "name"},
		"other content":  {`{"operation":"` + op + `","id":"` + id + `","name":"Other"}`, 409, "domain.operation-reused", ""},
		"list for one":   {`{"name":["a","b"]}`, 422, "web.field-twice", "name"},
		"number is text": {`{"operation":"` + storetest.Operation().String() + `","id":"` + storetest.IDs()().String() + `","name":7}`, 201, "", ""},
	} {
		a := c.PostJSON("/clients", row.body)
		var said struct {
			Error struct {
				Faults []struct{ Field, Code, Message string }
			}
		}
		if err := json.Unmarshal([]byte(a.Body), &said); err != nil {
			t.Errorf("%s: %v: %s", name, err, a.Body)
		}
		found := row.code == ""
		for _, f := range said.Error.Faults {
			found = found || f.Code == row.code && f.Field == row.field && f.Message != ""
		}
		if a.Status != row.status || !found {
			t.Errorf("%s: status %d, want %d and %s at %q: %s", name, a.Status, row.status, row.code, row.field, a.Body)
		}
	}
	if a := h.as("").PostJSON("/clients", body); a.Status != http.StatusUnauthorized || !strings.Contains(a.Body, "domain.not-logged-in") {
		t.Errorf("nobody: status %d: %s", a.Status, a.Body)
	}
	if a := c.PostJSON(made.Location, `{"operation":"`+storetest.Operation().String()+`","version":"7","name":"Other"}`); a.Status != 412 || !strings.Contains(a.Body, `"version":"1"`) {
		t.Errorf("stale: status %d: %s", a.Status, a.Body)
	}
	if a := c.PostJSON(made.Location, `{"operation":"`+storetest.Operation().String()+`","version":1,"name":"Other"}`); a.Status != 200 {
		t.Errorf("change: status %d: %s", a.Status, a.Body)
	}
}

func TestOtherMediaAreRefused(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	for media, body := range map[string]string{"text/plain": "name=x", "": "name=x", "application/xml": "<name/>", "application/x-www-form-urlencoded": "name=%zz"} {
		r := c.Request(http.MethodPost, "/clients", strings.NewReader(body))
		r.Header.Set("Content-Type", media)
		c.Do(r).Want(http.StatusUnprocessableEntity, Sound())
	}
}

func TestListGoesOnByKey(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Auditor)
	h.sql(`INSERT INTO client (id, name, address, contact_name, contact_email, contact_phone, note, version, created_at, changed_at)
		SELECT ('019b8d2b-0000-7000-8000-' || lpad(n::text, 12, '0'))::uuid, 'Client ' || lpad(n::text, 3, '0'), '', '', '', '', '', 1, now(), now() FROM generate_series(1, 120) n`)
	first := c.Get("/clients").Want(200, Sound(), Count(".rows li", 50), In(".rows .name", Says("Client 001")), In(`.further a[rel="next"]`))
	next := Attr(All(first.Doc, `.further a[rel="next"]`)[0], "href")
	second := c.Get(next).Want(200, Count(".rows li", 50), In(".rows .name", Says("Client 051")), Count(".further a", 2))
	last := c.Get(Attr(All(second.Doc, `.further a[rel="next"]`)[0], "href")).Want(200, Count(".rows li", 20), Not(`.further a[rel="next"]`))
	if href := Attr(All(last.Doc, ".further a")[0], "href"); href != "/clients" {
		t.Errorf("from the beginning leads to %s", href)
	}
	c.Get("/clients?after=nonsense").Want(422, Sound())
	searched := c.Get("/clients?search=Client+0").Want(200, Count(".rows li", 50))
	if href := Attr(All(searched.Doc, `.further a[rel="next"]`)[0], "href"); !strings.Contains(href, "search=Client+0") {
		t.Errorf("further forgets the search: %s", href)
	}
}
