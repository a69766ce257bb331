package issuing_test

import (
	"syscall"
	"testing"
	"time"
)

// BenchmarkIssue issues one after another, from what was prepared: number, snapshot,
// document and trail, on a server without flushing to disk. At least 12 a second are wanted on
// two processors. Beside what the clock says it reports this process's own processor time, which
// what else the machine does changes little.
func BenchmarkIssue(b *testing.B) {
	o := open(b)
	o.approve()
	first := o.prepare(o.preparation())
	o.issue(first)
	var took time.Duration
	for b.Loop() {
		b.StopTimer()
		p := o.preparation()
		p.Kind, p.Amends, p.Reason = "amendment", first.ID, "A further picture."
		c := o.prepare(p)
		began := processorTime(b)
		b.StartTimer()
		o.issue(c)
		took += processorTime(b) - began
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "issues/s")
	b.ReportMetric(took.Seconds()*1e3/float64(b.N), "processor-ms")
}

func processorTime(b *testing.B) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
