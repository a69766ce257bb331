package layout1

import (
	"github.com/johnfercher/maroto/v2/pkg/consts/align"

	"rillmark/domain/certificate"
)

const qrSide = 25.0

// names is who did and who approved, with the code of the check page at the right.
func (d *document) names() block {
	width := column
	if d.qr != nil {
		width -= qrSide + 8
	}
	people := d.s.People
	if d.notice != "" {
		people = append(append([]certificate.Person{}, people...), certificate.Person{Role: certificate.RoleApprover, Name: "not authorised yet"})
	}
	const each = 3
	one := (width - (each-1)*5) / each
	rows := (len(people) + each - 1) / each
	const tall = 18.5
	height := max(float64(rows)*tall, 0)
	if d.qr != nil {
		height = max(height, qrSide+d.checkLines())
	}
	return block{height + 2, func(c *canvas, y float64) {
		for i, p := range people {
			person(c, p, float64(i%each)*(one+5), y+float64(i/each)*tall+height-float64(rows)*tall, one)
		}
		if d.qr != nil {
			d.checkCode(c, y+height-qrSide-d.checkLines())
		}
	}}
}

func person(c *canvas, p certificate.Person, x, y, width float64) {
	c.horizontal(x, x+width, y+1, 0.25, &ink)
	c.text(x, y+5, align.Left, label, named(roleNames, p.Role))
	c.text(x, y+9.6, align.Left, body.bold(), fitted(p.Name, body.bold(), width))
	lines := lay(width, say(small, joined(", ", p.Function, p.At.Printed)))
	c.lines(x, y+11, lines, small.height())
}

func (d *document) checkLines() float64 { return 4.2 }

func (d *document) checkCode(c *canvas, y float64) {
	x := column - qrSide
	c.picture(x, y, qrSide, qrSide, d.qr)
	c.text(column, y+qrSide+3.6, align.Right, small, "Check this certificate")
}
