package capture

import (
	"math"
	"strings"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
)

// The bounds of what is pointed out: common practice, no source.
const (
	scatterShare = 0.1  // largest less smallest wall against the mean
	ovalShare    = 0.01 // largest less smallest diameter against the mean
	wallReadings = 4    // around the pipe
	leastDoubt   = 0.0003
)

// Doubts says what a person should look at beside the values of the survey; the field is
// the value's name. Nothing of it refuses a value.
func (w *Work) Doubts() fault.List {
	survey := w.Facts.Sheet.Now()
	l := evaluation.Impossible(survey)
	w.doubtDiameter(survey, &l)
	w.doubtWall(survey, &l)
	w.doubtSolids(survey, &l)
	w.doubtFluid(survey, &l)
	w.doubtPlace(survey, &l)
	return append(l, w.AgainstFile()...)
}

// Stops are the doubts with which no one goes on before somebody has looked: a pipe that may
// give way, one that is not full, flow that goes elsewhere.
func (w *Work) Stops() fault.List {
	var l fault.List
	for _, f := range w.Doubts() {
		switch f.Code {
		case WallTooThin, NotFull, FlowBetween:
			l = append(l, f)
		}
	}
	return l
}

// ToLookAt reports whether there is something about the value that a person looks at before
// the next one is entered. What only grows the uncertainty, or is asked elsewhere, waits.
func (w *Work) ToLookAt(n sheet.Name) bool {
	for _, f := range w.Doubts() {
		switch f.Code {
		case WallFew, PressureAssumed, StraightShort, LiningAsked:
			continue
		}
		if f.Field == string(n) {
			return true
		}
	}
	return false
}

// doubtDiameter points out a nominal size entered for the actual one, and an oval pipe.
func (w *Work) doubtDiameter(survey sheet.Survey, l *fault.List) {
	v := survey[sheet.OutsideDiameter]
	if v.Count == 0 {
		return
	}
	standard, size := survey.Text(sheet.PipeStandard), survey.Text(sheet.PipeSize)
	if standard == "" {
		standard, size = pipe.Standards()[0], ""
	}
	outside, err := quantity.Metres(v.Number)
	if err == nil {
		size, _, _ = strings.Cut(size, " (")
		if said, err := pipe.CheckOutside(standard, size, outside); err == nil && (said.IsNominal() || size != "") {
			for _, f := range said.Warnings {
				*l = append(*l, f.In(string(sheet.OutsideDiameter)))
			}
		}
	}
	if least, most := spread(v.Rows); most-least > ovalShare*v.Number {
		*l = append(*l, Oval.At(string(sheet.OutsideDiameter), tenth((most-least)*1e3), tenth((most-least)/v.Number*100)))
	}
}

// doubtWall compares gauged walls with the standard's, with each other and with the least
// the site allows.
func (w *Work) doubtWall(survey sheet.Survey, l *fault.List) {
	v, field := survey[sheet.Wall], string(sheet.Wall)
	if v.Count == 0 {
		return
	}
	least, most := spread(v.Rows)
	if minimum := survey.Number(sheet.MinimumWall); minimum != nil && least < *minimum {
		*l = append(*l, WallTooThin.At(field, hundredth(least*1e3), hundredth(*minimum*1e3)))
	}
	if v.Source != sheet.Measured {
		return
	}
	w.doubtStandard(survey, least, most, l)
	if most-least > math.Max(scatterShare*v.Number, leastDoubt) {
		*l = append(*l, WallScatters.At(field, hundredth(least*1e3), hundredth(most*1e3)))
	}
	if v.Count < wallReadings {
		*l = append(*l, WallFew.At(field, v.Count))
	}
}

func (w *Work) doubtStandard(survey sheet.Survey, least, most float64, l *fault.List) {
	table, err := evaluation.SurveyedPipe(survey)
	if err != nil {
		return // the standard is not named, or not held here
	}
	field, wall := string(sheet.Wall), table.Wall.SI()
	lowest := wall * (1 - table.WallTolerancePercent/100)
	switch {
	case least < lowest:
		*l = append(*l, WallOutside.At(field, hundredth(least*1e3), hundredth(wall*1e3), hundredth(lowest*1e3)))
	case most > wall*(1+table.WallOverPercent/100)+leastDoubt:
		*l = append(*l, WallThick.At(field, hundredth(most*1e3), hundredth(wall*1e3)))
	}
}

