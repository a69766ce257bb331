package tracing_test

import (
	"io"
	"os"
	"runtime"
	"strconv"
	"sync/atomic"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/service/capture/tracing"
	"rillmark/service/store/storetest"
)

// year is a file of 1 s data over so many rows, written as it is read: every row has the same
// number of bytes.
type year struct {
	rows int64
	row  []byte
	at   int64 // the row that stands in row
}

const (
	yearHead = "Time,Flow [m3/h]\n"
	yearRow  = len("2026-03-24T08:00:00Z,123.45\n")
)

func (y *year) size() int64 { return int64(len(yearHead)) + y.rows*int64(yearRow) }

// ReadAt implements io.ReaderAt.
func (y *year) ReadAt(b []byte, from int64) (n int, err error) {
	for n < len(b) {
		if from < int64(len(yearHead)) {
			k := copy(b[n:], yearHead[from:])
			n, from = n+k, from+int64(k)
			continue
		}
		i := (from - int64(len(yearHead))) / int64(yearRow)
		if i >= y.rows {
			return n, io.EOF
		}
		k := copy(b[n:], y.line(i)[(from-int64(len(yearHead)))%int64(yearRow):])
		n, from = n+k, from+int64(k)
	}
	return n, nil
}

func (y *year) line(i int64) []byte {
	if y.row == nil || y.at != i {
		y.row = begun.Add(time.Duration(i)*time.Second).AppendFormat(y.row[:0], "2006-01-02T15:04:05Z,")
		y.row = strconv.AppendInt(y.row, 100+i/86400%7*10+i%7, 10)
		y.row = append(y.row, '.')
		y.row = append(strconv.AppendInt(y.row, 10+i*7919%90, 10), '\n')
		y.at = i
	}
	return y.row
}

// TestAYearIsKeptInBoundedMemory uploads and decodes a year of 1 s data with RILLMARK_FULL=1,
// and a hundredth of it otherwise, and draws it.
func TestAYearIsKeptInBoundedMemory(t *testing.T) {
	file, cluster := &year{rows: 310_000}, storetest.Clone
	if os.Getenv("RILLMARK_FULL") == "1" {
		file.rows, cluster = 31_000_000, storetest.NewCluster(t, true).Clone // on disk: it is 1.3 GB
	}
	d := openOn(t, cluster(t))
	stop, done := make(chan struct{}), make(chan struct{})
	var most atomic.Uint64
	go func() {
		defer close(done)
		for {
			var now runtime.MemStats
			runtime.ReadMemStats(&now)
			most.Store(max(most.Load(), now.Sys))
			select {
			case <-stop:
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	began := time.Now()
	u := tracing.Upload{At: d.at(), ID: id[domain.LogFileKind](), Role: "reference", Name: "year.csv", File: io.NewSectionReader(file, 0, file.size())}
	d.must(d.Upload(d.ctx, d.Technician, u))
	uploaded := time.Now()
	c := tracing.Confirm{At: d.at(), ID: id[domain.SeriesKind](), FileID: u.ID}
	d.must(d.Confirm(d.ctx, d.Technician, c))
	decoded := time.Now()
	close(stop)
	<-done
	for _, part := range []time.Duration{0, time.Duration(file.rows) * time.Second / 3} {
		from := time.Time{}
		if part > 0 {
			from = begun.Add(part)
		}
		drawing := time.Now()
		e, err := d.Envelope(d.ctx, d.Technician, c.ID, from, time.Time{}, 500)
		if err != nil || len(e.Ranges) < 100 || len(e.Ranges) > 1010 {
			t.Errorf("%d ranges, %v", len(e.Ranges), err)
		}
		t.Logf("drawn from %s on in %s", part, time.Since(drawing).Round(time.Millisecond/10))
	}
	if n := d.Count("SELECT points FROM series"); int64(n) != file.rows {
		t.Errorf("%d points of %d rows", n, file.rows)
	}
	t.Logf("%d rows, %d MiB: uploaded in %.1f s, decoded and stored in %.1f s, at most %d MiB taken from the system",
		file.rows, file.size()>>20, uploaded.Sub(began).Seconds(), decoded.Sub(uploaded).Seconds(), most.Load()>>20)
	if most.Load() > 256<<20 {
		t.Errorf("%d MiB were taken from the system", most.Load()>>20)
	}
}
