package uncertainty

import "math"

// running is a simulation under way.
type running struct {
	Simulation
	draws    *draws
	coverage float64
	x        []float64
	size     int         // of a block
	values   []float64   // of every trial
	blocks   [][]float64 // of each block: mean, standard deviation, lower and upper end
	sorter   sorter
	sorted   []float64
}

func (r *running) run() (Simulated, error) {
	block := blockOf(r.coverage)
	r.size = block
	most := r.Most
	if r.Trials > 0 {
		most = r.Trials
		r.values = make([]float64, 0, most)
	}
	for len(r.values) < most {
		n := min(block, most-len(r.values))
		if failed := r.block(n); failed > 0 {
			return Simulated{}, CodeModelFailed.At("", failed, len(r.values))
		}
		if n == block {
			r.settle(r.values[len(r.values)-n:])
		}
		if r.Trials == 0 && len(r.blocks) >= blocksLeast && r.precision() <= r.tolerance() {
			break
		}
	}
	return r.result(), nil
}

// blockOf is the number of trials of a block for a coverage probability.
//
// Source: JCGM 101:2008, 7.9.4 step b.
func blockOf(coverage float64) int {
	return int(math.Max(blockLeast, math.Min(math.Ceil(100/(1-coverage)), TrialsMost)))
}

// block makes n trials and returns how many had no finite result.
func (r *running) block(n int) int {
	from := len(r.values)
	if free := cap(r.values) - from; free < n {
		r.values = append(make([]float64, 0, 2*cap(r.values)+n), r.values...)
	}
	r.values = r.values[:from+n]
	return trials(r.draws, r.Model, r.x, r.values[from:])
}

// trials is the inner loop: it allocates nothing.
func trials(d *draws, model func([]float64) float64, x, into []float64) (failed int) {
	for i := range into {
		d.into(x)
		into[i] = model(x)
		if !finite(into[i]) {
			failed++
		}
	}
	return failed
}

// settle notes what a block of trials comes to by itself.
func (r *running) settle(values []float64) {
	r.sorted = append(r.sorted[:0], values...)
	r.sorter.tails(r.sorted, ends(r.coverage, len(values)))
	mean, deviation := moments(values)
	i := symmetric(r.sorted, r.coverage)
	r.blocks = append(r.blocks, []float64{mean, deviation, i.Lower, i.Upper})
}

// moments returns the mean and the standard deviation of the values.
//
// Source: JCGM 101:2008, 7.6.
func moments(values []float64) (mean, deviation float64) {
	n := float64(len(values))
	first, sum := values[0], 0.0
	for _, v := range values { // about the first, so that no digits are lost beside a large value
		sum += v - first
	}
	mean = first + sum/n
	squares := 0.0
	for _, v := range values {
		squares += float64((v - mean) * (v - mean))
	}
	return mean, math.Sqrt(squares / (n - 1))
}

// precision is two standard deviations of the mean over the blocks, of the result for which
// it is largest.
//
// Source: JCGM 101:2008, 7.9.4 steps g to k.
func (r *running) precision() float64 {
	h, most := float64(len(r.blocks)), 0.0
	of := make([]float64, len(r.blocks))
	for result := range r.blocks[0] {
		for i, b := range r.blocks {
			of[i] = b[result]
		}
		_, deviation := moments(of)
		most = math.Max(most, 2*deviation/math.Sqrt(h))
	}
	return most
}

// tolerance is what was asked for, or by the digits of the uncertainty so far.
func (r *running) tolerance() float64 {
	if r.Tolerance > 0 {
		return r.Tolerance
	}
	return NumericalTolerance(r.deviation(), r.Digits)
}

// deviation is the standard deviation of the trials of all blocks, from those of each.
func (r *running) deviation() float64 {
	mean, squares, n, h := 0.0, 0.0, float64(r.size), float64(len(r.blocks))
	for _, b := range r.blocks {
		mean += b[0] / h
	}
	for _, b := range r.blocks {
		squares += float64(float64((n-1)*b[1])*b[1]) + float64(float64(n*(b[0]-mean))*(b[0]-mean))
	}
	return math.Sqrt(squares / (h*n - 1))
}

func (r *running) result() Simulated {
	s := Simulated{Trials: len(r.values), Coverage: r.Coverage, Tolerance: r.tolerance(), Precision: r.precision()}
	s.Converged = s.Precision <= s.Tolerance
	s.Mean, s.StandardUncertainty = moments(r.values)
	r.sorter.tails(r.values, ends(r.coverage, len(r.values)))
	s.Symmetric, s.Shortest = symmetric(r.values, r.coverage), shortest(r.values, r.coverage)
	if !s.Converged {
		s.Warnings = append(s.Warnings, CodeNotConverged.At("trials", s.Trials, s.Precision, s.Tolerance))
	}
	return s
}
