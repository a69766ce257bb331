// Package chunk packs a logged series into chunks of bytes and back: at most 16384 points
// each, with a hash of what is in it, and an envelope by which it can be drawn without
// being unpacked.
//
// Not here: the database, and the meaning of values. A chunk of codec 1 is, all numbers
// little-endian:
//
//	byte 0       the codec, 1
//	then         one frame of Zstandard (RFC 8878) of the following body
//	uvarint      n, the number of points, 1 to 16384
//	varint       the first time, microseconds since 1970-01-01 UTC
//	varint       the step to the second time (n ≥ 2)
//	varint × n−2 for each further time its step less the step before
//	8 × n bytes  the values as IEEE 754 binary64, transposed: the n lowest bytes of all,
//	             then the n next, up to the n highest
//
// varint and uvarint are those of the protocol buffers' encoding (zigzag for varint). Times
// rise strictly and values are finite. The hash is SHA-256 over the body before it is
// compressed, so it does not change with the compressor. A codec that was released is
// never changed; a new one takes the next number.
package chunk

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"sync"

	"github.com/klauspost/compress/zstd"

	"rillmark/calc/fault"
)

// Codec is the number of the layout that Pack writes.
const Codec = 1

// MostPoints is the most a chunk holds.
const MostPoints = 16384

// mostBody bounds what a chunk may unpack to: two varints of ten bytes, one for each time,
// and eight bytes for each value.
const mostBody = 20 + 18*MostPoints

// What can be wrong with points or a chunk.
var (
	CodePoints  = fault.Define("chunk.bad-points", fault.C("points"), fault.C("most"))
	CodeOrder   = fault.Define("chunk.not-rising", fault.C("row"))
	CodeValue   = fault.Define("chunk.not-finite", fault.C("row"))
	CodeUnknown = fault.Define("chunk.unknown-codec", fault.C("codec"))
	CodeBroken  = fault.Define("chunk.broken")
	CodeHash    = fault.Define("chunk.hash-differs")
)

// Chunk is a packed piece of a series. The zero value holds nothing and unpacks to an error.
type Chunk struct {
	Points      int
	First, Last int64 // microseconds since 1970
	Hash        [sha256.Size]byte
	Data        []byte
}

// packer makes and reads frames; it is safe for use by many goroutines.
var packer = sync.OnceValue(func() *zstd.Encoder {
	e, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1), zstd.WithEncoderCRC(false))
	if err != nil {
		panic("chunk: " + err.Error()) // the options are constant
	}
	return e
})

var unpacker = sync.OnceValue(func() *zstd.Decoder {
	d, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(1<<20))
	if err != nil {
		panic("chunk: " + err.Error()) // the options are constant
	}
	return d
})

// Pack packs points: times in microseconds since 1970, strictly rising, and finite values.
// Errors: no points or more than MostPoints, lists of different length, a time that does
// not rise, a value that is not finite.
func Pack(micro []int64, value []float64) (Chunk, error) {
	n := len(micro)
	if n == 0 || n > MostPoints || len(value) != n {
		return Chunk{}, CodePoints.At("", n, MostPoints)
	}
	body := make([]byte, 0, 32+10*n)
	body = binary.AppendUvarint(body, uint64(n))
	body = binary.AppendVarint(body, micro[0])
	last := int64(0)
	for i := 1; i < n; i++ {
		step := micro[i] - micro[i-1]
		if step <= 0 {
			return Chunk{}, CodeOrder.At("", i+1)
		}
		body = binary.AppendVarint(body, step-last)
		last = step
	}
	at := len(body)
	body = append(body, make([]byte, 8*n)...)
	planes := body[at:]
	for i, v := range value {
		if math.IsNaN(v - v) {
			return Chunk{}, CodeValue.At("", i+1)
		}
		bits := math.Float64bits(v)
		for k := range 8 {
			planes[k*n+i] = byte(bits >> (8 * k))
		}
	}
	c := Chunk{Points: n, First: micro[0], Last: micro[n-1], Hash: sha256.Sum256(body)}
	c.Data = packer().EncodeAll(body, append(make([]byte, 0, len(body)/2+64), Codec))
	return c, nil
}

// Unpack returns the points, after holding them to the hash. Errors: a codec that is not
// known, bytes that are no chunk, a hash that differs.
func (c Chunk) Unpack() (micro []int64, value []float64, err error) {
	body, err := bodyOf(c.Data)
	if err != nil {
		return nil, nil, err
	}
	if sha256.Sum256(body) != c.Hash {
		return nil, nil, CodeHash.At("")
	}
	return read(body)
}

func bodyOf(data []byte) ([]byte, error) {
	if len(data) == 0 {
		return nil, CodeBroken.At("")
	}
	if data[0] != Codec {
		return nil, CodeUnknown.At("", int(data[0]))
	}
	var h zstd.Header
	if err := h.Decode(data[1:]); err != nil || h.HasFCS && h.FrameContentSize > mostBody {
		return nil, CodeBroken.At("")
	}
	body, err := unpacker().DecodeAll(data[1:], nil)
	if err != nil || len(body) > mostBody {
		return nil, CodeBroken.At("")
	}
	return body, nil
}

// read takes a body apart.
func read(body []byte) (micro []int64, value []float64, err error) {
	count, k := binary.Uvarint(body)
	if k <= 0 || count == 0 || count > MostPoints {
		return nil, nil, CodeBroken.At("")
	}
	n := int(count)
	body = body[k:]
	micro, value = make([]int64, n), make([]float64, n)
	step := int64(0)
	for i := range micro {
		v, k := binary.Varint(body)
		if k <= 0 {
			return nil, nil, CodeBroken.At("")
		}
		body = body[k:]
		if i == 0 {
			micro[0] = v
			continue
		}
		if step += v; step <= 0 || micro[i-1] > math.MaxInt64-step {
			return nil, nil, CodeBroken.At("")
		}
		micro[i] = micro[i-1] + step
	}
	if len(body) != 8*n {
		return nil, nil, CodeBroken.At("")
	}
	for i := range value {
		bits := uint64(0)
		for k := range 8 {
			bits |= uint64(body[k*n+i]) << (8 * k)
		}
		if value[i] = math.Float64frombits(bits); math.IsNaN(value[i] - value[i]) {
			return nil, nil, CodeBroken.At("")
		}
	}
	return micro, value, nil
}
