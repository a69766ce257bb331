package kit

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"rillmark/calc/quantity"
	"rillmark/domain"
)

// Routes are the words for how a calibration is traceable, in the order in which they are shown.
var Routes = []string{"national-institute", "accredited", "documented", "in-house"}

// MostTraverses bounds the numbers of traverses that are asked about.
const MostTraverses = 8

// MostPoints bounds the points of one calibration.
const MostPoints = 60

// CalibrationTexts is a calibration as typed, with one text of each list per point. Dates
// are those of the company; the last day of validity is included.
type CalibrationTexts struct {
	PairID              domain.KitID `json:"pair_id" form:"pair_id"`
	CableID             domain.KitID `json:"cable_id" form:"cable_id"`
	CertificateNumber   string       `json:"certificate_number" form:"certificate_number"`
	Laboratory          string       `json:"laboratory" form:"laboratory"`
	Route               string       `json:"route" form:"route"`
	CalibratedOn        string       `json:"calibrated_on" form:"calibrated_on"`
	ValidFrom           string       `json:"valid_from" form:"valid_from"` // empty: the day of calibration
	ValidUntil          string       `json:"valid_until" form:"valid_until"`
	LeastInsideDiameter string       `json:"least_inside_diameter" form:"least_inside_diameter"`
	MostInsideDiameter  string       `json:"most_inside_diameter" form:"most_inside_diameter"`
	LeastVelocity       string       `json:"least_velocity" form:"least_velocity"` // empty: that of the first point
	MostVelocity        string       `json:"most_velocity" form:"most_velocity"`   // empty: that of the last point
	LeastReynolds       string       `json:"least_reynolds" form:"least_reynolds"`
	MostReynolds        string       `json:"most_reynolds" form:"most_reynolds"`
	Traverses           []string     `json:"traverses" form:"traverses"`
	At                  []string     `json:"at" form:"at"`
	Error               []string     `json:"error" form:"error"`
	Expanded            []string     `json:"expanded" form:"expanded"`
	K                   []string     `json:"k" form:"k"`
}

// Calibrates returns what is calibrated of an item of the kind, and whether it is on its
// own: transducers and cables are calibrated with their reference.
func (k Kind) Calibrates() (Quantity, bool) {
	switch k {
	case ReferenceMeter:
		return Flow, true
	case Thermometer:
		return Temperature, true
	case WallGauge, Calliper, Tape:
		return Length, true
	case LoopCalibrator:
		return Current, true
	case Clock:
		return Time, true
	}
	return "", false
}

// kinds says in which kinds of quantity a point's value, error and U are typed.
func (q Quantity) kinds() (at, size quantity.Kind) {
	switch q {
	case Flow:
		return quantity.KindVelocity, quantity.KindRatio
	case Temperature:
		return quantity.KindTemperature, quantity.KindTemperatureDifference
	case Current:
		return quantity.KindCurrent, quantity.KindCurrent
	case Time:
		return quantity.KindTime, quantity.KindTime
	}
	return quantity.KindLength, quantity.KindLength
}

// EnteredPoint is a point with the texts it was typed as.
type EnteredPoint struct {
	Point
	AtEntered       string
	ErrorEntered    string
	ExpandedEntered string
}

// ReadCalibration reads a calibration of an item of the kind and returns every problem,
// keyed by field; those of points as "points[2].error", counted from 0. That the items it
// names are of their kinds is not known here.
func ReadCalibration(kind Kind, t CalibrationTexts, zone *time.Location) (Calibration, []EnteredPoint, error) {
	var check domain.Check
	c := Calibration{CertificateNumber: domain.Line(t.CertificateNumber), Laboratory: domain.Line(t.Laboratory), Route: t.Route}
	q, has := kind.Calibrates()
	if !has {
		check.Add(NotCalibrated.At(""))
	}
	c.Quantity = q
	check.Line("certificate_number", c.CertificateNumber, 100, true)
	check.Line("laboratory", c.Laboratory, 200, true)
	domain.OneOf(&check, "route", c.Route, Routes)
	c.readDates(&check, t, zone)
	entered := readPoints(&check, q, t)
	for _, p := range entered {
		c.Points = append(c.Points, p.Point)
	}
	c.readSet(&check, t)
	c.readRanges(&check, t)
	return c, entered, check.Err()
}

func (c *Calibration) readDates(check *domain.Check, t CalibrationTexts, zone *time.Location) {
	c.CalibratedOn = check.Day("calibrated_on", t.CalibratedOn, true)
	from := c.CalibratedOn
	if domain.Line(t.ValidFrom) != "" {
		from = check.Day("valid_from", t.ValidFrom, true)
	}
	until := check.Day("valid_until", t.ValidUntil, true)
	if from.IsZero() || until.IsZero() {
		return
	}
	c.ValidFrom, c.ValidTo = domain.DayStart(from, zone), domain.NextDay(until, zone)
	if !c.ValidTo.After(c.ValidFrom) {
		check.Add(domain.EndsBefore.At("valid_until"))
	}
	if from.Before(c.CalibratedOn) {
		check.Add(domain.EndsBefore.At("valid_from"))
	}
}

func (c *Calibration) readSet(check *domain.Check, t CalibrationTexts) {
	if c.Quantity != Flow {
		if t.PairID.Valid() || t.CableID.Valid() {
			check.Add(PairUnused.At("pair_id"))
		}
		return
	}
	if !t.PairID.Valid() {
		check.Add(domain.Required.At("pair_id"))
		return
	}
	pair := t.PairID
	c.PairID = &pair
	if t.CableID.Valid() {
		cable := t.CableID
		c.CableID = &cable
	}
}

