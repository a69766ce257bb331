// Package webtest is what tests of pages need: a checker of HTML, a client that keeps
// cookies and follows forms, and a real browser. Production code cannot import it.
package webtest

import (
	"context"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// places are where Chromium or a browser of its family usually is.
var places = []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable",
	"/usr/lib/chromium/chromium", "/snap/bin/chromium",
	"/Applications/Chromium.app/Contents/MacOS/Chromium", "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"}

var browser struct {
	sync.Mutex
	root context.Context
	stop []context.CancelFunc
	err  error
}

// Open starts the one browser of the test binary if it does not run yet, and gives the
// test a page of its own, with its own cookies, at the size. Without a browser on the
// machine the test is skipped, but fails where CI is "true". End the browser with Close.
func Open(t testing.TB, size Size) *Page {
	t.Helper()
	root := launch(t)
	ctx, cancel := chromedp.NewContext(root, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("open a page: %v", err)
	}
	p := &Page{t: t, ctx: ctx, limit: 20 * time.Second}
	p.listen()
	p.Resize(size)
	return p
}

// Close ends the browser. Call it once at the end of TestMain; without a browser it does
// nothing.
func Close() {
	browser.Lock()
	defer browser.Unlock()
	for i := len(browser.stop) - 1; i >= 0; i-- {
		browser.stop[i]()
	}
	browser.root, browser.stop = nil, nil
}

func launch(t testing.TB) context.Context {
	t.Helper()
	path := find()
	if path == "" {
		if os.Getenv("CI") == "true" {
			t.Fatal("no Chromium on this machine, and CI must have one: apt-get install chromium")
		}
		t.Skip("no Chromium on this machine: apt-get install chromium")
	}
	browser.Lock()
	defer browser.Unlock()
	if browser.root == nil && browser.err == nil {
		browser.root, browser.err = start(path)
	}
	if browser.err != nil {
		t.Fatalf("start %s: %v", path, browser.err)
	}
	return browser.root
}

func find() string {
	if named := os.Getenv("RILLMARK_CHROMIUM"); named != "" {
		return named
	}
	for _, p := range places {
		if found, err := exec.LookPath(p); err == nil {
			return found
		}
	}
	return ""
}

func start(path string) (context.Context, error) {
	options := []chromedp.ExecAllocatorOption{
		chromedp.ExecPath(path), chromedp.Headless, chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("disable-dev-shm-usage", true), chromedp.Flag("hide-scrollbars", true),
		chromedp.Flag("font-render-hinting", "none"),
	}
	if os.Getuid() == 0 {
		options = append(options, chromedp.NoSandbox) // Chromium refuses its sandbox as root
	}
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), options...)
	root, stopRoot := chromedp.NewContext(alloc)
	if err := chromedp.Do(root); err != nil {
		stopRoot()
		stopAlloc()
		return nil, err
	}
	browser.stop = append(browser.stop, stopAlloc, stopRoot)
	return root, nil
}
