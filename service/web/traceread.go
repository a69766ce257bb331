package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/logfile"
	"rillmark/service/web/part"
)

// logFile shows how a file is proposed to be read. What a person changes comes along in the
// address; nothing is kept until it is confirmed.
func (w *Web) logFile(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showLogFile(work, x.gin.Param("file"), x.r.URL.Query(), nil)
}

// readAs is a file with how it is to be read, and what is wrong or open about it.
type readAs struct {
	file    tracing.File
	reading tracing.Reading
	given   url.Values
	faults  fault.List       // of what a person said, or of the file
	kept    *tracing.Channel // as it was confirmed; nil: not yet
	shown   bool             // what is shown is what was confirmed
}

func (x *exchange) readAs(w *capture.Work, id string, given url.Values) (r readAs, err error) {
	var fileID domain.LogFileID
	if fileID.UnmarshalText([]byte(id)) != nil {
		return r, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "log_file"))
	}
	if r.file, err = x.Tracing.FileOf(x.ctx(), x.actor, fileID); err != nil {
		return r, err
	}
	if r.file.TaskID != w.TaskID {
		return r, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "log_file"))
	}
	channels, err := x.Tracing.Channels(x.ctx(), x.actor, w.TaskID)
	if err != nil {
		return r, err
	}
	if r.kept = (logged{channels: channels}).channelOf(fileID); r.kept != nil && len(chosen(given, mappingFields)) == 0 {
		given, r.shown = mappingValues(r.kept.Mapping), true
	}
	r.given = given
	m, err := mappingOf(given)
	if err == nil {
		r.reading, err = x.Tracing.Propose(x.ctx(), x.actor, fileID, m)
	}
	if err != nil {
		if r.faults = fault.AllOf(err); len(r.faults) == 0 || domain.KindOf(err) == domain.NotFound || domain.KindOf(err) == domain.Forbidden {
			return r, err
		}
		return r, nil
	}
	r.faults = r.reading.Proposal.Questions
	return r, nil
}

func (x *exchange) showLogFile(w *capture.Work, id string, given url.Values, t *tried) error {
	r, err := x.readAs(w, id, given)
	if err != nil {
		return err
	}
	p := x.tracePage(w)
	top := block{ID: "reading", Answer: x.readingAnswer(r), Lead: joined(" · ", r.file.Name, x.ofWhom(w, r.file.Role, r.file.Indication), size(r.file.Size), x.told2(w, r.file.By, r.file.CapturedAt))}
	if r.shown {
		top.Notices = append(top.Notices, part.Notice{Lead: x.text("trace.kept"), Text: x.text("trace.kept-by", "who", x.told2(w, r.kept.By, r.kept.CapturedAt))})
	} else if m := r.reading.Remembered; m != nil {
		who := x.text("trace.program")
		if m.By != nil {
			who = w.People[*m.By]
			if who == "" {
				who = x.text("trace.somebody")
			}
		}
		top.Notices = append(top.Notices, part.Notice{Lead: x.text("trace.remembered"), Text: x.text("trace.remembered-by", "who", who, "date", m.At.In(w.Zone()).Format(wordedDay))})
	}
	top.Notices = append(top.Notices, x.readingNotices(r)...)
	may := x.mayFill(w)
	if may && len(r.faults) > 0 {
		top.Forms = []sheetForm{x.questionForm(w, r)}
	}
	p.Blocks = append(p.Blocks, top)
	if r.reading.Read != nil {
		p.Blocks = append(p.Blocks, x.decodedBlock(w, r))
	}
	p.Blocks = append(p.Blocks, x.confirmBlocks(w, r, may, t)...)
	if table := x.firstRows(r); table != nil {
		p.Blocks = append(p.Blocks, block{ID: "rows", Table: table})
	}
	p.Blocks = append(p.Blocks, block{Quiet: []part.Link{{Href: tracePath(w, "files/"+id+"/content"), Words: x.text("trace.as-it-came")},
		{Href: sheetPath(w, "traces"), Words: x.text("trace.back")}}})
	return x.showSheet(p, t)
}

func (x *exchange) readingAnswer(r readAs) string {
	switch {
	case r.reading.Read != nil:
		return x.text("trace.answer-read", "n", r.reading.Read.Report.Kept)
	case len(r.reading.Proposal.Questions) > 0:
		return x.text("trace.answer-asked")
	case len(r.faults) > 0:
		return x.text("trace.answer-unreadable")
	}
	return x.text("trace.answer-large")
}

