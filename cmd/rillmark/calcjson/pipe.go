package calcjson

import (
	"rillmark/calc/fault"
	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
)

type pipeAnswer struct {
	Standard      string   `json:"standard"`
	Size          string   `json:"size"`
	DN            int      `json:"dn"`
	Schedule      string   `json:"schedule"`
	Designations  []string `json:"designations"`
	Outside       float64  `json:"outside_diameter_m"`
	Wall          float64  `json:"wall_m"`
	Inside        float64  `json:"inside_diameter_m"`
	WallTolerance float64  `json:"wall_tolerance_percent"`
	WallOver      float64  `json:"wall_over_percent"`
	WallIsMinimum bool     `json:"wall_is_minimum"`
	Source        string   `json:"source"`

	*flowingAnswer
}

// flowingAnswer is what a pipe's answer has besides where material and temperature are given.
type flowingAnswer struct {
	Outside         float64 `json:"flowing_outside_diameter_m"`
	Wall            float64 `json:"flowing_wall_m"`
	Inside          float64 `json:"flowing_inside_diameter_m"`
	Uncertainty     float64 `json:"flowing_inside_diameter_m_standard_uncertainty"`
	Thermal         float64 `json:"thermal_strain"`
	OutsidePressure float64 `json:"outside_pressure_strain"`
	InsidePressure  float64 `json:"inside_pressure_strain"`
	Source          string  `json:"flowing_source"`
}

type pipeSize struct {
	Size    string  `json:"size"`
	DN      int     `json:"dn"`
	Outside float64 `json:"outside_diameter_m"`
}

type outsideAnswer struct {
	Standard  string     `json:"standard"`
	Outside   float64    `json:"outside_diameter_m"`
	IsNominal bool       `json:"is_nominal"`
	Nominal   []pipeSize `json:"nominal_size_of"`
	Actual    []pipeSize `json:"actual_size_of"`
	Warnings  []problem  `json:"warnings"`
}

const outsideName = "outside_diameter_m"

// pipeOf is the kind "pipe": pipe.Lookup by schedule, or pipe.CheckOutside by diameter.
func pipeOf(o *object, say func(fault.Fault) string) (any, error) {
	standard, size := o.word("standard"), o.wordOr("size", "")
	schedule, outside := o.wordOr("schedule", ""), o.numberOr(outsideName, 0)
	tolerance := o.numberOr("wall_tolerance_percent", 0)
	byDiameter := o.has(outsideName)
	flowing := o.flowing()
	switch {
	case byDiameter && flowing != nil:
		o.add(codeFieldsTogether.At(outsideName, "material, "+outsideName))
	case byDiameter && o.has("schedule"):
		o.add(codeFieldsTogether.At(outsideName, "schedule, "+outsideName))
	case !byDiameter:
		o.need("size")
		o.need("schedule")
	}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	if byDiameter {
		return checkOutside(standard, size, outside, say)
	}
	p, err := pipe.Lookup(standard, size, schedule)
	if err != nil {
		return nil, err
	}
	answer := tellPipe(p)
	if flowing != nil {
		if answer.flowingAnswer, err = flowing.of(p); err != nil {
			return nil, err
		}
	}
	if o.has("wall_tolerance_percent") {
		if tolerance < 0 || tolerance >= 100 {
			return nil, pipe.BadTolerance.At("wall_tolerance_percent", p.Wall.SI()*10*tolerance)
		}
		answer.WallTolerance = tolerance
		answer.Source += "; the tolerance of the wall is the one entered"
	}
	return answer, nil
}

func tellPipe(p pipe.Pipe) pipeAnswer {
	return pipeAnswer{
		Standard: p.Standard, Size: p.Size.Name, DN: p.Size.DN,
		Schedule: p.Schedule, Designations: append([]string{}, p.Designations...),
		Outside: p.Size.OutsideDiameter.SI(), Wall: p.Wall.SI(), Inside: p.InsideDiameter.SI(),
		WallTolerance: p.WallTolerancePercent, WallOver: p.WallOverPercent, WallIsMinimum: p.WallIsMinimum, Source: p.Source,
	}
}

func checkOutside(standard, size string, metres float64, say func(fault.Fault) string) (any, error) {
	length, err := quantity.Metres(metres)
	if err != nil {
		return nil, renamed(err, map[string]string{"": outsideName})
	}
	found, err := pipe.CheckOutside(standard, size, length)
	if err != nil {
		return nil, err
	}
	return outsideAnswer{
		Standard: standard, Outside: metres, IsNominal: found.IsNominal(),
		Nominal: sizes(found.Nominal), Actual: sizes(found.Actual), Warnings: toldAll(found.Warnings, say),
	}, nil
}

func sizes(found []pipe.Size) []pipeSize {
	all := make([]pipeSize, len(found))
	for i, s := range found {
		all[i] = pipeSize{s.Name, s.DN, s.OutsideDiameter.SI()}
	}
	return all
}
