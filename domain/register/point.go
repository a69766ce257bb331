package register

import (
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
)

// Point is a measuring point: a place in the plant where flow is measured. What is known
// of its pipe stands here as people wrote it, with the value in metres beside the text;
// the survey of a visit measures it anew.
type Point struct {
	ID                     domain.PointID  `db:"id"`
	ClientID               domain.ClientID `db:"client_id"`
	SiteID                 domain.SiteID   `db:"site_id"`
	Tag                    string          `db:"tag" audit:"text"`
	Name                   string          `db:"name" audit:"text"`
	Fluid                  string          `db:"fluid" audit:"text"`
	Pipe                   string          `db:"pipe" audit:"text"`
	OutsideDiameter        *float64        `db:"outside_diameter"`
	OutsideDiameterEntered *string         `db:"outside_diameter_entered" audit:"text"`
	Wall                   *float64        `db:"wall"`
	WallEntered            *string         `db:"wall_entered" audit:"text"`
	StraightBefore         *float64        `db:"straight_before"`
	StraightBeforeEntered  *string         `db:"straight_before_entered" audit:"text"`
	StraightAfter          *float64        `db:"straight_after"`
	StraightAfterEntered   *string         `db:"straight_after_entered" audit:"text"`
	Note                   string          `db:"note" audit:"text"`
	Version                int64           `db:"version"`
	CreatedAt              time.Time       `db:"created_at"`
	ChangedAt              time.Time       `db:"changed_at"`
}

// PointTexts is a measuring point as typed.
type PointTexts struct {
	Tag             string `json:"tag" form:"tag"`
	Name            string `json:"name" form:"name"`
	Fluid           string `json:"fluid" form:"fluid"`
	Pipe            string `json:"pipe" form:"pipe"`
	OutsideDiameter string `json:"outside_diameter" form:"outside_diameter"`
	Wall            string `json:"wall" form:"wall"`
	StraightBefore  string `json:"straight_before" form:"straight_before"`
	StraightAfter   string `json:"straight_after" form:"straight_after"`
	Note            string `json:"note" form:"note"`
}

// Read puts the typed texts into the point, tidied and with lengths in metres, and
// returns every problem, keyed by field. An empty length is one that is not known.
func (p Point) Read(t PointTexts) (Point, error) {
	var check domain.Check
	p.Tag, p.Name, p.Fluid, p.Pipe = domain.Line(t.Tag), domain.Line(t.Name), domain.Line(t.Fluid), domain.Line(t.Pipe)
	p.Note = domain.Lines(t.Note)
	check.Line("tag", p.Tag, 60, true)
	check.Line("name", p.Name, 200, false)
	check.Line("fluid", p.Fluid, 100, false)
	check.Line("pipe", p.Pipe, 200, false)
	check.Lines("note", p.Note, 4000, false)
	p.OutsideDiameter, p.OutsideDiameterEntered = length(&check, "outside_diameter", t.OutsideDiameter, positive)
	p.Wall, p.WallEntered = length(&check, "wall", t.Wall, positive)
	p.StraightBefore, p.StraightBeforeEntered = length(&check, "straight_before", t.StraightBefore, orNought)
	p.StraightAfter, p.StraightAfterEntered = length(&check, "straight_after", t.StraightAfter, orNought)
	if p.OutsideDiameter != nil && p.Wall != nil && *p.OutsideDiameter > 0 && 2**p.Wall >= *p.OutsideDiameter {
		check.Add(WallTooThick.At("wall"))
	}
	return p, check.Err()
}

// Texts gives the point back as it was typed.
func (p Point) Texts() PointTexts {
	return PointTexts{Tag: p.Tag, Name: p.Name, Fluid: p.Fluid, Pipe: p.Pipe, Note: p.Note,
		OutsideDiameter: orEmpty(p.OutsideDiameterEntered), Wall: orEmpty(p.WallEntered),
		StraightBefore: orEmpty(p.StraightBeforeEntered), StraightAfter: orEmpty(p.StraightAfterEntered)}
}

func orEmpty(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func positive(x float64) bool { return x > 0 }
func orNought(x float64) bool { return x >= 0 }

// length reads a length that may be missing: value and text, both or neither.
func length(check *domain.Check, field, text string, allowed func(float64) bool) (*float64, *string) {
	text = domain.Line(text)
	if text == "" {
		return nil, nil
	}
	entry, err := quantity.Parse(text, quantity.KindLength, quantity.Options{})
	if err != nil {
		for _, f := range fault.AllOf(err) {
			check.Add(f.In(field))
		}
		return nil, nil
	}
	if !allowed(entry.SI) {
		check.Add(NotPositive.At(field))
	}
	text = strings.TrimSpace(entry.Text)
	return &entry.SI, &text
}
