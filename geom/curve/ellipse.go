package curve

import (
	"errors"
	"fmt"
	"math"

	"sluice/geom"
)

// check returns what is wrong with the ellipse's data, or nil.
func (e *Ellipse) check() error {
	if !e.Center.Finite() || !e.Major.Finite() || max(math.Abs(e.Center.X), math.Abs(e.Center.Y), e.Major.Norm()) > maxCoord {
		return fmt.Errorf("ellipse about (%g, %g) with axis (%g, %g)", e.Center.X, e.Center.Y, e.Major.X, e.Major.Y)
	}
	if e.Major == (geom.Point{}) {
		return errors.New("ellipse has no size: its major axis is 0")
	}
	if !(e.Ratio > 0) || e.Ratio > 1e9 {
		return fmt.Errorf("ellipse has the axis ratio %g; it must be above 0", e.Ratio)
	}
	if !(e.End > e.Start) || e.End-e.Start > 2*math.Pi+1e-6 || math.Abs(e.Start) > 1e6 {
		return fmt.Errorf("ellipse runs from angle %g to %g", e.Start, e.End)
	}
	return nil
}

// minor returns the minor half axis as a vector.
func (e *Ellipse) minor() geom.Point {
	m := e.Major.Left().Mul(e.Ratio)
	if e.Mirrored {
		return m.Mul(-1)
	}
	return m
}

// At returns the point at parameter t (radians; not the angle seen from the
// centre unless the ratio is 1).
func (e *Ellipse) At(t float64) geom.Point { return e.offset(t).Add(e.Center) }

func (e *Ellipse) offset(t float64) geom.Point {
	s, c := math.Sincos(t)
	return e.Major.Mul(c).Add(e.minor().Mul(s))
}

// Full reports whether the ellipse goes all the way round, to the six decimals
// usual in files.
func (e *Ellipse) Full() bool { return e.End-e.Start >= 2*math.Pi-1e-6 }

// Length returns the arc length in mm from Start to End (at most a full turn),
// by Gauss-Legendre quadrature with 10 points on intervals of at most an eighth
// of a quarter turn; relative error below 1e-12 for ratios from 0.05 to 20.
func (e *Ellipse) Length() float64 {
	m := e.minor()
	span := min(e.End-e.Start, 2*math.Pi)
	n := int(math.Ceil(span / (math.Pi / 16)))
	var l float64
	for i := range n {
		mid, half := e.Start+span*(float64(i)+0.5)/float64(n), span/float64(2*n)
		for k, x := range gaussX {
			for _, t := range [2]float64{mid - half*x, mid + half*x} {
				s, c := math.Sincos(t)
				l += gaussW[k] * half * m.Mul(c).Sub(e.Major.Mul(s)).Norm()
			}
		}
	}
	return l
}

// Nodes and weights of the 10-point Gauss-Legendre rule (Abramowitz & Stegun,
// table 25.4, from memory; a test checks that they integrate powers exactly).
var (
	gaussX = [5]float64{0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717}
	gaussW = [5]float64{0.2955242247147529, 0.2692667193099963, 0.2190863625159820, 0.1494513491505806, 0.0666713443086881}
)

// round returns the exact circle or circular arc of an ellipse whose axes are
// equal.
func (e *Ellipse) round() geom.Piece {
	span := e.End - e.Start
	if e.Full() {
		span = 2 * math.Pi
	}
	if e.Mirrored {
		span = -span
	}
	p := geom.Piece{A: e.At(e.Start), B: e.At(e.End), C: e.Center, R: e.Major.Norm(), Sweep: span}
	if e.Full() {
		p.B = p.A
	}
	return p
}

// chain returns the ellipse as rational quadratic segments of at most a quarter
// turn that meet at the ends of its axes: the middle point is where the end
// tangents meet, its weight the cosine of half the turn.
func (e *Ellipse) chain() (*chain, error) {
	if err := e.check(); err != nil {
		return nil, err
	}
	end, full := e.End, e.Full()
	if full {
		end = e.Start + 2*math.Pi
	}
	cuts := []float64{e.Start}
	quarter := math.Pi / 2
	for k := math.Floor(e.Start/quarter) + 1; k*quarter < end-1e-9; k++ {
		if k*quarter > e.Start+1e-9 {
			cuts = append(cuts, k*quarter)
		}
	}
	cuts = append(cuts, end)
	c := newChain(2, true, e.Center)
	c.knots = cuts
	first := e.offset(e.Start)
	last := e.offset(end)
	if full {
		last = first
	}
	for i := range len(cuts) - 1 {
		half := (cuts[i+1] - cuts[i]) / 2
		w := math.Cos(half)
		a, b := e.offset(cuts[i]), e.offset(cuts[i+1])
		if i == 0 {
			a = first
		}
		if i == len(cuts)-2 {
			b = last
		}
		// e.offset of the middle, divided by w, is where the tangents meet.
		m := e.offset((cuts[i] + cuts[i+1]) / 2)
		c.segs = append(c.segs, bezier{weighted(a, 1), {m.X, m.Y, w}, weighted(b, 1)})
		c.forced = append(c.forced, i > 0)
	}
	c.closed = full
	c.start, c.end = e.At(e.Start), e.At(end)
	if full {
		c.end = c.start
	}
	return c, nil
}
