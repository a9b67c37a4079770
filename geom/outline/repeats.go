package outline

import (
	"math"

	"sluice/geom"
	"sluice/geom/index"
)

// wholeRepeats finds strokes that repeat an earlier one whole: the same ends in
// either direction and the same middle, within same. It returns for each stroke
// the one it repeats, or -1. Strokes are hashed by both ends, so that many
// copies, or many strokes through one point, cost no more than others.
func wholeRepeats[I ~int32](n int, piece func(I) *geom.Piece, same float64) []I {
	of := make([]I, n)
	t := index.NewTable(n)
	cell := 16 * same
	at := func(i int32) *geom.Piece { return piece(I(i)) }
	for i := range n {
		of[i] = -1
		p := piece(I(i))
		tol := repeatTolerance(p, same)
		a, b, either := inOrder(p, tol)
		if of[i] = I(findRepeat(t, a, b, p, at, tol, cell)); of[i] < 0 && either {
			of[i] = I(findRepeat(t, b, a, p, at, tol, cell))
		}
		if of[i] < 0 {
			t.Push(cellKey([4]int64{floor(a.X / cell), floor(a.Y / cell), floor(b.X / cell), floor(b.Y / cell)}), int32(i))
		}
	}
	return of
}

// inOrder returns the ends of a piece in an order that does not depend on its
// direction: from left to right, or, for an upright piece, from below. either
// tells that a repeat of it might be ordered the other way.
func inOrder(p *geom.Piece, tol float64) (a, b geom.Point, either bool) {
	if p.IsCircle() { // a circle may start anywhere
		return p.C, p.C.Add(geom.Pt(p.R, 0)), false
	}
	a, b = p.A, p.B
	d := b.X - a.X
	upright := math.Abs(d) <= 4*tol
	if upright {
		if b.Y < a.Y {
			a, b = b, a
		}
	} else if d < 0 {
		a, b = b, a
	}
	return a, b, math.Abs(d) > 2*tol && math.Abs(d) <= 8*tol
}

func floor(v float64) int64 { return int64(math.Floor(v)) }

// cellKey is the key of a piece by the cells of both its ends.
func cellKey(q [4]int64) uint64 {
	return index.Mix(int64(index.Mix(q[0], q[1])), int64(index.Mix(q[2], q[3])))
}

// findRepeat returns a piece that p, with its ends taken as a and b, repeats, or
// -1. It looks into each cell that an end within tol of a or b can fall into.
func findRepeat(t *index.Table, a, b geom.Point, p *geom.Piece, piece func(int32) *geom.Piece, tol, cell float64) int32 {
	var lo, hi [4]int64
	for k, v := range [4]float64{a.X, a.Y, b.X, b.Y} {
		lo[k], hi[k] = floor((v-tol)/cell), floor((v+tol)/cell)
	}
	for c := range 16 {
		q := lo
		twice := false
		for k := range 4 {
			if c>>k&1 == 1 {
				twice = twice || lo[k] == hi[k]
				q[k] = hi[k]
			}
		}
		if twice {
			continue
		}
		for j := range t.All(cellKey(q)) {
			o := piece(j)
			if repeats(p, o, tol, false) || repeats(p, o, tol, true) {
				return j
			}
		}
	}
	return -1
}

// repeatTolerance is same, or less for pieces so short that neighbours of one
// curve would pass for repeats of each other.
func repeatTolerance(p *geom.Piece, same float64) float64 { return min(same, p.Length()/8) }

func repeats(p, q *geom.Piece, tol float64, reversed bool) bool {
	if p.IsCircle() != q.IsCircle() {
		return false
	}
	if p.IsCircle() {
		return p.C.Dist(q.C)+math.Abs(p.R-q.R) <= tol
	}
	qa, qb := q.A, q.B
	if reversed {
		qa, qb = qb, qa
	}
	t2 := tol * tol
	return p.A.Dist2(qa) <= t2 && p.B.Dist2(qb) <= t2 && ((p.R == 0 && q.R == 0) || p.Mid().Dist2(q.Mid()) <= t2)
}
