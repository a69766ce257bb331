package layout1

import (
	"strconv"
	"strings"

	"rillmark/domain/certificate"
)

// adjustmentSection says what was adjusted, or that nothing was.
func (d *document) adjustmentSection(p *pages) {
	a := d.s.Adjustment
	if !a.Made {
		text := "The meter was not adjusted; the results as found are also those as left."
		p.together(append(sectionTitle("Adjustment"), paragraph(say(body, joined(" ", text, a.Reason))))...)
		return
	}
	t := table{columns: []columnOf{{"Parameter", 40, left, cellText}, {"Before", 24, right, figure}, {"After", 24, right, figure},
		{"Permission and seals", 46, left, cellText}, {"Reason, by whom and when", 40, left, cellText}}}
	for _, r := range a.Rows {
		seals := joined(", ", prefixed("seal before ", r.SealBefore), prefixed("after ", r.SealAfter))
		t.rows = append(t.rows, []cell{words(r.Name + prefixed("\n", r.Indication)), words(r.Old), words(r.New),
			words(joined("\n", r.Permission, seals)), words(joined("\n", r.Reason, r.By, r.At.Printed))})
	}
	t.put(p, sectionTitle("Adjustment")...)
}

// setupSection says with what, where and under which conditions it was measured.
func (d *document) setupSection(p *pages) {
	d.kitTable().put(p, sectionTitle("Set-up and traceability")...)
	d.surveyTable().put(p, gap(4.5))
	if d.anyMarked() {
		p.put(gap(1))
		p.put(paragraph(say(small, "Values in bold type were not measured: they were supplied by the client, or assumed.")))
	}
	d.mountingTable().put(p, gap(4.5))
	d.checkTable().put(p, gap(4.5))
	d.zeroTable().put(p, gap(4.5))
	d.controlTable().put(p, gap(4.5))
}

func (d *document) kitTable() table {
	t := table{title: "Equipment and its calibrations", columns: []columnOf{{"Equipment", 44, left, cellText}, {"Serial number\nfirmware", 28, left, cellText},
		{"Certificate", 32, left, cellText}, {"Laboratory", 40, left, cellText}, {"Calibrated\nvalid to", 30, left, cellText}}}
	for _, k := range d.s.Setup.Kit {
		t.rows = append(t.rows, []cell{words(named(kitNames, k.Kind) + " " + k.Tag + prefixed("\n", joined(" ", k.Maker, k.Model))),
			words(joined("\n", k.Serial, k.Firmware)), words(orDash(k.Certificate) + prefixed("\nwith ", k.With)),
			words(joined("\n", k.Laboratory, named(routeNames, k.Route))), words(joined("\n", k.CalibratedOn, k.ValidTo))})
	}
	return t
}

func orDash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

func (d *document) anyMarked() bool {
	for _, v := range d.s.Setup.Survey {
		if v.Marked() {
			return true
		}
	}
	return false
}

func (d *document) surveyTable() table {
	t := table{title: "Survey and conditions", columns: []columnOf{{"Quantity", 50, left, cellText}, {"Value", 62, left, figure}, {"Source", 20, left, cellText},
		{"Instrument", 20, left, cellText}, {"When", 22, left, cellText}}}
	day, by := d.surveyShared()
	if day == "" {
		t.columns[1].width, t.columns[4].width, t.columns[4].head = 52, 32, "By, when"
	} else {
		t.note = "by " + by + " on " + day
	}
	for _, v := range d.s.Setup.Survey {
		when := cell{pieces: []piece{say(small, joined("\n", v.By, v.At.Printed))}}
		if day != "" {
			when = words(timeOf(v.At))
		}
		t.rows = append(t.rows, []cell{words(named(surveyNames, v.Name)), d.surveyed(v), d.source(v), words(orDash(v.Instrument)), when})
	}
	return t
}

func (d *document) surveyed(v certificate.Surveyed) cell {
	text, s := named(choiceNames, v.Printed), cellText
	if _, choice := choiceNames[v.Printed]; !choice {
		text = v.Printed
	}
	if v.Value != "" {
		s = figure
	}
	if v.Marked() {
		s = s.bold()
	}
	pieces := []piece{say(s, text)}
	if len(v.Positions) > 1 {
		pieces = append(pieces, say(style{sansFace, 8, &ink2, 1.28}, "\n"+joined("; ", unbroken(v.Positions)...)))
	}
	return cell{pieces: pieces}
}

