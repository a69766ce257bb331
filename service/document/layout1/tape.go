package layout1

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
