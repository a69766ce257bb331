package chunk

import (
	"encoding/binary"
	"math"
)

// Outline is how many ranges the outline of one chunk holds, about.
const Outline = 64

// OutlineOf returns the ranges of a chunk's points, Outline of them or fewer, each of as
// many points as the others but the last; up to twice as many where steps of more than gap
// microseconds part them.
func OutlineOf(micro []int64, value []float64, gap int64) []Range {
	each := max((len(micro)+Outline-1)/Outline, 1)
	if out := RangesOf(micro, value, each, gap); len(out) <= 2*Outline {
		return out
	}
	return RangesOf(micro, value, each, 0)
}

// RangesOf returns the ranges of points, so many in each but where a step of more than gap
// microseconds parts them, unless it is 0.
func RangesOf(micro []int64, value []float64, each int, gap int64) []Range {
	out := make([]Range, 0, len(micro)/max(each, 1)+2)
	for i := 0; i < len(micro); {
		r := Range{From: micro[i], Low: value[i], High: value[i]}
		sum, last, first := 0.0, micro[i], i
		for ; i < len(micro) && i-first < each && !(gap > 0 && micro[i]-last > gap); i++ {
			v := value[i]
			sum, last = sum+v, micro[i]
			if v < r.Low {
				r.Low = v
			} else if v > r.High {
				r.High = v
			}
		}
		r.To, r.Points, r.Mean = last, i-first, sum/float64(i-first)
		out = append(out, r)
	}
	return out
}

// PackRanges writes ranges as bytes: the codec, 1, and the number of ranges as uvarint; then
// for each range as varints the distance of its beginning from the end before (from 1970
// for the first), its length in microseconds and its points, and Low, High and Mean as IEEE
// 754 binary64, little-endian.
func PackRanges(all []Range) []byte {
	b := binary.AppendUvarint([]byte{Codec}, uint64(len(all)))
	last := int64(0)
	for _, r := range all {
		b = binary.AppendVarint(b, r.From-last)
		b = binary.AppendVarint(b, r.To-r.From)
		b = binary.AppendVarint(b, int64(r.Points))
		for _, v := range []float64{r.Low, r.High, r.Mean} {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		last = r.To
	}
	return b
}

// UnpackRanges reads what PackRanges wrote. Errors: a codec that is not known, and bytes
// that are no ranges.
func UnpackRanges(b []byte) ([]Range, error) {
	if len(b) == 0 {
		return nil, CodeBroken.At("")
	}
	if b[0] != Codec {
		return nil, CodeUnknown.At("", int(b[0]))
	}
	count, k := binary.Uvarint(b[1:])
	if k <= 0 || count > uint64(len(b)) {
		return nil, CodeBroken.At("")
	}
	b = b[1+k:]
	out := make([]Range, 0, count)
	last := int64(0)
	for range count {
		var n [3]int64
		for i := range n {
			v, k := binary.Varint(b)
			if k <= 0 {
				return nil, CodeBroken.At("")
			}
			n[i], b = v, b[k:]
		}
		if len(b) < 24 || n[2] < 1 || n[2] > math.MaxInt32 {
			return nil, CodeBroken.At("")
		}
		r := Range{From: last + n[0], Points: int(n[2]),
			Low:  math.Float64frombits(binary.LittleEndian.Uint64(b)),
			High: math.Float64frombits(binary.LittleEndian.Uint64(b[8:])),
			Mean: math.Float64frombits(binary.LittleEndian.Uint64(b[16:]))}
		r.To = r.From + n[1]
		out, b, last = append(out, r), b[24:], r.To
	}
	if len(b) > 0 {
		return nil, CodeBroken.At("")
	}
	return out, nil
}
