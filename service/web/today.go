package web

import (
	"net/http"
	"strings"
	"time"

	"rillmark/domain/access"
	"rillmark/service/web/part"
)

type todayPage struct {
	base
	Parts []stretch // what needs the person, the nearest first
	Rows  []part.Row
}

// today says what needs the person now, each line leading to the act, and where they can go.
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
	var err error
	if p.Parts, err = x.needed(midnight(now)); err != nil {
		return err
	}
	p.Heading.Lead = x.todayLead(p)
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

// midnight is when the day began.
func midnight(now time.Time) time.Time {
	return time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
}

// todayLead counts what waits.
func (x *exchange) todayLead(p todayPage) string {
	n := 0
	for _, s := range p.Parts {
		if s.Calendar {
			continue // it is said, and asks nothing of anybody yet
		}
		for _, r := range s.Rows {
			if !r.Done {
				n++
			}
		}
	}
	switch {
	case n > 0:
		return x.text("today.waiting", "n", n)
	case p.Kept != nil:
		return x.text("today.something")
	}
	return x.text("today.nothing")
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
