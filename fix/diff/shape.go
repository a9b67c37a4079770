package diff

import (
	"math"
	"math/cmplx"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// tidying is how far, mm, a split point may lie off the line or circle that it
// splits to be taken out. It is far below any tolerance of a comparison.
const tidying = 1e-6

// orders is the number of moments kept of a shape.
const orders = 16

// ring is one outline of a part.
type ring struct {
	path geom.Path
	box  geom.Box
	tree *index.PieceTree
}

func newRing(o *outline.Outline) ring {
	r := ring{path: outline.Tidy(o.Pieces, tidying)}
	r.box = r.path.Box()
	return r
}

// index returns the tree over the ring's pieces.
func (r *ring) index() *index.PieceTree {
	if r.tree == nil {
		r.tree = index.PathTree(r.path)
	}
	return r.tree
}

// shape is what is compared of a part: its rings, outside first, and measures
// that tell shapes apart quickly.
type shape struct {
	part   int
	rings  []ring
	box    geom.Box
	area   float64          // net, mm2
	length float64          // of all rings, mm
	centre geom.Point       // of mass
	reach  float64          // distance of the furthest end or arc middle from the centre, mm
	all    *index.PieceTree // over all rings
	turn   *[orders + 1]complex128
	size   [orders + 1]float64 // of the moments, once they are known
}

func newShape(s *outline.Sheet, k int) *shape {
	p := &s.Parts[k]
	sh := &shape{part: k, area: p.Area, centre: p.Centroid}
	for _, o := range append([]int32{p.Outer}, p.Holes...) {
		sh.rings = append(sh.rings, newRing(&s.Outlines[o]))
	}
	sh.measure()
	return sh
}

// ringShape is the shape of one outline of a part.
func ringShape(part int, r ring) *shape {
	area, moment := r.path.Moments()
	sh := &shape{part: part, rings: []ring{r}, area: math.Abs(area), centre: r.box.Center()}
	if area != 0 {
		sh.centre = moment.Mul(1 / area)
	}
	sh.measure()
	return sh
}

// measure sets the measures that follow from the rings.
func (sh *shape) measure() {
	sh.box = sh.rings[0].box
	for i := range sh.rings {
		sh.length += sh.rings[i].path.Length()
		for _, q := range sh.rings[i].path {
			sh.reach = max(sh.reach, q.A.Dist(sh.centre), q.Mid().Dist(sh.centre))
		}
	}
}

// index returns the tree over all rings.
func (s *shape) index() *index.PieceTree {
	if s.all == nil {
		var pieces []geom.Piece
		for i := range s.rings {
			pieces = append(pieces, s.rings[i].path...)
		}
		s.all = index.PathTree(pieces)
	}
	return s.all
}

// moments returns c[k], the mean over each ring, summed over the rings, of
// (r/reach) e^(i k phi), where r and phi are the distance and direction of a
// point from the centre of mass. Turning a shape by a turns c[k] by k a, whatever
// the pieces its outlines are drawn in. Each ring weighs the same, so that a
// small hole tells how a large disc is turned.
func (s *shape) moments() *[orders + 1]complex128 {
	if s.turn != nil {
		return s.turn
	}
	s.turn = new([orders + 1]complex128)
	if !(s.reach > 0) {
		return s.turn
	}
	for i := range s.rings {
		var sum [orders + 1]complex128
		path := s.rings[i].path
		for k := range path {
			s.integrate(&path[k], &sum)
		}
		l := path.Length()
		if !(l > 0) {
			continue
		}
		for k := range sum {
			s.turn[k] += sum[k] * complex(1/(l*s.reach), 0)
		}
	}
	for k := range s.turn {
		s.size[k] = cmplx.Abs(s.turn[k])
	}
	return s.turn
}

// Nodes and weights of the three-point Gauss rule on [0, 1].
var (
	gaussAt     = [3]float64{0.5 - 0.38729833462074168852, 0.5, 0.5 + 0.38729833462074168852}
	gaussWeight = [3]float64{5.0 / 18, 8.0 / 18, 5.0 / 18}
)

// integrate adds the integral of r e^(i k phi) along a piece, step by step.
func (s *shape) integrate(p *geom.Piece, sum *[orders + 1]complex128) {
	l := p.Length()
	steps := math.Ceil(l / s.reach * 16)
	if p.R > 0 {
		steps = max(steps, math.Ceil(math.Abs(p.Sweep)*24/math.Pi))
	}
	n := max(1, int(min(steps, 4096)))
	for i := range n {
		for g, at := range gaussAt {
			d := p.At((float64(i) + at) / float64(n)).Sub(s.centre)
			r := d.Norm()
			if r == 0 {
				continue
			}
			unit := complex(d.X/r, d.Y/r)
			term := complex(r*l/float64(n)*gaussWeight[g], 0)
			for k := range sum {
				sum[k] += term
				term *= unit
			}
		}
	}
}

// alike reports whether a shape scaled by f may be congruent with another within
// tol, mirrored or not: their measures, none of which a turn changes, agree as
// closely as outlines within tol of each other must, with room to spare.
func (s *shape) alike(o *shape, f, tol float64) bool {
	area, length, reach := s.area*f*f, s.length*f, s.reach*f
	if len(s.rings) != len(o.rings) || math.Abs(area-o.area) > tol*max(length, o.length)+1e-9*area {
		return false
	}
	slack := 0.01 + 8*tol/max(reach, tol)
	if math.Abs(length-o.length) > slack*max(length, o.length) {
		return false
	}
	s.moments()
	o.moments()
	for k := range s.size {
		if math.Abs(s.size[k]-o.size[k]) > float64(len(s.rings))*(0.01+4*float64(k+1)*tol/max(reach, tol)) {
			return false
		}
	}
	return true
}
