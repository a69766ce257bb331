package layout1

import (
	"bytes"
	"image/png"
	"strconv"
	"strings"
	"time"

	"rillmark/domain/certificate"
	"rillmark/service/plot"
)

const tracesHigh = 86.0

// traceSections shows each pair of loggers' records from which runs were taken.
func (d *document) traceSections(p *pages) {
	for i, t := range d.s.Traces {
		data := d.traced[i]
		blocks := append(sectionTitle("Logged records, "+t.Indication), paragraph(say(body, aligned(t))), gap(2),
			block{tracesHigh, func(c *canvas, y float64) { c.picture(0, y, column, tracesHigh, data) }}, gap(1.2),
			paragraph(say(small, "Record of the reference: "+t.Reference.Name+", SHA-256 "+t.Reference.SHA256+". Record of the meter: "+t.Meter.Name+
				", SHA-256 "+t.Meter.SHA256+".")))
		for _, s := range t.Stretches {
			if s.Run == 0 {
				blocks = append(blocks, paragraph(say(small, "Set aside, from "+d.timeIn(t, s)+" on: "+s.Reason)))
			}
		}
		p.together(blocks...)
	}
}

// aligned says how the clocks were brought together.
func aligned(t certificate.Trace) string {
	text := "Both loggers' records from " + t.From.Printed + " to " + t.To.Printed + ", on the reference's clock. "
	if t.Lag == nil {
		return text + "No lag between the clocks could be told; the flow was steady over each run, whatever the clocks show."
	}
	text += t.Lag.Text() + " are added to the meter's stamps (U = " + t.U.Text() + ", about 95 %), "
	switch t.How {
	case "signals":
		text += "as the changes of the flow in both records tell."
	case "clock-note":
		text += "as both loggers showed when they were read against one clock."
	default:
		text += "set by hand: " + strings.TrimSuffix(t.Reason, ".") + "."
	}
	return text + " Brackets: the runs that were taken; broken: set aside."
}

// timeIn is when a stretch began, in the site's zone.
func (d *document) timeIn(t certificate.Trace, s certificate.Stretch) string {
	x, _ := strconv.ParseFloat(s.From, 64)
	at, err := time.Parse(time.RFC3339Nano, t.From.At)
	if err != nil {
		return s.From + " s"
	}
	return at.Add(time.Duration(x * float64(time.Second))).In(d.zone()).Format("15:04:05")
}

// pressTraces draws the pictures. Each has a width of its own in pixels, odd and other than
// the mark's: the library puts pictures of the same width in no fixed order.
func (d *document) pressTraces() error {
	taken := 0
	if d.logo != nil {
		if about, err := png.DecodeConfig(bytes.NewReader(d.logo.png)); err == nil {
			taken = about.Width
		}
	}
	wide := 1401
	for _, t := range d.s.Traces {
		if wide == taken {
			wide += 2
		}
		scene := tracesOf(t, d.zone()).Draw(column, tracesHigh, chartText, 0.28)
		made, err := scene.PNG((float64(wide)-0.5)/column, sansRegular, serifRegular)
		if err != nil {
			return BadPicture.At("traces", err.Error())
		}
		d.traced = append(d.traced, made)
		wide += 2
	}
	return nil
}

// zone is the site's; it was checked when the site was entered.
func (d *document) zone() *time.Location {
	if zone, err := time.LoadLocation(d.s.Place.Zone); err == nil {
		return zone
	}
	return time.UTC
}

// tracesOf reads what is drawn of the records.
func tracesOf(t certificate.Trace, zone *time.Location) plot.Traces {
	begin := 0.0
	if at, err := time.Parse(time.RFC3339Nano, t.From.At); err == nil {
		begin = float64(at.UnixMicro()) / 1e6
	}
	c := plot.Traces{Zone: zone, Flow: "Flow, " + t.Unit, Percent: "Error, %", ReferenceText: "reference", MeterText: "meter"}
	for _, line := range t.Reference.Drawn {
		c.Reference = append(c.Reference, spanOf(line, begin))
	}
	for _, line := range t.Meter.Drawn {
		c.Meter = append(c.Meter, spanOf(line, begin))
	}
	for _, line := range t.Error {
		n := numbersOf(line, 2)
		c.Error = append(c.Error, plot.Span{From: begin + n[0], To: begin + n[0], Low: n[1], High: n[1], Mean: n[1]})
	}
	for _, s := range t.Stretches {
		n := numbersOf(s.From+" "+s.To, 2)
		one := plot.Stretch{From: begin + n[0], To: begin + n[1], Open: s.Run == 0}
		if one.Text = strconv.Itoa(s.Run); s.Run == 0 {
			one.Text = "aside"
		}
		c.Stretches = append(c.Stretches, one)
	}
	return c
}

func spanOf(line string, begin float64) plot.Span {
	n := numbersOf(line, 5)
	return plot.Span{From: begin + n[0], To: begin + n[0] + n[1], Low: n[2], High: n[3], Mean: n[4]}
}

// numbersOf reads so many numbers; what is no number is 0.
func numbersOf(line string, count int) []float64 {
	out := make([]float64, count)
	for i, word := range strings.Fields(line) {
		if i < count {
			out[i], _ = strconv.ParseFloat(word, 64)
		}
	}
	return out
}
