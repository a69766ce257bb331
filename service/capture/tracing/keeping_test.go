package tracing_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/xuri/excelize/v2"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
	"rillmark/service/store"
)

// act is one command of the package, ready to be sent again.
type act struct {
	name  string
	table string
	send  func(access.Actor, capture.At) (capture.Written, error)
}

// acts are all commands, each on what those before it wrote.
func (d *desk) acts() []act {
	var (
		file       = [2]domain.LogFileID{id[domain.LogFileKind](), id[domain.LogFileKind]()}
		series     = [2]domain.SeriesID{id[domain.SeriesKind](), id[domain.SeriesKind]()}
		alignment  = id[domain.AlignmentKind]()
		run, piece = id[domain.RunKind](), id[domain.StretchKind]()
		aside      = id[domain.StretchKind]()
		mounting   = d.planned()
		from       = time.Date(2026, 3, 24, 8, 2, 0, 0, time.UTC)
		none       = logfile.Mapping{Zone: "UTC", Averaging: &logfile.Averaging{Kind: "none"}}
	)
	return []act{
		{"upload of the reference", "log_file", func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Upload(d.ctx, a, tracing.Upload{At: at, ID: file[0], Role: "reference", Name: "r.csv", File: bytes.NewReader(example(d.t, "reference.csv"))})
		}},
		{"upload of the meter", "log_file", func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Upload(d.ctx, a, tracing.Upload{At: at, ID: file[1], Role: "meter", IndicationID: d.Indication, Name: `C:\logs\m.csv`, File: bytes.NewReader(example(d.t, "meter.csv"))})
		}},
		{"confirm the reference", "series", func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Confirm(d.ctx, a, tracing.Confirm{At: at, ID: series[0], FileID: file[0], Mapping: none, Remember: true})
		}},
		{"confirm the meter", "series", func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Confirm(d.ctx, a, tracing.Confirm{At: at, ID: series[1], FileID: file[1], Mapping: none})
		}},
		{"align", "alignment", func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Decide(d.ctx, a, tracing.Decide{At: at, ID: alignment, How: "signals", Pair: tracing.Pair{ReferenceID: series[0], MeterID: series[1]}})
		}},
		{"take", "stretch", func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Take(d.ctx, a, tracing.Take{At: at, ID: run, StretchID: piece, AlignmentID: alignment, From: from, To: from.Add(5 * time.Minute),
				Phase: "before", MountingID: mounting, FlowPoint: "1"})
		}},
		{"set aside", "stretch", func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.SetAside(d.ctx, a, tracing.SetAside{At: at, ID: aside, AlignmentID: alignment, From: from.Add(10 * time.Minute), To: from.Add(11 * time.Minute), Reason: "air in the pipe"})
		}},
	}
}

// TestEveryCommandOnceAndByTheCrew sends every command by people who may not, then twice:
// it happens once, with one event, and the same answer.
func TestEveryCommandOnceAndByTheCrew(t *testing.T) {
	d := open(t)
	stranger := d.Technician
	stranger.Person = id[domain.PersonKind]()
	for _, a := range d.acts() {
		count := func() int { return d.Count("SELECT count(*) FROM " + a.table) }
		before := count()
		if _, err := a.send(access.Actor{Person: d.Technician.Person, Roles: []access.Role{access.Coordinator, access.Approver, access.Auditor, access.Administrator}}, d.at()); domain.KindOf(err) != domain.Forbidden {
			t.Errorf("%s by no technician: %v", a.name, err)
		}
		if _, err := a.send(stranger, d.at()); !fault.Has(err, capture.NotOfCrew) {
			t.Errorf("%s by another technician: %v", a.name, err)
		}
		if count() != before {
			t.Errorf("%s: refused and written", a.name)
		}
		at := d.at()
		first, events := d.must(a.send(d.Technician, at)), d.Count("SELECT count(*) FROM audit.event")
		if again := d.must(a.send(d.Technician, at)); again != first {
			t.Errorf("%s: %+v, then %+v", a.name, first, again)
		}
		if count() != before+1 || d.Count("SELECT count(*) FROM audit.event") != events {
			t.Errorf("%s sent twice: %d rows more", a.name, count()-before)
		}
		if n := d.Count(fmt.Sprintf("SELECT count(*) FROM audit.subject WHERE kind = '%s' AND id = '%s'", a.table, first.ID)); n != 1 && a.name != "take" {
			t.Errorf("%s: %d events tell of it", a.name, n)
		}
		other := at
		other.CapturedAt = time.Now()
		if _, err := a.send(d.Technician, other); domain.KindOf(err) != domain.Reused {
			t.Errorf("%s: the same operation with another content: %v", a.name, err)
		}
	}
	if name := d.text("SELECT name FROM log_file WHERE role = 'meter'"); name != "m.csv" {
		t.Errorf("the meter's file is called %s", name)
	}
}

