package geom

import "math"

// Path is a run of pieces, each starting where the one before ends. It is
// closed when the last piece ends where the first starts.
type Path []Piece

// Length returns the summed length of the pieces.
func (p Path) Length() float64 {
	var l float64
	for i := range p {
		l += p[i].Length()
	}
	return l
}

// Along returns the place at length s (mm) on the path and the direction of
// travel there; past the end, the end. The path must have a piece.
func (p Path) Along(s float64) (at, dir Point) {
	for i := range p {
		l := p[i].Length()
		if s <= l && l > 0 {
			return p[i].At(s / l), p[i].TangentAt(s / l)
		}
		s -= l
	}
	last := &p[len(p)-1]
	return last.B, last.TangentAt(1)
}

// Box returns the smallest box that holds the path.
func (p Path) Box() Box {
	b := NoBox()
	for i := range p {
		b = b.Union(p[i].Box())
	}
	return b
}

// Area returns the signed area enclosed by a closed path, positive
// counter-clockwise, arcs counted exactly.
func (p Path) Area() float64 {
	if len(p) == 0 {
		return 0
	}
	var a float64
	o := p[0].A // near the path, so that far-off drawings lose no digits
	for i := range p {
		a += p[i].Area2(o)
	}
	return a / 2
}

// Moments returns the signed area of a closed path and its first moments about
// the origin (area times centroid), arcs counted exactly: a circular segment of
// half angle h has its centroid 4 R sin^3 h / (3 (s - sin s)) from the centre.
func (p Path) Moments() (area float64, moment Point) {
	if len(p) == 0 {
		return 0, Point{}
	}
	o := p[0].A
	var m Point
	for i := range p {
		q := &p[i]
		a, b := q.A.Sub(o), q.B.Sub(o)
		t := a.Cross(b) / 2
		area += t
		m = m.Add(a.Add(b).Mul(t / 3))
		if q.R > 0 {
			s := q.Sweep
			seg := q.R * q.R * (s - math.Sin(s)) / 2
			area += seg
			half := math.Sin(s / 2)
			// First moment of the segment: its centre times the area, plus
			// 2/3 R^3 sin^3(s/2) towards the middle of the arc.
			dir := q.Mid().Sub(q.C).Unit()
			m = m.Add(q.C.Sub(o).Mul(seg)).Add(dir.Mul(2 * q.R * q.R * q.R * half * half * half / 3))
		}
	}
	return area, m.Add(o.Mul(area))
}

// Centroid returns the centre of the enclosed area.
func (p Path) Centroid() Point {
	a, m := p.Moments()
	if a == 0 {
		return p.Box().Center()
	}
	return m.Mul(1 / a)
}

// Reverse returns the path run the other way.
func (p Path) Reverse() Path {
	q := make(Path, len(p))
	for i := range p {
		q[len(p)-1-i] = p[i].Reverse()
	}
	return q
}

// Transform returns the path under t, in the same order.
func (p Path) Transform(t Transform) Path {
	q := make(Path, len(p))
	for i := range p {
		q[i] = p[i].Transform(t)
	}
	return q
}

// Contains reports whether q lies inside the closed path (even-odd). Points
// nearer to the path than rounding error may be told either way; callers that
// care measure Dist first.
func (p Path) Contains(q Point) bool {
	in := false
	for i := range p {
		if p[i].crossesRay(q) {
			in = !in
		}
	}
	return in
}

// crossesRay reports whether an odd number of crossings lie between the piece
// and the ray from q to the right. An end on the ray counts as above it, so
// that two neighbours sharing an end count once. For a line the answer is exact.
// For an arc it can be wrong only within rounding (about 1e-16 of the coordinates
// and the radius) of the circle.
func (p *Piece) crossesRay(q Point) bool {
	in := false
	if (p.A.Y >= q.Y) != (p.B.Y >= q.Y) {
		switch {
		case q.X < min(p.A.X, p.B.X):
			in = true
		case q.X >= max(p.A.X, p.B.X):
		default:
			// q lies to the left of the line when that runs up.
			in = Orient(p.A, p.B, q) > 0 == (p.B.Y > p.A.Y)
		}
	}
	// The chord gives the parity of a line; the arc differs from it exactly
	// where q lies in the circular segment between chord and arc.
	if p.R > 0 && p.inSegment(q) {
		in = !in
	}
	return in
}

// inSegment reports whether q lies between the arc and its chord.
func (p *Piece) inSegment(q Point) bool {
	inDisc := q.Dist2(p.C) < p.R*p.R
	if p.IsCircle() {
		return inDisc
	}
	if !inDisc {
		return false
	}
	side := p.B.Sub(p.A).Cross(q.Sub(p.A)) // left of the chord is positive
	if p.Sweep > 0 {
		return side < 0
	}
	return side > 0
}

// Dist returns the distance from q to the nearest piece, and that piece.
func (p Path) Dist(q Point) (float64, int) {
	best, at := math.Inf(1), -1
	for i := range p {
		if d := p[i].Dist(q); d < best {
			best, at = d, i
		}
	}
	return best, at
}

// Flatten appends to dst points along the piece from A (left out) to B (put in)
// such that no chord strays further than tol from the arc.
func (p Piece) Flatten(dst []Point, tol float64) []Point {
	if p.R > 0 {
		n := FlattenCount(p.R, p.Sweep, tol)
		for i := 1; i < n; i++ {
			dst = append(dst, p.At(float64(i)/float64(n)))
		}
	}
	return append(dst, p.B)
}

// FlattenCount returns how many chords an arc of radius r and the given sweep
// needs to stay within tol: the sagitta r (1 - cos(step/2)) must not pass tol.
func FlattenCount(r, sweep, tol float64) int {
	if tol >= r {
		tol = r
	}
	step := 2 * math.Acos(1-tol/r)
	if !(step > 1e-5) {
		step = 1e-5
	}
	return max(1, int(math.Ceil(math.Abs(sweep)/step-1e-9)))
}

// Flatten returns the points of the path from its first A to its last B such
// that no chord strays further than tol (mm) from it.
func (p Path) Flatten(tol float64) []Point {
	if len(p) == 0 {
		return nil
	}
	pts := []Point{p[0].A}
	for i := range p {
		pts = p[i].Flatten(pts, tol)
	}
	return pts
}
