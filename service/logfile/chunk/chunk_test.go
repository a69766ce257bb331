package chunk_test

import (
	"bytes"
	"encoding/hex"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rillmark/service/logfile/chunk"
)

func points(n int, seed uint64) (micro []int64, value []float64) {
	r := rand.New(rand.NewPCG(seed, 1))
	t := int64(1_772_611_200_000_000)
	for range n {
		t += 1_000_000
		if r.IntN(50) == 0 {
			t += r.Int64N(60_000_000)
		}
		micro = append(micro, t)
		value = append(value, math.Round(36000*(1+0.01*r.NormFloat64()))/3.6e6)
	}
	return micro, value
}

func TestPackedIsUnpacked(t *testing.T) {
	for _, n := range []int{1, 2, 3, 1000, chunk.MostPoints} {
		micro, value := points(n, uint64(n))
		c, err := chunk.Pack(micro, value)
		if err != nil {
			t.Fatal(err)
		}
		m, v, err := c.Unpack()
		if err != nil || !slices.Equal(m, micro) || !slices.Equal(v, value) || c.First != micro[0] || c.Last != micro[n-1] {
			t.Errorf("%d points do not come back: %v", n, err)
		}
		if per := float64(len(c.Data)) / float64(n); n >= 1000 && per > 8 {
			t.Errorf("%d points take %.1f bytes each", n, per)
		}
	}
}

// TestCodecIsKept holds the bytes of codec 1: what was stored must be read for ever, and
// the hash is of the body as it is written down in the package comment; it was computed
// from that description in another language.
func TestCodecIsKept(t *testing.T) {
	c, err := chunk.Pack([]int64{10, 30, 60}, []float64{1, -2.5, 0})
	if err != nil {
		t.Fatal(err)
	}
	const hash = "78659f60db48f880fc89bfd2c9909e76dd57f206d12f4e6a2ca476bc2dcb2fe3"
	if got := hex.EncodeToString(c.Hash[:]); got != hash {
		t.Errorf("the hash of the body is %s, was %s", got, hash)
	}
	stored := chunk.Chunk{Hash: c.Hash, Data: c.Data}
	if m, v, err := stored.Unpack(); err != nil || m[2] != 60 || v[1] != -2.5 {
		t.Errorf("%v %v %v", m, v, err)
	}
}

func TestBadPointsAndChunksAreRefused(t *testing.T) {
	for name, c := range map[string]struct {
		micro []int64
		value []float64
		code  string
	}{
		"none":     {nil, nil, "chunk.bad-points"},
		"too many": {make([]int64, chunk.MostPoints+1), make([]float64, chunk.MostPoints+1), "chunk.bad-points"},
		"unpaired": {[]int64{1, 2}, []float64{1}, "chunk.bad-points"},
		"falling":  {[]int64{2, 1}, []float64{1, 1}, "chunk.not-rising"},
		"NaN":      {[]int64{1, 2}, []float64{1, math.NaN()}, "chunk.not-finite"},
	} {
		if _, err := chunk.Pack(c.micro, c.value); err == nil || !bytes.Contains([]byte(err.Error()), []byte(c.code)) {
			t.Errorf("%s: %v", name, err)
		}
	}
	micro, value := points(100, 3)
	good, _ := chunk.Pack(micro, value)
	for i := range good.Data {
		bad := good
		bad.Data = bytes.Clone(good.Data)
		bad.Data[i] ^= 0x10
		if m, v, err := bad.Unpack(); err == nil && (!slices.Equal(m, micro) || !slices.Equal(v, value)) {
			t.Fatalf("a chunk changed at byte %d is read as another", i)
		}
	}
}

func TestEnvelopeHoldsEveryPoint(t *testing.T) {
	for _, n := range []int{0, 1, 499, 1000, 1001, 77_777} {
		micro, value := points(n, 9)
		var e chunk.Envelope
		for len(micro) > 0 {
			k := min(len(micro), 777)
			e.Add(micro[:k], value[:k])
			micro, value = micro[k:], value[k:]
		}
		micro, value = points(n, 9)
		at := 0
		ranges := e.Ranges()
		for _, r := range ranges {
			low, high := slices.Min(value[at:at+r.Points]), slices.Max(value[at:at+r.Points])
			if r.Low != low || r.High != high || r.From != micro[at] || r.To != micro[at+r.Points-1] {
				t.Fatalf("%d points: range %+v, want %g to %g", n, r, low, high)
			}
			at += r.Points
		}
		if at != n || len(ranges) > chunk.MostRanges || n > 2000 && len(ranges) < chunk.MostRanges/2 {
			t.Errorf("%d points: %d ranges hold %d", n, len(ranges), at)
		}
	}
}

func FuzzUnpack(f *testing.F) {
	micro, value := points(20, 1)
	c, _ := chunk.Pack(micro, value)
	f.Add(c.Data)
	f.Add([]byte{1})
	f.Add([]byte{2, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		if m, _, err := (chunk.Chunk{Data: data}).Unpack(); err == nil {
			t.Fatalf("%d points without a hash", len(m))
		}
		m, v, err := chunk.Read(data) // as a body, past hash and compression
		if err != nil {
			return
		}
		c, err := chunk.Pack(m, v)
		if err != nil {
			t.Fatalf("what was read cannot be packed: %v", err)
		}
		if m2, v2, err := c.Unpack(); err != nil || !slices.Equal(m, m2) || !slices.Equal(v, v2) {
			t.Fatalf("what was read does not come back: %v", err)
		}
	})
}

func BenchmarkPack(b *testing.B) {
	micro, value := points(10_000, 1)
	for b.Loop() {
		if _, err := chunk.Pack(micro, value); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkUnpack(b *testing.B) {
	micro, value := points(10_000, 1)
	c, _ := chunk.Pack(micro, value)
	for b.Loop() {
		if _, _, err := c.Unpack(); err != nil {
			b.Fatal(err)
		}
	}
}
