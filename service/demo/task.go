package demo

import (
	"time"

	"rillmark/domain/sheet"
)

// task is the story of one point's verification: what was written down, and what was true.
type task struct {
	visit, point    int
	hour            int           // of the day at which it began; not looked at today
	takes           time.Duration // how long today's has been going on
	reference, pair int
	cable, tape     int
	traverses       int
	clock           string // where the transducers sat
	picked          *picked
	survey          []value
	wall            float64 // m, the true one where the survey's was wrong; 0: as surveyed
	regauged        []value // after the set-up check had failed
	zero            *zero   // nil: not possible
	zeroWhy         string
	controls        [2]control // before and after; the second empty where nothing was inhibited
	flows           []float64  // m³/h, true
	errors          []float64  // of the meter at each, relative, before adjustment
	outputError     float64    // of the current output beside the display's
	jolted          *jolted
	adjust          *adjust  // nil: not adjusted
	logging         *logging // runs that loggers wrote; nil: readings by hand
	runs            int      // taken so far; 0: all of them
	notes           []note   // the last closes the task; none: it is open
	late            []note   // after the visit was sent back
}

type zero struct{ isolatedBy, tightness, mean, u, action string }

type control struct{ kind, what, by string }

type note struct{ kind, text string }

// jolted is a run during which the flow rose: it was set aside, and another one added.
type jolted struct {
	flowPoint, run int // of the flow point
	by             float64
	reason         string
}

// adjust is a factor of the meter changed.
type adjust struct {
	parameter, old, new   string
	factor                float64 // new over old
	permission, reason    string
	sealBefore, sealAfter string
}

// runsAtPoint, readingsInRun and intervalSeconds are the plan: five minutes, read each minute.
const (
	runsAtPoint     = 3
	readingsInRun   = 5
	runSeconds      = "300 s"
	intervalSeconds = "60 s"
	averaging       = "10 s"
)

// truth is what the pipe really was.
func (t task) truth() (sheet.Survey, error) {
	return inForce(t.picked, together(t.survey, t.regauged))
}
