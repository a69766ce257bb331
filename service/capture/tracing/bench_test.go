package tracing_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/service/capture/tracing"
	"rillmark/service/logfile"
	"rillmark/service/store/storetest"
)

const benchRows = 100_000

// BenchmarkKeeping keeps a file of 100,000 rows and draws it, beside psql's \copy of the same
// rows, decoded already, into a table with a primary key, and beside reading those rows; all
// in turn, on one server that flushes to disk. It reports milliseconds and the ratios.
func BenchmarkKeeping(b *testing.B) {
	psql, err := exec.LookPath("psql")
	if err != nil {
		b.Skip("psql is not here")
	}
	d := openOn(b, storetest.NewCluster(b, true).Clone(b))
	d.SQL("CREATE TABLE reading_by_row (series_id uuid, at timestamptz, value double precision, PRIMARY KEY (series_id, at))")
	conn := d.db.Connect(b, "")
	file := logged(benchRows, false)
	rows := filepath.Join(b.TempDir(), "rows")
	var upload, decode, ours, copied, read, points, plot time.Duration
	timed := func(total *time.Duration, do func()) {
		began := time.Now()
		do()
		*total += time.Since(began)
	}
	for b.Loop() {
		var f domain.LogFileID
		var series domain.SeriesID
		timed(&upload, func() { f = d.upload(tracing.Reference, "r.csv", file) })
		timed(&decode, func() { series = d.confirm(f, logfile.Mapping{}) })
		id := uuid.New()
		decoded(b, rows, id)
		timed(&copied, func() {
			if out, err := exec.Command(psql, "-X", "-q", "-d", d.db.URL, "-c", `\copy reading_by_row FROM '`+rows+`'`).CombinedOutput(); err != nil {
				b.Fatalf("%v: %s", err, out)
			}
		})
		timed(&read, func() { readRows(b, conn, id) })
		timed(&points, func() {
			if _, err := d.Envelope(d.ctx, d.Technician, series, begun.Add(1000*time.Second), begun.Add(90_000*time.Second), 1000); err != nil {
				b.Fatal(err)
			}
		})
		timed(&plot, func() {
			if e, err := d.Envelope(d.ctx, d.Technician, series, time.Time{}, time.Time{}, 500); err != nil || len(e.Ranges) < 150 {
				b.Fatal(err)
			}
		})
	}
	ours = upload + decode
	for name, total := range map[string]time.Duration{"ms-upload": upload, "ms-decode-store": decode, "ms-psql-copy": copied, "ms-read-rows": read,
		"ms-draw-part": points, "ms-draw": plot} {
		b.ReportMetric(total.Seconds()*1e3/float64(b.N), name)
	}
	b.ReportMetric(decode.Seconds()/copied.Seconds(), "decode-store/psql")
	b.ReportMetric(ours.Seconds()/copied.Seconds(), "with-upload/psql")
	b.ReportMetric(plot.Seconds()/read.Seconds(), "draw/read-rows")
	b.ReportMetric(points.Seconds()/read.Seconds(), "draw-part/read-rows")
}

// decoded writes the rows as COPY takes them.
func decoded(b *testing.B, name string, id uuid.UUID) {
	b.Helper()
	var text []byte
	for i := range benchRows {
		text = append(append(text, id.String()...), '\t')
		text = begun.Add(time.Duration(pausing(i, benchRows))*time.Second).AppendFormat(text, "2006-01-02 15:04:05Z")
		text = append(strconv.AppendFloat(append(text, '\t'), flowOf(i)/3600, 'g', -1, 64), '\n')
	}
	if err := os.WriteFile(name, text, 0o644); err != nil {
		b.Fatal(err)
	}
}

func readRows(b *testing.B, conn *pgx.Conn, id uuid.UUID) {
	b.Helper()
	type row struct {
		At    time.Time
		Value float64
	}
	rows, err := conn.Query(b.Context(), "SELECT at, value FROM reading_by_row WHERE series_id = $1 ORDER BY at", id)
	if err != nil {
		b.Fatal(err)
	}
	all := make([]row, 0, benchRows)
	for rows.Next() {
		var r row
		if err := rows.Scan(&r.At, &r.Value); err != nil {
			b.Fatal(err)
		}
		all = append(all, r)
	}
	if rows.Err() != nil || len(all) != benchRows {
		b.Fatalf("%d rows, %v", len(all), rows.Err())
	}
}

// BenchmarkAlign compares two kept series of 100,000 points.
func BenchmarkAlign(b *testing.B) {
	d := open(b)
	file := logged(benchRows, false)
	p := tracing.Pair{ReferenceID: d.confirm(d.upload(tracing.Reference, "r.csv", file), logfile.Mapping{}),
		MeterID: d.confirm(d.upload(tracing.Meter, "m.csv", bytes.Clone(file)), logfile.Mapping{})}
	for b.Loop() {
		if seen, err := d.Look(d.ctx, d.Technician, p); err != nil || seen.Signals.Reason.Code == trace.CodeNoOverlap {
			b.Fatal(err)
		}
	}
}
