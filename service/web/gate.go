package web

import "rillmark/domain"

// costlyAtOnce is how many requests that are dear to answer run at one time. Each of them
// may keep a processor and a connection busy for seconds.
const costlyAtOnce = 2

// gate lets so many in and turns the others away at once: a queue of dear requests would
// only grow.
type gate chan struct{}

func newGate(places int) gate { return make(gate, places) }

func (g gate) enter() (leave func(), err error) {
	select {
	case g <- struct{}{}:
		return func() { <-g }, nil
	default:
		return nil, domain.Refuse(domain.Throttled, TooManyAtOnce.At(""))
	}
}
