package evaluation

import (
	"math"
	"strings"

	"rillmark/calc/pipe"
	"rillmark/domain/sheet"
)

// StandardWall is the standard uncertainty, in m, of a wall that comes from its product
// standard: the larger of what it may be thinner and thicker by that standard, as the
// half-width of a rectangle. It is not known where the survey does not name the pipe.
func StandardWall(s sheet.Survey) (u float64, known bool) {
	if s[sheet.Wall].Source != sheet.Standard {
		return 0, false
	}
	p, err := SurveyedPipe(s)
	if err != nil || math.Abs(p.Wall.SI()-s[sheet.Wall].Number) > 1e-6 {
		return 0, false
	}
	return p.Wall.SI() * math.Max(p.WallTolerancePercent, p.WallOverPercent) / 100 / math.Sqrt(3), true
}

// SurveyedPipe is the pipe that standard, size and schedule of the survey name.
//
// Errors: those of pipe.Lookup.
func SurveyedPipe(s sheet.Survey) (pipe.Pipe, error) {
	size, _, _ := strings.Cut(s.Text(sheet.PipeSize), " (")
	return pipe.Lookup(s.Text(sheet.PipeStandard), size, s.Text(sheet.PipeSchedule))
}
