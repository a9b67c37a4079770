package diff

import (
	"math"

	"sluice/geom"
	"sluice/geom/index"
)

// gap is the largest distance found so far from one set of pieces to another.
type gap struct {
	dist     float64
	from, to geom.Point // a point at that distance, and the point nearest to it
}

// limits say how closely a largest distance is sought.
type limits struct {
	eps  float64 // what may be missed, mm
	stop float64 // give up beyond this distance, mm
}

// flat is how far from 1 a scale made of turns and shifts may come by rounding.
const flat = 1e-12

// maxHalvings bounds how often a stretch is halved. Forty halvings of the
// longest piece a drawing can hold are far below any eps.
const maxHalvings = 40

// reach raises g to the largest distance from the pieces, laid by t, to the
// pieces of the tree. It returns false as soon as that passes stop.
func (g *gap) reach(pieces []geom.Piece, t geom.Transform, to *index.PieceTree, lim limits) bool {
	if len(to.Pieces) == 0 {
		if len(pieces) > 0 {
			g.dist = math.Inf(1)
		}
		return len(pieces) == 0
	}
	s := search{g: g, tree: to, lim: lim}
	hint := int32(-1)
	laid := make([]geom.Piece, len(pieces))
	ends := make([]probe, 0, len(pieces)+1)
	// All ends first: a large distance met early saves most of the halving.
	for i := range pieces {
		laid[i] = pieces[i].Transform(t)
		a := s.at(laid[i].A, hint)
		hint = a.near
		ends = append(ends, a)
		if g.dist > lim.stop {
			return false
		}
	}
	for i := range laid {
		b := ends[(i+1)%len(laid)]
		if b.p != laid[i].B {
			b = s.at(laid[i].B, ends[i].near)
		}
		if !s.stretch(&laid[i], 0, 1, laid[i].Length(), ends[i], b, 0) {
			return false
		}
	}
	return true
}

// search is one walk along pieces.
type search struct {
	g    *gap
	tree *index.PieceTree
	lim  limits
}

// probe is a point tried: its distance from the tree and the piece it is to.
type probe struct {
	p    geom.Point
	dist float64
	near int32
}

func (s *search) at(p geom.Point, hint int32) probe {
	d, near := s.tree.NearestFrom(p, hint)
	if d > s.g.dist {
		to, _ := s.tree.Pieces[near].Nearest(p)
		s.g.dist, s.g.from, s.g.to = d, p, to
	}
	return probe{p, d, near}
}

// stretch looks into the stretch of a piece between shares t0 and t1, of length
// l, whose ends have been tried.
func (s *search) stretch(p *geom.Piece, t0, t1, l float64, a, b probe, depth int) bool {
	if s.g.dist > s.lim.stop {
		return false
	}
	most := s.g.dist + s.lim.eps
	if depth >= maxHalvings || (a.dist+b.dist+l)/2 <= most {
		return true
	}
	tm := (t0 + t1) / 2
	mid := p.At(tm)
	if s.bound(p, a, b, mid, l, a.near) <= most || b.near != a.near && s.bound(p, a, b, mid, l, b.near) <= most {
		return true
	}
	m := s.at(mid, a.near)
	return s.stretch(p, t0, tm, l/2, a, m, depth+1) && s.stretch(p, tm, t1, l/2, m, b, depth+1)
}

// bound returns a bound on the distance from the stretch ab of p, of length l and
// with its middle at mid, to the piece q of the tree, infinite where it knows none.
//
// The distance to a line piece is convex, so along a straight stretch it is
// largest at an end; a curved stretch of radius r strays from its chord by at
// most l^2/8r. The distance to the circle of an arc piece, | |x-c| - R |, bends by
// at most 1/|x-c| besides, which adds l^2/8|x-c|. Where the stretch is part of a
// circle too, the distance is also at most the difference of the radii and the
// distance of the centres.
func (s *search) bound(p *geom.Piece, a, b probe, mid geom.Point, l float64, q int32) float64 {
	at := &s.tree.Pieces[q]
	bend := 0.0
	if p.R > 0 {
		bend = 1 / p.R
	}
	ends := max(at.Dist(a.p), at.Dist(b.p))
	if at.R == 0 {
		return ends + l*l/8*bend
	}
	u, v := a.p.Sub(at.C), b.p.Sub(at.C)
	if !at.SweepsOver(u) || !at.SweepsOver(v) {
		// Ends of the same arc may lie beside its sector by rounding. What
		// sticks out is no longer than the end's own distance.
		if ends > s.lim.eps/8 {
			return math.Inf(1)
		}
		ends *= 4
	}
	open := math.Inf(1) // the angle that the arc leaves open
	if !at.IsCircle() {
		open = 2*math.Pi - math.Abs(at.Sweep)
	}
	bound := math.Inf(1)
	if p.R > 0 && l/p.R < 2*open && at.SweepsOver(mid.Sub(at.C)) {
		bound = math.Abs(p.R-at.R) + p.C.Dist(at.C) + ends
	}
	if from := min(u.Norm(), v.Norm()) - l/2; from >= l && open >= 2*l/from {
		bound = min(bound, ends+l*l/8*(bend+1/from))
	}
	return bound
}

// deviate returns the Hausdorff distance between the pieces of a laid by t and
// those of b, from a point of a, laid, to one of b. It returns false as soon as the
// distance passes lim.stop.
func deviate(a, b *index.PieceTree, t geom.Transform, lim limits) (gap, bool) {
	if factorOf(t) != 1 { // lengths are those of b
		a, t = index.PathTree(geom.Path(a.Pieces).Transform(t)), geom.Identity()
	}
	var g gap
	if !g.reach(a.Pieces, t, b, lim) {
		return g, false
	}
	back := gap{dist: g.dist}
	ok := back.reach(b.Pieces, inverse(t), a, lim)
	if back.dist > g.dist {
		g = gap{back.dist, t.Apply(back.to), t.Apply(back.from)}
	}
	return g, ok
}