// readingNotices tell which rows were dropped, and why.
func (x *exchange) readingNotices(r readAs) []part.Notice {
	if r.reading.Read == nil {
		return nil
	}
	n := part.Notice{Lead: x.text("trace.none-dropped")}
	for i, d := range r.reading.Read.Report.Dropped {
		if i == 0 {
			n.Lead = x.text("trace.dropped")
		}
		n.Items = append(n.Items, x.Book.Fault(d.Reason)+" "+x.text("trace.first-line", "line", d.First))
	}
	return []part.Notice{n}
}

// decodedBlock shows what was read: the times as they were understood, and the picture.
func (x *exchange) decodedBlock(w *capture.Work, r readAs) block {
	d, m := r.reading.Read, r.reading.Proposal.Mapping
	b := block{ID: "understood", Title: x.text("trace.understood")}
	b.Still = x.one(w, r.file.Role, x.text("trace.file-label", "file", r.file.Name), d.Envelope)
	b.Facts = []part.Fact{
		{Word: x.text("trace.word-value"), Text: x.columnName(r, m.ValueColumn) + ", " + m.Unit},
		{Word: x.text("trace.word-first"), Text: x.stampOf(r, m, d.First)},
		{Word: x.text("trace.word-last"), Text: inZoneOf(m, d.Last)},
		{Word: x.text("trace.word-zone"), Text: m.Zone},
		{Word: x.text("trace.word-interval"), Text: plainSeconds(d.Interval) + " s"},
		{Word: x.text("trace.word-averaging"), Text: x.averaged(m.Averaging)},
	}
	if m.Counter {
		b.Facts[0].Text += ", " + x.text("trace.counter")
	}
	return b
}

// stampOf tells the first row's time as it stands in the file and as it was understood.
func (x *exchange) stampOf(r readAs, m logfile.Mapping, at time.Time) string {
	var raw []string
	if first := r.reading.Proposal.First; len(first) > 0 {
		for _, c := range m.TimeColumns {
			if n, err := strconv.Atoi(string(c)); err == nil && n >= 1 && n <= len(first[0]) {
				raw = append(raw, first[0][n-1])
			}
		}
	}
	return x.text("trace.stamp-read", "raw", strings.Join(raw, " "), "time", inZoneOf(m, at))
}

// inZoneOf tells a time by the clock of the file.
func inZoneOf(m logfile.Mapping, t time.Time) string {
	return t.In(zoneNamed(m.Zone)).Format("2 January 2006, 15:04:05")
}

// zoneNamed is the zone of a column map: a name or an offset, checked when it was read.
func zoneNamed(name string) *time.Location {
	if t, err := time.Parse("-07:00", name); err == nil {
		_, offset := t.Zone()
		return time.FixedZone(name, offset)
	}
	if zone, err := time.LoadLocation(name); err == nil {
		return zone
	}
	return time.UTC
}

func (x *exchange) averaged(a *logfile.Averaging) string {
	if a == nil || a.Kind == "" {
		return x.text("trace.averaging-unknown")
	}
	text := x.text("trace.averaging-" + a.Kind)
	if a.Seconds > 0 {
		text += ", " + plainSeconds(a.Seconds) + " s"
	}
	return text
}

func (x *exchange) columnName(r readAs, c logfile.Column) string {
	for _, v := range r.reading.Proposal.Columns {
		if strconv.Itoa(v.Number) == string(c) {
			return x.columnWords(v)
		}
	}
	return string(c)
}

func (x *exchange) columnWords(v logfile.ColumnView) string {
	if strings.TrimSpace(v.Heading) == "" {
		return x.text("trace.column", "n", v.Number)
	}
	return x.text("trace.column-named", "n", v.Number, "heading", v.Heading)
}

