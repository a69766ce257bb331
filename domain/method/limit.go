package method

import (
	"fmt"
	"math"
	"strings"

	"rillmark/calc/conformity"
	"rillmark/calc/quantity"
	"rillmark/domain"
)

// Limit is the limits of error in one zone of flow, from From up to but not at To. The
// limits are relative for reading and span, and m³/s for flow.
type Limit struct {
	N           int      `db:"n"`
	Phase       string   `db:"phase"`
	From        float64  `db:"from_flow"` // m³/s
	FromEntered string   `db:"from_entered"`
	To          *float64 `db:"to_flow"` // m³/s; nil: no end
	ToEntered   *string  `db:"to_entered"`
	Kind        string   `db:"kind"`
	Lower       *float64 `db:"lower_limit"`
	Upper       *float64 `db:"upper_limit"`
	Span        *float64 `db:"span"` // m³/s, of kind span
	Second
}

// Second is the second term of a limit; its zero value is none. See conformity.Agreed.
type Second struct {
	Combine   *string  `db:"combine"`
	OtherKind *string  `db:"other_kind"`
	Other     *float64 `db:"other_limit"` // its size, on every side that the first has
	OtherSpan *float64 `db:"other_span"`  // m³/s, of kind span
}

// end is where the zone ends; +Inf where it is open.
func (l Limit) end() float64 {
	if l.To == nil {
		return math.Inf(1)
	}
	return *l.To
}

// Tell writes the zone and the limits as people read them: "−2 % to 2 % of reading".
func (l Limit) Tell() (zone, limits string) {
	zone = "from " + l.FromEntered
	if l.ToEntered != nil {
		zone += " to below " + *l.ToEntered
	}
	return zone, l.tellLimits()
}

// writeLimit writes a limit, or the size of one, without what it is a part of.
func writeLimit(x float64, kind string) string {
	if kind == "flow" {
		return domain.Shown(x, quantity.KindFlow, "m³/h")
	}
	return domain.Shown(x, quantity.KindRatio, "%")
}

// ofWhat is what a limit is a part of.
func ofWhat(kind string, span *float64) string {
	switch kind {
	case "reading":
		return " of reading"
	case "span":
		return " of span " + domain.ShownOrEmpty(span, quantity.KindFlow, "m³/h")
	}
	return ""
}

// tell writes the second term behind the first.
func (s Second) tell() string {
	if s.Combine == nil || s.OtherKind == nil || s.Other == nil {
		return ""
	}
	size := writeLimit(*s.Other, *s.OtherKind) + ofWhat(*s.OtherKind, s.OtherSpan)
	if *s.Combine == string(conformity.Greater) {
		return ", or " + size + " where that is more"
	}
	return " plus " + size
}

func (l Limit) tellLimits() string {
	write := func(x float64) string { return writeLimit(x, l.Kind) }
	of := ofWhat(l.Kind, l.Span) + l.Second.tell()
	switch {
	case l.Lower == nil && l.Upper == nil:
		return ""
	case l.Lower == nil:
		return "at most " + write(*l.Upper) + of
	case l.Upper == nil:
		return "at least " + write(*l.Lower) + of
	case *l.Lower == -*l.Upper:
		return "± " + write(*l.Upper) + of
	}
	return write(*l.Lower) + " to " + write(*l.Upper) + of
}

// TellLimits writes all limits as a text, for the trail.
func TellLimits(limits []Limit) string {
	lines := make([]string, len(limits))
	for i, l := range limits {
		zone, what := l.Tell()
		lines[i] = l.Phase + ", " + zone + ": " + what
	}
	return strings.Join(lines, "\n")
}

// readLimits reads the rows that hold anything; empty ones are left out.
func readLimits(check *domain.Check, t AgreementTexts) (limits []Limit) {
	rows := max(len(t.Lower), len(t.Upper), len(t.From), len(t.To), len(t.Span), len(t.Other))
	if rows > MostLimits+20 {
		check.Add(TooManyLimits.At("limits", MostLimits))
		return nil
	}
	typed := []int{} // the row each limit was typed in
	for row := range rows {
		r := limitRow{check: check, row: row, texts: t}
		if r.text(t.Lower)+r.text(t.Upper)+r.text(t.From)+r.text(t.To)+r.text(t.Span)+r.text(t.Other) == "" {
			continue
		}
		l := r.read()
		l.N = len(limits) + 1
		for i, other := range limits {
			if other.Phase == l.Phase && l.From < other.end() && other.From < l.end() {
				check.Add(ZonesOverlap.At(r.field("from"), typed[i]+1))
				break
			}
		}
		limits, typed = append(limits, l), append(typed, row)
	}
	switch {
	case len(limits) == 0:
		check.Add(NoLimits.At("limits"))
	case len(limits) > MostLimits:
		check.Add(TooManyLimits.At("limits", MostLimits))
	}
	return limits
}

