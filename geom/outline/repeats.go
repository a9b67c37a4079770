package outline

import (
	"math"

	"sluice/geom"
)

// wholeRepeats finds strokes that repeat an earlier one whole: the same ends in
// either direction and the same middle, within same. It returns for each stroke
// the one it repeats, or -1. Strokes are hashed by both ends, so that many
// copies, or many strokes through one point, cost no more than others.
func wholeRepeats(n int, piece func(int) *geom.Piece, skip func(int) bool, same float64) []int32 {
	of := make([]int32, n)
	size := 64
	for 3*size < 4*n {
		size *= 2
	}
	keys := make([]uint64, size)
	heads := make([]int32, size)
	next := make([]int32, n)
	m := uint64(size - 1)
	slot := func(k uint64) uint64 {
		for i := k & m; ; i = (i + 1) & m {
			if keys[i] == k || keys[i] == 0 {
				return i
			}
		}
	}
	cell := 16 * same
	var xs [4][2]int64
	for i := range n {
		of[i] = -1
		if skip(i) {
			continue
		}
		p := piece(i)
		tol := repeatTolerance(p, same)
		a, b := p.A, p.B
		if p.IsCircle() {
			a, b = p.C, p.C.Add(geom.Pt(p.R, 0)) // a circle may start anywhere
		}
		// Look under (a, b) and (b, a), in each neighbouring cell that a point
		// within tol can fall into.
		for rev := range 2 {
			v := [4]float64{a.X, a.Y, b.X, b.Y}
			if rev == 1 {
				if p.IsCircle() {
					break
				}
				v = [4]float64{b.X, b.Y, a.X, a.Y}
			}
			var two [4]bool
			for k, f := range v {
				lo, hi := int64(math.Floor((f-tol)/cell)), int64(math.Floor((f+tol)/cell))
				xs[k] = [2]int64{lo, hi}
				two[k] = hi != lo
			}
			for c := 0; c < 16 && of[i] < 0; c++ {
				skipIt := false
				var q [4]int64
				for k := range 4 {
					w := c >> k & 1
					if w == 1 && !two[k] {
						skipIt = true
						break
					}
					q[k] = xs[k][w]
				}
				if skipIt {
					continue
				}
				s := slot(mix4(q))
				if keys[s] == 0 {
					continue
				}
				for j := heads[s]; j >= 0; j = next[j] {
					if repeats(p, piece(int(j)), tol, rev == 1) {
						of[i] = j
						break
					}
				}
			}
		}
		if of[i] >= 0 {
			continue
		}
		k := mix4([4]int64{int64(math.Floor(a.X / cell)), int64(math.Floor(a.Y / cell)), int64(math.Floor(b.X / cell)), int64(math.Floor(b.Y / cell))})
		s := slot(k)
		if keys[s] == 0 {
			keys[s] = k
			heads[s] = -1
		}
		next[i] = heads[s]
		heads[s] = int32(i)
	}
	return of
}

func mix4(q [4]int64) uint64 {
	return mix(int64(mix(q[0], q[1])), int64(mix(q[2], q[3])))
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
