package curve

import (
	"errors"
	"fmt"
	"math"

	"sluice/geom"
)

// cornerTurn is the tangent break from which on a joint of segments is a
// corner. Smaller ones are rounding of files and are smoothed over.
const cornerTurn = 1e-3

// looseEnd is how far the direction of a single arc or line may differ from the
// curve's at an end where nothing of the curve goes on smoothly.
const looseEnd = 0.02

// FitSpline returns lines and arcs that stay within tol (mm) of the spline in
// both directions, joined tangentially except at the spline's own corners, and
// an upper bound on the distance between the two. The first piece starts
// exactly at the spline's start and the last ends exactly at its end; a closed
// spline ends exactly where it starts. A circle comes back as one full-circle
// piece, an arc as one arc, a straight spline as one line. A circle whose radius
// wavers within tol takes the mean radius, and so may start up to tol from the
// spline's start.
//
// Where control points are given the fit points are ignored. Errors: malformed
// data (counts that do not agree, degree outside 1..25, values that are not
// finite, weights not above 0, knots that decrease, a torn curve) and a tol that
// is not positive or too small for double precision at the curve's size.
func FitSpline(s *Spline, tol float64) (arcs []geom.Piece, deviation float64, err error) {
	c, err := s.chain()
	if err != nil {
		return nil, 0, err
	}
	return c.fit(tol)
}

// FitEllipse is FitSpline for an elliptical arc; a full ellipse is fitted
// quarter by quarter, so that it stays symmetric.
func FitEllipse(e *Ellipse, tol float64) (arcs []geom.Piece, deviation float64, err error) {
	c, err := e.chain()
	if err != nil {
		return nil, 0, err
	}
	if err := c.checkTol(tol); err != nil {
		return nil, 0, err
	}
	if math.Abs(e.Ratio-1) <= 1e-12 {
		return []geom.Piece{e.round()}, 1e-12 * e.Major.Norm(), nil
	}
	return c.fit(tol)
}

// fitter is one fit under way.
type fitter struct {
	*chain
	tol    float64
	q      []sample // of the stretch at work
	out    []geom.Piece
	dev    float64
	budget int
	fixed  bool // whole stretch must keep its exact end tangents
}

var errBudget = errors.New("curve cannot be followed by arcs within the tolerance")

// reach returns the largest coordinate of the curve.
func (c *chain) reach() float64 {
	return c.size() + max(math.Abs(c.origin.X), math.Abs(c.origin.Y))
}

// size returns how far its control points lie from its own origin.
func (c *chain) size() float64 {
	size := 0.0
	for _, b := range c.segs {
		for _, h := range b {
			p := h.point()
			size = max(size, math.Abs(p.X), math.Abs(p.Y))
		}
	}
	return size
}

// checkTol refuses a tolerance that doubles cannot hold at the curve's place, or
// over its size: the turn of an arc that bows by tol goes with tol over its
// length, arcs flatter than that are taken for lines, and below 1e-10 a bow of
// several tolerances is not seen.
func (c *chain) checkTol(tol float64) error {
	if far := c.reach(); !(tol > 0) || math.IsInf(tol, 0) || tol < 1e-12*far || tol < 1e-10*c.size() {
		return fmt.Errorf("tolerance %g mm for a curve that reaches to %g mm", tol, far)
	}
	return nil
}

func (c *chain) fit(tol float64) ([]geom.Piece, float64, error) {
	if err := c.checkTol(tol); err != nil {
		return nil, 0, err
	}
	far := c.reach()
	point := true
	for _, b := range c.segs {
		point = point && b.size() == 0
	}
	if point {
		return []geom.Piece{geom.Line(c.start, c.end)}, 0, nil
	}
	switch {
	case c.closed && c.gap <= tol/2:
		c.close()
	default: // not closed, or the tolerance is finer than the gap
		c.closed, c.gap = false, 0
	}
	f := &fitter{chain: c, tol: tol - c.gap, budget: 100000 + 64*len(c.segs)}
	f.out = make([]geom.Piece, 0, 8)
	var err error
	if c.deg == 1 {
		f.polygon()
	} else {
		err = f.runs()
	}
	if err != nil {
		return nil, 0, err
	}
	if len(f.out) == 0 { // it turns back on itself within the tolerance
		return []geom.Piece{geom.Line(c.start, c.end)}, f.dev + c.gap, nil
	}
	for i := range f.out {
		p := &f.out[i]
		p.A, p.B = p.A.Add(c.origin), p.B.Add(c.origin)
		if p.R > 0 {
			p.C = p.C.Add(c.origin)
		}
		if i > 0 {
			p.A = f.out[i-1].B // also where a speck between was left out
		}
	}
	first, last := &f.out[0], &f.out[len(f.out)-1]
	if !first.IsCircle() || first.A.Dist(c.start) <= 1e-12*far {
		first.A, last.B = c.start, c.end
	}
	return f.out, f.dev + c.gap, nil
}

// polygon is the fit of a curve of degree 1: its lines, with points that lie
// straight between their neighbours left out.
func (f *fitter) polygon() {
	drift := 0.0 // bounds how far the line at work is from the points left out
	for _, b := range f.segs {
		p, q := b[0].point(), b[1].point()
		if p == q {
			continue
		}
		if n := len(f.out); n > 0 {
			last := &f.out[n-1]
			turn := geom.TurnTo(last.B.Sub(last.A), q.Sub(p))
			off := geom.Line(last.A, q).Dist(p)
			if math.Abs(turn) <= cornerTurn && drift+off <= f.tol/100 {
				drift += off
				f.dev = max(f.dev, drift)
				last.B = q
				continue
			}
		}
		drift = 0
		f.out = append(f.out, geom.Line(p, q))
	}
}

