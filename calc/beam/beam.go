// Package beam follows the sound of a clamp-on transit-time reference from wedge to
// wedge: where the transducers go (spacing, setting mark), how far off the mark they
// may be, how long the sound takes, what sound speed and flow the reference makes of
// those times, and what a disagreement with the fluid's table says about the survey
// (the set-up check).
//
// The model. Every layer has plane parallel faces along the beam's plane, and each wedge
// sends and receives a plane wave. Snell's law then says that one number, the ray
// parameter p = sin θ / c, holds in wedge, wall, liner and fluid alike, and that the wedge
// sets it. The reflections lie on the innermost surface. The total transit time runs from
// the point where the beam enters the pipe to the point where it leaves it: the delay
// inside the wedges and cables is taken as already removed by the reference.
//
// A spacing other than the recommended one leaves p and so the time difference as they
// are and shifts the arrival by p per metre. That holds as long as the face of the
// transducer is wide against √(wavelength × path); to first order in the shift it equals
// the time along the ray that connects the two points (Fermat).
//
// Not here: properties of the fluid and of pipes (packages fluid and pipe), the velocity
// profile, the uncertainty budget. The package follows no single standard; the formulas
// are Snell's law and the transit-time principle as in ISO 12242:2012 (from memory).
//
// Units are SI, angles in radians; only where a name ends in _deg or _C (names of inputs,
// arguments of codes) is the value in degrees or degrees Celsius.
package beam
