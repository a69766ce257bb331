package web

import (
	"net/http"
	"strings"

	"rillmark/domain"
	"rillmark/service/web/part"
)

// sessionLine is one login in a list, with the button that ends it.
type sessionLine struct {
	ID     string
	Device string
	More   string
	Own    bool // the one that asks
	End    string
}

func (x *exchange) sessions(of domain.PersonID) ([]sessionLine, error) {
	list, err := x.Accounts.Sessions(x.ctx(), x.actor, of)
	if err != nil {
		return nil, err
	}
	lines := make([]sessionLine, len(list))
	for i, s := range list {
		lines[i] = sessionLine{ID: s.ID.String(), Device: x.device(s.Agent), Own: s.ID == x.actor.Session, End: x.text("sessions.end"),
			More: x.text("sessions.more", "since", x.when(s.CreatedAt), "seen", x.when(s.SeenAt), "address", s.Address)}
	}
	return lines, nil
}

// device names a browser from what it calls itself, well enough to know one's own.
func (x *exchange) device(agent string) string {
	find := func(marks ...string) string {
		for i := 0; i < len(marks); i += 2 {
			if strings.Contains(agent, marks[i]) {
				return marks[i+1]
			}
		}
		return ""
	}
	browser := find("Firefox/", "Firefox", "Edg/", "Edge", "OPR/", "Opera", "Chrom", "Chrome", "Safari/", "Safari")
	system := find("Android", "Android", "iPhone", "iPhone", "iPad", "iPad", "Windows", "Windows", "Mac OS", "Mac", "Linux", "Linux")
	if browser == "" || system == "" {
		return x.text("sessions.unknown-device")
	}
	return x.text("sessions.device", "browser", browser, "system", system)
}

// ending names the session to be ended; without one all others are.
type ending struct {
	Session domain.SessionID `form:"session"`
}

func (w *Web) endSessions(x *exchange) error {
	who, err := x.pathPerson()
	if err != nil {
		return err
	}
	return x.end(who.ID, "/people/"+who.ID.String())
}

func (w *Web) endOwnSessions(x *exchange) error { return x.end(x.actor.Person, "/account") }

func (x *exchange) end(of domain.PersonID, to string) error {
	var c ending
	if _, err := x.bind(&c); err != nil {
		return err
	}
	if err := x.Accounts.Revoke(x.ctx(), x.actor, of, c.Session); err != nil {
		return err
	}
	return x.done(to, "sessions.ended", http.StatusOK, map[string]string{"person": of.String()})
}

type accountPage struct {
	base
	Facts    []part.Fact
	Sessions []sessionLine
	EndAt    string
	EndAll   string
	Acts     []part.Button
	Logout   part.Button
}

func (w *Web) ownAccount(x *exchange) error {
	me := x.visitor.Person
	p := accountPage{base: x.base(part.Heading{Title: me.Name, Lead: x.roles(me.Roles)}),
		Facts: []part.Fact{{Word: x.text("label.person.login"), Text: me.Login}, {Word: x.text("label.person.lengths"), Text: x.text("lengths." + string(me.Lengths))}},
		EndAt: "/account/sessions", EndAll: x.text("sessions.end-others"),
		Acts: []part.Button{{Deed: x.text("password.title"), Href: "/account/password", Second: true},
			{Deed: x.text("lengths.title"), Href: "/account/lengths", Second: true}},
		Logout: part.Button{Deed: x.text("account.logout"), Second: true}}
	var err error
	if p.Sessions, err = x.sessions(me.ID); err != nil {
		return err
	}
	return x.page(http.StatusOK, "account", p)
}
