package logfile_test

import (
	"io"
	"os"
	"runtime"
	"strconv"
	"testing"
	"time"

	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
)

// endless is a file of 1 s data over so many rows, written as it is read: every row has the
// same number of bytes.
type endless struct {
	rows int64
	row  []byte
	at   int64 // the row that stands in row
}

const (
	endlessHead = "Time,Flow [m3/h]\n"
	endlessRow  = len("2026-03-24T08:00:00Z,123.45\n")
)

func (e *endless) size() int64 { return int64(len(endlessHead)) + e.rows*int64(endlessRow) }

// ReadAt fills b from the place given.
func (e *endless) ReadAt(b []byte, from int64) (n int, err error) {
	for n < len(b) {
		if from < int64(len(endlessHead)) {
			k := copy(b[n:], endlessHead[from:])
			n, from = n+k, from+int64(k)
			continue
		}
		i := (from - int64(len(endlessHead))) / int64(endlessRow)
		if i >= e.rows {
			return n, io.EOF
		}
		k := copy(b[n:], e.line(i)[(from-int64(len(endlessHead)))%int64(endlessRow):])
		n, from = n+k, from+int64(k)
	}
	return n, nil
}

func (e *endless) line(i int64) []byte {
	if e.row == nil || e.at != i {
		e.row = began.Add(time.Duration(i)*time.Second).AppendFormat(e.row[:0], "2006-01-02T15:04:05Z,")
		e.row = strconv.AppendInt(e.row, 100+i/86400%7*10+i%7, 10)
		e.row = append(e.row, '.')
		e.row = append(strconv.AppendInt(e.row, 10+i*7919%90, 10), '\n')
		e.at = i
	}
	return e.row
}

// TestLongFilesArePackedInBoundedMemory packs a year of 1 s data with RILLMARK_FULL=1, and a
// hundredth of it otherwise.
func TestLongFilesArePackedInBoundedMemory(t *testing.T) {
	file := &endless{rows: 310_000}
	if os.Getenv("RILLMARK_FULL") == "1" {
		file.rows = 31_000_000
	}
	source, err := logfile.SourceOf(file, file.size(), "")
	if err != nil {
		t.Fatal(err)
	}
	proposal, err := source.Propose(logfile.Mapping{}, "UTC")
	if err != nil || !proposal.Complete() {
		t.Fatal(err, proposal.Questions)
	}
	runtime.GC()
	var before, now runtime.MemStats
	runtime.ReadMemStats(&before)
	most, bytes, points := uint64(0), 0, 0
	started := time.Now()
	packed, err := logfile.Pack(source, proposal.Mapping, func(c logfile.Piece) error {
		bytes, points = bytes+len(c.Data), points+c.Points
		if points%(chunk.MostPoints*8) == 0 {
			runtime.ReadMemStats(&now)
			most = max(most, now.Sys)
		}
		return nil
	})
	if err != nil || int64(points) != file.rows || packed.Report.Kept != points || len(packed.Envelope) > chunk.MostRanges {
		t.Fatalf("%v: %d points of %d rows", err, points, file.rows)
	}
	t.Logf("%d rows in %.1f s: %d chunks, %.2f bytes a point, at most %d MiB taken from the system",
		points, time.Since(started).Seconds(), packed.Chunks, float64(bytes)/float64(points), most>>20)
	if most > 256<<20 {
		t.Errorf("%d MiB were taken from the system", most>>20)
	}
}
