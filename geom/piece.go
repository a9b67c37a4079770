package geom

import (
	"fmt"
	"math"
)

// Piece is one straight line or one circular arc, with a direction from A to B.
//
// For a line R and Sweep are 0 and C is unused. For an arc C is the centre, R
// the radius (above 0) and Sweep the angle turned through from A to B about C,
// positive counter-clockwise, at most a full turn. A full circle has A == B and
// |Sweep| = 2 pi. A and B are stored as given so that neighbours can share ends
// exactly; C, R and Sweep agree with them to rounding.
type Piece struct {
	A, B     Point
	C        Point
	R, Sweep float64
}

// Line returns the straight piece from a to b.
func Line(a, b Point) Piece { return Piece{A: a, B: b} }

// Arc returns the arc about c with radius r that starts in direction start and
// turns through sweep. It panics if r is not positive, since that is a
// programming error: readers check before they build.
func Arc(c Point, r, start, sweep float64) Piece {
	if !(r > 0) {
		panic(fmt.Sprintf("geom: arc with radius %g", r))
	}
	p := Piece{A: Polar(c, r, start), C: c, R: r, Sweep: sweep}
	if math.Abs(sweep) >= 2*math.Pi {
		p.Sweep = math.Copysign(2*math.Pi, sweep)
		p.B = p.A
	} else {
		p.B = Polar(c, r, start+sweep)
	}
	return p
}

// Circle returns the full counter-clockwise circle that starts at its rightmost
// point.
func Circle(c Point, r float64) Piece { return Arc(c, r, 0, 2*math.Pi) }

// Bulge returns the piece from a to b with the given bulge, the tangent of a
// quarter of the angle turned through (positive counter-clockwise; 0 is a line,
// 1 a half circle). Where the sagitta |bulge| * |ab| / 2 is too small to move a
// double the piece is a line.
func Bulge(a, b Point, bulge float64) Piece {
	d := b.Sub(a)
	c := d.Norm()
	if bulge == 0 || c == 0 || math.Abs(bulge)*c < 1e-12*(1+math.Abs(a.X)+math.Abs(a.Y)) {
		return Line(a, b)
	}
	// Centre: off the middle of the chord to its left by c (1 - b^2) / (4 b).
	h := (1 - bulge*bulge) / (4 * bulge)
	m := a.Mid(b)
	ctr := m.Add(d.Left().Mul(h))
	r := c * (1 + bulge*bulge) / (4 * math.Abs(bulge))
	return Piece{A: a, B: b, C: ctr, R: r, Sweep: 4 * math.Atan(bulge)}
}

// ThroughPoint returns the arc from a to b that passes through m, or the line
// ab where the three points are straight to within a millionth of their span.
func ThroughPoint(a, m, b Point) Piece {
	u, v := m.Sub(a), b.Sub(m)
	turn := TurnTo(u, v)
	if math.Abs(turn) < 1e-9 {
		return Line(a, b)
	}
	// The angle between chord am and chord mb is half the arc's own turn.
	return Bulge(a, b, math.Tan(turn/2))
}

// IsLine reports whether the piece is straight.
func (p Piece) IsLine() bool { return p.R == 0 }

// IsCircle reports whether the piece is a full circle.
func (p Piece) IsCircle() bool { return p.R > 0 && math.Abs(p.Sweep) >= 2*math.Pi-1e-12 }

// BulgeValue returns tan(Sweep/4), 0 for a line.
func (p Piece) BulgeValue() float64 {
	if p.R == 0 {
		return 0
	}
	return math.Tan(p.Sweep / 4)
}

// Length returns the length of the piece.
func (p Piece) Length() float64 {
	if p.R == 0 {
		return p.A.Dist(p.B)
	}
	return p.R * math.Abs(p.Sweep)
}

// Reverse returns the same piece run from B to A.
func (p Piece) Reverse() Piece {
	p.A, p.B = p.B, p.A
	p.Sweep = -p.Sweep
	return p
}

// StartAngle returns the direction from C to A of an arc.
func (p Piece) StartAngle() float64 { return p.A.Sub(p.C).Angle() }

// At returns the point a share t in [0, 1] of the length along the piece.
func (p Piece) At(t float64) Point {
	switch {
	case t == 0:
		return p.A
	case t == 1:
		return p.B
	case p.R == 0:
		return p.A.Lerp(p.B, t)
	}
	return p.C.Add(p.A.Sub(p.C).Rotate(p.Sweep * t))
}

// Mid returns the middle of the piece.
func (p Piece) Mid() Point { return p.At(0.5) }

// TangentAt returns the unit direction of travel at share t.
func (p Piece) TangentAt(t float64) Point {
	if p.R == 0 {
		return p.B.Sub(p.A).Unit()
	}
	d := p.A.Sub(p.C).Rotate(p.Sweep * t).Left().Unit()
	if p.Sweep < 0 {
		return d.Mul(-1)
	}
	return d
}

// Curvature returns 1/R signed by the turning direction, 0 for a line.
func (p Piece) Curvature() float64 {
	if p.R == 0 {
		return 0
	}
	return math.Copysign(1/p.R, p.Sweep)
}

