package capture

import (
	"fmt"
	"math"
	"slices"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// Questions: what is most likely a slip of the finger. It is asked once, before it is kept,
// since nothing that is kept goes away again; who says yes is believed. The bounds are
// common practice, without a source.
const (
	apartDiameter = 0.03 // two directions of one pipe
	sinceLast     = 0.05 // outside diameter since the last visit
	wallTimes     = 2.0  // one wall reading against the mean of the others
	thickWall     = 0.15 // of the outside diameter
	thinWall      = 0.005
	longStraight  = 100.0 // m
	widePipe      = 2.5   // m
	fastFlow      = 12.0  // m/s: liquids in pipes are seldom above
	meterTimes    = 2.0   // meter against reference
	fastZero      = 0.05  // m/s, on a line that is shut
	bigStep       = 1.25  // new parameter against the old one
)

// Codes of the questions.
var (
	AskApart     = fault.Define("capture.ask-diameters-apart", fault.N("new_mm"), fault.N("old_mm"), fault.N("percent"))
	AskChanged   = fault.Define("capture.ask-changed-since", fault.N("new_mm"), fault.N("last_mm"))
	AskWide      = fault.Define("capture.ask-wide-pipe", fault.N("new_mm"))
	AskWall      = fault.Define("capture.ask-wall-apart", fault.N("new_mm"), fault.N("mean_mm"))
	AskThin      = fault.Define("capture.ask-wall-thin", fault.N("new_mm"), fault.N("outside_mm"))
	AskLong      = fault.Define("capture.ask-straight-long", fault.N("metres"))
	AskWrongWay  = fault.Define("capture.ask-wrong-way", fault.N("percent"), fault.N("asked"))
	AskThick     = fault.Define("capture.ask-wall-thick", fault.N("new_mm"), fault.N("outside_mm"))
	AskFast      = fault.Define("capture.ask-fast-flow", fault.N("m_s"))
	AskMeter     = fault.Define("capture.ask-meter-apart", fault.N("times"))
	AskNoFlow    = fault.Define("capture.ask-no-flow")
	AskSame      = fault.Define("capture.ask-same-run", fault.C("number"))
	AskInhibited = fault.Define("capture.ask-still-inhibited")
	AskZero      = fault.Define("capture.ask-zero-fast", fault.N("mm_s"))
	AskStep      = fault.Define("capture.ask-big-step", fault.N("percent"))
	AskBefore    = fault.Define("capture.ask-before-adjustment")
	AskAfter     = fault.Define("capture.ask-after-adjustment")
	AskUnmounted = fault.Define("capture.ask-not-yet-mounted", fault.C("number"))
	AskFar       = fault.Define("capture.ask-far-from-point", fault.N("percent"), fault.C("point"))
)

// Asks reports whether the fault is a question, which the same entry sent again answers.
func Asks(c *fault.Code) bool {
	return slices.Contains([]*fault.Code{AskApart, AskChanged, AskWide, AskWall, AskThick, AskThin, AskLong, AskWrongWay, AskFast, AskMeter, AskNoFlow, AskSame, AskZero, AskInhibited, AskStep, AskBefore, AskAfter, AskUnmounted, AskFar}, c)
}

// QuestionValue asks about a value of the survey. What cannot be read is for RecordValue
// to refuse.
func (w *Work) QuestionValue(c RecordValue) (l fault.List) {
	v, err := c.readValue()
	if err != nil || v.Value == nil {
		return nil
	}
	survey := w.Facts.Sheet.Now()
	var others []float64
	for _, r := range survey[v.Name].Rows {
		replaced := v.Corrects != nil && *v.Corrects == r.ID || v.Corrects == nil && r.Position == v.Position
		if r.Value != nil && !replaced && r.Source == v.Source {
			others = append(others, *r.Value)
		}
	}
	switch v.Name {
	case sheet.OutsideDiameter:
		l = w.questionDiameter(*v.Value, others)
	case sheet.Wall:
		outside, _, known := survey.Diameter()
		l = questionWall(*v.Value, others, outside, known)
	case sheet.StraightBefore, sheet.StraightAfter, sheet.MeterStraightBefore, sheet.MeterStraightAfter, sheet.Distance:
		if *v.Value > longStraight {
			l = fault.List{AskLong.At("entered", tenth(*v.Value))}
		}
	}
	return l
}

func (w *Work) questionDiameter(outside float64, others []float64) fault.List {
	for _, other := range others {
		if apart := math.Abs(outside/other - 1); apart > apartDiameter {
			return fault.List{AskApart.At("entered", tenth(outside*1e3), tenth(other*1e3), tenth(apart*100))}
		}
	}
	if last, there := w.LastVisit[sheet.OutsideDiameter]; there && last.Number > 0 && math.Abs(outside/last.Number-1) > sinceLast {
		return fault.List{AskChanged.At("entered", tenth(outside*1e3), tenth(last.Number*1e3))}
	}
	if outside > widePipe {
		return fault.List{AskWide.At("entered", tenth(outside*1e3))}
	}
	return nil
}

func questionWall(wall float64, others []float64, outside float64, known bool) fault.List {
	if mean := meanOf(others); mean > 0 && math.Max(wall/mean, mean/wall) > wallTimes {
		return fault.List{AskWall.At("entered", hundredth(wall*1e3), hundredth(mean*1e3))}
	}
	switch {
	case known && wall > thickWall*outside:
		return fault.List{AskThick.At("entered", hundredth(wall*1e3), tenth(outside*1e3))}
	case known && wall < thinWall*outside:
		return fault.List{AskThin.At("entered", hundredth(wall*1e3), tenth(outside*1e3))}
	}
	return nil
}

func meanOf(list []float64) float64 {
	sum := 0.0
	for _, v := range list {
		sum += v
	}
	if len(list) == 0 {
		return 0
	}
	return sum / float64(len(list))
}

// QuestionRun asks about the readings of a run: what no pipe of this bore carries, a meter
// that shows a multiple of the reference, and the very readings of an earlier run.
func (w *Work) QuestionRun(c AddRun) (l fault.List) {
	var r reader
	readings := c.lines(w, &r)
	if len(r.Faults) > 0 {
		return nil
	}
	survey := w.Facts.Sheet.Now()
	outside, _, known := survey.Diameter()
	bore := outside - 2*survey[sheet.Wall].Number - 2*survey[sheet.LinerThickness].Number
	for i, one := range readings {
		field := fmt.Sprintf("references.%d", i)
		if v := math.Abs(one.Reference) / (math.Pi / 4 * bore * bore); known && bore > 0 && v > fastFlow {
			l = append(l, AskFast.At(field, tenth(v)))
		}
		if one.Reference <= 0 {
			l = append(l, AskNoFlow.At(field))
			continue
		}
		for _, shown := range one.Indications {
			if times := shown.Value / one.Reference; times > meterTimes || times < 1/meterTimes {
				l = append(l, AskMeter.At(field, hundredth(times)))
				break
			}
		}
	}
	if number := w.sameRun(c, readings); number > 0 {
		l = append(l, AskSame.At("references.0", number))
	}
	return l
}

// sameRun is the number of an earlier run of the phase and flow point with these very
// readings; 0: none.
func (w *Work) sameRun(c AddRun, readings []sheet.Reading) int {
	for _, run := range w.Facts.Sheet.Taken(sheet.Phase(c.Phase)) {
		if fmt.Sprint(run.FlowPoint) != c.FlowPoint || len(run.Readings) != len(readings) || len(readings) == 0 || run.ID == c.ID {
			continue
		}
		same := true
		for i, r := range run.Readings {
			same = same && sameReading(*r.Reading, readings[i])
		}
		if same {
			return run.Number
		}
	}
	return 0
}

func sameReading(a, b sheet.Reading) bool {
	return a.Reference == b.Reference && slices.EqualFunc(a.Indications, b.Indications, func(a, b sheet.Shown) bool {
		return a.IndicationID == b.IndicationID && a.Value == b.Value
	})
}

// QuestionZero asks about a mean velocity that no tight line has.
func (w *Work) QuestionZero(c CheckZero) fault.List {
	z, err := c.read()
	if err != nil || z.MeanVelocity == nil || math.Abs(*z.MeanVelocity) <= fastZero {
		return nil
	}
	return fault.List{AskZero.At("mean_velocity", tenth(math.Abs(*z.MeanVelocity)*1e3))}
}

// QuestionClose asks whether the crew leaves with something still in manual or inhibited.
func (w *Work) QuestionClose(c NoteTask) fault.List {
	if domain.Lines(c.Text) == "" {
		return nil // what is missing is told first, all at once
	}
	if sheet.NoteKind(c.Kind).Closes() && w.Facts.Sheet.StillInhibited() {
		return fault.List{AskInhibited.At("kind")}
	}
	return nil
}

// QuestionAdjustment asks about a factor or a pulse number that changes by more than a
// quarter.
func (w *Work) QuestionAdjustment(c Adjust) fault.List {
	if step, big := stepOf(sheet.AdjustmentKind(c.Kind), plainNumber(c.Old), plainNumber(c.New)); big {
		return fault.List{AskStep.At("new_entered", tenth((step-1)*100))}
	}
	made, told := sheet.Adjustment{Kind: sheet.AdjustmentKind(c.Kind), OldValue: plainNumber(c.Old), NewValue: plainNumber(c.New)}.Factor()
	asked, one := w.askedFor(c.IndicationID)
	if told && one && (made-1)*(asked-1) < 0 {
		return fault.List{AskWrongWay.At("new_entered", hundredth((made-1)*100), hundredth((asked-1)*100))}
	}
	return nil
}

// askedFor is the factor that what was found asks an indication, or all of them, to be
// multiplied by; false where the difference is not significant or they differ in direction.
func (w *Work) askedFor(id domain.IndicationID) (factor float64, one bool) {
	r, err := w.Result()
	if err != nil || len(w.Facts.Sheet.AdjustmentsInForce()) > 0 {
		return 0, false // a second step may well go back
	}
	for _, phase := range r.Phases {
		for _, i := range phase.Indications {
			if phase.Phase != sheet.Before || id.Valid() && i.IndicationID != id || i.Proposal == nil || !i.Proposal.Significant {
				continue
			}
			if one && (factor-1)*(i.Proposal.Factor-1) < 0 {
				return 0, false
			}
			factor, one = i.Proposal.Factor, true
		}
	}
	return factor, one
}

// stepOf is a factor or pulse number against what it was, and whether that is a big step.
func stepOf(kind sheet.AdjustmentKind, was, is *float64) (step float64, big bool) {
	if was == nil || is == nil || *was == 0 || kind != sheet.Multiplier && kind != sheet.PulsesPerVolume {
		return 0, false
	}
	step = *is / *was
	return step, step > bigStep || step < 1/bigStep
}
