package paths

import (
	"math"

	"sluice/geom"
	"sluice/geom/near"
)

// Distances that tell rounding from shape, mm. They follow from the arithmetic
// of doubles on sheets of some metres and are no tolerances of the job.
const (
	weld  = 1e-6 // ends nearer than this are one place
	slack = 1e-7 // how much nearer than d a point of the offset may seem to the path
)

// Offset returns the closed paths at the distance d (mm, above 0) to the right
// of a closed path that does not cross itself: the edge of all points that come
// nearer to the material on the left than d. Lines stay lines and arcs stay
// arcs; all is exact to about 1e-6 mm.
//
// Of an outline around a part (counter-clockwise) it is the path around the
// part, first in the list, and one more, clockwise, for each pocket whose mouth
// is narrower than 2 d. Of a hole (clockwise) it is the path inside, none where
// the hole is nowhere wider than 2 d, several where it is so only in places.
// ok is false where no such edge could be traced.
func Offset(p geom.Path, d float64) (loops []geom.Path, ok bool) {
	if len(p) == 0 || !(d > 0) {
		return nil, false
	}
	if c, r, ccw, round := wholeCircle(p); round {
		if ccw {
			return []geom.Path{{geom.Arc(c, r+d, p[0].StartAngle(), 2*math.Pi)}}, true
		}
		if r-d <= weld {
			return nil, true
		}
		return []geom.Path{{geom.Arc(c, r-d, p[0].StartAngle(), -2*math.Pi)}}, true
	}
	box := p.Box()
	if box.Empty() || !box.Min.Finite() || !box.Max.Finite() {
		return nil, false
	}
	o := box.Center() // about the origin, so that far-off drawings lose no digits
	local := make(geom.Path, 0, len(p))
	for i := range p {
		if p[i].Length() > 1e-9 {
			local = append(local, p[i].Transform(geom.Shift(o.Mul(-1))))
		}
	}
	outer := local.Area() > 0
	s := splitter{d: d, raw: rawOffset(local, d)}
	s.source = near.New(items(local))
	s.split()
	for _, l := range s.chain() {
		area := l.Area()
		switch {
		case outer && area > 0 && len(loops) > 0 && loops[0].Area() > 0:
			// Only one edge runs around a part.
			if area <= loops[0].Area() {
				continue
			}
			loops[0] = l
		case outer && area > 0:
			loops = append([]geom.Path{l}, loops...)
		case area <= 1e-9*l.Length():
			loops = append(loops, l)
		}
	}
	if outer && (len(loops) == 0 || loops[0].Area() <= 0) {
		return nil, false
	}
	for i := range loops {
		loops[i] = loops[i].Transform(geom.Shift(o))
	}
	return loops, true
}

// wholeCircle recognises a full circle of any number of arcs.
func wholeCircle(p geom.Path) (c geom.Point, r float64, ccw, ok bool) {
	c, r = p[0].C, p[0].R
	turn := 0.0
	for i := range p {
		if p[i].R == 0 || p[i].C.Dist(c) > weld || math.Abs(p[i].R-r) > weld {
			return c, r, false, false
		}
		turn += p[i].Sweep
	}
	return c, r, turn > 0, math.Abs(math.Abs(turn)-2*math.Pi) < 1e-6
}

func items(p geom.Path) []near.Item {
	out := make([]near.Item, len(p))
	for i := range p {
		out[i] = near.Item{Piece: p[i]}
	}
	return out
}

// rightOf returns the unit normal to the right of the direction u.
func rightOf(u geom.Point) geom.Point { return geom.Pt(u.Y, -u.X) }

// rawOffset returns every piece set off by d, with an arc about every vertex
// where the material has a corner. The edge sought is made of stretches of
// these: its points are d from the nearest point of the path, which lies inside
// a piece or is such a vertex. A waste corner is never nearest, and an arc of
// the waste side with a radius below d is never reached.
func rawOffset(p geom.Path, d float64) geom.Path {
	raw := make(geom.Path, 0, 2*len(p))
	at := make([]int, len(p)) // where each piece went, -1 if nowhere
	for i := range p {
		at[i] = -1
		if q, ok := aside(p[i], d); ok {
			at[i] = len(raw)
			raw = append(raw, q)
		}
	}
	n := len(p)
	for i := range p {
		j := (i + 1) % n
		v := p[i].B
		u, w := p[i].TangentAt(1), p[j].TangentAt(0)
		turn := geom.TurnTo(u, w)
		if i == j && n == 1 {
			continue
		}
		a, b := v.Add(rightOf(u).Mul(d)), v.Add(rightOf(w).Mul(d))
		switch {
		case a.Dist(b) <= weld && math.Abs(turn) < 1:
			m := a.Mid(b)
			if at[i] >= 0 {
				raw[at[i]] = raw[at[i]].WithEnds(raw[at[i]].A, m)
			}
			if at[j] >= 0 {
				raw[at[j]] = raw[at[j]].WithEnds(m, raw[at[j]].B)
			}
		case turn > 0 || turn < -math.Pi+1e-9:
			if turn < 0 {
				turn += 2 * math.Pi
			}
			raw = append(raw, geom.Piece{A: a, B: b, C: v, R: d, Sweep: turn})
		}
	}
	return raw
}

// aside returns the piece d to the right of p, false where there is none.
func aside(p geom.Piece, d float64) (geom.Piece, bool) {
	if p.R == 0 {
		n := rightOf(p.TangentAt(0)).Mul(d)
		return geom.Line(p.A.Add(n), p.B.Add(n)), true
	}
	r := p.R + math.Copysign(d, p.Sweep)
	if r <= weld {
		return p, false
	}
	q := p
	q.R = r
	q.A = p.C.Add(p.A.Sub(p.C).Mul(r / p.R))
	q.B = p.C.Add(p.B.Sub(p.C).Mul(r / p.R))
	return q, true
}
