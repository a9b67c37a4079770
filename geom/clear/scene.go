package clear

import (
	"context"
	"math"

	"sluice/geom"
	"sluice/geom/index"
)

// scene holds the pieces of many parts for finding those near each other. It is
// shifted to lie about the origin and turned so that the commonest direction of
// lines is an axis: boxes hold slanted lines badly.
type scene struct {
	*index.PieceTree
	place geom.Transform // from the drawing to here
	back  geom.Transform
	owner []int32 // the part of each piece
	limit float64
	bands []band // of the nodes
}

// band is what the pieces of a node have in common: the part, -1 if mixed, and
// the range of distances from the middle of the scene, which tells outlines
// apart that lie around each other.
type band struct {
	owner  int32
	lo, hi float64
}

// newScene sorts all pieces along a Z-shaped curve so that the nodes of the tree
// are compact.
func newScene(rings []Ring, part []int32, limit float64) *scene {
	s := &scene{limit: limit}
	box := geom.NoBox()
	n := 0
	for i := range rings {
		box = box.Union(rings[i].Box)
		n += len(rings[i].Path)
	}
	turn := -commonAngle(rings)
	s.place = geom.Shift(box.Center().Mul(-1)).Then(geom.Turn(geom.Point{}, turn))
	s.back = geom.Turn(geom.Point{}, -turn).Then(geom.Shift(box.Center()))
	all := make([]geom.Piece, 0, n)
	boxes := make([]geom.Box, 0, n)
	owner := make([]int32, 0, n)
	for i := range rings {
		for k := range rings[i].Path {
			p := rings[i].Path[k].Transform(s.place)
			if p.A.Finite() && p.B.Finite() && p.C.Finite() {
				all, boxes, owner = append(all, p), append(boxes, p.Box()), append(owner, part[i])
			}
		}
	}
	pieces := make([]geom.Piece, len(all))
	sorted := make([]geom.Box, len(all))
	s.owner = make([]int32, len(all))
	for k, i := range index.ZOrder(boxes, geom.Point{}, box.Diagonal()/2) {
		pieces[k], sorted[k], s.owner[k] = all[i], boxes[i], owner[i]
	}
	s.PieceTree = index.NewPieceTree(pieces, sorted, []index.Run{{Lo: 0, Hi: int32(len(pieces))}})
	s.bands = make([]band, len(s.Nodes))
	for i := range s.Nodes { // children come before their parents
		nd := &s.Nodes[i]
		if !nd.Leaf() {
			s.bands[i] = s.bands[nd.Left].union(s.bands[nd.Right])
			continue
		}
		s.bands[i] = s.band(nd.Lo)
		for k := nd.Lo + 1; k < nd.Hi; k++ {
			s.bands[i] = s.bands[i].union(s.band(k))
		}
	}
	return s
}

func (a band) union(b band) band {
	if a.owner != b.owner {
		a.owner = -1
	}
	a.lo, a.hi = min(a.lo, b.lo), max(a.hi, b.hi)
	return a
}

// band returns the band of one piece.
func (s *scene) band(i int32) band {
	p := &s.Pieces[i]
	o := geom.Point{}
	b := band{s.owner[i], p.Dist(o), math.Sqrt(max(p.A.Dist2(o), p.B.Dist2(o)))}
	if p.R > 0 {
		b.hi = max(b.hi, p.C.Norm()+p.R)
	}
	return b
}

// commonAngle returns the direction, as an angle in [-pi/4, pi/4], to which or
// to whose normal the greatest length of lines runs, in steps of a degree; 0 if
// that is within half a degree of an axis.
func commonAngle(rings []Ring) float64 {
	var length, moment [90]float64
	for i := range rings {
		for k := range rings[i].Path {
			p := &rings[i].Path[k]
			d := p.B.Sub(p.A)
			if p.R > 0 || !d.Finite() {
				continue
			}
			bin, angle := 0, 0.0
			if d.X != 0 && d.Y != 0 {
				angle = math.Atan(d.Y / d.X)
				if angle > math.Pi/4 {
					angle -= math.Pi / 2
				} else if angle < -math.Pi/4 {
					angle += math.Pi / 2
				}
				bin = int(math.Round(angle*180/math.Pi)+90) % 90
			}
			l := d.Norm()
			length[bin] += l
			moment[bin] += l * angle
		}
	}
	best := 0
	for i := range length {
		if length[i] > length[best] {
			best = i
		}
	}
	if best == 0 || best == 45 {
		if best == 45 {
			return math.Pi / 4
		}
		return 0
	}
	return moment[best] / length[best]
}

// nearPairs calls f for the pieces of different parts whose boxes come within
// the limit.
func (s *scene) nearPairs(ctx context.Context, f func(i, j int32)) {
	steps := 0
	apart := func(i, j int32) bool {
		p, q := &s.bands[i], &s.bands[j]
		return p.owner >= 0 && p.owner == q.owner || p.lo-q.hi > s.limit || q.lo-p.hi > s.limit
	}
	s.Pairs(s.limit, apart, func(i, j int32) bool {
		s.leaves(&s.Nodes[i], &s.Nodes[j], f)
		steps++
		return steps%4096 != 0 || ctx.Err() == nil
	})
}

func (s *scene) leaves(a, b *index.Node, f func(i, j int32)) {
	for i := a.Lo; i < a.Hi; i++ {
		j := b.Lo
		if a == b {
			j = i + 1
		}
		for ; j < b.Hi; j++ {
			if s.owner[i] != s.owner[j] && s.Boxes[i].Within(s.Boxes[j], s.limit) {
				f(i, j)
			}
		}
	}
}

// farApart reports whether two pieces are sure to be at least d apart, by their
// carriers alone.
func farApart(p, q *geom.Piece, d float64) bool {
	switch {
	case p.R > 0 && q.R > 0:
		c := p.C.Dist(q.C)
		return c >= p.R+q.R+d || math.Abs(p.R-q.R) >= c+d
	case p.R > 0:
		return farFromLine(q, p, d)
	case q.R > 0:
		return farFromLine(p, q, d)
	}
	return onOneSide(p, q, d) || onOneSide(q, p, d)
}

// onOneSide reports whether q lies on one side of the line p, d away or more.
func onOneSide(p, q *geom.Piece, d float64) bool {
	u := p.B.Sub(p.A)
	a, b := u.Cross(q.A.Sub(p.A)), u.Cross(q.B.Sub(p.A))
	m := min(math.Abs(a), math.Abs(b))
	return a > 0 == (b > 0) && m*m >= d*d*u.Dot(u)
}

// farFromLine reports whether the circle of an arc is d or more from a line.
func farFromLine(l, a *geom.Piece, d float64) bool {
	u := l.B.Sub(l.A)
	h := math.Abs(u.Cross(a.C.Sub(l.A)))
	f := (a.R + d) * (a.R + d)
	if h*h >= f*u.Dot(u) {
		return true
	}
	r := a.R - d // the line lies inside the circle where both ends do
	return r > 0 && l.A.Dist2(a.C) <= r*r && l.B.Dist2(a.C) <= r*r
}
