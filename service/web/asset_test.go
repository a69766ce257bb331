package web

import (
	"bytes"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"rillmark/templates"
)

func TestAssetsAreServedForEver(t *testing.T) {
	a, err := openAssets(templates.Files)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"look.css", "script/form.js", "mark/icon.svg", "font/b612-latin-400-normal.woff2", "font/b612.OFL.txt"} {
		address, err := a.href(name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		w := httptest.NewRecorder()
		if !a.serve(w, httptest.NewRequest(http.MethodGet, address, nil)) {
			t.Errorf("%s is not served", address)
		}
		if cache := w.Header().Get("Cache-Control"); !strings.Contains(cache, "immutable") || w.Header().Get("Content-Type") == "" || w.Body.Len() == 0 {
			t.Errorf("%s: %v, %d bytes", address, w.Header(), w.Body.Len())
		}
	}
	if a.serve(httptest.NewRecorder(), httptest.NewRequest(http.MethodGet, "/asset/look.css", nil)) {
		t.Error("a name without its hash is served, and would be kept for ever")
	}
	if _, err := a.href("no/such"); err == nil {
		t.Error("an unknown asset has an address")
	}
}

func TestStyleSheetRefersToWhatIsServed(t *testing.T) {
	a, err := openAssets(templates.Files)
	if err != nil {
		t.Fatal(err)
	}
	sheet := a.content[a.address["look.css"]].plain
	urls := regexp.MustCompile(`url\("([^"]*)"\)`).FindAllSubmatch(sheet, -1)
	if len(urls) < 10 {
		t.Fatalf("the style sheet has %d references", len(urls))
	}
	for _, u := range urls {
		if _, served := a.content[string(u[1])]; !served {
			t.Errorf("%s is not served", u[1])
		}
	}
}

func TestAssetsRefuse(t *testing.T) {
	whole := func() fstest.MapFS {
		fsys := fstest.MapFS{}
		for _, s := range sheets {
			fsys["asset/style/"+s+".css"] = &fstest.MapFile{Data: []byte("a{}")}
		}
		return fsys
	}
	if _, err := openAssets(whole()); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(fstest.MapFS){
		"lost reference": func(f fstest.MapFS) {
			f["asset/style/base.css"] = &fstest.MapFile{Data: []byte(`a{background:url("gone.svg")}`)}
		},
		"lost sheet":         func(f fstest.MapFS) { delete(f, "asset/style/base.css") },
		"unknown media type": func(f fstest.MapFS) { f["asset/x.exe"] = &fstest.MapFile{} },
	} {
		fsys := whole()
		spoil(fsys)
		if _, err := openAssets(fsys); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestPackedIsSmallerAndAsked(t *testing.T) {
	a, err := openAssets(templates.Files)
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodGet, a.address["look.css"], nil)
	r.Header.Set("Accept-Encoding", "gzip")
	packed, plain := httptest.NewRecorder(), httptest.NewRecorder()
	a.serve(packed, r)
	a.serve(plain, httptest.NewRequest(http.MethodGet, a.address["look.css"], nil))
	if packed.Header().Get("Content-Encoding") != "gzip" || packed.Body.Len()*2 > plain.Body.Len() {
		t.Errorf("packed %d bytes, plain %d: %v", packed.Body.Len(), plain.Body.Len(), packed.Header())
	}
	if plain.Header().Get("Content-Encoding") != "" || bytes.Equal(packed.Body.Bytes(), plain.Body.Bytes()) {
		t.Error("the plain answer is packed")
	}
}

// TestContrast holds the colours to 7:1 (WCAG 2.2, 1.4.6) on every ground they stand on,
// by day and by night, and lines that tell a control to 3:1 (1.4.11).
func TestContrast(t *testing.T) {
	tokens, err := templates.Files.ReadFile("asset/style/token.css")
	if err != nil {
		t.Fatal(err)
	}
	day, night, found := strings.Cut(string(tokens), "prefers-color-scheme: dark")
	if !found {
		t.Fatal("no colours for the night")
	}
	for name, block := range map[string]string{"day": day, "night": night} {
		colour := map[string]float64{}
		for _, m := range regexp.MustCompile(`--([a-z0-9-]+): #([0-9a-f]{6});`).FindAllStringSubmatch(block, -1) {
			colour[m[1]] = luminance(t, m[2])
		}
		for _, pair := range []struct {
			front, back string
			least       float64
		}{
			{"ink", "paper", 7}, {"ink", "sheet", 7}, {"ink", "band", 7}, {"ink-2", "paper", 7}, {"ink-2", "sheet", 7}, {"ink-2", "band", 7},
			{"signal", "paper", 7}, {"signal", "sheet", 7}, {"sheet", "ink", 7}, {"sheet", "ink-2", 7}, {"rule-2", "paper", 3},
		} {
			if got := contrast(colour[pair.front], colour[pair.back]); got < pair.least || got > 21 {
				t.Errorf("%s: %s on %s has contrast %.2f, want %g", name, pair.front, pair.back, got, pair.least)
			}
		}
	}
}

// luminance is the relative luminance of WCAG 2.2 of a colour written in six hex digits.
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	var sum float64
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		if err != nil {
			t.Fatal(fmt.Errorf("colour %s: %w", hex, err))
		}
		v := float64(n) / 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		sum += weight * v
	}
	return sum
}

func contrast(a, b float64) float64 { return (math.Max(a, b) + 0.05) / (math.Min(a, b) + 0.05) }