func (d *desk) text(query string, args ...any) (text string) {
	d.t.Helper()
	if err := d.db.Connect(d.t, "").QueryRow(d.ctx, query, args...).Scan(&text); err != nil {
		d.t.Fatal(err)
	}
	return text
}

// as logs in as a role that has no way back.
func as(t *testing.T, d *desk, role store.Role) *pgx.Conn {
	t.Helper()
	conn := d.db.Connect(t, "")
	if _, err := conn.Exec(t.Context(), "SET SESSION AUTHORIZATION "+string(role)); err != nil {
		t.Fatal(err)
	}
	return conn
}

var kept = []string{"log_file", "series", "series_chunk", "alignment", "stretch"}

// TestNothingKeptChanges tries to change and delete as the application, and to read as the
// portal of the client and of another one.
func TestNothingKeptChanges(t *testing.T) {
	d := open(t)
	for _, a := range d.acts() {
		d.must(a.send(d.Technician, d.at()))
	}
	app, portal := as(t, d, store.App), as(t, d, store.Portal)
	refused := func(conn *pgx.Conn, sql string) {
		var pg *pgconn.PgError
		if _, err := conn.Exec(t.Context(), sql); !errors.As(err, &pg) || pg.Code != "42501" {
			t.Errorf("%s: %v", sql, err)
		}
	}
	for _, table := range append([]string{"column_map"}, kept...) {
		refused(app, "DELETE FROM "+table)
		refused(app, "TRUNCATE "+table)
		refused(portal, "SELECT FROM "+table)
		if d.Count("SELECT count(*) FROM "+table) == 0 {
			t.Errorf("%s is empty: nothing is tried", table)
		}
	}
	for table, column := range map[string]string{"log_file": "name", "series": "mapping", "series_chunk": "data", "alignment": "reason", "stretch": "reason", "column_map": "mapping"} {
		refused(app, fmt.Sprintf("UPDATE %s SET %s = %[2]s", table, column))
	}
	for _, table := range kept { // were the portal given the table: its own client's rows alone
		d.SQL("GRANT SELECT ON " + table + " TO rillmark_portal")
		for client, want := range map[string]bool{d.Client.String(): true, id[domain.ClientKind]().String(): false, "": false} {
			if _, err := portal.Exec(t.Context(), "SELECT set_config('rillmark.client_id', $1, false)", client); err != nil {
				t.Fatal(err)
			}
			n := 0
			if err := portal.QueryRow(t.Context(), "SELECT count(*) FROM "+table).Scan(&n); err != nil || (n > 0) != want {
				t.Errorf("%s for client %q: %d rows, %v", table, client, n, err)
			}
		}
	}
	for _, table := range kept { // a row cannot be said to be another client's
		_, err := d.db.Connect(t, "").Exec(t.Context(), "UPDATE "+table+" SET client_id = gen_random_uuid()")
		var pg *pgconn.PgError
		if !errors.As(err, &pg) || pg.Code != "23503" {
			t.Errorf("%s of another client: %v", table, err)
		}
	}
}

