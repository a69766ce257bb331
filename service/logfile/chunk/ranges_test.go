package chunk_test

import (
	"bytes"
	"math"
	"reflect"
	"testing"

	"rillmark/service/logfile/chunk"
)

// The bytes of two ranges, put together by hand from the description of PackRanges: 1000 µs
// is 2000 in zigzag, d0 0f; 1.5 is 3f f8 in binary64, 2 is 40 00, 1.75 is 3f fc.
func TestRangesAsBytes(t *testing.T) {
	ranges := []chunk.Range{{From: 1000, To: 1005, Low: 1.5, High: 2, Mean: 1.75, Points: 6}, {From: 1007, To: 1007, Low: 2, High: 2, Mean: 2, Points: 1}}
	want := []byte{1, 2,
		0xd0, 0x0f, 10, 12, 0, 0, 0, 0, 0, 0, 0xf8, 0x3f, 0, 0, 0, 0, 0, 0, 0, 0x40, 0, 0, 0, 0, 0, 0, 0xfc, 0x3f,
		4, 0, 2, 0, 0, 0, 0, 0, 0, 0, 0x40, 0, 0, 0, 0, 0, 0, 0, 0x40, 0, 0, 0, 0, 0, 0, 0, 0x40}
	got := chunk.PackRanges(ranges)
	if !bytes.Equal(got, want) {
		t.Errorf("% x\nwant % x", got, want)
	}
	back, err := chunk.UnpackRanges(got)
	if err != nil || !reflect.DeepEqual(back, ranges) {
		t.Errorf("%+v, %v", back, err)
	}
	for n := range got {
		if _, err := chunk.UnpackRanges(got[:n]); err == nil {
			t.Errorf("cut after %d bytes and read", n)
		}
	}
	if _, err := chunk.UnpackRanges(append([]byte{2}, got[1:]...)); err == nil {
		t.Error("another codec is read")
	}
}

// wave is a series of 1 s data with a gap of an hour in the middle.
func wave(n int) (micro []int64, value []float64) {
	for i := range n {
		at := int64(i) * 1e6
		if i >= n/2 {
			at += 3600e6
		}
		micro, value = append(micro, at), append(value, math.Sin(float64(i)/50))
	}
	return micro, value
}

// holds looks whether the ranges hold every point, and that none spans the gap.
func holds(t *testing.T, ranges []chunk.Range, micro []int64, value []float64) {
	t.Helper()
	at := 0
	for _, r := range ranges {
		if r.To-r.From > 3500e6 {
			t.Errorf("a range of %d s", (r.To-r.From)/1e6)
		}
		low, high, sum := math.Inf(1), math.Inf(-1), 0.0
		for range r.Points {
			low, high, sum = math.Min(low, value[at]), math.Max(high, value[at]), sum+value[at]
			if micro[at] < r.From || micro[at] > r.To {
				t.Fatalf("point %d is outside its range", at)
			}
			at++
		}
		if low != r.Low || high != r.High || math.Abs(sum/float64(r.Points)-r.Mean) > 1e-12 {
			t.Errorf("range %+v, its points say %g %g %g", r, low, high, sum/float64(r.Points))
		}
	}
	if at != len(micro) {
		t.Errorf("%d points of %d", at, len(micro))
	}
}

func TestRangesKeepOffGaps(t *testing.T) {
	micro, value := wave(9000)
	outline := chunk.OutlineOf(micro, value, 3e6)
	if len(outline) > chunk.Outline+1 || len(outline) < chunk.Outline/2 {
		t.Errorf("%d ranges", len(outline))
	}
	holds(t, outline, micro, value)
	e := chunk.Envelope{Gap: 3e6}
	for i := 0; i < len(micro); i += 700 {
		e.Add(micro[i:min(i+700, len(micro))], value[i:min(i+700, len(micro))])
	}
	if n := len(e.Ranges()); n > chunk.MostRanges || n < chunk.MostRanges/3 {
		t.Errorf("%d ranges", n)
	}
	holds(t, e.Ranges(), micro, value)
}

// Where there are more gaps than ranges they are joined over all the same.
func TestRangesOfNothingButGaps(t *testing.T) {
	e := chunk.Envelope{Gap: 1}
	micro, value := wave(9000)
	e.Add(micro, value)
	if n := len(e.Ranges()); n > chunk.MostRanges {
		t.Errorf("%d ranges", n)
	}
	if n := len(chunk.OutlineOf(micro, value, 1)); n > chunk.Outline {
		t.Errorf("%d ranges in the outline", n)
	}
}
