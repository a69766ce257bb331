package web

import (
	"fmt"
	"html/template"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// squareCode draws a text as the QR code that stands on the document (ISO/IEC 18004, medium
// error correction), dark on white whatever the page's colours are, with the quiet zone of
// four modules. Said names it for those who do not see it.
func squareCode(text, said string) (template.HTML, error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return "", err
	}
	const quiet = 4
	side := code.Bounds().Dx()
	var path strings.Builder
	for y := range side {
		for x := 0; x < side; x++ {
			from := x
			for x < side && dark(code.At(x, y).RGBA()) {
				x++
			}
			if x > from {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", from+quiet, y+quiet, x-from, x-from)
			}
		}
	}
	return template.HTML(fmt.Sprintf(`<svg class="code-square" viewBox="0 0 %d %d" role="img" aria-label="%s"><path class="white" d="M0 0h%dv%dH0z"/><path class="black" d="%s"/></svg>`,
		side+2*quiet, side+2*quiet, template.HTMLEscapeString(said), side+2*quiet, side+2*quiet, path.String())), nil
}

func dark(r, _, _, _ uint32) bool { return r <= 0x7fff }
