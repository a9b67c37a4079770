package curve

import (
	"errors"
	"fmt"
	"math"

	"sluice/geom"
)

// maxCoord bounds coordinates, knots and weights taken, so that no square of
// them overflows.
const maxCoord = 1e100

// check returns what is wrong with the spline's data, or nil.
func (s *Spline) check() error {
	if len(s.Ctrl) == 0 {
		if len(s.Fit) < 2 {
			return fmt.Errorf("spline has %d fit points and no control points; 2 are needed", len(s.Fit))
		}
		return checkPoints(s.Fit, "fit")
	}
	p, n := s.Degree, len(s.Ctrl)
	switch {
	case p < 1 || p > maxDegree:
		return fmt.Errorf("spline of degree %d; 1 to %d are possible", p, maxDegree)
	case n < p+1:
		return fmt.Errorf("spline of degree %d has %d control points; %d are needed", p, n, p+1)
	case len(s.Knots) != n+p+1:
		return fmt.Errorf("spline of degree %d has %d control points and %d knots; %d knots are needed", p, n, len(s.Knots), n+p+1)
	case len(s.Weights) != 0 && len(s.Weights) != n:
		return fmt.Errorf("spline has %d control points and %d weights", n, len(s.Weights))
	}
	if err := checkPoints(s.Ctrl, "control"); err != nil {
		return err
	}
	var largest float64
	for _, w := range s.Weights {
		largest = max(largest, w)
	}
	for i, w := range s.Weights {
		if !(w > 1e-9*largest) || w > maxCoord {
			return fmt.Errorf("spline weight %d is %g; weights must be above 0", i+1, w)
		}
	}
	slip := knotSlip(s.Knots)
	for i, u := range s.Knots {
		if math.IsNaN(u) || math.Abs(u) > maxCoord {
			return fmt.Errorf("spline knot %d is %g", i+1, u)
		}
		if i > 0 && u < s.Knots[i-1]-slip {
			return fmt.Errorf("spline knot %d (%g) is below the one before (%g)", i+1, u, s.Knots[i-1])
		}
	}
	if !(s.Knots[n]-s.Knots[p] > slip) {
		return errors.New("spline has no length: all its knots are equal")
	}
	return nil
}

func checkPoints(ps []geom.Point, kind string) error {
	for i, p := range ps {
		if !p.Finite() || max(math.Abs(p.X), math.Abs(p.Y)) > maxCoord {
			return fmt.Errorf("spline %s point %d is (%g, %g)", kind, i+1, p.X, p.Y)
		}
	}
	return nil
}

// knotSlip is the difference below which two knots are one written twice.
func knotSlip(knots []float64) float64 {
	return 1e-10 * math.Abs(knots[len(knots)-1]-knots[0])
}

// cleanKnots returns the knots with values that differ by rounding made equal,
// so that they never decrease.
func (s *Spline) cleanKnots() []float64 {
	slip := knotSlip(s.Knots)
	us := make([]float64, len(s.Knots))
	copy(us, s.Knots)
	for i := 1; i < len(us); i++ {
		if us[i] <= us[i-1]+slip {
			us[i] = us[i-1]
		}
	}
	return us
}

// Domain returns the range of the parameter: for control points from knot
// Degree to the knot Degree+1 from the end, for fit points 0 to the summed
// distance between them. A malformed spline has the domain 0, 0.
func (s *Spline) Domain() (lo, hi float64) {
	if s.check() != nil {
		return 0, 0
	}
	if len(s.Ctrl) > 0 {
		return s.Knots[s.Degree], s.Knots[len(s.Ctrl)]
	}
	c, err := s.chain()
	if err != nil {
		return 0, 0
	}
	return c.knots[0], c.knots[len(c.segs)]
}

// At returns the point at parameter t, which is clamped to the domain; a
// malformed spline gives NaN. Each call takes time linear in the number of
// points, since it checks them all and writes the curve as Bézier segments.
func (s *Spline) At(t float64) geom.Point {
	c, err := s.chain()
	if err != nil || math.IsNaN(t) {
		return nan()
	}
	return c.at(t)
}

