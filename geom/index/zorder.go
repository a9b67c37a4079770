package index

import (
	"cmp"
	"slices"

	"sluice/geom"
)

// Morton interleaves the bits of x and y, those of x on the even places: cells in
// the order of their keys run along a Z-shaped curve, on which neighbours mostly
// stay near each other (G. M. Morton, 1966).
func Morton(x, y uint32) uint64 { return evenBits(x) | evenBits(y)<<1 }

// evenBits puts the bits of x on the even places.
func evenBits(x uint32) uint64 {
	v := uint64(x)
	v = (v | v<<16) & 0x0000ffff0000ffff
	v = (v | v<<8) & 0x00ff00ff00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f0f0f0f0f
	v = (v | v<<2) & 0x3333333333333333
	return (v | v<<1) & 0x5555555555555555
}

// ZOrder returns the numbers of the boxes in the order of the Morton keys of their
// middles, narrow boxes before wide ones with the same key. Keys count 2^31 steps
// each way over the square about a point with the given half side, mm; what lies
// beyond counts as on its edge. Of things drawn near each other it makes runs that
// a tree can keep together, in the time of sorting them.
func ZOrder(boxes []geom.Box, about geom.Point, half float64) []int32 {
	f := 0.0
	if half > 0 {
		f = float64(1<<31-1) / (2 * half)
	}
	bits := func(v float64) uint32 {
		if v = (v + half) * f; v > 0 {
			return uint32(min(v, 1<<31-1))
		}
		return 0 // not a number too
	}
	type item struct {
		key uint64
		w   float64
		i   int32
	}
	items := make([]item, len(boxes))
	for i := range boxes {
		c := boxes[i].Center().Sub(about)
		items[i] = item{Morton(bits(c.X), bits(c.Y)), boxes[i].W(), int32(i)}
	}
	slices.SortFunc(items, func(a, b item) int {
		return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.w, b.w), cmp.Compare(a.i, b.i))
	})
	out := make([]int32, len(items))
	for k := range items {
		out[k] = items[k].i
	}
	return out
}
