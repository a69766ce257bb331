package demo

import (
	"fmt"
	"math"
	"strconv"

	"rillmark/calc/verification"
	"rillmark/domain/kit"
	"rillmark/domain/register"
)

// swing, ripple and jitter are how a flow, a reference and a meter wander from reading to
// reading, in parts of their amplitudes. Tables, not chance: the demo is the same always.
// Their lengths have no common divisor, so that no run is like another.
var (
	swing  = []float64{0.4, -0.7, 0.1, 0.8, -0.3, -0.6, 0.5, 0.2, -0.9, 0.6, -0.1, -0.4, 0.9}
	ripple = []float64{0.3, -0.5, 0.9, -0.2, -0.8, 0.6, 0.1, -0.7, 0.4, 0.7, -0.8}
	jitter = []float64{-0.4, 0.6, -0.1, 0.8, -0.9, 0.2, -0.2}
)

// The amplitudes, relative.
const (
	flowSwing   = 0.003
	refRipple   = 0.0008
	meterJitter = 0.0006
)

// secondsPerHour takes m³/h to m³/s.
const secondsPerHour = 3600

// scene is the flow in a pipe, and who looks at it.
type scene struct {
	area        float64 // m², of the pipe as it is
	calibration kit.Calibration
	indications []register.IndicationTexts
	outputError float64 // of the indications after the first, beside the meter's
}

// readings returns what the reference and the indications show, reading by reading: at a
// flow (m³/h) and an error of the meter (relative), for the run of the number; jolt is by
// how much the flow rises towards the end of the run, relative.
func (s scene) readings(flow, meterError float64, run int, jolt float64) (references, values []string, err error) {
	for i := range readingsInRun {
		n := run*readingsInRun + i
		q := flow / secondsPerHour * (1 + flowSwing*swing[n%len(swing)] + jolt*float64(i)/(readingsInRun-1))
		shown, err := s.reference(q, n)
		if err != nil {
			return nil, nil, err
		}
		references = append(references, shown)
		for j, texts := range s.indications {
			seen := q * (1 + meterError) * (1 + meterJitter*jitter[n%len(jitter)])
			if j > 0 {
				seen *= 1 + s.outputError
			}
			text, err := show(texts, seen)
			if err != nil {
				return nil, nil, err
			}
			values = append(values, text)
		}
	}
	return references, values, nil
}

// reference is what the reference shows of a flow (m³/s): it has the error that its
// calibration found.
func (s scene) reference(q float64, n int) (string, error) {
	points := make([]verification.CalibrationPoint, len(s.calibration.Points))
	for i, p := range s.calibration.Points {
		points[i] = verification.CalibrationPoint{Velocity: p.At, Error: p.Error, Expanded: p.Expanded, K: p.K}
	}
	c, err := verification.CorrectionAt(points, q/s.area)
	if err != nil {
		return "", err
	}
	q *= (1 + c.Error) * (1 + refRipple*ripple[n%len(ripple)])
	return fmt.Sprintf("%.2f m³/h", q*secondsPerHour), nil
}

// show is what an indication shows of a flow (m³/s): to its resolution, in milliamperes,
// or as the frequency of its pulses.
func show(texts register.IndicationTexts, q float64) (string, error) {
	i, err := register.Indication{}.Read(texts, register.Volume)
	if err != nil {
		return "", err
	}
	switch i.Way {
	case register.CurrentLoop:
		share := (q - *i.FlowAtLow) / (*i.FlowAtHigh - *i.FlowAtLow)
		return fmt.Sprintf("%.3f mA", 1e3*(*i.LowSignal+share*(*i.HighSignal-*i.LowSignal))), nil
	case register.Pulse:
		return fmt.Sprintf("%.4f Hz", q / *i.PulseVolume), nil
	}
	step := *i.Resolution * secondsPerHour
	decimals := max(0, int(math.Round(-math.Log10(step))))
	return strconv.FormatFloat(math.Round(q*secondsPerHour/step)*step, 'f', decimals, 64) + " m³/h", nil
}
