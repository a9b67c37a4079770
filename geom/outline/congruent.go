package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// mark is a characteristic point of a part: a corner of one of its rings, with
// the piece that leaves it, or the centre of a round ring.
type mark struct {
	p     geom.Point
	round float64 // radius of a round ring, signed by its direction; 0 for a corner
	sweep float64 // of the piece that leaves a corner
	out   float64 // length of that piece
	dist  float64 // from the part's centre of mass
}

// shape is what congruence looks at: the marks about the centre of mass,
// sorted by x.
type shape struct {
	centre geom.Point
	marks  []mark
	length float64
	area   float64
	far    int // the mark furthest from the centre
}

// Tidy returns a closed path with runs of pieces that continue each other on
// one line or one circle joined, so that it no longer matters how often an
// outline was split. A whole circle becomes one piece. tol is in mm.
func Tidy(p geom.Path, tol float64) geom.Path {
	n := len(p)
	if n == 0 {
		return nil
	}
	// Start at a place where pieces do not continue each other.
	start := -1
	for k := range n {
		if !continues(&p[(k+n-1)%n], &p[k], tol) {
			start = k
			break
		}
	}
	if start < 0 {
		if p[0].R > 0 {
			return geom.Path{geom.Arc(p[0].C, p[0].R, 0, math.Copysign(2*math.Pi, p[0].Sweep))}
		}
		return p
	}
	out := make(geom.Path, 0, n)
	for k := range n {
		q := p[(start+k)%n]
		if m := len(out); m > 0 && k > 0 && continues(&out[m-1], &q, tol) {
			out[m-1].B = q.B
			out[m-1].Sweep += q.Sweep
			continue
		}
		out = append(out, q)
	}
	return out
}

// continues reports whether q goes on from p along the same line or circle.
func continues(p, q *geom.Piece, tol float64) bool {
	if (p.R == 0) != (q.R == 0) {
		return false
	}
	if p.R == 0 {
		d := q.B.Sub(p.A)
		l := d.Norm()
		if l == 0 || p.B.Sub(p.A).Dot(q.B.Sub(q.A)) <= 0 {
			return false
		}
		return math.Abs(d.Cross(p.B.Sub(p.A))) <= tol*l/4
	}
	return (p.Sweep > 0) == (q.Sweep > 0) && p.C.Dist(q.C) <= tol && math.Abs(p.R-q.R) <= tol && math.Abs(p.Sweep+q.Sweep) <= 2*math.Pi+1e-9
}

func (s *Sheet) shapeOf(k int, tol float64) shape {
	part := &s.Parts[k]
	sh := shape{centre: part.Centroid, area: part.Area, far: -1}
	add := func(o int32) {
		t := Tidy(s.Outlines[o].Pieces, tol)
		sh.length += s.Outlines[o].Length
		if len(t) == 1 && t[0].R > 0 {
			sh.marks = append(sh.marks, mark{p: t[0].C.Sub(sh.centre), round: math.Copysign(t[0].R, t[0].Sweep)})
			return
		}
		for _, q := range t {
			sh.marks = append(sh.marks, mark{p: q.A.Sub(sh.centre), sweep: q.Sweep, out: q.Length()})
		}
	}
	add(part.Outer)
	for _, h := range part.Holes {
		add(h)
	}
	slices.SortFunc(sh.marks, func(a, b mark) int { return cmp.Or(cmp.Compare(a.p.X, b.p.X), cmp.Compare(a.p.Y, b.p.Y)) })
	for i := range sh.marks {
		sh.marks[i].dist = sh.marks[i].p.Norm()
		if sh.far < 0 || sh.marks[i].dist > sh.marks[sh.far].dist+tol {
			sh.far = i
		}
	}
	return sh
}

func (m *mark) like(o *mark, tol float64) bool {
	return math.Abs(m.round-o.round) <= tol && math.Abs(m.sweep-o.sweep)*max(m.out, tol) <= 4*tol*max(1, math.Abs(m.sweep)) && math.Abs(m.out-o.out) <= 4*tol
}

// fits reports whether a turned by some angle lies on b within tol. It tries the
// turns that bring a's furthest mark onto a like mark of b.
func (a *shape) fits(b *shape, tol float64) bool {
	if len(a.marks) != len(b.marks) || math.Abs(a.length-b.length) > 4*tol*math.Sqrt(float64(len(a.marks)+1))+1e-9*a.length ||
		math.Abs(a.area-b.area) > tol*a.length {
		return false
	}
	if len(a.marks) == 0 {
		return true
	}
	m := &a.marks[a.far]
	if m.dist <= tol { // all marks in the middle: one ring, or concentric rings
		return a.under(b, geom.Pt(1, 0), tol)
	}
	tries := 0
	for i := range b.marks {
		o := &b.marks[i]
		if math.Abs(o.dist-m.dist) > tol || !m.like(o, tol) {
			continue
		}
		if tries++; tries > 512 {
			return false
		}
		// The turn that takes m to o, as cosine and sine.
		d := m.dist * o.dist
		if a.under(b, geom.Pt(m.p.Dot(o.p)/d, m.p.Cross(o.p)/d), tol) {
			return true
		}
	}
	return false
}

// under reports whether every mark of a, turned, lies on a like mark of b.
func (a *shape) under(b *shape, turn geom.Point, tol float64) bool {
	for i := range a.marks {
		m := &a.marks[i]
		p := geom.Pt(m.p.X*turn.X-m.p.Y*turn.Y, m.p.X*turn.Y+m.p.Y*turn.X)
		k, _ := slices.BinarySearchFunc(b.marks, p.X-2*tol, func(o mark, x float64) int { return cmp.Compare(o.p.X, x) })
		ok := false
		for ; k < len(b.marks) && b.marks[k].p.X <= p.X+2*tol; k++ {
			if b.marks[k].p.Dist(p) <= 2*tol && m.like(&b.marks[k], tol) {
				ok = true
				break
			}
		}
		if !ok {
			return false
		}
	}
	return true
}

// Classes groups congruent parts: those that lie on each other within tol (mm)
// when moved and turned, holes included, but not mirrored. It returns for each
// part the first part that it equals.
func (s *Sheet) Classes(tol float64) []int {
	of := make([]int, len(s.Parts))
	// First members of classes, by number of marks and then area, so that only
	// parts of one size are compared.
	type rep struct {
		part int
		sh   shape
	}
	reps := map[int][]rep{}
	for k := range s.Parts {
		sh := s.shapeOf(k, tol)
		of[k] = k
		list := reps[len(sh.marks)]
		slack := tol * sh.length
		at, _ := slices.BinarySearchFunc(list, sh.area-slack, func(r rep, a float64) int { return cmp.Compare(r.sh.area, a) })
		for i := at; i < len(list) && list[i].sh.area <= sh.area+slack; i++ {
			if sh.fits(&list[i].sh, tol) {
				of[k] = list[i].part
				break
			}
		}
		if of[k] == k {
			at, _ = slices.BinarySearchFunc(list, sh.area, func(r rep, a float64) int { return cmp.Compare(r.sh.area, a) })
			reps[len(sh.marks)] = slices.Insert(list, at, rep{k, sh})
		}
	}
	return of
}

// Number gives every part its number, from 1 in reading order; congruent parts
// share one.
func (s *Sheet) Number(tol float64) {
	next := 0
	for k, c := range s.Classes(tol) {
		if c == k {
			next++
			s.Parts[k].Number = next
		} else {
			s.Parts[k].Number = s.Parts[c].Number
		}
	}
}
