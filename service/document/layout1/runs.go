package layout1

import (
	"fmt"
	"strconv"

	"rillmark/domain/certificate"
)

// runSection lists every run taken, used or set aside.
func (d *document) runSection(p *pages) {
	if len(d.s.Runs) == 0 {
		return
	}
	before := append(sectionTitle("Runs"), paragraph(say(body, runCount(d.s.Runs))), gap(2))
	d.runTable().put(p, before...)
}

func runCount(runs []certificate.Run) string {
	taken, used, readings, readingsUsed := 0, 0, 0, 0
	for _, r := range runs {
		taken++
		readings += r.Taken
		readingsUsed += r.UsedOf
		if r.Used {
			used++
		}
	}
	text := fmt.Sprintf("%d runs were taken, %d are used. %d readings were taken, %d are used.", taken, used, readings, readingsUsed)
	if used == taken {
		return text + " No run was set aside."
	}
	return text + " What was set aside is listed with its reason."
}

func (d *document) runTable() table {
	several := len(d.s.Setup.Mountings) > 1
	day := sharedDay(d.s.Runs)
	t := table{columns: []columnOf{{"Run", 17, left, cellText}, {"Point", 13, left, cellText}, {"Recorded", 44, left, cellText},
		{"Readings\nused of", 17, right, figure}, {"Reference\n" + d.unit(), 21, decimal, figure}}}
	if several {
		t.columns = append(t.columns, columnOf{"Mount-\ning", 12, right, figure})
	}
	if day != "" {
		t.columns[2].head, t.columns[2].width = "Recorded\n"+day, 30
	}
	rest := column
	for _, k := range t.columns {
		rest -= k.width
	}
	each := rest
	if n := len(d.s.Indications); n > 0 {
		each = min(20, (rest-0)/float64(n))
	}
	for _, r := range d.s.Indications {
		t.columns = append(t.columns, columnOf{"Error, %\n" + r.Name, each, decimal, figure})
		rest -= each
	}
	aside := rest > 24
	if aside {
		t.columns = append(t.columns, columnOf{"", rest, left, small})
	}
	for _, r := range d.s.Runs {
		t.rows = append(t.rows, runRow(r, several, aside, day))
	}
	return t
}

// sharedDay is the day of all runs, empty where there are several.
func sharedDay(runs []certificate.Run) string {
	day := ""
	for i, r := range runs {
		if i > 0 && dayOf(r.At) != day {
			return ""
		}
		day = dayOf(r.At)
	}
	return day
}

func runRow(r certificate.Run, several, aside bool, day string) []cell {
	why := ""
	switch {
	case r.SetAside != "":
		why = "set aside: " + r.SetAside
	case !r.Used:
		why = "not used"
	}
	start := cell{pieces: []piece{say(cellText, r.At.Printed)}}
	if day != "" {
		start.pieces[0].text = timeOf(r.At)
	}
	if !aside && why != "" {
		start.pieces = append(start.pieces, say(small, "\n"+why))
	}
	row := []cell{words(phaseWord(r.Phase) + " " + strconv.Itoa(r.N)), words(strconv.Itoa(r.FlowPoint)), start,
		words(strconv.Itoa(r.UsedOf) + " of " + strconv.Itoa(r.Taken)), words(orDash(r.Reference.Printed))}
	if several {
		row = append(row, words(strconv.Itoa(r.Mounting)))
	}
	for _, e := range r.Errors {
		row = append(row, words(orDash(e.Printed)))
	}
	if aside {
		row = append(row, words(why))
	}
	return row
}

func phaseWord(phase string) string {
	if phase == "after" {
		return "after"
	}
	return "before"
}