// limitRow reads one typed row.
type limitRow struct {
	check *domain.Check
	row   int
	texts AgreementTexts
}

func (r limitRow) text(list []string) string {
	if r.row < len(list) {
		return domain.Line(list[r.row])
	}
	return ""
}

func (r limitRow) field(name string) string { return fmt.Sprintf("limits[%d].%s", r.row, name) }

func (r limitRow) read() Limit {
	l := Limit{Phase: r.text(r.texts.Phase), Kind: r.text(r.texts.Kind), FromEntered: "0 m³/h"}
	domain.OneOf(r.check, r.field("phase"), l.Phase, LimitPhases)
	domain.OneOf(r.check, r.field("kind"), l.Kind, LimitKinds)
	if from, entered := r.check.Measure(r.field("from"), r.text(r.texts.From), quantity.KindFlow, domain.NotNegative); from != nil {
		l.From, l.FromEntered = *from, *entered
	}
	l.To, l.ToEntered = r.check.Measure(r.field("to"), r.text(r.texts.To), quantity.KindFlow, domain.Positive)
	if l.To != nil && *l.To <= l.From {
		r.check.Add(ZoneReversed.At(r.field("to")))
	}
	r.readBounds(&l)
	l.Span = r.readSpan("span", l.Kind, r.texts.Span)
	r.readSecond(&l.Second, l.Kind)
	return l
}

// readSecond reads the second term: the choice of how it goes with the first says whether
// there is one.
func (r limitRow) readSecond(s *Second, first string) {
	combine, kind, size := r.text(r.texts.Combine), r.text(r.texts.OtherKind), r.text(r.texts.Other)
	if combine == "" {
		if size != "" {
			r.check.Add(CombineMissing.At(r.field("combine")))
		}
		return
	}
	domain.OneOf(r.check, r.field("combine"), combine, Combinations)
	domain.OneOf(r.check, r.field("other_kind"), kind, LimitKinds)
	if kind == first {
		r.check.Add(conformity.CodeSamePart.At(r.field("other_kind")))
	}
	if size == "" {
		r.check.Add(domain.Required.At(r.field("other")))
	}
	as := quantity.KindRatio
	if kind == "flow" {
		as = quantity.KindFlow
	}
	size, _ = symmetricLimit(size)
	s.Combine, s.OtherKind = &combine, &kind
	s.Other, _ = r.check.Measure(r.field("other"), size, as, domain.Positive)
	s.OtherSpan = r.readSpan("other_span", kind, r.texts.OtherSpan)
}

func (r limitRow) readBounds(l *Limit) {
	kind := quantity.KindRatio
	if l.Kind == "flow" {
		kind = quantity.KindFlow
	}
	lower, upper := r.text(r.texts.Lower), r.text(r.texts.Upper)
	if both, symmetric := symmetricLimit(lower); symmetric {
		if upper != "" {
			r.check.Add(SymmetricAndMore.At(r.field("upper")))
		}
		if half, _ := r.check.Measure(r.field("lower"), both, kind, domain.Positive); half != nil {
			low := -*half
			l.Lower, l.Upper = &low, half
		}
		return
	}
	l.Lower, _ = r.check.Measure(r.field("lower"), lower, kind, domain.AnySign)
	l.Upper, _ = r.check.Measure(r.field("upper"), upper, kind, domain.AnySign)
	if lower+upper == "" {
		r.check.Add(LimitMissing.At(r.field("lower")))
	}
	if l.Lower != nil && l.Upper != nil && *l.Lower >= *l.Upper {
		r.check.Add(LimitsReversed.At(r.field("upper")))
	}
	// A bare "2 %" is a slip for "± 2 %" or "−2 %": no client asks a meter to be wrong.
	if l.Lower != nil && *l.Lower > 0 {
		r.check.Add(LimitsExcludeNought.At(r.field("lower"), lower))
	}
	if l.Upper != nil && *l.Upper < 0 {
		r.check.Add(LimitsExcludeNought.At(r.field("upper"), upper))
	}
}

// symmetricLimit takes the sign off "± 2 %".
func symmetricLimit(text string) (half string, is bool) {
	for _, sign := range []string{"±", "+/-", "+-"} {
		if rest, found := strings.CutPrefix(text, sign); found {
			return domain.Line(rest), true
		}
	}
	return text, false
}

func (r limitRow) readSpan(name, kind string, texts []string) (span *float64) {
	text := r.text(texts)
	switch {
	case kind == "span" && text == "":
		r.check.Add(domain.Required.At(r.field(name)))
	case kind != "span" && text != "":
		r.check.Add(SpanUnused.At(r.field(name)))
	case text != "":
		span, _ = r.check.Measure(r.field(name), text, quantity.KindFlow, domain.Positive)
	}
	return span
}