// Derivative returns the first derivative by the parameter at t, clamped to the
// domain; a malformed spline gives NaN.
func (s *Spline) Derivative(t float64) geom.Point {
	c, err := s.chain()
	if err != nil || math.IsNaN(t) {
		return nan()
	}
	return c.deriv(t)
}

// chain returns the spline as Bézier segments.
func (s *Spline) chain() (*chain, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if len(s.Ctrl) == 0 {
		return s.interpolate()
	}
	p, n := s.Degree, len(s.Ctrl)
	us := s.cleanKnots()
	c := newChain(p, !equalWeights(s.Weights), s.Ctrl[0])
	ctrl := make([]hpoint, n)
	wmax := 0.0
	for _, w := range s.Weights {
		wmax = max(wmax, w)
	}
	for i, q := range s.Ctrl {
		w := 1.0
		if c.rational {
			w = s.Weights[i] / wmax
		}
		ctrl[i] = weighted(q.Sub(c.origin), w)
	}
	spans, first, last := 0, -1, -1
	for k := p; k < n; k++ {
		if us[k+1] > us[k] {
			spans++
			last = k
			if first < 0 {
				first = k
			}
		}
	}
	flat := make([]hpoint, spans*(p+1))
	c.segs = make([]bezier, 0, spans)
	c.knots = make([]float64, 0, spans+1)
	var ext float64
	for _, q := range ctrl {
		ext = max(ext, q.point().Norm())
	}
	for k := p; k < n; k++ {
		if us[k+1] <= us[k] {
			continue
		}
		b := bezier(flat[:p+1])
		flat = flat[p+1:]
		bezierOfSpan(b, ctrl, us, k)
		if m := len(c.segs); m > 0 {
			end := c.segs[m-1][p]
			if d := end.point().Dist(b[0].point()); d > 1e-9*ext {
				return nil, fmt.Errorf("spline is torn by %.3g mm at knot %g", d, us[k])
			}
			b[0] = end
		}
		c.segs = append(c.segs, b)
		c.knots = append(c.knots, us[k])
	}
	c.knots = append(c.knots, us[n])
	c.finish(s.Closed || s.Periodic)
	// A clamped end is a control point, bit for bit.
	if us[first-p+1] == us[first] {
		c.start = s.Ctrl[first-p]
	}
	if us[last+1] == us[last+p] {
		c.end = s.Ctrl[last]
	}
	return c, nil
}

// finish sets the ends, and finds whether they meet to rounding.
func (c *chain) finish(flagged bool) {
	first, last := c.segs[0], c.segs[len(c.segs)-1]
	a, b := first[0].point(), last[c.deg].point()
	c.start, c.end = a.Add(c.origin), b.Add(c.origin)
	var ext float64
	for _, s := range c.segs {
		ext = max(ext, s[c.deg].point().Dist(a), s[c.deg/2].point().Dist(a))
	}
	near := 1e-9 * ext
	if flagged {
		near = 1e-6 * ext // six decimals are usual in files
	}
	if gap := a.Dist(b); ext > 0 && gap <= near {
		c.closed, c.gap = true, gap
	}
}

// close moves the end onto the start, which moves no point of the curve by more
// than the gap.
func (c *chain) close() {
	last := c.segs[len(c.segs)-1]
	last[c.deg] = weighted(c.segs[0][0].point(), last[c.deg].W)
	c.end = c.start
}

func equalWeights(ws []float64) bool {
	for _, w := range ws {
		if w != ws[0] {
			return false
		}
	}
	return true
}

// bezierOfSpan puts into b the Bézier points of the spline over the knots
// us[k], us[k+1]: point j is the blossom of the span at p-j times its start and
// j times its end (Ramshaw; from memory). All shares lie in 0..1, so nothing
// is extrapolated.
func bezierOfSpan(b bezier, ctrl []hpoint, us []float64, k int) {
	p := len(b) - 1
	var d [maxDegree + 1]hpoint
	for j := range b {
		copy(d[:], ctrl[k-p:k+1])
		for r := 1; r <= p; r++ {
			x := us[k]
			if r <= j {
				x = us[k+1]
			}
			for i := p; i >= r; i-- {
				lo, hi := us[k-p+i], us[k+i-r+1]
				d[i] = d[i-1].lerp(d[i], (x-lo)/(hi-lo))
			}
		}
		b[j] = d[p]
	}
}
