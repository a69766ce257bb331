package web

import (
	"net/http"
	"slices"
	"strconv"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/web/part"
)

// traceRoutes are the pages and commands of loggers' files: from the file to the run.
func (w *Web) traceRoutes() []route {
	const get, post = http.MethodGet, http.MethodPost
	see, fill := access.SeeSheet, access.FillSheet
	return []route{
		{method: get, path: "/tasks/:task/traces", act: see, handle: w.traces},
		{method: post, path: "/tasks/:task/traces/files", act: fill, handle: w.addLogFile, limit: logFileLimit, upload: true, costly: true},
		{method: get, path: "/tasks/:task/traces/files/:file", act: see, handle: w.logFile, costly: true},
		{method: get, path: "/tasks/:task/traces/files/:file/content", act: see, handle: w.logFileContent, costly: true},
		{method: post, path: "/tasks/:task/traces/series", act: fill, handle: w.addSeries, costly: true},
		{method: get, path: "/series/:series/envelope", act: see, handle: w.envelope},
		{method: get, path: "/tasks/:task/traces/clocks", act: see, handle: w.traceClocks, costly: true},
		{method: post, path: "/tasks/:task/traces/alignments", act: fill, handle: w.decideClocks, costly: true},
		{method: get, path: "/tasks/:task/traces/alignments/:alignment", act: see, handle: w.traceStretches, costly: true},
		{method: post, path: "/tasks/:task/traces/runs", act: fill, handle: w.takeStretch, costly: true},
		{method: post, path: "/tasks/:task/traces/aside", act: fill, handle: w.setStretchAside, costly: true},
	}
}

// logged is what was made of a task's logger files so far.
type logged struct {
	files      []tracing.File
	channels   []tracing.Channel
	alignments []tracing.Alignment
	pieces     []tracing.Piece
}

func (x *exchange) logged(w *capture.Work) (l logged, err error) {
	if l.files, err = x.Tracing.Files(x.ctx(), x.actor, w.TaskID); err != nil || len(l.files) == 0 {
		return l, err
	}
	if l.channels, err = x.Tracing.Channels(x.ctx(), x.actor, w.TaskID); err != nil {
		return l, err
	}
	if l.alignments, err = x.Tracing.Alignments(x.ctx(), x.actor, w.TaskID); err != nil {
		return l, err
	}
	l.pieces, err = x.Tracing.Pieces(x.ctx(), x.actor, w.TaskID)
	return l, err
}

// channelOf is the series of a file, nil while nobody confirmed how it is read.
func (l logged) channelOf(id domain.LogFileID) *tracing.Channel {
	i := slices.IndexFunc(l.channels, func(c tracing.Channel) bool { return c.FileID == id })
	if i < 0 {
		return nil
	}
	return &l.channels[i]
}

// decided is the newest alignment of two series, nil where their clocks are not compared.
func (l logged) decided(reference, meter domain.SeriesID) *tracing.Alignment {
	i := slices.IndexFunc(l.alignments, func(a tracing.Alignment) bool { return a.ReferenceID == reference && a.MeterID == meter })
	if i < 0 {
		return nil
	}
	return &l.alignments[i]
}

// traces is the place of loggers' files on the work sheet.
func (w *Web) traces(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showTraces(work, nil)
}

func (x *exchange) showTraces(w *capture.Work, t *tried) error {
	l, err := x.logged(w)
	if err != nil {
		return err
	}
	p := x.tracePage(w)
	p.Blocks = append(p.Blocks, block{Title: x.text("trace.title"), Lead: x.text("trace.lead")})
	if clocks := x.clockRows(w, l); len(clocks) > 0 {
		p.Blocks = append(p.Blocks, block{ID: "clocks", Title: x.text("trace.clocks-title"), Lead: x.text("trace.clocks-lead"), Rows: clocks})
	}
	if len(l.files) > 0 {
		p.Blocks = append(p.Blocks, block{ID: "files", Title: x.text("trace.files-title"), Rows: x.fileRows(w, l)})
	}
	if x.mayFill(w) {
		p.Blocks = append(p.Blocks, x.uploadBlock(w, l, t))
	} else if len(l.files) == 0 {
		p.Blocks = append(p.Blocks, block{Lead: x.text("trace.none")})
	}
	if len(l.pieces) > 0 {
		p.Blocks = append(p.Blocks, x.pieceBlock(w, l.pieces))
	}
	p.Blocks = append(p.Blocks, block{Quiet: x.backToRuns(w)})
	return x.showSheet(p, t)
}

// tracePage begins a page of loggers' files: it hangs on the runs before adjustment, or
// after it once there are some or something was adjusted.
func (x *exchange) tracePage(w *capture.Work) *sheetPage {
	p := x.sheetPage(w, string(tracePhase(w)))
	p.Wide = true
	return p
}

func (x *exchange) backToRuns(w *capture.Work) []part.Link {
	phase := string(tracePhase(w))
	return []part.Link{{Href: sheetPath(w, phase), Words: x.text("trace.back-" + phase)}}
}

