package web

import (
	"net/http"
	"strings"

	"rillmark/domain/access"
	"rillmark/service/web/part"
)

type todayPage struct {
	base
	Work    []part.Row // what the person is booked for today
	Booked  bool       // they go on visits at all
	Rows    []part.Row
	Waiting string
}

// today says what needs the person now and where they can go.
func (w *Web) today(x *exchange) error {
	first, _, _ := strings.Cut(x.visitor.Person.Name, " ")
	if strings.HasSuffix(first, ".") { // an initial is no name to be greeted by
		first = x.visitor.Person.Name
	}
	now := w.Now().In(x.Zone)
	p := todayPage{base: x.base(part.Heading{
		Trail: []part.Link{{Words: now.Format("Monday, 2 January 2006")}},
		Title: x.text("today."+partOfDay(now.Hour()), "name", first),
	})}
	work, err := x.myTasks()
	if err != nil {
		return err
	}
	p.Work, p.Booked = work, work != nil
	if p.Kept == nil && len(work) > 0 {
		p.Heading.Lead = x.text("today.booked", "n", len(work))
	} else if p.Kept == nil {
		p.Heading.Lead = x.text("today.nothing")
	} else {
		p.Heading.Lead = x.text("today.something")
	}
	for _, r := range []struct {
		act       access.Act
		href, key string
	}{
		{access.SeeRegister, "/clients", "clients"}, {access.ChangeClient, "/clients/new", "add-client"},
		{access.SeePeople, "/people", "people"}, {access.SeeAudit, "/audit", "audit"}, {access.SignedIn, "/account", "account"},
	} {
		if access.Allowed(x.actor, r.act) {
			p.Rows = append(p.Rows, part.Row{Href: r.href, Name: x.text("today.go-" + r.key), More: x.text("today.go-" + r.key + "-more")})
		}
	}
	return x.page(http.StatusOK, "today", p)
}

func partOfDay(hour int) string {
	switch {
	case hour < 12:
		return "morning"
	case hour < 18:
		return "afternoon"
	}
	return "evening"
}