// unbroken keeps each position with its value and unit on one line.
func unbroken(positions []string) []string {
	kept := make([]string, len(positions))
	for i, p := range positions {
		kept[i] = strings.ReplaceAll(p, " ", "\u00a0")
	}
	return kept
}

// surveyShared returns the day and the person of the survey where they are the same for
// all of it.
func (d *document) surveyShared() (day, by string) {
	for i, v := range d.s.Setup.Survey {
		if i > 0 && (dayOf(v.At) != day || v.By != by) {
			return "", ""
		}
		day, by = dayOf(v.At), v.By
	}
	return day, by
}

// dayOf and timeOf part a moment as printed.
func dayOf(m certificate.Moment) string {
	day, _, _ := strings.Cut(m.Printed, ", ")
	return day
}

func timeOf(m certificate.Moment) string {
	_, time, _ := strings.Cut(m.Printed, ", ")
	return time
}

func (d *document) source(v certificate.Surveyed) cell {
	s := cellText
	if v.Marked() {
		s = s.bold()
	}
	return cell{pieces: []piece{say(s, named(sourceNames, v.Source))}}
}

func (d *document) mountingTable() table {
	t := table{title: "Mounting of the transducers", columns: []columnOf{{"No.", 10, left, cellText}, {"Equipment", 44, left, cellText}, {"Traverses", 18, right, figure},
		{"Position", 24, left, cellText}, {"Spacing set", 24, right, figure}, {"Recommended", 26, right, figure}, {"Bore", 28, right, figure}}}
	for _, m := range d.s.Setup.Mountings {
		t.rows = append(t.rows, []cell{words(strconv.Itoa(m.N)), words(joined(", ", m.Reference, m.Pair, m.Cable)), words(strconv.Itoa(m.Traverses)),
			words(orDash(m.Clock)), words(m.Spacing), words(orDash(m.Recommended.Text())), words(orDash(m.Bore.Text()))})
	}
	return t
}

func (d *document) checkTable() table {
	t := table{title: "Set-up checks: signal and sound speed", columns: []columnOf{{"Mounting", 18, left, cellText}, {"When", 50, left, cellText},
		{"Signal to noise", 24, right, figure}, {"Sound speed", 26, right, figure}, {"Outcome", 56, left, cellText}}}
	for _, c := range d.s.Setup.Checks {
		t.rows = append(t.rows, []cell{words(strconv.Itoa(c.Mounting)), {pieces: whenPieces(c.Moment, c.At)}, words(orDash(c.SNR)), words(orDash(c.SoundSpeed)),
			{pieces: []piece{say(cellText.bold(), named(outcomeNames, c.Outcome)), say(cellText, prefixed("\n", joined("; ", c.Signal, c.Kept)))}}})
	}
	return t
}

func whenPieces(moment string, at certificate.Moment) []piece {
	return []piece{say(cellText, named(momentNames, moment)), say(style{sansFace, 8, &ink2, 1.28}, prefixed("\n", at.Printed))}
}

func (d *document) zeroTable() table {
	t := table{title: "Zero checks: the reference at no flow", columns: []columnOf{{"Mounting", 18, left, cellText}, {"When", 50, left, cellText},
		{"Mean", 24, right, figure}, {"u of the mean", 26, right, figure}, {"How, and what was done", 56, left, cellText}}}
	for _, z := range d.s.Setup.ZeroChecks {
		how := joined("\n", prefixed("isolated by ", z.Isolated)+prefixed(", ", z.Seconds), z.Tightness, z.Action)
		if !z.Possible {
			how = joined(" ", "not possible:", z.Action)
		}
		t.rows = append(t.rows, []cell{words(strconv.Itoa(z.Mounting)), {pieces: whenPieces(z.Moment, z.At)}, words(orDash(z.Mean)), words(orDash(z.U)), words(how)})
	}
	return t
}

func (d *document) controlTable() table {
	t := table{title: "What the meter controls", columns: []columnOf{{"Step", 40, left, cellText}, {"What", 64, left, cellText}, {"By", 34, left, cellText}, {"When", 36, left, cellText}}}
	for _, n := range d.s.Setup.Controls {
		t.rows = append(t.rows, []cell{words(named(controlNames, n.Kind)), words(orDash(n.What)), words(orDash(n.DoneBy)), words(n.At.Printed)})
	}
	return t
}
