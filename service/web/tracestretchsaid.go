package web

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"rillmark/calc/fault"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/web/part"
)

// stretchAnswer says the error of a stretch as people say it.
func (x *exchange) stretchAnswer(s tracing.Stretch) string {
	size := strconv.FormatFloat(math.Abs(s.Error)*100, 'f', 2, 64)
	key := "trace.reads-high"
	switch {
	case zeroText(size):
		return x.text("trace.reads-right")
	case s.Error < 0:
		key = "trace.reads-low"
	}
	return x.text(key, "percent", size)
}

// errorText is the error of a stretch in figures.
func (x *exchange) errorText(s tracing.Stretch) string {
	text := strconv.FormatFloat(math.Abs(s.Error)*100, 'f', 2, 64) + " %"
	if zeroText(strings.TrimSuffix(text, " %")) {
		return text
	}
	if s.Error < 0 {
		return "−" + text
	}
	return "+" + text
}

func (x *exchange) stretchFacts(w *capture.Work, s tracing.Stretch) []part.Fact {
	facts := []part.Fact{
		{Word: x.text("trace.word-length"), Text: x.text("trace.length", "seconds", strconv.FormatFloat(s.Seconds, 'f', 0, 64), "readings", s.Readings)},
		{Word: x.text("trace.key-reference"), Text: flow(w, s.Reference)},
		{Word: x.text("trace.key-meter"), Text: flow(w, s.Indication)},
	}
	return append(facts, part.Fact{Word: x.text("trace.word-scatter"), Text: x.scatter(s), None: s.Expanded == nil})
}

// scatter tells the uncertainty that the readings' scatter leaves.
func (x *exchange) scatter(s tracing.Stretch) string {
	if s.Expanded == nil {
		return x.text("trace.not-estimable")
	}
	key := "trace.scatter"
	if s.Pooled {
		key = "trace.scatter-pooled"
	}
	return x.text(key, "u", twoDigits(*s.Expanded*100), "n", strconv.FormatFloat(s.EffectiveN, 'f', 0, 64))
}

// twoDigits tells a number with two significant digits.
func twoDigits(v float64) string {
	if v <= 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', max(0, 1-int(math.Floor(math.Log10(v)))), 64)
}

// stretchLine is a stretch's figures in a line.
func (x *exchange) stretchLine(w *capture.Work, s tracing.Stretch) string {
	return joined(" · ", x.text("trace.length", "seconds", strconv.FormatFloat(s.Seconds, 'f', 0, 64), "readings", s.Readings),
		x.text("trace.flows", "reference", flow(w, s.Reference), "meter", flow(w, s.Indication)), x.scatter(s))
}

// shared are the warnings that every stretch has, so that they are told once.
func shared(all []tracing.Stretch) (common fault.List) {
	if len(all) < 2 {
		return nil
	}
	for _, f := range all[0].Warnings {
		everywhere := true
		for _, s := range all[1:] {
			everywhere = everywhere && len(without(fault.List{f}, s.Warnings)) == 0
		}
		if everywhere {
			common = append(common, f)
		}
	}
	return common
}

// without are the faults that are not among the others.
func without(list, others fault.List) (rest fault.List) {
	for _, f := range list {
		if !slices.ContainsFunc(others, func(o fault.Fault) bool { return o.Error() == f.Error() }) {
			rest = append(rest, f)
		}
	}
	return rest
}

func (x *exchange) warnings(list fault.List) []part.Notice {
	var all []part.Notice
	for _, f := range list {
		all = append(all, part.Notice{Act: true, Text: x.Book.Fault(f)})
	}
	return all
}
