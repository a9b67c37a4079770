package fit

import (
	"errors"
	"math"

	"sluice/fix/fit/side"
	"sluice/geom"
)

// Errors of Move.
var (
	ErrNoRoom = errors.New("a side would vanish")
	ErrOpen   = errors.New("a moved side does not meet its neighbour any more")
)

// Move returns the path with each side moved outward by the distance by of its
// index. Corners go with their sides: arcs, chamfers and reliefs keep their
// size. Half circles that head a tab or end a slot stay half circles between the sides
// beside them. src gives the piece of path that each piece of the result comes from.
func Move(path geom.Path, sides []side.Side, by []float64) (moved geom.Path, src []int, err error) {
	n := len(sides)
	if n == 0 {
		return path, identity(len(path)), nil
	}
	// How the corner after each side is shifted.
	shift := make([]geom.Point, n)
	for i := range sides {
		if sides[i].Linked {
			j := (i + 1) % n
			shift[i] = corner(sides[i].U, sides[j].U, by[i], by[j])
		}
	}
	for i := range sides {
		s, prev := &sides[i], (i+n-1)%n
		out := s.U.Left().Mul(-by[i])
		run := stretch(path, s.First, s.Count)
		var a, b geom.Point
		first, last := path[s.First].A, path[(s.First+s.Count-1)%len(path)].B
		if a, err = end(path, sides, prev, i, first, out, s.U, shift[prev], false); err != nil {
			return nil, nil, err
		}
		if b, err = end(path, sides, i, i, last, out, s.U, shift[i], true); err != nil {
			return nil, nil, err
		}
		if s.Round {
			moved, src = append(moved, half(a, b, path[s.First].Sweep)), append(src, s.First)
			continue
		}
		length := b.Sub(a).Dot(s.U)
		if length < -1e-9 {
			return nil, nil, ErrNoRoom
		}
		at := a
		for k, p := range run {
			to := p.B.Add(out)
			if k == len(run)-1 {
				to = b
			} else if d := to.Sub(a).Dot(s.U); d <= 0 {
				to = a
			} else if d >= length {
				to = b
			}
			if at.Dist(to) > 1e-9 {
				moved = append(moved, geom.Line(at, to))
				src = append(src, (s.First+k)%len(path))
			}
			at = to
		}
		// What follows: carried along at a corner, else left where it is, its
		// ends drawn to the sides.
		rest := stretch(path, s.After, s.Gap)
		for k, p := range rest {
			var q geom.Piece
			if s.Linked {
				q = p.Transform(geom.Shift(shift[i]))
			} else {
				from, to := p.A, p.B
				if k == 0 {
					from = b
				}
				if k == len(rest)-1 {
					j := (i + 1) % n
					o := sides[j].U.Left().Mul(-by[j])
					if to, err = end(path, sides, i, j, path[sides[j].First].A, o, sides[j].U, shift[i], false); err != nil {
						return nil, nil, err
					}
				}
				q = p.WithEnds(from, to)
			}
			moved = append(moved, q)
			src = append(src, (s.After+k)%len(path))
		}
	}
	if !joined(moved) {
		return nil, nil, ErrOpen
	}
	close0(moved)
	return moved, src, nil
}

// half returns the half circle between two ends that turns the way that sweep does.
func half(a, b geom.Point, sweep float64) geom.Piece {
	return geom.Bulge(a, b, math.Copysign(1, sweep))
}

// corner returns the shift of the point at which two sides meet when they move
// outward by a and b.
func corner(u, v geom.Point, a, b float64) geom.Point {
	n, m := u.Left().Mul(-1), v.Left().Mul(-1)
	det := n.Cross(m)
	return geom.Pt((a*m.Y-b*n.Y)/det, (b*n.X-a*m.X)/det)
}

// end returns where side i, shifted by out, now begins or ends. link is the side
// before the corner concerned, p the old end.
func end(path geom.Path, sides []side.Side, link, i int, p, out, u, shift geom.Point, after bool) (geom.Point, error) {
	if sides[link].Linked {
		return p.Add(shift), nil
	}
	if out == (geom.Point{}) {
		return p, nil
	}
	k := (sides[i].First + len(path) - 1) % len(path)
	if after {
		k = sides[i].After
	}
	if sides[link].Gap == 0 {
		return geom.Point{}, ErrOpen
	}
	q := &path[k]
	o := p.Add(out)
	if q.R == 0 {
		v := q.B.Sub(q.A)
		den := u.Cross(v)
		if math.Abs(den) < 1e-6*v.Norm() {
			return geom.Point{}, ErrOpen
		}
		return o.Add(u.Mul(q.A.Sub(o).Cross(v) / den)), nil
	}
	// Beside an arc that it runs into smoothly a line cannot move alone.
	if math.Abs(q.C.Sub(p).Cross(u)) > 0.995*q.R {
		return geom.Point{}, ErrOpen
	}
	// The moved line meets the circle twice: the nearer place.
	w := q.C.Sub(o)
	along, off := w.Dot(u), w.Cross(u)
	h := q.R*q.R - off*off
	if h <= 0 {
		return geom.Point{}, ErrOpen
	}
	h = math.Sqrt(h)
	s := along - h
	if math.Abs(along+h) < math.Abs(s) {
		s = along + h
	}
	if math.Abs(s) > 0.7*q.R+4*out.Norm() {
		return geom.Point{}, ErrOpen
	}
	return o.Add(u.Mul(s)), nil
}

// stretch returns count pieces from first round.
func stretch(path geom.Path, first, count int) geom.Path {
	out := make(geom.Path, 0, count)
	for k := range count {
		out = append(out, path[(first+k)%len(path)])
	}
	return out
}

func identity(n int) []int {
	ix := make([]int, n)
	for i := range ix {
		ix[i] = i
	}
	return ix
}

// joined reports whether each piece starts where the one before ends.
func joined(p geom.Path) bool {
	for i := range p {
		if p[(i+len(p)-1)%len(p)].B.Dist(p[i].A) > 1e-6 {
			return false
		}
	}
	return len(p) > 0
}

// close0 makes neighbours share their ends exactly.
func close0(p geom.Path) {
	for i := range p {
		if next := &p[(i+1)%len(p)]; next.A != p[i].B {
			if p[i].IsLine() {
				p[i].B = next.A
			} else if next.IsLine() {
				next.A = p[i].B
			}
		}
	}
}
