package calcjson

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/profile"
	"rillmark/domain/method"
)

// straightPipe is how much straight pipe there is, and the company's tables of how much
// there should be.
type straightPipe struct {
	stated                          bool
	before, after                   float64 // m
	disturbedBefore, disturbedAfter string
	method                          method.Content // of which the two tables count
}

type straightAnswer struct {
	Before              straightSide `json:"before"`
	After               straightSide `json:"after"`
	Share               float64      `json:"share"` // of the worse side, at most 1
	HalfWidth           float64      `json:"added_half_width_percent"`
	StandardUncertainty float64      `json:"added_standard_uncertainty_percent"`
}

type straightSide struct {
	Disturbance string  `json:"disturbance"`
	Given       float64 `json:"given_d"`
	Asked       float64 `json:"asked_d"`
	Basis       string  `json:"basis"`
}

// straightPipe reads the lengths, and the tables where the caller has its own.
func (o *object) straightPipe() straightPipe {
	p := straightPipe{stated: o.has("straight_before_m") || o.has("straight_after_m"), method: method.Ready()}
	p.before, p.after = o.numberOr("straight_before_m", 0), o.numberOr("straight_after_m", 0)
	p.disturbedBefore, p.disturbedAfter = o.wordOr("disturbance_before", "not known"), o.wordOr("disturbance_after", "not known")
	if o.has("straight_lengths") {
		p.method.StraightLengths = nil
	}
	for _, row := range o.objects("straight_lengths", maxStraight) {
		p.method.StraightLengths = append(p.method.StraightLengths, method.StraightLength{Disturbance: row.word("disturbance"),
			Before: row.number("before_d"), After: row.number("after_d"), Basis: row.word("basis")})
		row.done()
	}
	if o.has("short_lengths") {
		p.method.ShortLengths = nil
	}
	for _, row := range o.objects("short_lengths", maxStraight) {
		p.method.ShortLengths = append(p.method.ShortLengths, method.ShortLength{Share: row.number("share"),
			HalfWidth: row.number("half_width_percent") / 100, Basis: row.wordOr("basis", "")})
		row.done()
	}
	return p
}

// maxStraight bounds the tables of straight lengths.
const maxStraight = 200

// answer compares both sides; nil where no length is stated.
func (p straightPipe) answer(bore float64, remarks *[]problem, say func(fault.Fault) string) (*straightAnswer, error) {
	table := make([]profile.Short, len(p.method.ShortLengths))
	for i, s := range p.method.ShortLengths {
		table[i] = profile.Short{Share: s.Share, HalfWidth: s.HalfWidth}
	}
	if err := profile.CheckShort(table); err != nil || !p.stated {
		return nil, err
	}
	a := straightAnswer{Share: 1}
	var l fault.List
	for _, side := range []struct {
		field, disturbance string
		length             float64
		told               *straightSide
		upstream           bool
	}{{"straight_before_m", p.disturbedBefore, p.before, &a.Before, true}, {"straight_after_m", p.disturbedAfter, p.after, &a.After, false}} {
		row, known := p.method.Straight(side.disturbance)
		if !known {
			l = append(l, profile.DisturbanceUnknown.At(side.field, side.disturbance))
			continue
		}
		*side.told = straightSide{side.disturbance, side.length / bore, row.After, row.Basis}
		if side.upstream {
			side.told.Asked = row.Before
		}
		share, err := profile.Share(side.length, side.told.Asked, bore)
		for _, f := range fault.AllOf(err) {
			l = append(l, f.In(side.field))
		}
		if share < 1 {
			f := profile.StraightShort.At(side.field, side.told.Given, side.told.Asked, side.disturbance, 100*profile.Added(table, share))
			*remarks = append(*remarks, told(f, say))
		}
		a.Share = math.Min(a.Share, share)
	}
	a.HalfWidth = 100 * profile.Added(table, a.Share)
	a.StandardUncertainty = a.HalfWidth / math.Sqrt(3)
	return &a, l.Err()
}
