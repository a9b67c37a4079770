package kit

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"sluice/geom"
)

// pairOf names two edges by index.
type pairOf struct{ a, b int }

// likeness says how the steps of two edges compare.
type likeness uint8

const (
	different likeness = iota
	same               // the same steps, perhaps mirrored
	mate               // the same steps the other way round
	both               // same and mate: the pattern is its own mate
)

// compare compares the steps of two edges, either way round. Lengths may differ
// by tol.
func compare(a, b []Step, tol float64) likeness {
	n := len(a)
	if n != len(b) || n == 0 {
		return different
	}
	isSame, isMate := true, true
	for pass := range 2 {
		fit, eq, ne := true, true, true
		for i := range n {
			j := i
			if pass == 1 {
				j = n - 1 - i
			}
			pa, pb := a[i].Pos-a[0].Pos, b[j].Pos-b[0].Pos
			if pass == 1 {
				pb = b[n-1].Pos - b[j].Pos
			}
			if math.Abs(pa-pb) > tol {
				fit = false
				break
			}
			// Run the other way an outward step is an inward one.
			up := b[j].Up != (pass == 1)
			eq = eq && a[i].Up == up
			ne = ne && a[i].Up != up
		}
		if pass == 0 {
			isSame, isMate = fit && eq, fit && ne
		} else {
			isSame, isMate = isSame || fit && eq, isMate || fit && ne
		}
	}
	switch {
	case isSame && isMate:
		return both
	case isSame:
		return same
	case isMate:
		return mate
	}
	return different
}

// leastFingers is the least number of steps by which an edge alone names its mate.
const leastFingers = 3

// fingerPairs returns pairs of finger edges of different parts that fit each other:
// for each edge at most one, to count votes.
func fingerPairs(edges []Edge, o Options) []pairOf {
	ix := bySpan(edges, leastFingers)
	var out []pairOf
	for _, i := range ix {
		a := &edges[i]
		n, span := len(a.Steps), a.span()
		from := sort.Search(len(ix), func(k int) bool {
			b := &edges[ix[k]]
			return cmp.Or(cmp.Compare(len(b.Steps), n), cmp.Compare(b.span(), span-o.Near)) >= 0
		})
		for k, tries := from, 0; k < len(ix) && tries < manyTries; k, tries = k+1, tries+1 {
			b := &edges[ix[k]]
			if len(b.Steps) != n || b.span() > span+o.Near {
				break
			}
			if b.Part != a.Part && nearDepth(a.depth(), b.depth()) && compare(a.Steps, b.Steps, o.Near) >= mate {
				out = append(out, pairOf{i, ix[k]})
				break
			}
		}
	}
	return out
}

// nearDepth reports whether edges of fingers of two depths may meet: of parts of two
// thicknesses, each is as deep as the other part is thick.
func nearDepth(a, b float64) bool {
	return math.Abs(a-b) <= sameSteps || max(a, b) <= mostUnequal*min(a, b)
}

// span is the distance from the first step to the last.
func (e *Edge) span() float64 { return e.Steps[len(e.Steps)-1].Pos - e.Steps[0].Pos }

// Middle returns the middle of the edge, out from its inner level by out (mm).
func (e *Edge) Middle(out float64) geom.Point {
	mid := (e.Steps[0].Pos + e.Steps[len(e.Steps)-1].Pos) / 2
	return e.U.Mul(mid).Add(e.Out.Mul(e.Level + out))
}

// bySpan lists the edges of at least least steps by number of steps and span.
func bySpan(edges []Edge, least int) []int {
	var ix []int
	for i := range edges {
		if len(edges[i].Steps) >= least {
			ix = append(ix, i)
		}
	}
	slices.SortStableFunc(ix, func(i, j int) int {
		a, b := &edges[i], &edges[j]
		return cmp.Or(cmp.Compare(len(a.Steps), len(b.Steps)), cmp.Compare(a.span(), b.span()))
	})
	return ix
}

// classes gives edges of the same steps one class, and each class its mate (or
// itself, or -1).
func classes(edges []Edge, o Options) (of []int, mateOf []int) {
	of = make([]int, len(edges))
	for i := range of {
		of[i] = -1
	}
	var reps []int
	ix := bySpan(edges, 1)
	for _, i := range ix {
		a := &edges[i]
		for k := len(reps) - 1; k >= 0 && k >= len(reps)-manyTries; k-- {
			b := &edges[reps[k]]
			if len(b.Steps) != len(a.Steps) || a.span()-b.span() > o.Near {
				break
			}
			if r := compare(a.Steps, b.Steps, o.Near); r == same || r == both {
				of[i] = k
				break
			}
		}
		if of[i] < 0 {
			of[i] = len(reps)
			reps = append(reps, i)
		}
	}
	mateOf = make([]int, len(reps))
	for c := range mateOf {
		mateOf[c] = -1
	}
	for c, i := range reps {
		for d := c; d < len(reps) && d < c+manyTries; d++ {
			a, b := &edges[i], &edges[reps[d]]
			if len(a.Steps) != len(b.Steps) || b.span()-a.span() > o.Near {
				break
			}
			r := compare(a.Steps, b.Steps, o.Near)
			if c == d && r == both {
				mateOf[c] = c
				break
			}
			if r >= mate && mateOf[c] < 0 && mateOf[d] < 0 {
				mateOf[c], mateOf[d] = d, c
				break
			}
		}
	}
	return of, mateOf
}

// EdgeWays says how the steps of two edges fit each other as mates: run along in the same
// order, or against each other.
func (k *Kit) EdgeWays(a, b int) (along, against bool) {
	x, y := &k.Edges[a], &k.Edges[b]
	n := len(x.Steps)
	if n < 2 || n != len(y.Steps) || !k.deepFor(x, y) || !k.deepFor(y, x) {
		return false, false
	}
	along, against = true, true
	tol := DefaultOptions().Near
	for i := range n {
		p, q, r := &x.Steps[i], &y.Steps[i], &y.Steps[n-1-i]
		from := p.Pos - x.Steps[0].Pos
		along = along && p.Up != q.Up && math.Abs(from-(q.Pos-y.Steps[0].Pos)) <= tol
		against = against && p.Up == r.Up && math.Abs(from-(y.Steps[n-1].Pos-r.Pos)) <= tol
	}
	return along, against
}

// deepFor reports whether the fingers of an edge are as deep as the part of its mate is
// thick, or as those of its mate.
func (k *Kit) deepFor(e, mate *Edge) bool {
	return math.Abs(e.depth()-mate.depth()) <= sameSteps || math.Abs(e.depth()-k.PlateOf(mate.Part)) <= sameSteps
}
