package clear

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// stretch is a run of a site, as shares of its length, that no disc of the
// limit's radius can touch.
type stretch struct{ a, b float64 }

// uncovered returns the stretches of a site that no disc of radius r lying
// wholly on the measured side can touch, and all shares at which the set of
// pieces in the way may change, both in order.
//
// The centre of a disc that rolls along a site runs on a parallel line or arc.
// It is in the way of a piece where it comes nearer than r to it: its path is
// cut with the two parallels of the piece and the circles about its ends, and
// between cuts one sample decides.
func (s *shape) uncovered(site int32, r float64) (u []stretch, breaks []float64) {
	i := site / 2
	q := &s.pieces[i]
	reach := r - slack
	path := s.centrePath(site, r)
	if site%2 == 1 && q.R > 0 && q.Sweep > 0 && q.R < reach {
		u = append(u, stretch{0, 1})
	}
	box := path.Box()
	var cuts []float64
	s.tree.In(box.Inflate(r), func(f int32) bool {
		if site%2 == 1 && f == i {
			return true
		}
		cuts = cutShares(cuts[:0], &path, &s.pieces[f], reach)
		from := 0.0
		in := false
		for k := 0; k <= len(cuts); k++ {
			to := 1.0
			if k < len(cuts) {
				to = cuts[k]
			}
			if to-from < 1e-12 {
				continue
			}
			if s.pieces[f].Dist(path.at((from+to)/2)) < reach {
				if in {
					u[len(u)-1].b = to
				} else {
					u = append(u, stretch{from, to})
				}
				in = true
			} else {
				in = false
			}
			from = to
		}
		return true
	})
	for _, st := range u {
		breaks = append(breaks, st.a, st.b)
	}
	slices.SortFunc(u, func(x, y stretch) int { return cmp.Or(cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b)) })
	m := u[:0]
	for _, st := range u {
		if len(m) > 0 && st.a <= m[len(m)-1].b+1e-12 {
			m[len(m)-1].b = max(m[len(m)-1].b, st.b)
		} else {
			m = append(m, st)
		}
	}
	slices.Sort(breaks)
	return m, slices.Compact(breaks)
}

// centres is the line or arc on which the centres of discs touching one site
// lie. An arc is held by its start direction, since its radius may be 0 or have
// changed sides.
type centres struct {
	a, b   geom.Point // a line's ends
	c      geom.Point
	r      float64    // 0 for a line
	u      geom.Point // unit direction from c at share 0
	sweep  float64
	isLine bool
}

func (s *shape) centrePath(site int32, r float64) centres {
	i := site / 2
	q := &s.pieces[i]
	if site%2 == 0 {
		_, n := s.at(site, 0)
		return centres{c: q.A, r: r, u: n, sweep: s.turn[i]}
	}
	if q.R == 0 {
		off := s.n0[i].Mul(r)
		return centres{a: q.A.Add(off), b: q.B.Add(off), isLine: true}
	}
	out := math.Copysign(1, -q.Sweep) // normals of a right turn point outwards
	cr := q.R + out*r
	u := s.n0[i].Mul(out)
	if cr < 0 {
		cr, u = -cr, u.Mul(-1)
	}
	return centres{c: q.C, r: cr, u: u, sweep: q.Sweep}
}

func (p *centres) at(t float64) geom.Point {
	if p.isLine {
		return p.a.Lerp(p.b, t)
	}
	return p.c.Add(p.u.Rotate(p.sweep * t).Mul(p.r))
}

// Box returns a box that holds the path.
func (p *centres) Box() geom.Box {
	if p.isLine {
		return geom.BoxOf(p.a, p.b)
	}
	if math.Abs(p.sweep) > 1.9*math.Pi || p.r == 0 {
		return geom.BoxOf(p.c).Inflate(p.r)
	}
	return geom.Piece{A: p.at(0), B: p.at(1), C: p.c, R: p.r, Sweep: p.sweep}.Box()
}

// cutShares appends, in order, the shares at which the path may be exactly d
// away from the piece f.
func cutShares(dst []float64, p *centres, f *geom.Piece, d float64) []float64 {
	if f.R == 0 {
		m := f.B.Sub(f.A).Unit().Left()
		dst = p.cutLine(dst, f.A, m, d)
		dst = p.cutLine(dst, f.A, m, -d)
	} else {
		dst = p.cutCircle(dst, f.C, f.R+d)
		dst = p.cutCircle(dst, f.C, math.Abs(f.R-d))
	}
	dst = p.cutCircle(dst, f.A, d)
	if f.A != f.B {
		dst = p.cutCircle(dst, f.B, d)
	}
	slices.Sort(dst)
	return dst
}

// cutLine appends the shares at which the path crosses the line m.(x-a) = d.
func (p *centres) cutLine(dst []float64, a, m geom.Point, d float64) []float64 {
	if p.isLine {
		den := m.Dot(p.b.Sub(p.a))
		if math.Abs(den) < 1e-12 {
			return dst
		}
		return inside(dst, (d-m.Dot(p.a.Sub(a)))/den)
	}
	if p.r == 0 {
		return dst
	}
	x := (d - m.Dot(p.c.Sub(a))) / p.r // cosine of the angle to m
	if math.Abs(x) > 1 {
		return dst
	}
	y := math.Sqrt(1 - x*x)
	dst = p.direction(dst, m.Mul(x).Add(m.Left().Mul(y)))
	return p.direction(dst, m.Mul(x).Sub(m.Left().Mul(y)))
}

// cutCircle appends the shares at which the path crosses a circle.
func (p *centres) cutCircle(dst []float64, c geom.Point, r float64) []float64 {
	if p.isLine {
		u, w := p.b.Sub(p.a), p.a.Sub(c)
		aa, bb, cc := u.Dot(u), u.Dot(w), w.Dot(w)-r*r
		disc := bb*bb - aa*cc
		if disc < 0 || aa == 0 {
			return dst
		}
		q := math.Sqrt(disc)
		dst = inside(dst, (-bb-q)/aa)
		return inside(dst, (-bb+q)/aa)
	}
	v := c.Sub(p.c)
	dist := v.Norm()
	if dist == 0 || p.r == 0 {
		return dst
	}
	x := (dist*dist + p.r*p.r - r*r) / (2 * dist * p.r)
	if math.Abs(x) > 1 {
		return dst
	}
	y := math.Sqrt(1 - x*x)
	v = v.Mul(1 / dist)
	dst = p.direction(dst, v.Mul(x).Add(v.Left().Mul(y)))
	return p.direction(dst, v.Mul(x).Sub(v.Left().Mul(y)))
}

// direction appends the share at which an arc's path meets direction d.
func (p *centres) direction(dst []float64, d geom.Point) []float64 {
	a := geom.TurnTo(p.u, d)
	if p.sweep < 0 {
		a = -a
	}
	if a < 0 {
		a += 2 * math.Pi
	}
	return inside(dst, a/math.Abs(p.sweep))
}

// inside appends t if it lies strictly between 0 and 1.
func inside(dst []float64, t float64) []float64 {
	if t > 0 && t < 1 {
		dst = append(dst, t)
	}
	return dst
}
