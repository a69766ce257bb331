package document_test

import (
	"bytes"
	"encoding/base64"
	"flag"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/certificate"
	"rillmark/service/document"
	"rillmark/service/document/layout1"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func render(t testing.TB, s certificate.Snapshot) []byte {
	t.Helper()
	pdf, err := document.Render(s)
	if err != nil {
		t.Fatal(err)
	}
	return pdf
}

// pageText is what a reader's program takes from the pages.
func pageText(t testing.TB, pdf []byte) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("pdftotext is missing; install poppler-utils")
		}
		t.Skip("pdftotext is missing")
	}
	command := exec.Command(tool, "-layout", "-enc", "UTF-8", "-", "-")
	command.Stdin = bytes.NewReader(pdf)
	var complaint bytes.Buffer
	command.Stderr = &complaint
	text, err := command.Output()
	if err != nil || complaint.Len() > 0 {
		t.Fatalf("pdftotext: %v, %s", err, complaint.String())
	}
	return string(text)
}

// TestText holds every word of the six documents.
func TestText(t *testing.T) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := pageText(t, render(t, c.make(t)))
			path := filepath.Join(samples, "certificate", c.name+".txt")
			if *update {
				if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			// Versions of the tool space columns differently; the words are held, in order.
			if g, w := strings.Fields(got), strings.Fields(string(want)); !equal(t, g, w) {
				t.Errorf("the pages say other things than %s", path)
			}
		})
	}
}

func equal(t *testing.T, got, want []string) bool {
	t.Helper()
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			t.Logf("from word %d: got %q, want %q", i, part(got, i), part(want, i))
			return false
		}
	}
	return true
}

func part(words []string, i int) string {
	return strings.Join(words[min(max(0, i-3), len(words)):min(len(words), i+6)], " ")
}

// TestSnapshot holds the canonical form of one document: what is stored and hashed.
func TestSnapshot(t *testing.T) {
	got, err := cases[0].make(t).Canonical()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(samples, "certificate", cases[0].name+".json")
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("the snapshot is not that of %s", path)
	}
}

// TestTheStoredSnapshotIsEnough: the pages from what is stored are those from what was
// built, byte for byte.
func TestTheStoredSnapshotIsEnough(t *testing.T) {
	stored, err := os.ReadFile(filepath.Join(samples, "certificate", cases[0].name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := certificate.Parse(stored)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(render(t, s), render(t, cases[0].make(t))) {
		t.Error("the stored snapshot gives other pages")
	}
}

// TestSameBytes renders each document four times, by several goroutines at once.
func TestSameBytes(t *testing.T) {
	for _, c := range cases {
		s := c.make(t)
		s.Company.Mark = base64.StdEncoding.EncodeToString(mark(t, 64, 40))
		made := make([][]byte, 4)
		var wait sync.WaitGroup
		for i := range made {
			wait.Go(func() { made[i], _ = document.Render(s) })
		}
		wait.Wait()
		for i := range made {
			if len(made[i]) == 0 || !bytes.Equal(made[i], made[0]) {
				t.Errorf("%s: the same snapshot gave other bytes", c.name)
			}
		}
	}
}

func TestAnotherFigureGivesOtherBytes(t *testing.T) {
	s := cases[0].make(t)
	first := render(t, s)
	s.Indications[0].Phases[0].Points[0].Error.Printed = "+9.9"
	if bytes.Equal(first, render(t, s)) {
		t.Error("another figure gave the same bytes")
	}
}

// TestEveryFigureIsOnThePages: whatever the snapshot prints of its results can be found.
func TestEveryFigureIsOnThePages(t *testing.T) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := c.make(t)
			words := map[string]bool{}
			for _, w := range strings.Fields(pageText(t, render(t, s))) {
				words[strings.Trim(w, ",;.()±")] = true
			}
			look := func(what string, f *certificate.Figure) {
				if f != nil && !strings.HasPrefix(f.Printed, "<") && !words[strings.TrimLeft(f.Printed, "±")] {
					t.Errorf("%s %s is on no page", what, f.Printed)
				}
			}
			for _, r := range s.Indications {
				for _, phase := range r.Phases {
					for _, p := range phase.Points {
						look("error", &p.Error)
						look("reference", &p.Reference)
						look("indication", &p.Indication)
						look("U", p.U)
						look("U of the reference", p.UReference)
						look("k", p.K)
						if s.Conformity {
							look("risk", p.Risk)
						}
					}
				}
				for _, change := range r.Changes {
					look("change", &change.Change)
					look("U of the change", &change.U)
				}
			}
			for _, run := range s.Runs {
				for _, e := range run.Errors {
					look("error of a run", &e)
				}
			}
		})
	}
}

