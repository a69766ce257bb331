package method

import (
	"rillmark/calc/fault"
	"rillmark/calc/profile"
)

// StraightLength is the straight pipe asked for behind a disturbance, in diameters of the
// pipe. It is the company's data: no standard gives one length for all.
type StraightLength struct {
	Disturbance string  `json:"disturbance"`
	Before      float64 `json:"before_d"` // upstream of the reference
	After       float64 `json:"after_d"`  // downstream
	Basis       string  `json:"basis"`
}

// ShortLength is the half-width of a rectangular bias, relative to the flow, that is added
// where the straight length is at least Share of what is asked for.
type ShortLength struct {
	Share     float64 `json:"share"` // 0 to below 1; the rows decrease, and the last is 0
	HalfWidth float64 `json:"half_width"`
	Basis     string  `json:"basis"`
}

// Straight returns what is asked for behind the disturbance of the name, and whether the
// method knows it.
func (c Content) Straight(disturbance string) (StraightLength, bool) {
	for _, s := range c.StraightLengths {
		if s.Disturbance == disturbance {
			return s, true
		}
	}
	return StraightLength{}, false
}

// Disturbances returns the names of the disturbances the method knows, in its order.
func (c Content) Disturbances() []string {
	names := make([]string, len(c.StraightLengths))
	for i, s := range c.StraightLengths {
		names[i] = s.Disturbance
	}
	return names
}

// Short returns the half-width to add for a straight length that is the share of what is
// asked for: 0 from 1 upward, else that of the first row whose share it reaches.
func (c Content) Short(share float64) float64 {
	rows := make([]profile.Short, len(c.ShortLengths))
	for i, s := range c.ShortLengths {
		rows[i] = profile.Short{Share: s.Share, HalfWidth: s.HalfWidth}
	}
	return profile.Added(rows, share)
}

func (c Content) validateStraight(l *fault.List) {
	var names []string
	for i, s := range c.StraightLengths {
		path := at("straight_lengths", i)
		word(l, path+".disturbance", s.Disturbance)
		once(l, path+".disturbance", &names, s.Disturbance)
		notNegative(l, path+".before_d", s.Before)
		notNegative(l, path+".after_d", s.After)
		word(l, path+".basis", s.Basis)
	}
	last := 1.0
	for i, s := range c.ShortLengths {
		path := at("short_lengths", i)
		if !(s.Share >= 0 && s.Share < last) {
			*l = append(*l, SharesOrder.At(path+".share"))
		}
		last = s.Share
		notNegative(l, path+".half_width", s.HalfWidth)
		word(l, path+".basis", s.Basis)
	}
	if last != 0 {
		*l = append(*l, SharesOrder.At("short_lengths"))
	}
}