// readRanges reads what a calibration of flow covers. Velocities default to those of the
// points, and may not go beyond them: errors are not extrapolated.
func (c *Calibration) readRanges(check *domain.Check, t CalibrationTexts) {
	if c.Quantity != Flow {
		return
	}
	c.LeastInsideDiameter, _ = check.Measure("least_inside_diameter", t.LeastInsideDiameter, quantity.KindLength, domain.Positive)
	c.MostInsideDiameter, _ = check.Measure("most_inside_diameter", t.MostInsideDiameter, quantity.KindLength, domain.Positive)
	c.LeastVelocity, _ = check.Measure("least_velocity", t.LeastVelocity, quantity.KindVelocity, domain.NotNegative)
	c.MostVelocity, _ = check.Measure("most_velocity", t.MostVelocity, quantity.KindVelocity, domain.Positive)
	c.LeastReynolds = check.Number("least_reynolds", t.LeastReynolds, domain.NotNegative)
	c.MostReynolds = check.Number("most_reynolds", t.MostReynolds, domain.Positive)
	for _, field := range []struct{ name, text string }{{"least_inside_diameter", t.LeastInsideDiameter}, {"most_inside_diameter", t.MostInsideDiameter}} {
		if domain.Line(field.text) == "" {
			check.Add(domain.Required.At(field.name))
		}
	}
	if len(c.Points) > 0 {
		c.within(check)
	}
	ordered(check, "most_inside_diameter", c.LeastInsideDiameter, c.MostInsideDiameter)
	ordered(check, "most_velocity", c.LeastVelocity, c.MostVelocity)
	ordered(check, "most_reynolds", c.LeastReynolds, c.MostReynolds)
	if (c.LeastReynolds == nil) != (c.MostReynolds == nil) && t.LeastReynolds+t.MostReynolds != "" {
		check.Add(RangeHalf.At("most_reynolds"))
	}
	c.readTraverses(check, t.Traverses)
}

func (c *Calibration) within(check *domain.Check) {
	least, most := c.Points[0].At, c.Points[0].At
	for _, p := range c.Points {
		least, most = min(least, p.At), max(most, p.At)
	}
	if c.LeastVelocity == nil {
		c.LeastVelocity = &least
	} else if *c.LeastVelocity < least {
		check.Add(BeyondPoints.At("least_velocity"))
	}
	if c.MostVelocity == nil {
		c.MostVelocity = &most
	} else if *c.MostVelocity > most {
		check.Add(BeyondPoints.At("most_velocity"))
	}
}

func ordered(check *domain.Check, field string, least, most *float64) {
	if least != nil && most != nil && *least > *most {
		check.Add(RangeReversed.At(field))
	}
}

func (c *Calibration) readTraverses(check *domain.Check, texts []string) {
	for _, text := range texts {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > MostTraverses {
			check.Add(domain.NotWhole.At("traverses", 1.0, float64(MostTraverses)))
			return
		}
		if !slices.Contains(c.Traverses, n) {
			c.Traverses = append(c.Traverses, n)
		}
	}
	slices.Sort(c.Traverses)
	if len(c.Traverses) == 0 {
		check.Add(TraversesAbsent.At("traverses"))
	}
}

// readPoints reads the rows that hold anything; empty ones are left out.
func readPoints(check *domain.Check, q Quantity, t CalibrationTexts) (points []EnteredPoint) {
	at, size := q.kinds()
	cell := func(list []string, row int) string {
		if row < len(list) {
			return domain.Line(list[row])
		}
		return ""
	}
	rows := max(len(t.At), len(t.Error), len(t.Expanded))
	if rows > MostPoints+20 {
		check.Add(TooManyPoints.At("points", MostPoints))
		return nil
	}
	for row := range rows {
		texts := []string{cell(t.At, row), cell(t.Error, row), cell(t.Expanded, row), cell(t.K, row)}
		if texts[0]+texts[1]+texts[2] == "" {
			continue
		}
		field := func(name string) string { return fmt.Sprintf("points[%d].%s", row, name) }
		var p EnteredPoint
		p.N = len(points) + 1
		p.At, p.AtEntered = check.Must(field("at"), texts[0], at, atSign(q))
		p.Error, p.ErrorEntered = check.Must(field("error"), texts[1], size, domain.AnySign)
		p.Expanded, p.ExpandedEntered = check.Must(field("expanded"), texts[2], size, domain.Positive)
		p.K = 2
		if k := check.Number(field("k"), texts[3], domain.AnySign); k != nil {
			if p.K = *k; p.K < 1 {
				check.Add(FactorBelowOne.At(field("k")))
			}
		}
		if i := slices.IndexFunc(points, func(o EnteredPoint) bool { return o.At == p.At }); i >= 0 && p.AtEntered != "" {
			check.Add(PointTwice.At(field("at"), points[i].N))
		}
		points = append(points, p)
	}
	switch {
	case len(points) == 0:
		check.Add(NoPoints.At("points"))
	case len(points) > MostPoints:
		check.Add(TooManyPoints.At("points", MostPoints))
	}
	slices.SortFunc(points, func(a, b EnteredPoint) int { return cmp.Compare(a.At, b.At) })
	for i := range points {
		points[i].N = i + 1
	}
	return points
}

func atSign(q Quantity) domain.Sign {
	if q == Temperature {
		return domain.AnySign
	}
	return domain.NotNegative
}

// TellPoints writes the points as a text, for the trail.
func TellPoints(points []EnteredPoint) string {
	lines := make([]string, len(points))
	for i, p := range points {
		lines[i] = fmt.Sprintf("%s: %s, U %s (k = %s)", p.AtEntered, p.ErrorEntered, p.ExpandedEntered, strconv.FormatFloat(p.K, 'g', 6, 64))
	}
	return strings.Join(lines, "\n")
}
