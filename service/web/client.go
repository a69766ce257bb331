package web

import (
	"net/http"
	"net/url"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/registry"
	"rillmark/service/web/part"
)

type listPage struct {
	base
	Search  part.Field
	Rows    []part.Row
	Further part.Further
	Empty   string
	Add     *part.Button
	Above   string // title over the rows
}

func (w *Web) clients(x *exchange) error {
	query := x.r.URL.Query()
	f := registry.Filter{Search: query.Get("search"), After: query.Get("after")}
	found, err := w.Registry.Clients(x.ctx(), x.actor, f)
	if err != nil {
		return err
	}
	p := listPage{base: x.base(part.Heading{Title: x.text("clients.title"), Lead: x.text("clients.lead")}),
		Search: part.Field{Name: "search", Label: x.text("clients.search"), Value: f.Search, Kind: part.Search},
		Empty:  x.text("clients.none")}
	if f.Search != "" {
		p.Empty = x.text("clients.none-found", "search", shortened(f.Search, 60))
	}
	for _, c := range found.Items {
		p.Rows = append(p.Rows, part.Row{Href: "/clients/" + c.ID.String(), Name: c.Name, More: firstLine(c.Address),
			Much: x.text("client.sites", "n", c.Sites)})
	}
	p.Further = x.further("/clients", f.Search, f.After, found.Next)
	if access.Allowed(x.actor, access.ChangeClient) {
		p.Add = &part.Button{Deed: x.text("clients.add"), Href: "/clients/new"}
	}
	return x.page(http.StatusOK, "clients", p)
}

// further leads on in a list that is read by key.
func (x *exchange) further(path, search, after, next string) part.Further {
	var f part.Further
	link := func(after string) string {
		q := url.Values{}
		if search != "" {
			q.Set("search", search)
		}
		if after != "" {
			q.Set("after", after)
		}
		if len(q) == 0 {
			return path
		}
		return path + "?" + q.Encode()
	}
	if next != "" {
		f.Next = part.Link{Href: link(next), Words: x.text("list.next")}
	}
	if after != "" {
		f.First = part.Link{Href: link(""), Words: x.text("list.first")}
	}
	return f
}

// thingPage shows one thing: what is known of it, what belongs to it, and what can be done.
type thingPage struct {
	base
	Facts   []part.Fact
	Safety  string
	Rows    []part.Row
	Above   string // title over the rows; empty: no rows belong to it
	Empty   string
	First   part.Link // to add the first of them, where none is known
	Further part.Further
	Acts    []part.Button
	Beside  []part.Link // further pages about it
	History part.Link
}

func (w *Web) client(x *exchange) error {
	id, err := pathID[domain.ClientKind](x, "client", "client")
	if err != nil {
		return err
	}
	c, err := w.Registry.Client(x.ctx(), x.actor, id)
	if err != nil {
		return err
	}
	after := x.r.URL.Query().Get("after")
	sites, err := w.Registry.Sites(x.ctx(), x.actor, id, registry.Filter{After: after})
	if err != nil {
		return err
	}
	here := "/clients/" + id.String()
	p := thingPage{base: x.base(part.Heading{Trail: []part.Link{{Href: "/clients", Words: x.text("clients.title")}}, Title: c.Name}),
		Facts: x.facts(clientFields(), formOf(clientCommand(c))), Above: x.text("client.sites-title"), Empty: x.text("client.no-sites"),
		Further: x.further(here, "", after, sites.Next), History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	for _, s := range sites.Items {
		p.Rows = append(p.Rows, part.Row{Href: "/sites/" + s.ID.String(), Name: s.Name, More: firstLine(s.Address), Much: x.text("site.points", "n", s.Points)})
	}
	p.Beside = []part.Link{{Href: here + "/meters", Words: x.text("meters.title")}, {Href: "/certificates?client=" + id.String(), Words: x.text("certificates.title")}}
	if access.Allowed(x.actor, access.ChangeSite) {
		p.Acts = append(p.Acts, part.Button{Deed: x.text("client.add-site"), Href: here + "/sites/new"})
	}
	if access.Allowed(x.actor, access.ChangeClient) {
		p.Acts = append(p.Acts, part.Button{Deed: x.text("client.change"), Href: here + "/change", Second: true})
	}
	return x.page(http.StatusOK, "thing", p)
}

func clientFields() []field {
	return []field{
		{name: "name", label: "label.client.name", required: true, complete: "organization"},
		{name: "address", label: "label.client.address", kind: part.Area},
		{name: "contact_name", label: "label.client.contact_name"},
		{name: "contact_email", label: "label.client.contact_email", kind: part.Email},
		{name: "contact_phone", label: "label.client.contact_phone", kind: part.Phone},
		{name: "note", label: "label.client.note", kind: part.Area},
	}
}

// clientCommand is the command that would leave the client as it is.
func clientCommand(c register.Client) *registry.ChangeClient {
	return &registry.ChangeClient{ID: c.ID, Version: c.Version, Name: c.Name, Address: c.Address, ContactName: c.ContactName,
		ContactEmail: c.ContactEmail, ContactPhone: c.ContactPhone, Note: c.Note}
}

func (x *exchange) addClientForm() entry {
	return entry{heading: part.Heading{Trail: []part.Link{{Href: "/clients", Words: x.text("clients.title")}}, Title: x.text("client.add-title")},
		action: "/clients", fields: clientFields(), hidden: []string{"operation", "id"}, deed: x.text("client.add"),
		back: part.Link{Href: "/clients", Words: x.text("entry.back")}}
}

func (w *Web) newClient(x *exchange) error { return x.show(x.addClientForm(), x.ids(true)) }

func (w *Web) addClient(x *exchange) error {
	var c registry.AddClient
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		done, err = w.Registry.AddClient(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addClientForm(), form, err)
	}
	return x.done("/clients/"+done.ID, "client.added", http.StatusCreated, done)
}

func (x *exchange) changeClientForm(id domain.ClientID, name string) entry {
	here := "/clients/" + id.String()
	return entry{heading: part.Heading{Trail: []part.Link{{Href: here, Words: name}}, Title: x.text("client.change-title")},
		action: here, fields: clientFields(), hidden: []string{"operation", "version"}, deed: x.text("entry.save"),
		back:   part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(clientCommand(current.(register.Client))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Client, ID: id.String()}, current.(register.Client).Version)
		}}
}

func (w *Web) editClient(x *exchange) error {
	id, err := pathID[domain.ClientKind](x, "client", "client")
	if err != nil {
		return err
	}
	c, err := w.Registry.Client(x.ctx(), x.actor, id)
	if err != nil {
		return err
	}
	return x.show(x.changeClientForm(id, c.Name), merged(formOf(clientCommand(c)), x.ids(false)))
}

func (w *Web) changeClient(x *exchange) error {
	id, err := pathID[domain.ClientKind](x, "client", "client")
	if err != nil {
		return err
	}
	var c registry.ChangeClient
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.ID = id
		done, err = w.Registry.ChangeClient(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changeClientForm(id, c.Name), form, err)
	}
	return x.done("/clients/"+done.ID, "client.changed", http.StatusOK, done)
}

func (w *Web) clientHistory(x *exchange) error {
	id, err := pathID[domain.ClientKind](x, "client", "client")
	if err != nil {
		return err
	}
	c, err := w.Registry.Client(x.ctx(), x.actor, id)
	if err != nil {
		return err
	}
	here := "/clients/" + id.String()
	return x.history(here, []part.Link{{Href: here, Words: c.Name}}, audit.Subject{Kind: audit.Client, ID: id.String()})
}
