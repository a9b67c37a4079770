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
// middles in the square about the middle of all with the given half side (2^31
// steps each way), narrow boxes before wide ones of the same key. half is at least
// half the longer side of the box around all; 0 takes just that.
func ZOrder(boxes []geom.Box, half float64) []int32 {
	all := geom.NoBox()
	for i := range boxes {
		if b := &boxes[i]; b.Min.Finite() && b.Max.Finite() {
			all = all.Union(*b)
		}
	}
	mid := all.Center()
	if half == 0 {
		half = max(all.W(), all.H()) / 2
	}
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
		c := boxes[i].Center().Sub(mid)
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
