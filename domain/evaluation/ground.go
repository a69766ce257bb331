package evaluation

import (
	"time"

	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// contributors lists who did the work, and checks that each was authorised for it then.
func (w *work) contributors() {
	seen := map[domain.PersonID]bool{}
	did := func(s sheet.Stamp) {
		if !w.authorised(s.By, s.CapturedAt) {
			w.result.Grounds.add(PersonNotAuthorised.At("by", s.By.String(), s.CapturedAt.UTC().Format(time.DateOnly)))
		}
		if !seen[s.By] {
			seen[s.By] = true
			w.result.Contributors = append(w.result.Contributors, s.By)
		}
	}
	for _, v := range w.Sheet.Survey {
		if v.Source == sheet.Measured {
			did(v.Stamp)
		}
	}
	for _, m := range w.Sheet.Mountings {
		did(m.Stamp)
	}
	for _, c := range w.Sheet.SetupChecks {
		did(c.Stamp)
	}
	for _, z := range w.Sheet.ZeroChecks {
		did(z.Stamp)
	}
	for _, r := range w.Sheet.Runs {
		did(r.Stamp)
	}
	for i := range w.Sheet.Readings {
		did(w.Sheet.Readings[i].Stamp)
	}
	for _, a := range w.Sheet.Adjustments {
		did(a.Stamp)
	}
	w.result.Contributors = sorted(w.result.Contributors, compareID)
}

func (w *work) authorised(person domain.PersonID, at time.Time) bool {
	for i := range w.Authorisations {
		if a := &w.Authorisations[i]; a.PersonID == person && a.MethodID == w.Method.ID && a.Act == Perform &&
			!at.Before(a.From) && (a.To == nil || at.Before(*a.To)) {
			return true
		}
	}
	return false
}

// surveyFindings says what the survey means for the whole.
func (w *work) surveyFindings() {
	if w.Task.Measurand != "volume" {
		w.result.Grounds.add(MeasurandNotVolume.At("measurand", w.Task.Measurand))
	}
	switch field := string(sheet.Between); w.now.Text(sheet.Between) {
	case sheet.BetweenNothing:
	case sheet.BetweenClosed:
		w.result.Remarks.add(BetweenClosed.At(field))
	case sheet.BetweenStores:
		w.result.Remarks.add(BetweenStores.At(field))
	case sheet.BetweenOpen:
		w.result.Grounds.add(FlowDiffers.At(field))
	default:
		w.result.Grounds.add(BypassUnknown.At(field))
	}
	switch field := string(sheet.PipeFull); w.now.Text(sheet.PipeFull) {
	case sheet.FullNo:
		w.result.Grounds.add(PipeNotFull.At(field))
	case sheet.FullUnknown:
		w.result.Remarks.add(PipeFullUnknown.At(field))
	}
	w.sources()
	w.nominal()
	w.minimumWall()
	w.meterStraight()
}

// sources marks what the client supplied and what was assumed, and asks for the
// instrument of what was measured.
func (w *work) sources() {
	for _, about := range sheet.Meanings() {
		v, named := w.now[about.Name], string(about.Name)
		if v.Count == 0 {
			continue
		}
		if v.Source == sheet.Client || v.Source == sheet.Assumed {
			w.result.Remarks.add(NotMeasured.At(named, named, string(v.Source)))
		}
		if v.Source == sheet.Measured && w.modelled(about.Name) {
			w.instrument(v)
		}
	}
}

// modelled reports whether the budget looks at the survey value.
func (w *work) modelled(n sheet.Name) bool {
	if n == sheet.Circumference {
		n = sheet.OutsideDiameter
	}
	for _, row := range w.Method.Content.Budget {
		if row.Input == string(n) {
			return true
		}
	}
	return false
}

func (w *work) instrument(v sheet.Value) {
	for _, row := range v.Rows {
		if row.KitID == nil {
			w.result.Remarks.add(NoInstrument.At(string(v.Name), string(v.Name)))
			continue
		}
		tag := w.tag(*row.KitID)
		if item, ok := w.item(*row.KitID); ok && !item.InService(row.CapturedAt) {
			w.result.Grounds.add(KitOutOfService.At(string(v.Name), tag))
		}
		if !w.use(*row.KitID, row.CapturedAt) {
			w.result.Grounds.add(InstrumentNotValid.At(string(v.Name), tag, string(v.Name)))
		}
	}
}

// use notes that an instrument was used, if one of its calibrations was valid then.
func (w *work) use(id domain.KitID, at time.Time) bool {
	for i := len(w.Calibrations) - 1; i >= 0; i-- {
		if c := &w.Calibrations[i]; c.KitID == id && c.Valid(at) {
			w.note(c, at)
			return true
		}
	}
	return false
}

func (w *work) tag(id domain.KitID) string {
	if item, ok := w.item(id); ok {
		return item.Tag
	}
	return id.String()
}

// nominal points out an outside diameter that can only be a nominal size.
func (w *work) nominal() {
	metres, from, ok := w.now.Diameter()
	if !ok || from != sheet.OutsideDiameter {
		return
	}
	standard, size := w.now.Text(sheet.PipeStandard), w.now.Text(sheet.PipeSize)
	if standard == "" {
		standard, size = pipe.Standards()[0], ""
	}
	outside, err := quantity.Metres(metres)
	if err != nil {
		return
	}
	// A standard or size that is not known says nothing, and is no fault here.
	said, err := pipe.CheckOutside(standard, size, outside)
	if err == nil && said.IsNominal() {
		for _, f := range said.Warnings {
			w.result.Remarks.add(f.In(string(sheet.OutsideDiameter)))
		}
	}
}

func (w *work) minimumWall() {
	least := w.now.Number(sheet.MinimumWall)
	if least == nil {
		return
	}
	for _, row := range w.now[sheet.Wall].Rows {
		if row.Value != nil && *row.Value < *least {
			w.result.Remarks.add(WallBelowMinimum.At(string(sheet.Wall), *row.Value*1e3, *least*1e3))
		}
	}
}