// fileRows lists the files, what waits for a person first.
func (x *exchange) fileRows(w *capture.Work, l logged) []part.Row {
	var waiting, read []part.Row
	for _, f := range l.files {
		row := part.Row{Href: tracePath(w, "files/"+f.ID.String()), Name: f.Name, More: joined(" · ", x.ofWhom(w, f.Role, f.Indication), size(f.Size), x.told2(w, f.By, f.CapturedAt))}
		c := l.channelOf(f.ID)
		if c == nil {
			row.Needs = x.text("trace.to-be-confirmed")
			waiting = append(waiting, row)
			continue
		}
		row.Much = x.text("trace.rows-kept", "n", c.Points)
		read = append(read, row)
	}
	return append(waiting, read...)
}

// clockRows lists each pair of a reference's and a meter's series, with how their clocks
// stand.
func (x *exchange) clockRows(w *capture.Work, l logged) []part.Row {
	var rows []part.Row
	for _, r := range l.channels {
		for _, m := range l.channels {
			if r.Role != tracing.Reference || m.Role != tracing.Meter {
				continue
			}
			row := part.Row{Name: x.text("trace.pair", "reference", r.File, "meter", m.File)}
			if len(w.Indications) > 1 {
				row.More = m.Indication
			}
			if a := l.decided(r.ID, m.ID); a != nil {
				row.Href, row.More = tracePath(w, "alignments/"+a.ID.String()), joined(" · ", row.More, x.decidedHow(w, *a))
				row.Much = x.text("trace.runs-of", "n", runsOf(l.pieces, a.ID))
			} else {
				row.Href, row.Needs = clocksPath(w, r.ID, m.ID), x.text("trace.to-be-compared")
			}
			rows = append(rows, row)
		}
	}
	return rows
}

func runsOf(pieces []tracing.Piece, id domain.AlignmentID) (n int) {
	for _, p := range pieces {
		if p.RunID != nil && p.AlignmentID == id {
			n++
		}
	}
	return n
}

// pieceBlock lists what was decided: stretches that became runs, and those set aside.
func (x *exchange) pieceBlock(w *capture.Work, pieces []tracing.Piece) block {
	b := block{ID: "pieces", Title: x.text("trace.pieces-title")}
	for _, p := range pieces {
		b.Runs = append(b.Runs, x.pieceLine(w, p))
	}
	return b
}

func (x *exchange) pieceLine(w *capture.Work, p tracing.Piece) runLine {
	line := runLine{Href: tracePath(w, "alignments/"+p.AlignmentID.String()) + pickedQuery(w, p.From, p.To),
		Detail: joined(" · ", x.span(w, p.From, p.To), x.told2(w, p.By, p.CapturedAt))}
	if p.RunID == nil {
		line.Title, line.Aside = x.text("trace.piece-aside"), x.text("sheet.aside-because", "reason", p.Reason)
		return line
	}
	line.Title = x.text("trace.piece-run", "run", p.Run, "phase", x.text("sheet.phase-"+string(p.Phase)), "point", p.FlowPoint)
	line.Error = x.errorText(p.Result)
	return line
}

// loggedRuns are the runs of the task that were taken from loggers' files.
func (x *exchange) loggedRuns(w *capture.Work) (map[domain.RunID]tracing.Piece, error) {
	pieces, err := x.Tracing.Pieces(x.ctx(), x.actor, w.TaskID)
	runs := map[domain.RunID]tracing.Piece{}
	for _, p := range pieces {
		if p.RunID != nil {
			runs[*p.RunID] = p
		}
	}
	return runs, err
}

// tracePath is a place of the task's logger files.
func tracePath(w *capture.Work, at string) string { return sheetPath(w, "traces/"+at) }

// ofWhom says whose file it is.
func (x *exchange) ofWhom(w *capture.Work, role tracing.Role, indication string) string {
	if role == tracing.Reference {
		return x.text("trace.of-reference")
	}
	if len(w.Indications) > 1 {
		return x.text("trace.of-indication", "name", indication)
	}
	return x.text("trace.of-meter")
}

// told2 says who did it, and when by the site's clock.
func (x *exchange) told2(w *capture.Work, by domain.PersonID, at time.Time) string {
	who := w.People[by]
	if by == x.actor.Person {
		who = x.text("sheet.you")
	}
	return joined(", ", who, x.clock(w, at))
}

// span is a stretch of time by the site's clock.
func (x *exchange) span(w *capture.Work, from, to time.Time) string {
	from, to = from.In(w.Zone()), to.In(w.Zone())
	if from.YearDay() == to.YearDay() && from.Year() == to.Year() {
		return from.Format("2 January 2006, 15:04:05") + " – " + to.Format("15:04:05")
	}
	return from.Format("2 January 2006, 15:04:05") + " – " + to.Format("2 January 2006, 15:04:05")
}

// size is a number of bytes as people say it.
func size(n int64) string {
	switch {
	case n < 1000:
		return strconv.FormatInt(n, 10) + " B"
	case n < 1_000_000:
		return strconv.FormatInt((n+500)/1000, 10) + " kB"
	}
	return strconv.FormatFloat(float64(n)/1e6, 'f', 1, 64) + " MB"
}