// runs cuts the curve at its corners and fits the stretches between.
func (f *fitter) runs() error {
	n := len(f.segs)
	// Segments that are single points say nothing.
	live := f.segs[:0:0]
	forced := f.forced[:0:0]
	for i, b := range f.segs {
		if b.size() > 0 {
			live = append(live, b)
			if f.forced != nil {
				forced = append(forced, f.forced[i])
			}
		}
	}
	if len(live) < n {
		c := *f.chain
		c.segs, c.forced, n = live, forced, len(live)
		f.chain = &c
	}
	corner := func(i, j int) bool {
		return math.Abs(geom.TurnTo(f.segs[i].endTangent(), f.segs[j].startTangent())) > cornerTurn
	}
	seam := f.closed && !corner(n-1, 0)
	from := 0
	for i := 1; i <= n; i++ {
		if i < n && !corner(i-1, i) {
			continue
		}
		f.q = f.sampleRun(from, i-1, f.tol)
		whole := from == 0 && i == n
		f.fixed = seam && (from == 0 || i == n)
		if err := f.run(from, i-1, seam && whole, seam); err != nil {
			return err
		}
		from = i
	}
	return nil
}

// mark is an end of a section: a place, its point and tangent, and the first
// sample at or behind it.
type mark struct {
	pos
	p, tan geom.Point
	next   int
	m, s   float64
}

// run fits the segments from first to last, whose samples are in f.q.
func (f *fitter) run(first, last int, round, seam bool) error {
	if round && f.circle() {
		return nil
	}
	n := len(f.segs)
	a := mark{pos: pos{first, 0}, p: f.segs[first][0].point(), tan: f.segs[first].startTangent()}
	b := mark{pos: pos{last, 1}, p: f.segs[last][f.deg].point(), tan: f.segs[last].endTangent()}
	b.next, b.m, b.s = len(f.q)-1, f.q[len(f.q)-1].m, f.q[len(f.q)-1].s
	if seam { // both sides of the seam take the same tangent
		t := f.segs[n-1].endTangent().Add(f.segs[0].startTangent()).Unit()
		if first == 0 {
			a.tan = t
		}
		if last == n-1 {
			b.tan = t
		}
	}
	if f.single(a, b) {
		return nil
	}
	from := len(f.out)
	if err := f.section(a, b, 0); err != nil {
		return err
	}
	merged, dev := merge(f.out[from:], f.tol-f.dev)
	f.out, f.dev = f.out[:from+len(merged)], f.dev+dev
	return nil
}

// section covers the curve from a to b with biarcs.
func (f *fitter) section(a, b mark, depth int) error {
	if f.budget--; f.budget < 0 {
		return errBudget
	}
	if f.biarc(a, b) {
		return nil
	}
	if dev, reach := f.nearChord(a.pos, b.pos, a.p, b.p); dev <= f.tol && (reach <= 4*f.tol || depth > 40) {
		// Finer than the tolerance: there is no direction to be kept.
		f.dev = max(f.dev, dev)
		if a.p.Dist(b.p) > 1e-9*f.tol {
			f.out = append(f.out, geom.Line(a.p, b.p))
		}
		return nil
	}
	if depth > 60 {
		return errBudget
	}
	if cuts := f.jumps(a, b); len(cuts) > 0 {
		for _, m := range cuts {
			if err := f.section(a, m, depth+1); err != nil {
				return err
			}
			a = m
		}
		return f.section(a, b, depth+1)
	}
	parts := f.balance(a, b)
	if parts == nil {
		return nil
	}
	for _, m := range parts {
		if err := f.section(a, m, depth+1); err != nil {
			return err
		}
		a = m
	}
	return f.section(a, b, depth+1)
}

// jumps returns the joints of segments between a and b where arcs should end:
// those the curve's maker forced, else those where the curvature jumps by a
// large share of its whole range, as between a line and an arc.
func (f *fitter) jumps(a, b mark) []mark {
	lo, hi := a.next, b.next // the samples of the section's own side of its ends
	for a.t >= 1 && lo < hi && f.q[lo].seg == a.seg {
		lo++
	}
	for hi > lo && (b.t <= 0 && f.q[hi].seg == b.seg || f.q[hi].t > b.t && f.q[hi].seg == b.seg) {
		hi--
	}
	kmin, kmax := math.Inf(1), math.Inf(-1)
	forced := false
	for i := lo; i <= hi; i++ {
		kmin, kmax = min(kmin, f.q[i].k), max(kmax, f.q[i].k)
		if f.joint(i, a, b) && f.forced != nil && f.forced[f.q[i].seg] {
			forced = true
		}
	}
	big := 0.25 * (kmax - kmin)
	if span := b.s - a.s; !forced && big*span*span < 8*f.tol {
		return nil // too small to show
	}
	var ms []mark
	for i := lo; i <= hi; i++ {
		if !f.joint(i, a, b) {
			continue
		}
		if forced && f.forced[f.q[i].seg] || !forced && math.Abs(f.q[i].jump) >= big {
			m := mark{pos: f.q[i].pos, next: i, m: f.q[i].m, s: f.q[i].s}
			f.place(&m)
			ms = append(ms, m)
		}
	}
	return ms
}

// joint reports whether sample i is the start of a segment strictly between a
// and b.
func (f *fitter) joint(i int, a, b mark) bool {
	q := &f.q[i]
	if i == 0 || q.t != 0 || f.q[i-1].seg == q.seg {
		return false
	}
	return !(q.seg == a.seg && a.t <= 0) && !(q.seg == a.seg+1 && a.t >= 1) && q.seg > a.seg &&
		!(q.seg == b.seg && b.t <= 0) && q.seg <= b.seg
}
