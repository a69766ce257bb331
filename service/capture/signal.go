package capture

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/loop"
	"rillmark/domain/sheet"
)

// What a current typed beside a reading says, where it is more than a flow.
var (
	// SignalFailure: the meter signals a failure, or the loop is broken; the reading is no flow.
	SignalFailure = fault.Define("capture.signal-failure", fault.C("run"), fault.C("reading"), fault.T("indication"), fault.N("current_mA"))
	// SignalUndefined: between measuring and failure.
	SignalUndefined = fault.Define("capture.signal-undefined", fault.C("run"), fault.C("reading"), fault.T("indication"), fault.N("current_mA"))
	// SignalOffScale: measuring, beyond an end of the scale; the output may stand at its stop.
	SignalOffScale = fault.Define("capture.signal-off-scale", fault.C("run"), fault.C("reading"), fault.T("indication"), fault.N("current_mA"),
		fault.N("low_mA"), fault.N("high_mA"))
)

// scaling is the indication's, and whether it has a whole one.
func (i Indication) scaling() (loop.Scaling, bool) {
	if i.Way != "current" || i.LowSignal == nil || i.HighSignal == nil || i.FlowAtLow == nil || i.FlowAtHigh == nil {
		return loop.Scaling{}, false
	}
	s := loop.Scaling{LowSignal: *i.LowSignal, HighSignal: *i.HighSignal, FlowAtLow: *i.FlowAtLow, FlowAtHigh: *i.FlowAtHigh}
	return s, s.Validate() == nil
}

// current is what was read of a current output, in A; false where a flow was typed.
func (i Indication) current(shown sheet.Shown) (amperes float64, state loop.State, read bool) {
	s, scaled := i.scaling()
	if !scaled || hasFlowUnit(shown.Entered) {
		return 0, "", false
	}
	amperes = s.Current(shown.Value)
	return amperes, s.StateOf(amperes), true
}

// SignalDoubts says of the readings of a phase that count where a current was no plain
// measurement: the first of each run and kind, for each indication. Nothing of it refuses a
// reading: what was observed is kept, and a person sets it aside.
func (w *Work) SignalDoubts(phase sheet.Phase) (l fault.List) {
	for _, run := range w.Facts.Sheet.Taken(phase) {
		said := map[string]bool{}
		for _, r := range run.Readings {
			if !run.Used || !r.Used {
				continue
			}
			for _, shown := range r.Indications {
				i, known := w.Indication(shown.IndicationID.String())
				amperes, state, read := i.current(shown)
				if key := shown.IndicationID.String() + string(state); known && read && state != loop.Measuring && !said[key] {
					said[key] = true
					l = append(l, i.doubt(run.Number, r.Number, amperes, state))
				}
			}
		}
	}
	return l
}

func (i Indication) doubt(run, reading int, amperes float64, state loop.State) fault.Fault {
	milli := math.Round(amperes*1e6) / 1e3
	switch state {
	case loop.FailureLow, loop.FailureHigh:
		return SignalFailure.At("values", run, reading, i.Name, milli)
	case loop.UndefinedLow, loop.UndefinedHigh:
		return SignalUndefined.At("values", run, reading, i.Name, milli)
	}
	return SignalOffScale.At("values", run, reading, i.Name, milli, *i.LowSignal*1e3, *i.HighSignal*1e3)
}
