package layout1

import (
	_ "embed"
	"slices"
	"sync"

	"github.com/johnfercher/maroto/v2/pkg/consts/fontstyle"
	"github.com/johnfercher/maroto/v2/pkg/core/entity"
	"github.com/johnfercher/maroto/v2/pkg/repository"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The fonts, all under the SIL Open Font License (font/*.OFL.txt).
var (
	//go:embed font/source-serif-4-400.ttf
	serifRegular []byte
	//go:embed font/source-serif-4-600.ttf
	serifBold []byte
	//go:embed font/barlow-semi-condensed-400.ttf
	sansRegular []byte
	//go:embed font/barlow-semi-condensed-600.ttf
	sansBold []byte
)

// The families as the library is told them.
const (
	serif = "serif"
	sans  = "sans"
)

// face is one font: its widths are read here, since lines are broken here.
type face struct {
	family string
	style  fontstyle.Type
	bytes  []byte

	once   sync.Once
	mutex  sync.Mutex
	parsed *sfnt.Font
	buffer sfnt.Buffer
	common [0x2300]int16 // advance in thousandths of the size; −1: no glyph
	rare   map[rune]int16
}

var (
	serifFace     = &face{family: serif, style: fontstyle.Normal, bytes: serifRegular}
	serifBoldFace = &face{family: serif, style: fontstyle.Bold, bytes: serifBold}
	sansFace      = &face{family: sans, style: fontstyle.Normal, bytes: sansRegular}
	sansBoldFace  = &face{family: sans, style: fontstyle.Bold, bytes: sansBold}

	faces = []*face{sansFace, sansBoldFace, serifFace, serifBoldFace}
)

// fallback is where a character is taken from that the face has not got.
var fallback = map[*face]*face{sansFace: serifFace, sansBoldFace: serifBoldFace}

func (f *face) read() {
	parsed, err := sfnt.Parse(f.bytes)
	if err != nil {
		panic("layout1: embedded font " + f.family + ": " + err.Error())
	}
	f.parsed, f.rare = parsed, map[rune]int16{}
	for r := range f.common {
		f.common[r] = f.measure(rune(r))
	}
}

func (f *face) measure(r rune) int16 {
	index, err := f.parsed.GlyphIndex(&f.buffer, r)
	if err != nil || index == 0 {
		return -1
	}
	advance, err := f.parsed.GlyphAdvance(&f.buffer, index, fixed.I(1000), font.HintingNone)
	if err != nil {
		return -1
	}
	return int16(advance.Round())
}

// advance returns the width of a character in thousandths of the size, and whether the
// face has it. Faces are shared by documents made at the same time.
func (f *face) advance(r rune) (int, bool) {
	f.once.Do(f.read)
	if int(r) < len(f.common) {
		w := f.common[r]
		return int(w), w >= 0
	}
	f.mutex.Lock()
	defer f.mutex.Unlock()
	w, known := f.rare[r]
	if !known {
		w = f.measure(r)
		f.rare[r] = w
	}
	return int(w), w >= 0
}

// printable returns the face that a character is printed in: the one asked for, or its
// fallback; nil when neither has it.
func (f *face) printable(r rune) *face {
	if _, ok := f.advance(r); ok {
		return f
	}
	if other := fallback[f]; other != nil {
		if _, ok := other.advance(r); ok {
			return other
		}
	}
	return nil
}

// customFonts gives the faces to the library, each document a copy of its own: the
// library writes a checksum into the bytes that it is given.
func customFonts() []*entity.CustomFont {
	fonts := repository.New()
	for _, f := range faces {
		fonts.AddUTF8FontFromBytes(f.family, f.style, slices.Clone(f.bytes))
	}
	loaded, err := fonts.Load()
	if err != nil {
		panic("layout1: " + err.Error()) // embedded bytes are not loaded from files
	}
	return loaded
}