// TestAmbiguousIsAskedAndRemembered asks what 03/04 is, takes the answer, and does not ask
// of the next file of the layout; the file itself comes back as it was.
func TestAmbiguousIsAskedAndRemembered(t *testing.T) {
	d := open(t)
	file := func(day int) []byte {
		var b strings.Builder
		b.WriteString("Date,Time,Flow (m3/h)\n")
		for i := range 40 {
			fmt.Fprintf(&b, "%02d/04/2026,10:%02d:00,%d.5\n", day, i, 20+i%3)
		}
		b.WriteString("03/04/2026,10:41:00,ERROR\n")
		return []byte(b.String())
	}
	first := d.upload(tracing.Reference, "a.csv", file(3))
	r, err := d.Propose(d.ctx, d.Technician, first, logfile.Mapping{})
	if err != nil || !fault.Has(r.Proposal.Questions, logfile.AskDateOrder) || r.Read != nil || r.Remembered != nil {
		t.Fatalf("%v, %v", r.Proposal.Questions, err)
	}
	if _, err := d.Confirm(d.ctx, d.Technician, tracing.Confirm{At: d.at(), ID: id[domain.SeriesKind](), FileID: first}); !fault.Has(err, logfile.AskDateOrder) || domain.KindOf(err) != domain.Invalid {
		t.Errorf("confirmed with an open question: %v", err)
	}
	answer := logfile.Mapping{DateOrder: "dmy"}
	if r, err = d.Propose(d.ctx, d.Technician, first, answer); err != nil || r.Read == nil {
		t.Fatalf("%v, %v", r.Proposal.Questions, err)
	}
	if got := r.Read.Report; got.Kept != 40 || got.Rows != 41 || len(got.Dropped) != 1 || got.Dropped[0].Reason.Code != logfile.DropWord {
		t.Errorf("%+v", got)
	}
	if r.Read.First.Month() != time.April || r.Read.Interval != 60 || len(r.Read.Envelope) == 0 {
		t.Errorf("%+v", r.Read)
	}
	c := tracing.Confirm{At: d.at(), ID: id[domain.SeriesKind](), FileID: first, Mapping: answer, Remember: true}
	d.must(d.Confirm(d.ctx, d.Technician, c))

	second := d.upload(tracing.Reference, "b.csv", file(5))
	r, err = d.Propose(d.ctx, d.Technician, second, logfile.Mapping{})
	if err != nil || !r.Proposal.Complete() || r.Remembered == nil || r.Remembered.Version != 1 || r.Read.First.Day() != 5 {
		t.Fatalf("%+v, %v, %v", r.Remembered, r.Proposal.Questions, err)
	}
	if r.Remembered.Mapping.Zone != "" || r.Remembered.Mapping.HeaderLines != nil {
		t.Errorf("what belongs to the site or the file was remembered: %+v", r.Remembered.Mapping)
	}
	again := tracing.Confirm{At: d.at(), ID: id[domain.SeriesKind](), FileID: second, Remember: true}
	d.must(d.Confirm(d.ctx, d.Technician, again))
	again = tracing.Confirm{At: d.at(), ID: id[domain.SeriesKind](), FileID: second, Mapping: logfile.Mapping{DateOrder: "mdy"}, Remember: true}
	d.must(d.Confirm(d.ctx, d.Technician, again))
	if n := d.Count("SELECT count(*) FROM column_map"); n != 2 {
		t.Errorf("%d column maps: an unchanged one is no new version, a changed one is", n)
	}
	channels, err := d.Channels(d.ctx, d.Technician, d.Task)
	if err != nil || len(channels) != 2 || channels[1].ID != again.ID || channels[1].First.Month() != time.May {
		t.Errorf("%+v, %v: the newest series of a file holds", channels, err)
	}
	if got := channels[0].Report; len(got.Dropped) != 1 || got.Dropped[0].Rows != 1 || got.Dropped[0].Reason.Code != logfile.DropWord {
		t.Errorf("kept report %+v", got)
	}
	var back bytes.Buffer
	if err := d.Content(d.ctx, d.Technician, first, &back); err != nil || !bytes.Equal(back.Bytes(), file(3)) {
		t.Errorf("%d bytes came back, %v", back.Len(), err)
	}
}

