package clear

import (
	"math"
	"slices"
	"sync"

	"sluice/geom"
	"sluice/geom/index"
)

// smoothTurn is the turn (radians) below which a vertex counts as smooth. It
// only keeps rounding error from making corners: a corner this flat leaves a
// disc of any radius below 1 m within 1e-9 mm of its vertex.
const smoothTurn = 1e-6

// shape is one part seen from one side. Its pieces run so that the side that is
// measured, waste or material, lies to their left; they are shifted to lie
// about the origin, so that a drawing far off loses no digits.
//
// Sites are what a disc can touch, numbered along the outline: site 2i is the
// start vertex of piece i (a fan of normals where the outline turns right),
// site 2i+1 is piece i.
type shape struct {
	origin geom.Point
	pieces []geom.Piece
	boxes  []geom.Box
	dirs   []uint64
	ring   []int32      // the ring of each piece
	src    []int32      // its index in that ring
	n0, n1 []geom.Point // unit normals to the left at the ends of each piece
	turn   []float64    // turn at the start vertex of each piece, (-pi, pi]
	runs   []index.Run  // the pieces of each ring (empty rings are kept)
	tree   *index.PieceTree
	faces  []normals // of the nodes of the tree
}

// newShape orients the rings of a part for one side and indexes them.
func newShape(rings []Ring, side Side) *shape {
	n := 0
	box := geom.NoBox()
	for i := range rings {
		n += len(rings[i].Path)
		box = box.Union(rings[i].Box)
	}
	s := shapes.Get().(*shape)
	s.room(n, len(rings))
	if !box.Empty() {
		s.origin = box.Center()
	}
	for r := range rings {
		lo := int32(len(s.pieces))
		path := rings[r].Path
		for k := range path {
			at := k
			p := path[k]
			if side == Waste {
				at = len(path) - 1 - k
				p = path[at].Reverse()
			}
			s.add(p, int32(r), int32(at))
		}
		s.runs = append(s.runs, index.Run{Lo: lo, Hi: int32(len(s.pieces))})
		s.turns(s.runs[r])
	}
	s.tree = index.NewPieceTree(s.pieces, s.boxes, s.runs)
	s.faces = normalsOf(s.tree.Tree, s.dirs)
	return s
}

// shapes are those that are done with: sheets of many parts use their room over and
// over.
var shapes = sync.Pool{New: func() any { return new(shape) }}

// room empties the lists of a shape and makes room for n pieces.
func (s *shape) room(n, rings int) {
	*s = shape{
		pieces: slices.Grow(s.pieces[:0], n), boxes: slices.Grow(s.boxes[:0], n), dirs: slices.Grow(s.dirs[:0], n),
		ring: slices.Grow(s.ring[:0], n), src: slices.Grow(s.src[:0], n),
		n0: slices.Grow(s.n0[:0], n), n1: slices.Grow(s.n1[:0], n), turn: slices.Grow(s.turn[:0], n),
		runs: slices.Grow(s.runs[:0], rings),
	}
}

// done gives back the room of a shape, which is of no use from then on.
func (s *shape) done() {
	s.tree, s.faces = nil, nil
	shapes.Put(s)
}

// add takes in one piece, unless it is a mere point or not a number.
func (s *shape) add(p geom.Piece, ring, src int32) {
	p.A, p.B = p.A.Sub(s.origin), p.B.Sub(s.origin)
	if p.R > 0 {
		p.C = p.C.Sub(s.origin)
	} else if p.A == p.B {
		return
	}
	if !p.A.Finite() || !p.B.Finite() || !p.C.Finite() {
		return
	}
	s.pieces = append(s.pieces, p)
	s.boxes = append(s.boxes, p.Box())
	s.ring = append(s.ring, ring)
	s.src = append(s.src, src)
	if p.R == 0 {
		n := p.B.Sub(p.A).Unit().Left()
		s.n0, s.n1 = append(s.n0, n), append(s.n1, n)
		return
	}
	inv := -math.Copysign(1/p.R, p.Sweep)
	s.n0 = append(s.n0, p.A.Sub(p.C).Mul(inv))
	s.n1 = append(s.n1, p.B.Sub(p.C).Mul(inv))
}

