package webtest

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// Client talks to a server like a browser without scripts: it keeps cookies, says where
// it comes from, and sends forms as they stand on the page. It follows no redirect, so
// that a test sees each one.
type Client struct {
	t    testing.TB
	base string
	http *http.Client
}

// Answer is what came back.
type Answer struct {
	Status   int
	Location string
	Header   http.Header
	Body     string
	Doc      *html.Node // of a page; nil of anything else
	t        testing.TB
}

// NewClient makes a client for the server at the address, without cookies.
func NewClient(t testing.TB, address string) *Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &Client{t: t, base: address, http: &http.Client{Jar: jar,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
}

// Cookies returns the cookies that the client would send.
func (c *Client) Cookies() []*http.Cookie {
	u, err := url.Parse(c.base)
	if err != nil {
		c.t.Fatal(err)
	}
	return c.http.Jar.Cookies(u)
}

// Do sends a request that the test has made.
func (c *Client) Do(r *http.Request) Answer {
	c.t.Helper()
	res, err := c.http.Do(r)
	if err != nil {
		c.t.Fatalf("%s %s: %v", r.Method, r.URL, err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		c.t.Fatalf("%s %s: %v", r.Method, r.URL, err)
	}
	a := Answer{Status: res.StatusCode, Location: res.Header.Get("Location"), Header: res.Header, Body: string(body), t: c.t}
	if strings.HasPrefix(res.Header.Get("Content-Type"), "text/html") && len(body) > 0 {
		if a.Doc, err = html.Parse(bytes.NewReader(body)); err != nil {
			c.t.Fatalf("%s %s: %v", r.Method, r.URL, err)
		}
	}
	return a
}

// Request makes a request to a path.
func (c *Client) Request(method, path string, body io.Reader) *http.Request {
	c.t.Helper()
	r, err := http.NewRequestWithContext(c.t.Context(), method, c.base+path, body)
	if err != nil {
		c.t.Fatal(err)
	}
	r.Header.Set("Accept", "text/html")
	return r
}

// Get asks for a page.
func (c *Client) Get(path string) Answer {
	c.t.Helper()
	return c.Do(c.Request(http.MethodGet, path, nil))
}

// Post sends fields as a form from a page of the same origin.
func (c *Client) Post(path string, form url.Values) Answer {
	c.t.Helper()
	r := c.Request(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", c.base)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return c.Do(r)
}

// PostJSON sends a JSON text as a program would.
func (c *Client) PostJSON(path, body string) Answer {
	c.t.Helper()
	r := c.Request(http.MethodPost, path, strings.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Accept", "application/json")
	return c.Do(r)
}

// Submit sends the form on the page that posts to the action, changed by the fields.
func (c *Client) Submit(page Answer, action string, changes url.Values) Answer {
	c.t.Helper()
	form := page.Form(action)
	for name, values := range changes {
		form[name] = values
	}
	return c.Post(action, form)
}

// Form returns the fields of the page's form that posts to the action, as they stand.
func (a Answer) Form(action string) url.Values {
	a.t.Helper()
	if a.Doc == nil {
		a.t.Fatalf("the answer (%d) is no page: %s", a.Status, shortened(a.Body))
	}
	found := All(a.Doc, fmt.Sprintf(`form[action="%s"]`, action))
	if len(found) == 0 {
		a.t.Fatalf("no form on the page (%d) goes to %s: %s", a.Status, action, shortened(Words(a.Doc)))
	}
	return fieldsOf(found[0])
}

func fieldsOf(form *html.Node) url.Values {
	fields := url.Values{}
	for n := range form.Descendants() {
		name := Attr(n, "name")
		if n.Type != html.ElementNode || name == "" {
			continue
		}
		switch n.Data {
		case "input":
			kind := Attr(n, "type")
			_, checked := lookup(n, "checked")
			if kind == "radio" || kind == "checkbox" {
				if checked {
					fields.Add(name, Attr(n, "value"))
				}
				continue
			}
			fields.Add(name, Attr(n, "value"))
		case "textarea":
			fields.Add(name, strings.TrimPrefix(content(n), "\n"))
		case "select":
			fields.Add(name, chosen(n))
		}
	}
	return fields
}

// chosen is the value of a list that opens: its first option where none is marked, as a
// browser has it (HTML, 4.10.7).
func chosen(n *html.Node) string {
	options := All(n, "option")
	for _, o := range options {
		if _, selected := lookup(o, "selected"); selected {
			return Attr(o, "value")
		}
	}
	if len(options) == 0 {
		return ""
	}
	return Attr(options[0], "value")
}

func content(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

// Want holds the answer to a status and its page to checks.
func (a Answer) Want(status int, checks ...Check) Answer {
	a.t.Helper()
	if a.Status != status {
		a.t.Errorf("status %d, want %d (location %q): %s", a.Status, status, a.Location, shortened(a.Body))
	}
	if len(checks) == 0 {
		return a
	}
	if a.Doc == nil {
		a.t.Errorf("the answer is no page: %s", shortened(a.Body))
		return a
	}
	if err := every(a.Doc, checks); err != nil {
		a.t.Error(err)
	}
	return a
}
