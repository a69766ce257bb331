package layout1

import (
	"math"
	"strings"
	"testing"

	"rillmark/domain"
)

// text joins the words of broken lines again.
func text(l line) string {
	var b strings.Builder
	for _, r := range l.runs {
		b.WriteString(r.text)
	}
	return b.String()
}

func TestLinesFit(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		width      float64
		want       []string
	}{
		{"one line", "Aldermere Water", 60, []string{"Aldermere Water"}},
		{"two paragraphs", "Aldermere\nWater", 60, []string{"Aldermere", "Water"}},
		{"an empty line", "Aldermere\n\nWater", 60, []string{"Aldermere", "", "Water"}},
		{"nothing", "", 60, []string{""}},
		{"a long address", "https://check.example/c/7f3kq9w2m5xv8t4r6bnd", 30, nil},
		{"a long word", "Wasserversorgungsverbandsgemeinschaftsverwaltungsgebäude", 25, nil},
		{"unbroken room", "7.05\u00a0mm; 7.12\u00a0mm", 14, []string{"7.05\u00a0mm;", "7.12\u00a0mm"}},
		{"narrower than a letter", "abc", 0.1, []string{"a", "b", "c"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			lines := lay(tt.width, say(body, tt.text))
			var got []string
			for _, l := range lines {
				got = append(got, text(l))
				if width := body.width(text(l)); width > tt.width+1e-9 && len([]rune(text(l))) > 1 {
					t.Errorf("%q is %v wide", text(l), width)
				}
			}
			if tt.want == nil { // broken inside a word: nothing is lost
				if strings.Join(got, "") != tt.text || len(got) < 2 {
					t.Errorf("broken to %q", got)
				}
			} else if strings.Join(got, "|") != strings.Join(tt.want, "|") {
				t.Errorf("broken to %q, want %q", got, tt.want)
			}
		})
	}
}

// TestPiecesFollowEachOther: words of several styles stand on one line without overlap.
func TestPiecesFollowEachOther(t *testing.T) {
	lines := lay(200, say(answer, "After adjustment the meter "), say(answer.bold(), "passes"), say(answer, ", σ is α."))
	if len(lines) != 1 {
		t.Fatalf("%d lines", len(lines))
	}
	x := 0.0
	for _, r := range lines[0].runs {
		if r.x < x-1e-9 {
			t.Errorf("%q begins at %v, before %v", r.text, r.x, x)
		}
		x = r.x + r.style.width(r.text)
	}
	if math.Abs(x-lines[0].width) > 1e-9 {
		t.Errorf("the line is %v wide, its words end at %v", lines[0].width, x)
	}
	if got := text(lines[0]); strings.ReplaceAll(got, " ", "") != "Afteradjustmentthemeterpasses,σisα." {
		t.Errorf("the line says %q", got)
	}
}

// TestFiguresAreTabular: figures of one size are equally wide, and so are the signs, so
// that decimals stand below each other.
func TestFiguresAreTabular(t *testing.T) {
	for _, s := range []style{figure, figSmall, figure.bold()} {
		for _, r := range "123456789−+" {
			if w := s.width(string(r)); math.Abs(w-s.width("0")) > 0.02 {
				t.Errorf("%q is %v wide, 0 is %v", r, w, s.width("0"))
			}
		}
	}
}

func TestPagesHoldTheirBlocks(t *testing.T) {
	p := newPages("Saltmarsh", "2026-00412", "", gap(40))
	for range 30 {
		p.put(gap(4))
		p.put(block{height: 21, draw: func(*canvas, float64) {}})
	}
	p.together(block{height: 122, draw: func(*canvas, float64) {}}, block{height: 122, draw: func(*canvas, float64) {}})
	for i, blocks := range p.all {
		if total := heights(blocks); total > usable-footHeight+1e-6 {
			t.Errorf("page %d holds %v mm of %v", i+1, total, usable-footHeight)
		}
		if i > 0 && blocks[1].draw == nil {
			t.Errorf("page %d begins with a gap", i+1)
		}
	}
	last := p.all[len(p.all)-1]
	if len(last) != 3 || last[1].height != 122 || last[2].height != 122 {
		t.Errorf("what belongs together stands on pages of %d blocks", len(last))
	}
}

// TestTableHeadIsRepeated on every page, and no row stands alone after it.
func TestTableHeadIsRepeated(t *testing.T) {
	tab := table{title: "Runs", columns: []columnOf{{"Run", column, left, cellText}}}
	for range 130 {
		tab.rows = append(tab.rows, []cell{words("1")})
	}
	p := newPages("Saltmarsh", "2026-00412", "", gap(40))
	tab.put(p)
	titleHeight, head, row := tab.titleBlock(false).height, tab.headBlock().height, tab.row(0, make([]float64, 1)).height
	if len(p.all) < 3 {
		t.Fatalf("%d pages", len(p.all))
	}
	rows := 0
	for i, blocks := range p.all {
		if i > 0 && (blocks[1].height != titleHeight || blocks[2].height != head) {
			t.Errorf("page %d begins without title and head", i+1)
		}
		here := 0
		for _, b := range blocks {
			if b.height == row {
				here++
			}
		}
		if rows += here; here < 2 {
			t.Errorf("page %d has %d rows", i+1, here)
		}
	}
	if rows != 130 {
		t.Errorf("%d rows on the pages", rows)
	}
}

// TestPrintableIsWhatTheFontsHold compares what is let in where it is typed with what the
// fonts can print, both ways.
func TestPrintableIsWhatTheFontsHold(t *testing.T) {
	for r := ' '; r < 0x20000; r++ {
		if can := sansFace.printable(r) != nil; can != domain.Printable(r) {
			t.Errorf("U+%04X: domain says %v, the fonts %v", r, !can, can)
		}
	}
}
