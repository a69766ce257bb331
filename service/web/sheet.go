package web

import (
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// sheetPage is one place of a task's work sheet: the tape with the place as running head,
// what is to be known before anything is typed, and blocks one under the other.
type sheetPage struct {
	base
	Tape        part.Step
	Provisional string
	Whole       part.Link // to the whole sheet at a glance
	Warnings    []part.Notice
	Blocks      []block
	Script      bool
	Wide        bool // pictures are wanted wide, where there is room
}

// block is one part of a place. What is empty is not shown.
type block struct {
	ID       string
	Title    string
	Answer   string // the sentence that is the answer, the largest thing on the page
	Verdict  *part.Verdict
	Lead     string
	Notices  []part.Notice
	Clamp    *part.Clamp
	Picture  *picture
	Still    template.HTML // a drawing that stands still
	Stretch  *stretchMark  // the block is of this stretch of the picture
	Pair     []part.Field
	Values   []valueLine
	Table    *part.Table
	Tables   []part.Table
	Runs     []runLine
	Facts    []part.Fact
	Rows     []part.Row
	Acts     []part.Button
	Forms    []sheetForm
	Quiet    []part.Link
	Timeline []part.Moment
}

// valueLine is one value of the survey as the sheet shows it.
type valueLine struct {
	Label  string
	Text   string
	Figure bool     // the text is a number
	Source string   // from where, with what, who, when
	Last   string   // the last visit's value, where there is none of today
	Doubts []string // sentences of what a person should look at
	Href   string   // where it is entered or corrected
	Deed   string
	Needed bool
}

// sheetForm is one form of a place. A folded one opens by its summary.
type sheetForm struct {
	ID       string
	Title    string
	Action   string
	Method   string // empty: post
	Summary  string // folded under these words
	Open     bool
	Lead     string
	Notice   *part.Notice
	Hidden   []part.Field
	Captured string // when it was first sent, by the device: a correction of the form keeps it
	Groups   []group
	Rows     []readingRow
	Heads    []string
	Upload   bool   // a file comes along
	Most     int64  // its largest size in bytes
	TooLarge string // what is said of a larger one before it is sent
	Button   part.Button
}

// tried is a form that was not accepted: which, what was typed, and why.
type tried struct {
	form   string
	values url.Values
	err    error
}

// place is one place of the work sheet.
type place struct{ name, path string }

// sheetPlaces are the places in the order of the work. The verdict is the last.
var sheetPlaces = []place{{"survey", "survey"}, {"mounting", "mounting"}, {"check", "check"}, {"before", "before"},
	{"adjust", "adjust"}, {"after", "after"}, {"verdict", "verdict"}}

// sheetPath is the path of a place of the work.
func sheetPath(w *capture.Work, place string) string {
	return "/tasks/" + w.TaskID.String() + "/" + place
}

// task reads the whole task of the path.
func (x *exchange) task() (*capture.Work, error) {
	id, err := pathID[domain.TaskKind](x, "task", "task")
	if err != nil {
		return nil, err
	}
	return x.Capture.Sheet(x.ctx(), x.actor, id)
}

// mayFill reports whether the actor is a technician of the visit's crew.
func (x *exchange) mayFill(w *capture.Work) bool {
	return access.Allowed(x.actor, access.FillSheet) && slices.Contains(w.Crew, x.actor.Person)
}

// sheetPage begins the page of a place.
func (x *exchange) sheetPage(w *capture.Work, name string) *sheetPage {
	p := &sheetPage{Provisional: x.text("sheet.provisional"), Script: true}
	p.base = x.base(part.Heading{Title: joined(" ", w.Tag, w.Point), Trail: []part.Link{
		{Href: "/clients/" + w.ClientID.String(), Words: w.Client}, {Href: "/sites/" + w.SiteID.String(), Words: w.Site}}})
	for _, e := range w.Evaluations {
		if e.Approved {
			p.Provisional = x.text("sheet.approved", "number", e.Number)
			break
		}
	}
	p.Whole = part.Link{Href: sheetPath(w, "sheet"), Words: x.text("sheet.whole")}
	p.Zone = w.TimeZone
	if p.Tape = x.tape(w, name); p.Tape.Back == p.Whole {
		p.Whole = part.Link{} // the way back leads there
	}
	for _, f := range w.KitWarnings(x.actor.Person, x.Now()) {
		p.Warnings = append(p.Warnings, part.Notice{Act: true, Text: x.Book.Fault(f)})
	}
	for _, f := range w.Stops() {
		at := sheetPath(w, "survey/"+f.Field)
		if x.r.URL.Path == at {
			continue // it stands beside the value
		}
		p.Warnings = append(p.Warnings, part.Notice{Act: true, Text: x.Book.Fault(f), Links: []part.Link{{Href: at, Words: x.text("sheet.look-at", "name", x.valueWord(sheet.Name(f.Field)))}}})
	}
	if back := sentBack(w.Facts.Sheet); back != nil {
		p.Warnings = append(p.Warnings, part.Notice{Act: true, Lead: x.text("sheet.came-back", "who", w.People[back.By], "when", x.clock(w, back.CapturedAt)), Text: back.Text})
	}
	if state := w.Facts.Sheet.State(); w.Facts.Sheet.StillInhibited() && state != sheet.UnderWay {
		p.Warnings = append(p.Warnings, part.Notice{Act: true, Text: x.text("sheet.control-left")})
	}
	if !x.mayFill(w) {
		p.Warnings = append(p.Warnings, part.Notice{Lead: x.text("sheet.reading"), Text: x.text("sheet.reading-text", "crew", x.crew(w))})
	}
	return p
}

// sentBack is the approver's word on a sheet that came back, as long as it is the last one.
func sentBack(s sheet.Sheet) (last *sheet.TaskNote) {
	if s.State() != sheet.Returned {
		return nil
	}
	for i, n := range s.Notes {
		if n.Kind == sheet.SentBack && (last == nil || n.CapturedAt.After(last.CapturedAt)) {
			last = &s.Notes[i]
		}
	}
	return last
}

// tape is the running head: the mark at the place, and the ways back and on.
func (x *exchange) tape(w *capture.Work, name string) part.Step {
	i := slices.IndexFunc(sheetPlaces, func(p place) bool { return p.name == name })
	if i < 0 {
		return part.Step{Place: 1, Of: 2 * len(sheetPlaces), Words: x.text("sheet.tape-start"),
			Next: part.Link{Href: sheetPath(w, "survey"), Words: x.text("sheet.place-survey")}}
	}
	s := part.Step{Place: i + 1, Of: len(sheetPlaces), Name: x.text("sheet.place-" + name)}
	s.Words = x.text("step.place", "place", i+1, "of", len(sheetPlaces)-1, "name", s.Name)
	if i == len(sheetPlaces)-1 {
		s.Words = s.Name
	}
	s.Back = part.Link{Href: sheetPath(w, "sheet"), Words: x.text("sheet.whole")}
	if i > 0 {
		s.Back = part.Link{Href: sheetPath(w, sheetPlaces[i-1].path), Words: x.text("sheet.place-" + sheetPlaces[i-1].name)}
	}
	if i+1 < len(sheetPlaces) {
		s.Next = part.Link{Href: sheetPath(w, sheetPlaces[i+1].path), Words: x.text("sheet.place-" + sheetPlaces[i+1].name)}
	}
	return s
}

func (x *exchange) crew(w *capture.Work) string {
	var names []string
	for _, id := range w.Crew {
		names = append(names, w.People[id])
	}
	return strings.Join(names, ", ")
}

// stamped says who captured a row and when, in the site's time.
func (x *exchange) stamped(w *capture.Work, s sheet.Stamp) string {
	who := w.People[s.By]
	if s.By == x.actor.Person {
		who = x.text("sheet.you")
	}
	return joined(", ", who, x.clock(w, s.CapturedAt))
}

// clock tells a time in the site's zone, with the day where it is not today.
func (x *exchange) clock(w *capture.Work, t time.Time) string {
	t, now := t.In(w.Zone()), x.Now().In(w.Zone())
	if t.YearDay() == now.YearDay() && t.Year() == now.Year() {
		return t.Format("15:04")
	}
	return t.Format("2 January 2006, 15:04")
}

// sentences are the words of faults.
func (x *exchange) sentences(list fault.List) []string {
	var all []string
	for _, f := range list {
		all = append(all, x.Book.Fault(f))
	}
	return all
}

// ask makes one form of a place, fresh or as it was refused.
func (x *exchange) ask(id, action string, fields []field, values url.Values, hidden []string, t *tried) sheetForm {
	f := sheetForm{ID: id, Action: action}
	if t != nil && t.form == id {
		f.Captured = t.values.Get("captured_at")
	}
	said := map[string][]string{}
	if t != nil && t.form == id {
		values, f.Open = t.values, true
		if domain.KindOf(t.err) == domain.Reused {
			values = x.renewed(values)
		}
		said = x.Book.ByField(x.faultsOf(t.err))
	}
	focused := false
	for _, one := range fields {
		shown := x.field(one, values, said[one.name])
		shown.ID = id + "-" + one.name
		if len(shown.Wrong) > 0 && !focused {
			shown.Focus, focused = true, true
		}
		delete(said, one.name)
		if last := len(f.Groups) - 1; one.beside && last >= 0 {
			f.Groups[last].Fields = append(f.Groups[last].Fields, shown)
			continue
		}
		f.Groups = append(f.Groups, group{Fields: []part.Field{shown}, Choices: one.open})
	}
	for _, name := range append([]string{"operation", "id"}, hidden...) {
		f.Hidden = append(f.Hidden, part.Field{Name: name, Value: values.Get(name)})
	}
	if kept := values.Get("kept"); kept != "" { // the entry that this form came from
		f.Hidden = append(f.Hidden, part.Field{Name: "kept", Value: kept})
	}
	if f.Open {
		f.Notice = x.rejection(said, focused)
		f.Hidden = append(f.Hidden, sureField(t, x.faultsOf(t.err))...)
	}
	return f
}

// fresh are a form's ids and whatever it holds from the start, as pairs.
func (x *exchange) fresh(pairs ...string) url.Values {
	values := x.ids(true)
	for i := 0; i+1 < len(pairs); i += 2 {
		values.Set(pairs[i], pairs[i+1])
	}
	return values
}

// captured carries a capture out: it binds the command, runs it, and sends the browser on;
// a refused one shows its place again with what was typed.
func captured[C any](x *exchange, form string, run func(*C) (capture.Written, error), then func(*capture.Work, *C, capture.Written) string,
	again func(*capture.Work, *tried) error) error {
	id, err := pathID[domain.TaskKind](x, "task", "task")
	if err != nil {
		return err
	}
	var c C
	values, err := x.bind(&c)
	var done capture.Written
	if err == nil {
		atOf(&c).TaskID = id
		done, err = run(&c)
	}
	if err != nil {
		return x.refuseCapture(form, values, err, again)
	}
	w, err := x.Capture.Sheet(x.ctx(), x.actor, id)
	if err != nil {
		return err
	}
	return x.done(then(w, &c, done), "", http.StatusCreated, done)
}

// atOf returns what every capture names.
func atOf(command any) *capture.At {
	return command.(interface{ Frame() *capture.At }).Frame()
}

func (x *exchange) refuseCapture(form string, values url.Values, err error, again func(*capture.Work, *tried) error) error {
	if x.wantsJSON() || !x.formKnown || x.formErr != nil {
		return err
	}
	switch domain.KindOf(err) {
	case domain.NotFound, domain.Forbidden, domain.Unauthenticated, domain.TooLarge, domain.Internal:
		return err
	}
	w, readErr := x.task()
	if readErr != nil {
		return readErr
	}
	if values.Get("form") != "" {
		form = values.Get("form")
	}
	if wait := retryAfter(err); wait != "" {
		x.gin.Header("Retry-After", wait)
	}
	if render := again(w, &tried{form, values, err}); render != nil {
		return render
	}
	x.rejected = err
	return nil
}

// Traced reports whether the page has a picture that scripts draw.
func (p *sheetPage) Traced() bool {
	return slices.ContainsFunc(p.Blocks, func(b block) bool { return b.Picture != nil })
}

// sheetStatus is the status of a place: that of the refused form on it, if any.
func sheetStatus(t *tried) int {
	if t == nil {
		return http.StatusOK
	}
	return statusOf(t.err)
}

func (x *exchange) showSheet(p *sheetPage, t *tried) error {
	return x.page(sheetStatus(t), "sheet", p)
}
