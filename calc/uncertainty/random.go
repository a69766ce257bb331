package uncertainty

import (
	"math"
	"math/rand/v2"

	"rillmark/calc/num"
)

// random draws numbers from the permuted congruential generator of math/rand/v2, whose
// sequence is fixed: one seed gives the same draws on every machine.
//
// Sources: M. E. O'Neill, PCG (2014), the generator; G. Marsaglia and W. W. Tsang,
// J. Statistical Software 5(8) (2000), the normal draws (ziggurat, 256 layers) with the
// layers' edge and area from there; ACM Trans. Math. Software 26 (2000) 363, gamma draws.
type random struct{ rand.PCG }

// stream keeps this use of a seed apart from others.
const stream = 0x5269_6c6c_6d61_726b

func newRandom(seed uint64) *random {
	r := &random{}
	r.Seed(seed, stream)
	return r
}

// unit draws from the open interval between 0 and 1, every value a multiple of 2⁻⁵³ off
// its ends by half of that.
func (r *random) unit() float64 {
	return float64(r.Uint64()>>12)*0x1p-52 + 0x1p-53
}

const (
	layers        = 256
	zigguratEdge  = 3.6541528853610088  // where the tail begins
	zigguratLayer = 4.92867323399141e-3 // area of a layer, of exp(−x²/2)
)

// ziggurat holds the right edges of the layers from the lowest, which stands for the tail
// as well, to 0 at the top, and the density at each.
type ziggurat struct {
	edge    [layers + 1]float64
	density [layers + 1]float64
	inner   [layers]float64 // the part of a layer that lies wholly below the curve
}

var normalLayers = newZiggurat()

func newZiggurat() *ziggurat {
	z := &ziggurat{}
	bell := func(x float64) float64 { return num.ReproducibleExp(-0.5 * float64(x*x)) }
	z.edge[0] = zigguratLayer / bell(zigguratEdge)
	z.edge[1] = zigguratEdge
	z.density[0], z.density[1] = bell(zigguratEdge), bell(zigguratEdge)
	for i := 2; i < layers; i++ {
		z.density[i] = z.density[i-1] + zigguratLayer/z.edge[i-1]
		z.edge[i] = math.Sqrt(-2 * num.ReproducibleLog(z.density[i]))
	}
	z.density[layers] = 1
	for i := range z.inner {
		z.inner[i] = z.edge[i+1] / z.edge[i]
	}
	return z
}

// normal draws from the normal distribution of mean 0 and standard deviation 1.
func (r *random) normal() float64 {
	z := normalLayers
	for {
		bits := r.Uint64()
		layer := bits & (layers - 1)
		// 53 bits from −1 to 1, none of which the layer was chosen by.
		u := float64(int64(bits)>>11) * 0x1p-52
		x := u * z.edge[layer]
		if math.Abs(u) < z.inner[layer] {
			return x
		}
		if layer == 0 {
			return r.tail(u < 0)
		}
		low, high := z.density[layer], z.density[layer+1]
		if low+float64(r.unit()*(high-low)) < num.ReproducibleExp(-0.5*float64(x*x)) {
			return x
		}
	}
}

// tail draws from beyond the edge.
func (r *random) tail(negative bool) float64 {
	for {
		x := -num.ReproducibleLog(r.unit()) / zigguratEdge
		y := -num.ReproducibleLog(r.unit())
		if float64(2*y) >= float64(x*x) {
			if negative {
				return -(zigguratEdge + x)
			}
			return zigguratEdge + x
		}
	}
}

// gamma draws from the gamma distribution of the shape, 1 or more, and scale 1.
func (r *random) gamma(shape float64) float64 {
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := r.normal()
		v := 1 + float64(c*x)
		if v <= 0 {
			continue
		}
		v = float64(float64(v*v) * v)
		u, square := r.unit(), float64(x*x)
		if u < 1-float64(0.0331*float64(square*square)) ||
			num.ReproducibleLog(u) < float64(0.5*square)+float64(d*float64(float64(1-v)+num.ReproducibleLog(v))) {
			return float64(d * v)
		}
	}
}

// student draws from the t distribution of the degrees of freedom, above 2.
func (r *random) student(freedom float64) float64 {
	return r.normal() / math.Sqrt(float64(2*r.gamma(freedom/2))/freedom)
}
