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
	root  context.Context
	stop  []context.CancelFunc
	pages int
}

// Open gives the test a page of its own, with its own cookies, at the size. All pages
// that are open at one time share one browser; it ends with the last of them, so tests
// that belong together are best subtests of one that keeps a page open. Without a browser
// on the machine the test is skipped, but fails where CI is "true".
func Open(t testing.TB, size Size) *Page {
	t.Helper()
	root := launch(t)
	t.Cleanup(leave)
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

// leave ends the browser after its last page.
func leave() {
	browser.Lock()
	defer browser.Unlock()
	if browser.pages--; browser.pages > 0 {
		return
	}
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
	if browser.root == nil {
		root, err := start(path)
		if err != nil {
			t.Fatalf("start %s: %v", path, err)
		}
		browser.root = root
	}
	browser.pages++
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
