package trace

import "rillmark/calc/fault"

// What is wrong with a series or a question.
var (
	// CodeLengths: times and values of a series do not pair.
	CodeLengths = fault.Define("trace.lengths-differ", fault.C("times"), fault.C("values"))
	// CodeTooFew: too few samples to tell anything.
	CodeTooFew = fault.Define("trace.too-few-samples", fault.C("samples"), fault.C("least"))
	// CodeNotFinite: a time or value is NaN or infinite.
	CodeNotFinite = fault.Define("trace.not-finite", fault.C("row"))
	// CodeNotIncreasing: a time does not lie after the one before it.
	CodeNotIncreasing = fault.Define("trace.not-increasing", fault.C("row"))
	// CodeBadAveraging: an averaging time that is negative, not finite, or missing.
	CodeBadAveraging = fault.Define("trace.bad-averaging", fault.N("seconds"))
	// CodeBadSearch: a search range that is not positive and finite.
	CodeBadSearch = fault.Define("trace.bad-search", fault.N("seconds"))
	// CodeBadCounter: a counter's modulus that is not above its readings.
	CodeBadCounter = fault.Define("trace.bad-counter", fault.N("modulus"), fault.N("reading"), fault.C("row"))
	// CodeCounterJump: a counter fell in a way that one passage through its end does not explain.
	CodeCounterJump = fault.Define("trace.counter-jump", fault.C("row"))
	// CodeShort: too few readings in common between two times.
	CodeShort = fault.Define("trace.too-short", fault.C("readings"), fault.C("least"))
	// CodeBadNote: a clock note whose readings do not fit together.
	CodeBadNote = fault.Define("trace.bad-clock-note", fault.N("seconds"))
	// CodeOutside: a time asked for lies outside the series.
	CodeOutside = fault.Define("trace.outside", fault.N("from_s"), fault.N("to_s"))
)

// Why no lag was found.
var (
	// CodeFlat: too little changes in one of the channels.
	CodeFlat = fault.Define("trace.too-little-change")
	// CodeNoOverlap: the files share too little time.
	CodeNoOverlap = fault.Define("trace.no-overlap")
	// CodeAmbiguous: another lag fits as well, as with a pump's cycles.
	CodeAmbiguous = fault.Define("trace.several-lags", fault.N("first_s"), fault.N("second_s"))
	// CodeUnlike: at no lag do the channels show the same flow.
	CodeUnlike = fault.Define("trace.unlike", fault.N("correlation"))
	// CodeFewChanges: fewer changes between steady levels than are needed.
	CodeFewChanges = fault.Define("trace.few-changes", fault.C("changes"), fault.C("least"))
	// CodeAtEdge: the best lag lies at the end of what was searched.
	CodeAtEdge = fault.Define("trace.at-edge", fault.N("search_s"))
	// CodeScattered: the changes tell lags that do not agree with each other.
	CodeScattered = fault.Define("trace.lags-disagree", fault.N("spread_s"))
)