// turns fills in the turns at the vertices of a ring and the sets of normals of
// its pieces, each with the fan at its start.
func (s *shape) turns(run index.Run) {
	for i := run.Lo; i < run.Hi; i++ {
		h := s.prev(i, run)
		u, v := s.n1[h], s.n0[i]
		t := 0.0
		if cr, do := u.Cross(v), u.Dot(v); cr != 0 || do < 0 {
			if t = math.Atan2(cr, do); math.Abs(t) > math.Pi-1e-4 {
				t = s.cuspTurn(h, i, t)
			}
		}
		s.turn = append(s.turn, t)
		p := &s.pieces[i]
		var m uint64
		switch {
		case p.R == 0:
			m = 1 << sector(v)
		case math.Abs(p.Sweep) > 1.9*math.Pi:
			m = allDirs
		case p.Sweep > 0:
			m = sectors(v, s.n1[i])
		default:
			m = sectors(s.n1[i], v)
		}
		if t < -smoothTurn {
			m |= sectors(v, u)
		}
		s.dirs = append(s.dirs, m)
	}
}

// cuspTurn settles the sign of a turn by nearly half a circle, from points a
// little way along the two pieces.
func (s *shape) cuspTurn(h, i int32, t float64) float64 {
	p, q := &s.pieces[h], &s.pieces[i]
	d := 0.1 * min(p.Length(), q.Length())
	u := p.At(1 - d/p.Length()).Sub(p.B)
	v := q.At(d / q.Length()).Sub(q.A)
	switch cr := v.Cross(u); { // the inner angle turns from v to u
	case cr > 0:
		return math.Abs(t)
	case cr < 0:
		return -math.Abs(t)
	}
	return t
}

// prev returns the piece before i in its ring.
func (s *shape) prev(i int32, run index.Run) int32 {
	if i == run.Lo {
		return run.Hi - 1
	}
	return i - 1
}

// next returns the piece after i in its ring.
func (s *shape) next(i int32) int32 {
	run := s.runs[s.ring[i]]
	if i+1 == run.Hi {
		return run.Lo
	}
	return i + 1
}

// fan reports whether the start vertex of piece i is a site of its own: the
// side that is measured spans more than half a turn there.
func (s *shape) fan(i int32) bool { return s.turn[i] < -smoothTurn }

// siteLength returns the length along a site of the curve on which the centres
// of touching discs of radius r lie, or the piece's own if longer (mm).
func (s *shape) siteLength(site int32, r float64) float64 {
	i := site / 2
	if site%2 == 0 {
		return r * math.Abs(s.turn[i])
	}
	return s.pieces[i].Length()
}

// at returns the point at share t of a site and its unit normal.
func (s *shape) at(site int32, t float64) (p, n geom.Point) {
	i := site / 2
	q := &s.pieces[i]
	if site%2 == 0 {
		if t == 1 {
			return q.A, s.n0[i]
		}
		run := s.runs[s.ring[i]]
		n = s.n1[s.prev(i, run)]
		if t > 0 {
			n = n.Rotate(s.turn[i] * t)
		}
		return q.A, n
	}
	switch {
	case t == 0:
		return q.A, s.n0[i]
	case t == 1:
		return q.B, s.n1[i]
	case q.R == 0:
		return q.A.Lerp(q.B, t), s.n0[i]
	}
	n = s.n0[i].Rotate(q.Sweep * t)
	return q.C.Sub(n.Mul(math.Copysign(q.R, q.Sweep))), n
}

// following returns the site after site along the outline, leaving out
// vertices that are no fans.
func (s *shape) following(site int32) int32 {
	if site%2 == 0 {
		return site + 1
	}
	j := s.next(site / 2)
	if s.fan(j) {
		return 2 * j
	}
	return 2*j + 1
}

// preceding returns the site before site along the outline.
func (s *shape) preceding(site int32) int32 {
	i := site / 2
	if site%2 == 1 && s.fan(i) {
		return 2 * i
	}
	return 2*s.prev(i, s.runs[s.ring[i]]) + 1
}
