package main

import (
	"net"
	"net/url"
	"strings"
)

// Config is every setting of the program, from one of four places: a flag goes before an
// environment variable, that before the configuration file, that before the default.
// "rillmark help config" prints the table below. Secrets come from files alone: what
// stands on a command line or in an environment is read by others.
type Config struct {
	Listen               string
	PublicURL            string
	DatabaseURL          string
	DatabasePasswordFile string
	OwnerURL             string
	OwnerPasswordFile    string
	AdminURL             string
	AdminPasswordFile    string
	PortalURL            string
	PortalPasswordFile   string
	ReaderPasswordFile   string
	Company              string
	CompanyAddress       string
	CompanyContact       string
	TimeZone             string
	TrustedProxies       string
	DataDir              string
	PostgresDir          string
	LogLevel             string
	LogFormat            string
}

// setting is one line of the table. Its names follow from one: --database-url on the
// command line, RILLMARK_DATABASE_URL in the environment, database_url in the file.
type setting struct {
	name  string
	def   string // the default, "" none
	what  string
	field func(*Config) *string
	form  string // what a value must look like, said when it does not
	check func(string) bool
}

// configFlag names the file of settings; it is no setting of its own.
const configFlag = "config"

var settings = []setting{
	{name: "listen", def: "127.0.0.1:8080", what: "address the server listens on",
		field: func(c *Config) *string { return &c.Listen }, form: "HOST:PORT", check: isHostPort},
	{name: "public-url", what: "address by which people reach the server, as in https://rillmark.example; none: http:// and the address it listens on",
		field: func(c *Config) *string { return &c.PublicURL }, form: "https://HOST or http://HOST:PORT, without a path", check: isPublicURL},
	{name: "database-url", what: "address of the database for the application, as in postgres://rillmark_app@HOST:5432/rillmark",
		field: func(c *Config) *string { return &c.DatabaseURL }, form: databaseForm, check: isDatabaseURL},
	{name: "database-password-file", what: "file that holds the application's password for it",
		field: func(c *Config) *string { return &c.DatabasePasswordFile }},
	{name: "owner-database-url", what: "the same database for its owner, needed to migrate; with it, serve migrates at its start",
		field: func(c *Config) *string { return &c.OwnerURL }, form: databaseForm, check: isDatabaseURL},
	{name: "owner-password-file", what: "file that holds the owner's password",
		field: func(c *Config) *string { return &c.OwnerPasswordFile }},
	{name: "admin-database-url", what: "address of somebody who may make roles and databases, for database init",
		field: func(c *Config) *string { return &c.AdminURL }, form: databaseForm, check: isDatabaseURL},
	{name: "admin-password-file", what: "file that holds the administrator's password",
		field: func(c *Config) *string { return &c.AdminPasswordFile }},
	{name: "portal-database-url", what: "the same database for the clients' role, which answers the public check page; none: the application's role does",
		field: func(c *Config) *string { return &c.PortalURL }, form: databaseForm, check: isDatabaseURL},
	{name: "portal-password-file", what: "file with the password of the clients' role, which database init gives it",
		field: func(c *Config) *string { return &c.PortalPasswordFile }},
	{name: "read-password-file", what: "file with the password that database init gives to the reading role",
		field: func(c *Config) *string { return &c.ReaderPasswordFile }},
	{name: "company", what: "the service company's name, on certificates and in the foot of pages",
		field: func(c *Config) *string { return &c.Company }},
	{name: "company-address", what: "its address on certificates, with semicolons between the lines; none: nothing can be issued",
		field: func(c *Config) *string { return &c.CompanyAddress }},
	{name: "company-contact", what: "how clients reach it, on certificates",
		field: func(c *Config) *string { return &c.CompanyContact }},
	{name: "time-zone", def: "UTC", what: "the company's time zone by its IANA name, as in Europe/London",
		field: func(c *Config) *string { return &c.TimeZone }, form: "an IANA name such as Europe/London", check: isZone},
	{name: "trusted-proxies", what: "addresses or networks, with commas between, whose X-Forwarded-For is believed; none: the sender's own address counts",
		field: func(c *Config) *string { return &c.TrustedProxies }, form: "addresses such as 10.0.0.2 or networks such as 10.0.0.0/24", check: isNetworks},
	{name: "data-dir", what: "folder of the demo's own database; none: /var/lib/rillmark/demo for root, rillmark/demo in the user's data folder for others",
		field: func(c *Config) *string { return &c.DataDir }},
	{name: "postgres-dir", what: "folder with PostgreSQL's programs for the demo; none: the newest of the usual places, then PATH",
		field: func(c *Config) *string { return &c.PostgresDir }},
	{name: "log-level", what: "least level that is logged: debug, info, warn or error; none: info, for the demo warn",
		field: func(c *Config) *string { return &c.LogLevel }, form: "debug, info, warn or error",
		check: func(s string) bool { return oneOf(s, "debug", "info", "warn", "error") }},
	{name: "log-format", def: "text", what: "form of the log: text or json",
		field: func(c *Config) *string { return &c.LogFormat }, form: "text or json",
		check: func(s string) bool { return oneOf(s, "text", "json") }},
}

const databaseForm = "postgres://USER@HOST:5432/NAME"

func (s setting) variable() string { return variableOf(s.name) }

func (s setting) key() string { return strings.ReplaceAll(s.name, "-", "_") }

func variableOf(name string) string {
	return "RILLMARK_" + strings.ToUpper(strings.ReplaceAll(name, "-", "_"))
}

func (s setting) usedBy(c command) bool { return oneOf(s.name, c.settings...) }

func oneOf(text string, of ...string) bool {
	for _, o := range of {
		if text == o {
			return true
		}
	}
	return false
}

func isHostPort(text string) bool {
	_, port, err := net.SplitHostPort(text)
	if err != nil {
		return false
	}
	_, err = net.LookupPort("tcp", port)
	return err == nil
}

func isPublicURL(text string) bool {
	u, err := url.Parse(text)
	return err == nil && oneOf(u.Scheme, "http", "https") && u.Host != "" && u.User == nil &&
		oneOf(u.Path, "", "/") && u.RawQuery == "" && u.Fragment == ""
}

func isDatabaseURL(text string) bool {
	u, err := url.Parse(text)
	return err == nil && oneOf(u.Scheme, "postgres", "postgresql") && len(u.Path) > 1
}
