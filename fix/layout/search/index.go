package search

import (
	"math/bits"

	"sluice/geom"
)

// index finds the boxes that meet a rectangle. Along each axis the room is cut
// into bins, and each bin keeps two sets of boxes: those that begin before its
// end, and those that end behind its start. A rectangle meets what is in four
// of these sets; a box that moves changes only the bins between its old place
// and the new one. Sets are words of 64 bits, so that a question takes a
// sixty-fourth of a pass over all boxes.
type index struct {
	words int
	x, y  axis
	bin   []reach // by box: the bins that hold its sides
	in    []bool  // by box: whether it is in the sets
}

// reach is the bins of a box along x and y.
type reach struct{ x0, x1, y0, y1 int32 }

// axis is the bins of one direction.
type axis struct {
	per           float64 // bins per mm
	before, after []uint64
}

const bins = 64

func newIndex(boxes int) *index {
	x := &index{words: (boxes + 63) / 64, bin: make([]reach, boxes), in: make([]bool, boxes)}
	for _, a := range []*axis{&x.x, &x.y} {
		a.before, a.after = make([]uint64, bins*x.words), make([]uint64, bins*x.words)
	}
	return x
}

// reset empties the index and sets the room that it is finest for.
func (x *index) reset(length, height float64) {
	for _, a := range []*axis{&x.x, &x.y} {
		clear(a.before)
		clear(a.after)
	}
	clear(x.in)
	x.x.per, x.y.per = bins/length, bins/height
}

// bin is that of a place; what lies outside the room belongs to the first or last.
func (a *axis) bin(v float64) int32 {
	switch v *= a.per; {
	case v >= bins-1:
		return bins - 1
	case v > 0:
		return int32(v)
	}
	return 0
}

// put takes box k in, or to another place.
func (x *index) put(k int, b geom.Box) {
	r := reach{x.x.bin(b.Min.X), x.x.bin(b.Max.X), x.y.bin(b.Min.Y), x.y.bin(b.Max.Y)}
	if !x.in[k] {
		x.in[k] = true
		x.x.flip(x.words, k, r.x0, bins, 0, r.x1+1)
		x.y.flip(x.words, k, r.y0, bins, 0, r.y1+1)
	} else {
		o := x.bin[k]
		x.x.flip(x.words, k, min(o.x0, r.x0), max(o.x0, r.x0), min(o.x1, r.x1)+1, max(o.x1, r.x1)+1)
		x.y.flip(x.words, k, min(o.y0, r.y0), max(o.y0, r.y0), min(o.y1, r.y1)+1, max(o.y1, r.y1)+1)
	}
	x.bin[k] = r
}

// drop takes box k out.
func (x *index) drop(k int) {
	if !x.in[k] {
		return
	}
	x.in[k] = false
	r := x.bin[k]
	x.x.flip(x.words, k, r.x0, bins, 0, r.x1+1)
	x.y.flip(x.words, k, r.y0, bins, 0, r.y1+1)
}

// flip changes whether k is in the sets of bins b0 to b1 of before and a0 to a1
// of after.
func (a *axis) flip(words, k int, b0, b1, a0, a1 int32) {
	w, bit := k>>6, uint64(1)<<(k&63)
	for b := b0; b < b1; b++ {
		a.before[int(b)*words+w] ^= bit
	}
	for b := a0; b < a1; b++ {
		a.after[int(b)*words+w] ^= bit
	}
}

// query is the sets that a rectangle asks for; w walks over its words.
type query struct{ bx, ax, by, ay []uint64 }

// ask states a rectangle.
func (x *index) ask(x0, x1, y0, y1 float64) query {
	n := x.words
	at := func(s []uint64, b int32) []uint64 { return s[int(b)*n : int(b)*n+n] }
	return query{
		at(x.x.before, x.x.bin(x1)), at(x.x.after, x.x.bin(x0)),
		at(x.y.before, x.y.bin(y1)), at(x.y.after, x.y.bin(y0)),
	}
}

// word returns the boxes 64 w to 64 w + 63 that may meet the rectangle.
func (q *query) word(w int) uint64 { return q.bx[w] & q.ax[w] & q.by[w] & q.ay[w] }

// next takes the lowest box out of a word.
func next(m *uint64) int {
	k := bits.TrailingZeros64(*m)
	*m &= *m - 1
	return k
}