// Box returns the smallest box that holds the piece.
func (p Piece) Box() Box {
	b := BoxOf(p.A, p.B)
	if p.R == 0 {
		return b
	}
	if p.IsCircle() {
		return Box{Point{p.C.X - p.R, p.C.Y - p.R}, Point{p.C.X + p.R, p.C.Y + p.R}}
	}
	if p.SweepsOver(Point{1, 0}) {
		b.Max.X = max(b.Max.X, p.C.X+p.R)
	}
	if p.SweepsOver(Point{0, 1}) {
		b.Max.Y = max(b.Max.Y, p.C.Y+p.R)
	}
	if p.SweepsOver(Point{-1, 0}) {
		b.Min.X = min(b.Min.X, p.C.X-p.R)
	}
	if p.SweepsOver(Point{0, -1}) {
		b.Min.Y = min(b.Min.Y, p.C.Y-p.R)
	}
	return b
}

// SweepsOver reports whether the arc passes through direction d, as seen from
// its centre; its ends count. It takes no trigonometry: the sector is the
// intersection (or, above half a turn, the union) of two half planes.
func (p Piece) SweepsOver(d Point) bool {
	u, v := p.A.Sub(p.C), p.B.Sub(p.C)
	s := p.Sweep
	if s < 0 {
		u, v, s = v, u, -s
	}
	if s >= 2*math.Pi-1e-12 {
		return true
	}
	if s <= math.Pi {
		if s < math.Pi/2 && d.Dot(u) < 0 && d.Dot(v) < 0 {
			return false // opposite side of a narrow sector
		}
		return u.Cross(d) >= 0 && d.Cross(v) >= 0
	}
	return u.Cross(d) >= 0 || d.Cross(v) >= 0
}

// ShareOf returns the share t at which the arc meets direction d from its
// centre, clamped to [0, 1] for directions outside the sector.
func (p Piece) ShareOf(d Point) float64 {
	a := TurnTo(p.A.Sub(p.C), d)
	s := p.Sweep
	if s < 0 {
		a, s = -a, -s
	}
	if a < 0 {
		a += 2 * math.Pi
	}
	if a > s {
		// Outside: the nearer end.
		if a-s < 2*math.Pi-a {
			return 1
		}
		return 0
	}
	return a / s
}

// Nearest returns the point of the piece nearest to q and its share t.
func (p Piece) Nearest(q Point) (Point, float64) {
	if p.R == 0 {
		d := p.B.Sub(p.A)
		l := d.Dot(d)
		if l == 0 {
			return p.A, 0
		}
		t := q.Sub(p.A).Dot(d) / l
		if t <= 0 {
			return p.A, 0
		}
		if t >= 1 {
			return p.B, 1
		}
		return p.A.Lerp(p.B, t), t
	}
	d := q.Sub(p.C)
	if n := d.Norm(); n > 0 && p.SweepsOver(d) {
		return p.C.Add(d.Mul(p.R / n)), p.ShareOf(d)
	}
	if d == (Point{}) || q.Dist2(p.A) <= q.Dist2(p.B) {
		return p.A, 0
	}
	return p.B, 1
}

// Dist returns the distance from q to the piece.
func (p Piece) Dist(q Point) float64 {
	if p.R > 0 {
		if d := q.Sub(p.C); p.SweepsOver(d) {
			return math.Abs(d.Norm() - p.R)
		}
		return math.Sqrt(min(q.Dist2(p.A), q.Dist2(p.B)))
	}
	n, _ := p.Nearest(q)
	return n.Dist(q)
}

// Sub returns the part of the piece between shares t0 < t1.
func (p Piece) Sub(t0, t1 float64) Piece {
	q := p
	q.A, q.B = p.At(t0), p.At(t1)
	q.Sweep = p.Sweep * (t1 - t0)
	return q
}

// WithEnds returns the piece moved so that it runs from a to b: a line takes
// the new ends; an arc keeps its bulge, unless both ends stay within 1e-9 mm of
// its circle, when it keeps circle and only its sweep follows.
func (p Piece) WithEnds(a, b Point) Piece {
	if p.R == 0 {
		return Line(a, b)
	}
	onCircle := func(q Point) bool { return math.Abs(q.Dist(p.C)-p.R) <= 1e-9 }
	if onCircle(a) && onCircle(b) {
		// Follow the moved ends by their turn about the centre, which keeps
		// the sense even when the arc is close to a full turn.
		da := TurnTo(p.A.Sub(p.C), a.Sub(p.C))
		db := TurnTo(p.B.Sub(p.C), b.Sub(p.C))
		q := p
		q.A, q.B, q.Sweep = a, b, p.Sweep-da+db
		return q
	}
	return Bulge(a, b, math.Tan(p.Sweep/4))
}

// Area2 returns twice the signed area swept by the line from the point o to the
// piece as it is run through; summed over a closed path it gives twice the
// enclosed area, positive counter-clockwise (Green's theorem; an arc adds the
// circular segment R^2 (s - sin s)).
func (p Piece) Area2(o Point) float64 {
	a := p.A.Sub(o).Cross(p.B.Sub(o))
	if p.R > 0 {
		a += p.R * p.R * (p.Sweep - math.Sin(p.Sweep))
	}
	return a
}

// Transform returns the piece under t. A circle stays a circle because a
// Transform is a similarity.
func (p Piece) Transform(t Transform) Piece {
	q := Piece{A: t.Apply(p.A), B: t.Apply(p.B)}
	if p.R > 0 {
		q.C, q.R, q.Sweep = t.Apply(p.C), p.R*t.Scale(), p.Sweep
		if t.Mirrors() {
			q.Sweep = -q.Sweep
		}
	}
	return q
}
