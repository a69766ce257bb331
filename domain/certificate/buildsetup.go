package certificate

import (
	"cmp"
	"slices"
	"strconv"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
)

func (b *builder) setup() Setup {
	return Setup{Kit: b.kit(), Survey: b.survey(), Mountings: b.mountings(), Checks: b.checks(),
		ZeroChecks: b.zeroChecks(), Controls: b.controls()}
}

func (b *builder) item(id domain.KitID) kit.Item {
	for _, i := range b.facts.Kit {
		if i.ID == id {
			return i
		}
	}
	return kit.Item{}
}

func (b *builder) tag(id *domain.KitID) string {
	if id == nil {
		return ""
	}
	return b.item(*id).Tag
}

// kit lists every item, with the calibration the result rests on where there is one: until
// the last whole day, and of a transducer pair or cable the one of the reference with it.
func (b *builder) kit() []KitItem {
	all := []KitItem{}
	for _, i := range b.facts.Kit {
		k := KitItem{Kind: string(i.Kind), Tag: i.Tag, Maker: i.Maker, Model: i.Model, Serial: i.Serial, Firmware: i.Firmware}
		if c, ok := b.calibration(i.ID); ok {
			k.Certificate, k.Laboratory, k.Route = c.CertificateNumber, c.Laboratory, c.Route
			k.CalibratedOn, k.ValidTo = day(c.CalibratedOn), day(c.ValidTo.In(b.paper.Zone).AddDate(0, 0, -1))
			if c.KitID != i.ID {
				k.With = b.item(c.KitID).Tag
			}
		}
		all = append(all, k)
	}
	return all
}

// calibration is the one the result used, or else the last one before the work that the
// facts hold; one that was out of its time is among the missing grounds.
func (b *builder) calibration(id domain.KitID) (kit.Calibration, bool) {
	var found kit.Calibration
	for _, c := range b.facts.Calibrations {
		used := slices.ContainsFunc(b.usedCalibrations(), func(u domain.CalibrationID) bool { return u == c.ID })
		if c.KitID != id && !same(c.PairID, id) && !same(c.CableID, id) {
			continue
		}
		if used {
			return c, true
		}
		if found.ID == (domain.CalibrationID{}) || c.CalibratedOn.After(found.CalibratedOn) {
			found = c
		}
	}
	return found, found.ID != (domain.CalibrationID{})
}

func same(a *domain.KitID, b domain.KitID) bool { return a != nil && *a == b }

func (b *builder) usedCalibrations() []domain.CalibrationID {
	ids := make([]domain.CalibrationID, len(b.result.Kit))
	for i, u := range b.result.Kit {
		ids[i] = u.CalibrationID
	}
	return ids
}

// survey lists the values in force, in the order of the survey.
func (b *builder) survey() []Surveyed {
	now := b.facts.Sheet.Now()
	all := []Surveyed{}
	for _, m := range sheet.Meanings() {
		if !now.Has(m.Name) {
			continue
		}
		v := now[m.Name]
		last := v.Rows[len(v.Rows)-1]
		s := Surveyed{Name: string(m.Name), Printed: v.Text, Source: string(v.Source), Instrument: b.tag(last.KitID),
			By: b.name(last.By), At: b.at(last.CapturedAt), Positions: []string{}}
		if last.Value != nil {
			s.Value = Shortest(v.Number)
		}
		if v.Count > 1 {
			b.severalPositions(&s, m, v)
		}
		all = append(all, s)
	}
	return all
}

func (b *builder) severalPositions(s *Surveyed, m sheet.Meaning, v sheet.Value) {
	for _, row := range v.Rows {
		text := row.Entered
		if row.Position != "" {
			text = row.Position + ": " + text
		}
		s.Positions = append(s.Positions, text)
	}
	if m.Kind == sheet.KindLength {
		mean := b.inUnit(v.Number, quantity.KindLength, "mm", -2)
		s.Printed = mean.Text() + ", mean of " + strconv.Itoa(v.Count)
	}
}

func (b *builder) mountings() []Mounting {
	all := []Mounting{}
	for _, m := range b.facts.Sheet.Mountings {
		out := Mounting{N: m.Number, Reference: b.item(m.ReferenceID).Tag, Pair: b.item(m.PairID).Tag, Cable: b.tag(m.CableID),
			Traverses: m.Traverses, Clock: m.ClockPosition, Spacing: m.SpacingEntered, At: b.at(m.CapturedAt)}
		if m.Recommended != nil {
			out.Recommended = b.inUnit(*m.Recommended, quantity.KindLength, "mm", -1)
		}
		for _, r := range b.result.Mountings {
			if r.MountingID == m.ID && r.Bore > 0 {
				out.Bore = b.inUnit(r.Bore, quantity.KindLength, "mm", -2)
			}
		}
		all = append(all, out)
	}
	slices.SortFunc(all, func(x, y Mounting) int { return cmp.Compare(x.N, y.N) })
	return all
}

func (b *builder) mountingNumber(id domain.MountingID) int {
	m, _ := b.facts.Sheet.Mounting(id)
	return m.Number
}

func (b *builder) checks() []Check {
	all := []Check{}
	for _, c := range b.facts.Sheet.SetupChecks {
		out := Check{Mounting: b.mountingNumber(c.MountingID), Moment: string(c.Moment), Signal: c.Signal,
			Outcome: string(c.Outcome), Kept: c.KeptBecause, At: b.at(c.CapturedAt), SoundSpeed: soundSpeed(c)}
		if c.SNR != nil {
			out.SNR = Exact(*c.SNR, 0, false) + "\u00a0dB"
		}
		all = append(all, out)
	}
	slices.SortStableFunc(all, func(x, y Check) int { return cmp.Compare(x.At.At, y.At.At) })
	return all
}

func (b *builder) zeroChecks() []ZeroCheck {
	all := []ZeroCheck{}
	for _, z := range b.facts.Sheet.ZeroChecks {
		out := ZeroCheck{Mounting: b.mountingNumber(z.MountingID), Moment: string(z.Moment), Possible: z.Possible,
			Isolated: z.IsolatedBy, Tightness: z.Tightness, Mean: orEmpty(z.MeanEntered), U: orEmpty(z.UEntered),
			Action: z.Action, At: b.at(z.CapturedAt)}
		if z.Seconds != nil {
			out.Seconds = Exact(*z.Seconds, 0, false) + "\u00a0s"
		}
		all = append(all, out)
	}
	slices.SortStableFunc(all, func(x, y ZeroCheck) int { return cmp.Compare(x.At.At, y.At.At) })
	return all
}

func (b *builder) controls() []Control {
	all := []Control{}
	for _, n := range b.facts.Sheet.Controls {
		all = append(all, Control{Kind: string(n.Kind), What: n.What, DoneBy: n.DoneBy, At: b.at(n.CapturedAt)})
	}
	slices.SortStableFunc(all, func(x, y Control) int { return cmp.Compare(x.At.At, y.At.At) })
	return all
}

func orEmpty(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// soundSpeed is the sound speed of a check as it was read, or as its transit times come to.
func soundSpeed(c sheet.SetupCheck) string {
	if c.SoundSpeedEntered == nil && c.SoundSpeed != nil {
		return strconv.FormatFloat(*c.SoundSpeed, 'f', 1, 64) + " m/s"
	}
	return orEmpty(c.SoundSpeedEntered)
}
