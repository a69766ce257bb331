package layout1

import "github.com/johnfercher/maroto/v2/pkg/consts/align"

// end is the mark after the last words: nothing below it belongs to the document.
func end(text string) block {
	return block{12, func(c *canvas, y float64) {
		half := small.width(text)/2 + 4
		for _, side := range []float64{-1, 1} {
			from := column/2 + side*half
			c.horizontal(from, from+side*24, y+7, 0.25, &ink)
			for mm := range 13 {
				c.vertical(from+side*float64(mm)*2, y+7-0.6-0.8*float64(boolInt(mm%5 == 0)), y+7, 0.12, &ink)
			}
		}
		c.text(column/2, y+8, align.Center, small, text)
	}}
}

// tape draws the head's graduated tape: a mark for each millimetre of the paper, longer at
// each fifth and tenth, as on the tape that set the transducers.
func tape(c *canvas, y, tall float64) {
	base := y + tall
	for mm := 0; mm <= int(column); mm++ {
		length, thick, color := 0.42*tall, 0.1, &ink2
		switch {
		case mm%10 == 0:
			length, thick, color = tall, 0.22, &ink
		case mm%5 == 0:
			length, thick = 0.66*tall, 0.14
		}
		c.vertical(float64(mm), base-length, base, thick, color)
	}
	c.horizontal(0, column, base, 0.25, &ink)
}