func (w *Work) doubtSolids(survey sheet.Survey, l *fault.List) {
	material := survey.Text(sheet.PipeMaterial)
	if material == "ductile iron" && !survey.Has(sheet.LinerThickness) {
		*l = append(*l, LiningAsked.At(string(sheet.PipeMaterial)))
	}
	if _, known := evaluation.SoundSpeedOf(survey, sheet.PipeSoundSpeed, sheet.PipeMaterial, w.Facts.Method.Content.PipeSpeed, beam.Longitudinal); material != "" && !known {
		*l = append(*l, MaterialUnknown.At(string(sheet.PipeMaterial), material))
	}
	if _, known := evaluation.SoundSpeedOf(survey, sheet.LinerSoundSpeed, sheet.LinerMaterial, w.Facts.Method.Content.LinerSpeed, beam.Longitudinal); survey[sheet.LinerThickness].Number > 0 && !known {
		*l = append(*l, LinerUnknown.At(string(sheet.LinerThickness)))
	}
}

func (w *Work) doubtFluid(survey sheet.Survey, l *fault.List) {
	if name := survey.FluidName(); name != "" && survey.Has(sheet.Temperature) {
		known, err := evaluation.FluidProperties(survey, w.Facts.Method.Content, survey[sheet.Temperature].Number)
		for _, f := range fault.AllOf(err) {
			if f.Code == fluid.Unknown {
				*l = append(*l, FluidElsewhere.At(string(sheet.Fluid), name, strings.Join(w.Facts.Method.Content.FluidNames(), ", ")))
				continue
			}
			if f.Code != evaluation.ValueMissing { // the sheet asks for it anyway
				*l = append(*l, f.In(fluidField(f)))
			}
		}
		if err == nil && known.DynamicViscosity.Source == "" { // said while it can still be asked for
			*l = append(*l, evaluation.FluidIncomplete.At(string(sheet.Fluid), "kinematic viscosity"))
		}
		if !survey.Has(sheet.Pressure) {
			*l = append(*l, PressureAssumed.At(string(sheet.Temperature), tenth(w.Facts.Method.Content.AssumedPressure/1e5)))
		}
	}
	if survey.Text(sheet.PipeFull) == sheet.FullNo {
		*l = append(*l, NotFull.At(string(sheet.PipeFull)))
	}
}

// fluidField is the value that a fluid's refusal is said beside.
func fluidField(f fault.Fault) string {
	switch f.Code {
	case fluid.SalinityRange:
		return string(sheet.Salinity)
	case fluid.MassFractionRange:
		return string(sheet.MassFraction)
	case fluid.GravityRange:
		return string(sheet.APIGravity)
	case fluid.GroupUnknown:
		return string(sheet.ProductGroup)
	case fluid.PressureRange:
		return string(sheet.Pressure)
	}
	return string(sheet.Temperature)
}

func (w *Work) doubtPlace(survey sheet.Survey, l *fault.List) {
	if b := survey.Text(sheet.Between); b == sheet.BetweenOpen || b == sheet.BetweenUnknown {
		*l = append(*l, FlowBetween.At(string(sheet.Between)))
	}
	outside, _, known := survey.Diameter()
	bore := outside - 2*survey[sheet.Wall].Number - 2*survey[sheet.LinerThickness].Number
	if !known || !survey.Has(sheet.Wall) || bore <= 0 {
		return
	}
	for _, side := range []struct {
		length, disturbance sheet.Name
		upstream            bool
	}{{sheet.StraightBefore, sheet.DisturbanceBefore, true}, {sheet.StraightAfter, sheet.DisturbanceAfter, false},
		{sheet.MeterStraightBefore, sheet.MeterDisturbance, true}, {sheet.MeterStraightAfter, sheet.MeterDisturbanceAfter, false}} {
		asked, listed := w.Facts.Method.Content.Straight(survey.Text(side.disturbance))
		if !listed || !survey.Has(side.length) {
			continue
		}
		diameters := asked.After
		if side.upstream {
			diameters = asked.Before
		}
		if given := survey[side.length].Number / bore; given < diameters {
			*l = append(*l, StraightShort.At(string(side.length), tenth(given), diameters, survey.Text(side.disturbance)))
		}
	}
}

// spread is the least and the largest of rows that hold a number.
func spread(rows []sheet.SurveyValue) (least, most float64) {
	for i, v := range rows {
		if v.Value == nil {
			continue
		}
		if i == 0 || *v.Value < least {
			least = *v.Value
		}
		most = math.Max(most, *v.Value)
	}
	return least, most
}
