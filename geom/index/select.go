package index

import (
	"cmp"
	"math/bits"
	"slices"

	"sluice/geom"
)

// spot is the middle of a box with the box's number.
type spot struct {
	geom.Point
	i int32
}

func alongX(a, b spot) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.i, b.i)) }
func alongY(a, b spot) int { return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.i, b.i)) }

// byPlace orders spots so that runs of any length lie close together: halved along
// the longer side of the box around them, halves anew, and so on down to leaves.
func byPlace(s []spot) {
	for len(s) > leafSize {
		b := geom.NoBox()
		for i := range s {
			b = b.Add(s[i].Point)
		}
		half := halfOf(len(s))
		if b.W() >= b.H() {
			split(s, half, alongX)
		} else {
			split(s, half, alongY)
		}
		byPlace(s[:half])
		s = s[half:]
	}
}

// halfOf returns where a run of n is halved: leaves are full but for the last.
func halfOf(n int) int { return (n/2 + leafSize - 1) / leafSize * leafSize }

// split brings the k lowest spots before the others (C. A. R. Hoare, "Algorithm
// 65: find", 1961). Where that makes no headway it sorts.
func split(s []spot, k int, order func(a, b spot) int) {
	for tries := 4 * bits.Len(uint(len(s))); len(s) > 16; tries-- {
		if tries == 0 {
			break
		}
		a, m, z := s[0], s[len(s)/2], s[len(s)-1]
		if order(a, m) > 0 {
			a, m = m, a
		}
		if order(m, z) > 0 {
			m = z
			if order(a, m) > 0 {
				m = a
			}
		}
		i, j := 0, len(s)-1
		for i <= j {
			for order(s[i], m) < 0 {
				i++
			}
			for order(s[j], m) > 0 {
				j--
			}
			if i <= j {
				s[i], s[j] = s[j], s[i]
				i++
				j--
			}
		}
		// Now s[:j+1] is no higher and s[i:] no lower than what is between.
		switch {
		case k <= j:
			s = s[:j+1]
		case k >= i:
			s, k = s[i:], k-i
		default:
			return
		}
	}
	slices.SortFunc(s, order)
}
