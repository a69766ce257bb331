package logfile_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/service/logfile"
)

// FuzzLoad holds that any bytes are read or refused with a code, that rows kept rise in
// time and are finite, and that rows kept and dropped are all rows.
func FuzzLoad(f *testing.F) {
	for seed := range uint64(4) {
		c := generate(seed + 1).reference
		c.layout = int(seed)
		f.Add(c.file()[:600])
	}
	for _, text := range []string{
		"", "\n\n\n", "Time,Flow L/s\n2026-10-25 02:30:00,1\n2026-10-25 02:30:00,1\n", "a;b\n1;2\n", "\xff\xfe", "\xfe\xff\x00",
		"Time;Total m3\n2026-03-04 10:00:00;9\n2026-03-04 10:00:01;1\n", "\"\"\"\n\"", "t,q m3/s\n1e9,1e308\n1000000001,-1e-308\n",
		"Time,Flow L/s\n9999-12-31 23:59:59,1\n0001-01-01 00:00:00,1\n", strings.Repeat(";", 300), "PK\x03\x04",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		source, err := logfile.SourceOf(bytes.NewReader(data), int64(len(data)), "")
		if err != nil {
			return
		}
		c, err := logfile.Load(source, logfile.Mapping{}, "Europe/Berlin")
		if err != nil {
			if len(fault.AllOf(err)) == 0 {
				t.Fatalf("%v has no code", err)
			}
			return
		}
		sum := c.Report.Kept
		for _, d := range c.Report.Dropped {
			sum += d.Rows
		}
		if sum != c.Report.Rows || c.Report.Kept != len(c.Points.Micro) {
			t.Fatalf("%d kept of %d, %d with those dropped", c.Report.Kept, c.Report.Rows, sum)
		}
		for i, m := range c.Points.Micro {
			if i > 0 && m <= c.Points.Micro[i-1] || math.IsNaN(c.Points.Value[i]) || math.IsInf(c.Points.Value[i], 0) {
				t.Fatalf("row %d: %d, %g", i, m, c.Points.Value[i])
			}
		}
		if s, err := c.Series(c.Points.Micro[0]); err == nil && !c.Mapping.Counter && len(s.Time) >= 8 {
			if faults := s.Validate(); len(faults) > 0 {
				t.Fatal(faults)
			}
		}
	})
}
