package plot

import (
	"math"
	"strconv"
	"strings"
)

// Scale carries values to places: Lo at From, Hi at To, linear or, with Log, by the
// logarithm.
type Scale struct {
	Lo, Hi   float64
	From, To float64
	Log      bool
}

// At returns the place of a value, also of one beyond the scale's ends.
func (s Scale) At(value float64) float64 {
	a, b, v := s.Lo, s.Hi, value
	if s.Log {
		a, b, v = math.Log(a), math.Log(b), math.Log(v)
	}
	return s.From + (v-a)/(b-a)*(s.To-s.From)
}

// Clamp returns the value, or the end of the scale it lies beyond.
func (s Scale) Clamp(value float64) float64 { return math.Max(s.Lo, math.Min(s.Hi, value)) }

// Tick is a value with its text.
type Tick struct {
	Value float64
	Text  string
}

// Ticks returns about so many round values within the scale: steps of 1, 2 or 5 times a
// power of ten, or on a logarithmic scale 1, 2 and 5 times powers of ten. signed puts a
// plus before values above zero.
func (s Scale) Ticks(about int, signed bool) []Tick {
	if s.Log {
		return s.logTicks()
	}
	step := niceStep((s.Hi - s.Lo) / float64(about))
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var ticks []Tick
	first := math.Ceil(s.Lo/step - 1e-9)
	for n := first; n*step <= s.Hi+step*1e-9; n++ {
		ticks = append(ticks, Tick{n * step, tickText(n*step, decimals, signed)})
	}
	return ticks
}

func (s Scale) logTicks() []Tick {
	var ticks []Tick
	for e := math.Floor(math.Log10(s.Lo)) - 1; e <= math.Ceil(math.Log10(s.Hi)); e++ {
		for _, m := range []float64{1, 2, 5} {
			if v := m * math.Pow(10, e); v >= s.Lo*(1-1e-9) && v <= s.Hi*(1+1e-9) {
				ticks = append(ticks, Tick{v, tickText(v, max(0, int(-e)), false)})
			}
		}
	}
	return ticks
}

// niceStep returns the smallest of 1, 2 and 5 times a power of ten that is not below x.
func niceStep(x float64) float64 {
	base := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5} {
		if m*base >= x*(1-1e-9) {
			return m * base
		}
	}
	return 10 * base
}

func tickText(v float64, decimals int, signed bool) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return "0"
	}
	text = strings.Replace(text, "-", "−", 1)
	if signed && v > 0 {
		text = "+" + text
	}
	return text
}