// firstRows are the first rows as they stand, with what each column was taken for.
func (x *exchange) firstRows(r readAs) *part.Table {
	p := r.reading.Proposal
	if len(p.First) == 0 {
		return nil
	}
	t := part.Table{Caption: x.text("trace.first-rows")}
	for _, c := range p.Columns {
		head := x.columnWords(c)
		if c.Role != "" {
			head += ": " + x.text("trace.role-"+c.Role)
		}
		t.Columns = append(t.Columns, part.Column{Head: head, Figure: c.Numbers})
	}
	for _, row := range p.First {
		cells := make([]part.Cell, len(t.Columns))
		for i := range cells {
			cells[i] = part.Cell{Text: "–", None: true}
			if i < len(row) && row[i] != "" {
				cells[i] = part.Cell{Text: row[i]}
			}
		}
		t.Rows = append(t.Rows, cells)
	}
	return &t
}

// confirmBlocks keep the reading as it is shown, and change it.
func (x *exchange) confirmBlocks(w *capture.Work, r readAs, may bool, t *tried) []block {
	if !may {
		return nil
	}
	here := tracePath(w, "files/"+r.file.ID.String())
	var blocks []block
	if len(r.faults) == 0 && !r.shown {
		values := mappingValues(r.reading.Proposal.Mapping)
		for name, v := range x.fresh("file_id", r.file.ID.String(), "remember", "yes") {
			values[name] = v
		}
		hidden := append([]string{"file_id"}, mappingFields...)
		f := x.ask("keep", tracePath(w, "series"), []field{{name: "remember", label: "trace.remember", open: true, several: true,
			options: []part.Option{{Value: "yes", Words: x.text("trace.remember-yes"), More: x.text("trace.remember-more")}}}}, values, hidden, t)
		f.Button.Deed = x.text("trace.keep-reading")
		blocks = append(blocks, block{ID: "keep", Forms: []sheetForm{f}})
	}
	change := x.mappingForm(w, r)
	change.Action, change.Method, change.Summary = here, "get", x.text("trace.change-reading")
	return append(blocks, block{ID: "change", Forms: []sheetForm{change}})
}

// addSeries keeps a file's reading.
func (w *Web) addSeries(x *exchange) error {
	return captured(x, "keep", func(c *confirmation) (capture.Written, error) {
		m, err := mappingOf(x.form)
		if err != nil {
			return capture.Written{}, err
		}
		c.Mapping = m
		return w.Tracing.Confirm(x.ctx(), x.actor, c.Confirm)
	}, func(work *capture.Work, _ *confirmation, _ capture.Written) string { return sheetPath(work, "traces") },
		func(work *capture.Work, t *tried) error {
			return x.showLogFile(work, t.values.Get("file_id"), chosen(t.values, mappingFields), t)
		})
}

// confirmation is a Confirm whose column map comes in fields of its own.
type confirmation struct {
	tracing.Confirm
	columnMap
}

// chosen are the values of the names alone.
func chosen(values url.Values, names []string) url.Values {
	out := url.Values{}
	for _, n := range names {
		if v := values[n]; len(v) > 0 {
			out[n] = v
		}
	}
	return out
}

// logFileContent gives the file back as it came.
func (w *Web) logFileContent(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	r, err := pathID[domain.LogFileKind](x, "file", "log_file")
	if err != nil {
		return err
	}
	f, err := w.Tracing.FileOf(x.ctx(), x.actor, r)
	if err != nil {
		return err
	}
	if f.TaskID != work.TaskID {
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "log_file"))
	}
	x.gin.Header("Content-Disposition", fmt.Sprintf(`attachment; filename="%s"`, plainFileName(f.Name)))
	x.gin.Header("Content-Type", "application/octet-stream")
	x.gin.Header("Content-Length", strconv.FormatInt(f.Size, 10))
	x.gin.Status(http.StatusOK)
	return w.Tracing.Content(x.ctx(), x.actor, r, x.gin.Writer)
}

// plainFileName keeps the ending and of the rest what may stand in a name everywhere.
func plainFileName(name string) string {
	base, ending, cut := name, "", strings.LastIndexByte(name, '.')
	if cut > 0 {
		base, ending = name[:cut], "."+plainName(name[cut+1:])
	}
	return plainName(base) + ending
}

func columnOptions(x *exchange, p logfile.Proposal, none string, keep func(logfile.ColumnView) bool) []part.Option {
	var list []part.Option
	if none != "" {
		list = append(list, part.Option{Words: none})
	}
	for _, c := range p.Columns {
		if keep == nil || keep(c) {
			list = append(list, part.Option{Value: strconv.Itoa(c.Number), Words: x.columnWords(c)})
		}
	}
	return list
}
