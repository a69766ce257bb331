package logfile_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"rillmark/service/logfile"
)

// longFile is a file of 1 s data over so many rows with sixty levels, on a clock that is so
// many seconds late.
func longFile(n, lag int, gain, noise float64) []byte {
	r := rand.New(rand.NewPCG(2026, 1))
	own := rand.New(rand.NewPCG(uint64(lag), 2))
	level, b := 0.02, []byte("Time,Flow [m3/h],Temperature [degC]\n")
	for i := range n {
		if r.IntN(n/60+1) == 0 {
			level = 0.02 * (1 + 0.3*(2*r.Float64()-1))
		}
		t := began.Add(time.Duration(i-lag) * time.Second)
		b = t.AppendFormat(b, "2006-01-02T15:04:05")
		b = fmt.Appendf(b, ",%.4f,14.2\n", 3600*level*gain*(1+noise*own.NormFloat64()))
	}
	return b
}

func sourceOf(b *testing.B, data []byte) logfile.Source {
	s, err := logfile.SourceOf(bytes.NewReader(data), int64(len(data)), "")
	if err != nil {
		b.Fatal(err)
	}
	return s
}

func BenchmarkCompare(b *testing.B) {
	r, m := sourceOf(b, longFile(100_000, 0, 1, 0.004)), sourceOf(b, longFile(100_000, 137, 1.015, 0.006))
	for b.Loop() {
		c, err := logfile.Compare(r, m, logfile.PairMap{})
		if err != nil || !c.Alignment.Found || len(c.Stretches) < 20 {
			b.Fatal(err, c.Alignment.Reason, len(c.Stretches))
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	s := sourceOf(b, longFile(100_000, 0, 1, 0.004))
	for b.Loop() {
		if _, err := logfile.Load(s, logfile.Mapping{}, "UTC"); err != nil {
			b.Fatal(err)
		}
	}
}
