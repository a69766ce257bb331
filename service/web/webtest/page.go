package webtest

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Size is a window in CSS pixels.
type Size struct {
	Width, Height int64
	Mobile        bool
	Name          string
}

// The sizes at which pages are looked at. Narrow is the least width without a scroll bar.
var (
	Phone  = Size{390, 844, true, "phone"}
	Desk   = Size{1440, 900, false, "desk"}
	Narrow = Size{320, 640, true, "narrow"}
)

// Page is one tab with cookies of its own. Its methods fail the test on an error.
type Page struct {
	t     testing.TB
	ctx   context.Context
	limit time.Duration

	mu   sync.Mutex
	said []string
}

func (p *Page) listen() {
	err := chromedp.Listen(p.ctx, func(event any) {
		p.mu.Lock()
		defer p.mu.Unlock()
		switch e := event.(type) {
		case *log.EventEntryAdded:
			if e.Entry.Level == log.EntryLevelError {
				p.said = append(p.said, e.Entry.Text+" "+e.Entry.URL)
			}
		case *runtime.EventExceptionThrown:
			p.said = append(p.said, e.ExceptionDetails.Text)
		}
	})
	if err != nil {
		p.t.Fatalf("listen to the page: %v", err)
	}
}

// Complaints returns what the browser has logged as errors since the last call: broken
// scripts, refused styles, policy violations, answers of 400 and more.
func (p *Page) Complaints() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	said := p.said
	p.said = nil
	return said
}

func (p *Page) do(what string, steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, p.limit)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.t.Fatalf("%s (at %s): %v", what, p.where(), err)
	}
}

func (p *Page) where() string {
	ctx, cancel := context.WithTimeout(p.ctx, time.Second)
	defer cancel()
	at, _ := chromedp.Run(ctx, chromedp.Location())
	return at
}

// Resize gives the window another size.
func (p *Page) Resize(size Size) {
	p.t.Helper()
	if _, err := chromedp.Call(p.ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: size.Width, Height: size.Height, DeviceScaleFactor: 1, Mobile: size.Mobile}); err != nil {
		p.t.Fatalf("resize: %v", err)
	}
}

// Prefer sets a media feature, such as prefers-color-scheme to dark, or the media type
// when the feature is "media".
func (p *Page) Prefer(feature, value string) {
	p.t.Helper()
	params := emulation.SetEmulatedMediaParams{}
	if feature == "media" {
		params.Media = value
	} else {
		params.Features = []*emulation.MediaFeature{{Name: feature, Value: value}}
	}
	if _, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, params); err != nil {
		p.t.Fatalf("prefer %s: %v", feature, err)
	}
}

// Go opens an address.
func (p *Page) Go(address string) {
	p.t.Helper()
	p.do("go to "+address, chromedp.Navigate(address))
	p.settle()
}

// Back goes back by the browser's history and waits for the page.
func (p *Page) Back() {
	p.t.Helper()
	Eval[bool](p, `window.pressed = true, setTimeout(() => history.back(), 0), true`)
	p.await("the page before", `!window.pressed && document.readyState === "complete"`)
	p.settle()
}

// At returns the path and query of the page's address.
func (p *Page) At() string {
	p.t.Helper()
	return Eval[string](p, `location.pathname + location.search`)
}

// Type puts text into the field, instead of what was there, key by key.
func (p *Page) Type(selector, text string) {
	p.t.Helper()
	p.do("type into "+selector, chromedp.Clear(chromedp.CSS(selector)), chromedp.SendKeys(chromedp.CSS(selector), text))
}

// Set gives a control a value at once: a list that opens, a long text.
func (p *Page) Set(selector, value string) {
	p.t.Helper()
	p.do("set "+selector, chromedp.SetValue(chromedp.CSS(selector), value))
}

// Tick presses a control that stays on the page.
func (p *Page) Tick(selector string) {
	p.t.Helper()
	p.do("tick "+selector, chromedp.Click(chromedp.CSS(selector)))
}

