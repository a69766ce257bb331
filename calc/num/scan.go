package num

import "math"

// The number of cells a scan may use.
const (
	LeastCells = 2
	MostCells  = 1_000_000
)

// Roots returns every root of f in [lower, upper] in rising order, in the unit of the
// interval. It cuts the interval into cells of equal width and searches each cell where
// f changes sign; where |f| dips towards zero without a change of sign it follows the
// dip to its bottom, so that a pair of roots inside one cell (as on either side of the
// maximum of the speed of sound in water) is found as well. Roots closer together than
// about two cells with more than one turn of f between them can still be missed: choose
// cells from what is known of f. No root is an empty list, not an error. A root where f
// only touches zero is reported only if a value computed on the way is exactly zero.
//
// Errors: BadInterval, BadCount, NotFinite, NotConverged, and whatever f returns.
//
// Source: scan and Brent's method; golden section for the dips (Kiefer 1953).
func Roots(f Func, lower, upper float64, cells int, s Search) ([]float64, error) {
	if cells < LeastCells || cells > MostCells {
		return nil, BadCount.At("cells", cells, LeastCells, MostCells)
	}
	grid, err := sample(f, lower, upper, cells)
	if err != nil {
		return nil, err
	}
	roots := []float64{}
	for i, p := range grid {
		if p.y == 0 {
			roots = append(roots, p.x)
			continue
		}
		if i+1 < len(grid) && opposite(p, grid[i+1]) {
			x, err := brent(f, p, grid[i+1], s)
			if err != nil {
				return nil, err
			}
			roots = append(roots, x)
		}
		pair, err := dip(f, grid, i, s)
		if err != nil {
			return nil, err
		}
		roots = append(roots, pair...)
	}
	return roots, nil
}

func sample(f Func, lower, upper float64, cells int) ([]point, error) {
	if !finite(lower) || !finite(upper) || lower >= upper || !finite(upper-lower) {
		return nil, BadInterval.At("lower", lower, upper)
	}
	grid := make([]point, cells+1)
	for i := range grid {
		x := lower + (upper-lower)*float64(i)/float64(cells)
		if i == cells {
			x = upper
		}
		y, err := call(f, x)
		if err != nil {
			return nil, err
		}
		grid[i] = point{x, y}
	}
	return grid, nil
}

func opposite(a, b point) bool { return a.y < 0 && b.y > 0 || a.y > 0 && b.y < 0 }

// dip looks for the two roots beside grid point i when |f| is least there among its
// neighbours and none of the three differs in sign. At an end of the interval, where a
// neighbour is missing, it looks inside the one cell.
func dip(f Func, grid []point, i int, s Search) ([]float64, error) {
	if !least(grid, i) {
		return nil, nil
	}
	a, b, c, err := around(f, grid, i)
	if err != nil || opposite(a, c) || opposite(grid[i], c) || a.y == 0 || c.y == 0 {
		return nil, err
	}
	bottom, err := follow(f, a, b, c)
	if err != nil || bottom.y != 0 && !opposite(a, bottom) {
		return nil, err
	}
	if bottom.y == 0 {
		return []float64{bottom.x}, nil
	}
	left, err := brent(f, a, bottom, s)
	if err != nil {
		return nil, err
	}
	right, err := brent(f, bottom, c, s)
	return []float64{left, right}, err
}

// least reports whether |f| at grid point i is below both neighbours; of two equal
// neighbours the later counts, so that no dip is followed twice.
func least(grid []point, i int) bool {
	y := math.Abs(grid[i].y)
	return (i == 0 || y <= math.Abs(grid[i-1].y)) && (i == len(grid)-1 || y < math.Abs(grid[i+1].y))
}

// around returns grid point i with its neighbours, or at an end the cell with a point
// inside it.
func around(f Func, grid []point, i int) (a, b, c point, err error) {
	last := len(grid) - 1
	if i > 0 && i < last {
		return grid[i-1], grid[i], grid[i+1], nil
	}
	a, c = grid[0], grid[1]
	if i == last {
		a, c = grid[last-1], grid[last]
	}
	b.x = a.x + golden*(c.x-a.x)
	b.y, err = call(f, b.x)
	return a, b, c, err
}

const golden = 0.3819660112501051 // (3 − √5)/2

// follow goes down |f| by golden section inside (a, c) until it crosses zero or the
// bracket is as small as rounding allows it to be useful (√ε of the width).
func follow(f Func, a, b, c point) (point, error) {
	width := c.x - a.x
	for c.x-a.x > 1e-9*width && (a.y > 0) == (b.y > 0) && b.y != 0 {
		x := b.x + golden*(c.x-b.x)
		if b.x-a.x > c.x-b.x {
			x = b.x - golden*(b.x-a.x)
		}
		y, err := call(f, x)
		if err != nil {
			return b, err
		}
		p := point{x, y}
		if p.y == 0 || opposite(p, b) {
			return p, nil
		}
		switch better := math.Abs(p.y) < math.Abs(b.y); {
		case better && p.x > b.x:
			a, b = b, p
		case better:
			c, b = b, p
		case p.x > b.x:
			c = p
		default:
			a = p
		}
	}
	return b, nil
}
