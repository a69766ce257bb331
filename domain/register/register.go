// Package register holds the standing facts: clients, their sites, the measuring points
// there, the meters with the ways in which they show their flow, and which meter was where
// from when to when. It says what a valid one is; who may change it is domain/access, and
// keeping it is service/registry.
package register

import (
	"time"

	"rillmark/domain"
)

// Client is a customer of the company.
type Client struct {
	ID           domain.ClientID `db:"id"`
	Name         string          `db:"name" audit:"text"`
	Address      string          `db:"address" audit:"text"`
	ContactName  string          `db:"contact_name" audit:"private"`
	ContactEmail string          `db:"contact_email" audit:"private"`
	ContactPhone string          `db:"contact_phone" audit:"private"`
	Note         string          `db:"note" audit:"text"`
	Version      int64           `db:"version"`
	CreatedAt    time.Time       `db:"created_at"`
	ChangedAt    time.Time       `db:"changed_at"`
}

// Tidy returns the client with its texts in the form in which they are kept.
func (c Client) Tidy() Client {
	c.Name, c.Address = domain.Line(c.Name), domain.Lines(c.Address)
	c.ContactName, c.ContactEmail = domain.Line(c.ContactName), domain.Line(c.ContactEmail)
	c.ContactPhone, c.Note = domain.Line(c.ContactPhone), domain.Lines(c.Note)
	return c
}

// Validate returns every problem of the client, keyed by field.
func (c Client) Validate() error {
	var check domain.Check
	check.Line("name", c.Name, 200, true)
	check.Lines("address", c.Address, 1000, false)
	check.Line("contact_name", c.ContactName, 200, false)
	check.Line("contact_email", c.ContactEmail, 254, false)
	if c.ContactEmail != "" && !plausibleEmail(c.ContactEmail) {
		check.Add(EmailForm.At("contact_email"))
	}
	check.Line("contact_phone", c.ContactPhone, 60, false)
	check.Lines("note", c.Note, 4000, false)
	return check.Err()
}

// Site is one of a client's places.
type Site struct {
	ID         domain.SiteID   `db:"id"`
	ClientID   domain.ClientID `db:"client_id"`
	Name       string          `db:"name" audit:"text"`
	Address    string          `db:"address" audit:"text"`
	TimeZone   string          `db:"time_zone" audit:"text"` // IANA name
	AccessNote string          `db:"access_note" audit:"text"`
	SafetyNote string          `db:"safety_note" audit:"text"`
	Version    int64           `db:"version"`
	CreatedAt  time.Time       `db:"created_at"`
	ChangedAt  time.Time       `db:"changed_at"`
}

// Tidy returns the site with its texts in the form in which they are kept.
func (s Site) Tidy() Site {
	s.Name, s.Address, s.TimeZone = domain.Line(s.Name), domain.Lines(s.Address), domain.Line(s.TimeZone)
	s.AccessNote, s.SafetyNote = domain.Lines(s.AccessNote), domain.Lines(s.SafetyNote)
	return s
}

// Validate returns every problem of the site, keyed by field.
func (s Site) Validate() error {
	var check domain.Check
	check.Line("name", s.Name, 200, true)
	check.Lines("address", s.Address, 1000, false)
	check.Line("time_zone", s.TimeZone, 64, true)
	if !zoneKnown(s.TimeZone) {
		check.Add(ZoneUnknown.At("time_zone", s.TimeZone))
	}
	check.Lines("access_note", s.AccessNote, 4000, false)
	check.Lines("safety_note", s.SafetyNote, 4000, false)
	return check.Err()
}