// TestEveryPageIsNamed: number and page n of m on each, the end mark on the last only.
func TestEveryPageIsNamed(t *testing.T) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := c.make(t)
			text := strings.TrimSuffix(pageText(t, render(t, s)), "\f")
			pages := strings.Split(text, "\f")
			for i, page := range pages {
				joined := strings.Join(strings.Fields(page), " ")
				for _, want := range []string{s.Number, pageOf(i+1, len(pages)), s.Company.Name} {
					if !strings.Contains(joined, want) {
						t.Errorf("page %d does not say %q", i+1, want)
					}
				}
				if provisional := s.Kind == certificate.Provisional; provisional != strings.Contains(joined, "Provisional, not authorised") {
					t.Errorf("page %d: provisional %v is not said so", i+1, provisional)
				}
				if last := i == len(pages)-1; last != strings.Contains(joined, "End of ") {
					t.Errorf("page %d: end mark %v", i+1, !last)
				}
			}
		})
	}
}

func pageOf(n, m int) string {
	return "page " + strconv.Itoa(n) + " of " + strconv.Itoa(m)
}

// TestCharacters that a certificate needs come back from the page as they are.
func TestCharacters(t *testing.T) {
	const needed = "± ° ³ µ ≤ ≥ Ø – − · × √ σ ν α → ² ₂ ‰ “x” ‘y’ … é è ü ö ä ß Ä Ł ż ñ ç ø å œ Ő ř Ş Ğ İ Ж Ω"
	s := cases[0].make(t)
	s.Remarks = []certificate.Said{{Code: "x", Text: needed}}
	if text := pageText(t, render(t, s)); !strings.Contains(text, needed) {
		t.Errorf("the pages do not hold %q", needed)
	}
}

func TestACharacterWithoutAGlyphIsAnError(t *testing.T) {
	s := cases[0].make(t)
	s.Client.Name = "Aldermere 水 Water"
	_, err := document.Render(s)
	f, ok := fault.Of(err)
	if !ok || f.Code != layout1.NotPrintable || f.Value("character") != "水" || f.Value("text") != "Aldermere 水 Water" {
		t.Errorf("error %v", err)
	}
	if domain.KindOf(err) != domain.Invalid {
		t.Errorf("kind %v", domain.KindOf(err))
	}
}

// mark is a picture of the company, with transparency.
func mark(t testing.TB, width, height int) []byte {
	t.Helper()
	picture := image.NewNRGBA(image.Rect(0, 0, width, height))
	for x := range width {
		picture.Set(x, x*height/width, color.NRGBA{20, 34, 45, 255})
	}
	var out bytes.Buffer
	if err := png.Encode(&out, picture); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestABadPictureIsAnError(t *testing.T) {
	good := mark(t, 64, 40)
	wide := image.NewGray16(image.Rect(0, 0, 30, 30)) // 16 bits: the page library cannot take it, we write it anew
	var sixteen bytes.Buffer
	if err := png.Encode(&sixteen, wide); err != nil {
		t.Fatal(err)
	}
	for name, tt := range map[string]struct {
		mark string
		bad  bool
	}{
		"good":              {base64.StdEncoding.EncodeToString(good), false},
		"16 bits":           {base64.StdEncoding.EncodeToString(sixteen.Bytes()), false},
		"no base64":         {"%%%", true},
		"garbage":           {base64.StdEncoding.EncodeToString([]byte("no picture at all")), true},
		"cut off":           {base64.StdEncoding.EncodeToString(good[:len(good)/2]), true},
		"vector":            {base64.StdEncoding.EncodeToString([]byte(`<svg xmlns="http://www.w3.org/2000/svg"/>`)), true},
		"far too many dots": {base64.StdEncoding.EncodeToString(claiming(good, 60000)), true},
	} {
		t.Run(name, func(t *testing.T) {
			s := cases[0].make(t)
			s.Company.Mark = tt.mark
			pdf, err := document.Render(s)
			if tt.bad != fault.Has(err, layout1.BadPicture) || !tt.bad && len(pdf) == 0 {
				t.Errorf("error %v", err)
			}
		})
	}
}

// claiming is a PNG whose head claims another width.
func claiming(picture []byte, width int) []byte {
	claims := bytes.Clone(picture)
	claims[16], claims[17], claims[18], claims[19] = 0, 0, byte(width>>8), byte(width)
	claims[20], claims[21], claims[22], claims[23] = 0, 0, byte(width>>8), byte(width)
	return claims
}

func TestUnknownLayout(t *testing.T) {
	s := cases[0].make(t)
	s.Editions.Layout = "layout0"
	if _, err := document.Render(s); !fault.Has(err, document.UnknownLayout) {
		t.Errorf("error %v", err)
	}
}

// TestNothingMissing: the six documents show what the standard asks for.
func TestNothingMissing(t *testing.T) {
	for _, c := range cases {
		if l := c.make(t).Missing(); len(l) > 0 {
			t.Errorf("%s lacks %v", c.name, l)
		}
	}
}

func BenchmarkRender(b *testing.B) {
	s := cases[0].make(b)
	for b.Loop() {
		render(b, s)
	}
}