// Press presses a link or button and waits for the page that follows.
func (p *Page) Press(selector string) {
	p.t.Helper()
	Eval[bool](p, `window.pressed = true`)
	p.do("press "+selector, chromedp.ScrollIntoView(chromedp.CSS(selector)), chromedp.Click(chromedp.CSS(selector)))
	p.await("the page after pressing "+selector, `!window.pressed && document.readyState === "complete"`)
	p.settle()
}

// Words presses the link or button that holds the words and waits for what follows.
func (p *Page) Words(words string) {
	p.t.Helper()
	quoted, _ := json.Marshal(words)
	marked := Eval[bool](p, fmt.Sprintf(`(() => {
		const hits = [...document.querySelectorAll("a, button")].filter(e => e.innerText.replace(/\s+/g, " ").trim().startsWith(%s));
		document.querySelectorAll("[data-pressing]").forEach(e => e.removeAttribute("data-pressing"));
		if (hits.length) hits[0].setAttribute("data-pressing", "yes");
		return hits.length > 0;
	})()`, quoted))
	if !marked {
		p.t.Fatalf("nothing to press says %q at %s:\n%s", words, p.where(), p.Text("body"))
	}
	p.Press("[data-pressing]")
}

// Text returns the visible text of the first element.
func (p *Page) Text(selector string) string {
	p.t.Helper()
	quoted, _ := json.Marshal(selector)
	return Eval[string](p, fmt.Sprintf(`(document.querySelector(%s) || {innerText: ""}).innerText`, quoted))
}

// Value returns the value of a control.
func (p *Page) Value(selector string) string {
	p.t.Helper()
	quoted, _ := json.Marshal(selector)
	return Eval[string](p, fmt.Sprintf(`(document.querySelector(%s) || {value: ""}).value || ""`, quoted))
}

// Keys sends keys to whatever has the focus; see chromedp/kb for those without a letter.
func (p *Page) Keys(keys string) {
	p.t.Helper()
	p.do("press keys", chromedp.KeyEvent(keys))
}

// Send sends keys that lead to another page, and waits for it.
func (p *Page) Send(keys string) {
	p.t.Helper()
	Eval[bool](p, `window.pressed = true`)
	p.Keys(keys)
	p.await("the page after the keys", `!window.pressed && document.readyState === "complete"`)
	p.settle()
}

// Shot writes a picture of the whole page to folder/name.png and returns its path.
func (p *Page) Shot(folder, name string) string {
	p.t.Helper()
	whole := true
	size, err := chromedp.Call(p.ctx, page.GetLayoutMetrics, struct{}{})
	if err != nil {
		p.t.Fatalf("measure the page: %v", err)
	}
	shot, err := chromedp.Call(p.ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{CaptureBeyondViewport: &whole,
		Clip: &page.Viewport{Width: size.CSSContentSize.Width, Height: size.CSSContentSize.Height, Scale: 1}})
	if err != nil {
		p.t.Fatalf("take a picture: %v", err)
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		p.t.Fatal(err)
	}
	path := filepath.Join(folder, strings.ReplaceAll(name, "/", "-")+".png")
	if err := os.WriteFile(path, []byte(shot.Data), 0o644); err != nil {
		p.t.Fatal(err)
	}
	return path
}

// Eval returns the value of an expression of JavaScript in the page.
func Eval[T any](p *Page, expression string) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, p.limit)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.t.Fatalf("evaluate %s: %v", expression, err)
	}
	return v
}

// settle waits for what the page loads: document and fonts.
func (p *Page) settle() {
	p.t.Helper()
	p.await("the page to be ready", `document.readyState === "complete" && document.fonts.status === "loaded"`)
}

// await asks until the condition holds. A page that is being left answers with an error
// for a moment, so errors count as "not yet".
func (p *Page) await(what, condition string) {
	p.t.Helper()
	deadline := time.Now().Add(p.limit)
	for {
		ctx, cancel := context.WithTimeout(p.ctx, time.Second)
		holds, err := chromedp.Run(ctx, chromedp.Evaluate[bool](condition))
		cancel()
		if err == nil && holds {
			return
		}
		if time.Now().After(deadline) {
			p.t.Fatalf("waited %v for %s (at %s): %v", p.limit, what, p.where(), err)
		}
		time.Sleep(20 * time.Millisecond)
	}
}