// TestUploadsRefused are files that cannot be kept.
func TestUploadsRefused(t *testing.T) {
	d := open(t)
	good := func() tracing.Upload {
		return tracing.Upload{At: d.at(), ID: id[domain.LogFileKind](), Role: "meter", IndicationID: d.Indication, Name: "m.csv", File: strings.NewReader("x")}
	}
	for name, c := range map[string]struct {
		change func(*tracing.Upload)
		code   *fault.Code
	}{
		"no role":                  {func(c *tracing.Upload) { c.Role = "" }, tracing.UnknownRole},
		"a meter's of nothing":     {func(c *tracing.Upload) { c.IndicationID = domain.IndicationID{} }, domain.Required},
		"of another's indication":  {func(c *tracing.Upload) { c.IndicationID = id[domain.IndicationKind]() }, tracing.NotItsMeter},
		"empty":                    {func(c *tracing.Upload) { c.File = strings.NewReader("") }, tracing.FileEmpty},
		"none":                     {func(c *tracing.Upload) { c.File = nil }, tracing.FileMissing},
		"without a name":           {func(c *tracing.Upload) { c.Name = "/" }, domain.Required},
		"without an id":            {func(c *tracing.Upload) { c.ID = domain.LogFileID{} }, domain.NotAnID},
		"larger than can be taken": {func(c *tracing.Upload) { c.File = &endless{} }, tracing.FileTooLarge},
	} {
		u := good()
		c.change(&u)
		if _, err := d.Upload(d.ctx, d.Technician, u); !fault.Has(err, c.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if n := d.Count("SELECT count(*) FROM log_file"); n != 0 {
		t.Errorf("%d files were kept", n)
	}
}

// endless never ends.
type endless struct{}

func (*endless) Read(b []byte) (int, error)     { return len(b), nil }
func (*endless) Seek(int64, int) (int64, error) { return 0, nil }

// TestByHandAndByNote decides in the two other ways, and refuses what is not complete.
func TestByHandAndByNote(t *testing.T) {
	d := open(t)
	r, m := d.pair()
	pair := tracing.Pair{ReferenceID: r, MeterID: m}
	seen, err := d.Look(d.ctx, d.Technician, pair)
	if err != nil || !seen.Signals.Found || seen.Doubt != 10 {
		t.Fatalf("%+v, %v", seen.Signals, err)
	}
	decide := func(change func(*tracing.Decide)) (tracing.Alignment, error) {
		c := tracing.Decide{At: d.at(), ID: id[domain.AlignmentKind](), Pair: pair}
		change(&c)
		if _, err := d.Decide(d.ctx, d.Technician, c); err != nil {
			return tracing.Alignment{}, err
		}
		return d.AlignmentOf(d.ctx, d.Technician, c.ID)
	}
	hand, err := decide(func(c *tracing.Decide) {
		c.How, c.Lag, c.Uncertainty, c.Reason = "nudged", "85,5", "6", "the steps lie better so"
	})
	if err != nil || hand.Lag != 85.5 || hand.Uncertainty != 6 || !hand.Signals.Found || hand.By != d.Technician.Person || hand.Reason == "" {
		t.Errorf("%+v, %v", hand, err)
	}
	near(t, "what the signals said", *hand.Signals.Lag, seen.Signals.Lag, 1e-12)
	note := tracing.ClockNote{Start: tracing.Moment{ReferenceClock: "08:05:00", ReferenceShows: "08:05:00", MeterClock: "08:06:00", MeterShows: "08:04:36"}}
	noted, err := decide(func(c *tracing.Decide) { c.How, c.Note = "clock-note", note })
	if err != nil || noted.Lag != 84 || noted.Note == nil || *noted.Note != note {
		t.Errorf("%+v, %v", noted, err)
	}
	if steady, err := d.Stretches(d.ctx, d.Technician, noted.ID); err != nil || len(steady.Proposed) < 3 {
		t.Errorf("by the note %d stretches, %v", len(steady.Proposed), err)
	}
	for name, c := range map[string]struct {
		change func(*tracing.Decide)
		code   *fault.Code
	}{
		"no way":               {func(c *tracing.Decide) {}, tracing.UnknownHow},
		"by hand, no reason":   {func(c *tracing.Decide) { c.How, c.Lag, c.Uncertainty = "nudged", "1", "1" }, domain.Required},
		"by hand, no number":   {func(c *tracing.Decide) { c.How, c.Lag, c.Uncertainty, c.Reason = "nudged", "NaN", "1", "x" }, tracing.NotASecond},
		"by hand, ± below 0":   {func(c *tracing.Decide) { c.How, c.Lag, c.Uncertainty, c.Reason = "nudged", "1", "-1", "x" }, tracing.NotASecond},
		"an empty note":        {func(c *tracing.Decide) { c.How = "clock-note" }, domain.Required},
		"a note of no times":   {func(c *tracing.Decide) { c.How, c.Note = "clock-note", note; c.Note.Start.MeterShows = "noon" }, tracing.NotATime},
		"an end at the start":  {func(c *tracing.Decide) { c.How, c.Note = "clock-note", note; c.Note.End = note.Start }, trace.CodeBadNote},
		"the reference twice":  {func(c *tracing.Decide) { c.How, c.MeterID = "signals", r }, tracing.NotAMeter},
		"the other way round":  {func(c *tracing.Decide) { c.How, c.ReferenceID, c.MeterID = "signals", m, r }, tracing.NotAReference},
		"no such series":       {func(c *tracing.Decide) { c.How, c.MeterID = "signals", id[domain.SeriesKind]() }, domain.NoSuchThing},
		"a time with no flow":  {func(c *tracing.Decide) { c.How, c.From = "signals", time.Now() }, tracing.NoPoints},
		"a search of nonsense": {func(c *tracing.Decide) { c.How, c.Search = "signals", -1 }, trace.CodeBadSearch},
	} {
		if _, err := decide(c.change); !fault.Has(err, c.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
	all, err := d.Alignments(d.ctx, d.Technician, d.Task)
	if err != nil || len(all) != 2 || all[0].ID != noted.ID {
		t.Errorf("%d alignments, %v", len(all), err)
	}
}

// TestBrokenChunkIsTold flips one byte of a chunk.
func TestBrokenChunkIsTold(t *testing.T) {
	d := open(t)
	r, m := d.pair()
	d.SQL("UPDATE series_chunk SET data = set_byte(data, 40, get_byte(data, 40) # 1) WHERE series_id = $1", r)
	_, err := d.Look(context.Background(), d.Technician, tracing.Pair{ReferenceID: r, MeterID: m})
	if !fault.Has(err, chunk.CodeHash) && !fault.Has(err, chunk.CodeBroken) {
		t.Errorf("%v", err)
	}
}

// TestDecodeAgain reads, as the reading role, the file of a whole series again, and of ones in
// which something was changed past the program.
func TestDecodeAgain(t *testing.T) {
	d := open(t)
	series := d.confirm(d.upload(tracing.Reference, "long.csv", logged(40_000, false)), logfile.Mapping{})
	other := d.confirm(d.upload(tracing.Reference, "other.csv", logged(40_001, false)), logfile.Mapping{})
	look := func() *fault.Fault {
		t.Helper()
		reader := tracing.New(tracing.Config{Store: d.db.Open(t, store.Reader)})
		found, err := reader.DecodeAgain(t.Context(), access.System("recheck"), series)
		if err != nil {
			t.Fatal(err)
		}
		return found
	}
	if found := look(); found != nil {
		t.Fatalf("of a whole one: %v", found)
	}
	d.SQL("CREATE TABLE spare_chunk AS TABLE series_chunk")
	d.SQL("CREATE TABLE spare_part AS TABLE blob_part")
	for change, code := range map[string]*fault.Code{
		"UPDATE series_chunk SET data = set_byte(data, 400, get_byte(data, 400) # 1) WHERE series_id = $1 AND n = 1 AND $2 <> $1": tracing.ChunkBroken,
		`UPDATE series_chunk c SET (data, hash) = (SELECT data, hash FROM series_chunk o WHERE o.series_id = $2 AND o.n = c.n)
			WHERE series_id = $1 AND n = 2`: tracing.ChunkDiffers,
		"DELETE FROM series_chunk WHERE series_id = $1 AND n = 2 AND $2 <> $1": tracing.ChunkGone,
		`INSERT INTO series_chunk SELECT series_id, client_id, 3, points, first_at, last_at, outline, hash, data FROM series_chunk
			WHERE series_id = $1 AND n = 2 AND $2 <> $1`: tracing.ChunksMore,
		`UPDATE blob_part SET data = 'nothing' WHERE n = 0 AND $2::uuid <> $1::uuid AND sha256 = (SELECT f.sha256 FROM series s
			JOIN log_file f ON f.id = s.log_file_id WHERE s.id = $1)`: tracing.FileUnreadable,
	} {
		d.SQL(change, series, other)
		if found := look(); found == nil || found.Code != code {
			t.Errorf("%s: %v, want %s", change, found, code.Name())
		}
		d.SQL("DELETE FROM series_chunk")
		d.SQL("INSERT INTO series_chunk SELECT * FROM spare_chunk")
		d.SQL("UPDATE blob_part p SET data = s.data FROM spare_part s WHERE s.sha256 = p.sha256 AND s.n = p.n")
	}
}

// TestSheetsAreKept confirms a file of a spreadsheet.
func TestSheetsAreKept(t *testing.T) {
	d := open(t)
	f := excelize.NewFile()
	defer f.Close() //nolint:errcheck // in memory
	for i, row := range [][]any{{"Time", "Flow [m3/h]"}} {
		if err := f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 60 {
		row := []any{46105.5 + float64(i)/1440, 20 + float64(i%3)}
		if err := f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+2), &row); err != nil {
			t.Fatal(err)
		}
	}
	b, err := f.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	series := d.confirm(d.upload(tracing.Reference, "log.xlsx", b.Bytes()), logfile.Mapping{})
	c, err := d.ChannelOf(d.ctx, d.Technician, series)
	if err != nil || c.Points != 60 || c.Interval != 60 || c.Mapping.TimeForm != "serial" {
		t.Errorf("%+v, %v", c, err)
	}
	if found, err := d.DecodeAgain(d.ctx, d.Technician, series); err != nil || found != nil {
		t.Errorf("decoded again: %v, %v", found, err)
	}
}
