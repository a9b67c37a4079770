package curve

import (
	"math"

	"sluice/geom"
)

// biarc is two arcs (or lines) with a common tangent where they meet.
type biarc struct {
	a, j, b    geom.Point // start, joint, end
	tj         geom.Point // unit tangent at the joint
	first, sec ray
	s1, s2     float64 // angles turned through
}

// newBiarc returns the biarc from a to b with the unit tangents ta and tb whose
// joint lies at the same tangent length d from both ends, which makes it the
// same curve when run backwards. With v = b-a, d solves
// 2 d^2 (1 - ta.tb) + 2 d v.(ta+tb) - |v|^2 = 0 (Bolton 1975, from memory). On
// a curve of slowly changing curvature this joint lies in the middle. ok is
// false where no such biarc exists.
func newBiarc(a, ta, b, tb geom.Point) (m biarc, ok bool) {
	v := b.Sub(a)
	vv := v.Dot(v)
	vt := v.Dot(ta.Add(tb))
	den := vt + math.Sqrt(vt*vt+2*(1-ta.Dot(tb))*vv)
	if !(vv > 0) || !(den > 1e-12*math.Sqrt(vv)) {
		return m, false
	}
	d := vv / den
	m.a, m.b = a, b
	m.j = a.Add(ta.Mul(d)).Mid(b.Sub(tb.Mul(d)))
	u, w := m.j.Sub(a), b.Sub(m.j)
	lu, lw := u.Norm(), w.Norm()
	if !(lu > 0) || !(lw > 0) {
		return m, false
	}
	// The angle between end tangent and chord is half the arc's turn.
	h1, h2 := geom.TurnTo(ta, u), geom.TurnTo(w, tb)
	m.s1, m.s2 = 2*h1, 2*h2
	m.first = ray{a, ta, 2 * math.Sin(h1) / lu}
	m.tj = ta.Rotate(2 * h1)
	m.sec = ray{m.j, m.tj, 2 * math.Sin(h2) / lw}
	return m, true
}

// flatTurn is the turn below which an arc is a line: the kink at its ends is
// half of it.
const flatTurn = 2e-8

// arcFromTurn returns the piece from a to b that turns through s.
func arcFromTurn(a, b geom.Point, s float64) geom.Piece {
	if math.Abs(s) <= flatTurn {
		return geom.Line(a, b)
	}
	return geom.Bulge(a, b, math.Tan(s/4))
}

func (m *biarc) pieces() (p, q geom.Piece) {
	return arcFromTurn(m.a, m.j, m.s1), arcFromTurn(m.j, m.b, m.s2)
}

// merge joins neighbouring pieces that lie on one circle or line, in place, and
// returns how far that may have moved them, at most room.
func merge(ps []geom.Piece, room float64) (out []geom.Piece, moved float64) {
	if len(ps) == 0 {
		return ps, 0
	}
	out = ps[:1]
	for _, q := range ps[1:] {
		p := &out[len(out)-1]
		l := p.Length() + q.Length()
		dk := math.Abs(p.Curvature() - q.Curvature())
		s := p.Sweep + q.Sweep
		t, u := p.TangentAt(1), q.TangentAt(0)
		smooth := math.Abs(geom.TurnTo(t, u)) < 1e-9 && t.Dot(u) > 0.5
		if !smooth || dk*l > 1e-8 || moved+dk*l*l/8 > room || math.Abs(s) > 6.2 {
			out = append(out, q)
			continue
		}
		moved += dk * l * l / 8
		*p = arcFromTurn(p.A, q.B, s)
	}
	return out, moved
}
