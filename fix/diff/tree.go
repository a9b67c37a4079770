package diff

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// leafSize is the number of pieces in a leaf of a tree.
const leafSize = 4

// tree finds the piece nearest to a point. Its nodes are runs of pieces halved
// again and again, so that pieces should lie near those that follow them.
type tree struct {
	pieces []geom.Piece
	nodes  []node // a left child follows its parent
}

type node struct {
	box   geom.Box
	right int // the right child
}

// newTree builds a tree over pieces that follow each other, as on an outline.
func newTree(pieces []geom.Piece) *tree {
	t := &tree{pieces: pieces}
	if len(pieces) > 0 {
		t.nodes = make([]node, 0, 2*(len(pieces)/leafSize)+2)
		t.build(0, len(pieces))
	}
	return t
}

// newScatterTree builds a tree over pieces in any order: they are sorted along a
// curve that fills the plane (Morton order of their middles).
func newScatterTree(pieces []geom.Piece) *tree {
	if len(pieces) <= leafSize {
		return newTree(pieces)
	}
	box := geom.Path(pieces).Box()
	side := max(box.W(), box.H())
	if !(side > 0) {
		return newTree(pieces)
	}
	type keyed struct {
		key   uint64
		piece geom.Piece
	}
	list := make([]keyed, len(pieces))
	for i, p := range pieces {
		m := p.Mid().Sub(box.Min).Mul(1 / side)
		list[i] = keyed{spread(m.X) | spread(m.Y)<<1, p}
	}
	slices.SortStableFunc(list, func(a, b keyed) int { return cmp.Compare(a.key, b.key) })
	sorted := make([]geom.Piece, len(list))
	for i := range list {
		sorted[i] = list[i].piece
	}
	return newTree(sorted)
}

// spread puts the leading 20 bits of a share in [0, 1] on every second bit.
func spread(v float64) uint64 {
	n := uint64(min(max(v, 0), 1) * (1<<20 - 1))
	var s uint64
	for i := range 20 {
		s |= n >> i & 1 << (2 * i)
	}
	return s
}

// build appends the node of the pieces [lo, hi) with all below it and returns its
// box.
func (t *tree) build(lo, hi int) geom.Box {
	at := len(t.nodes)
	t.nodes = append(t.nodes, node{box: geom.NoBox()})
	b := geom.NoBox()
	if hi-lo <= leafSize {
		for i := lo; i < hi; i++ {
			b = b.Union(t.pieces[i].Box())
		}
	} else {
		mid := (lo + hi) / 2
		b = t.build(lo, mid)
		t.nodes[at].right = len(t.nodes)
		b = b.Union(t.build(mid, hi))
	}
	t.nodes[at].box = b
	return b
}

// nearest returns the distance from q to the nearest piece and that piece, -1
// where the tree is empty. hint is a piece to try first, or -1.
func (t *tree) nearest(q geom.Point, hint int) (float64, int) {
	if len(t.pieces) == 0 {
		return math.Inf(1), -1
	}
	best, at := math.Inf(1), -1
	if hint >= 0 {
		best, at = t.pieces[hint].Dist(q), hint
	}
	t.descend(0, 0, len(t.pieces), q, &best, &at)
	if at < 0 { // coordinates that are no numbers
		return best, 0
	}
	return best, at
}

func (t *tree) descend(at, lo, hi int, q geom.Point, best *float64, near *int) {
	if hi-lo <= leafSize {
		for i := lo; i < hi; i++ {
			if d := t.pieces[i].Dist(q); d < *best {
				*best, *near = d, i
			}
		}
		return
	}
	mid := (lo + hi) / 2
	right := t.nodes[at].right
	dl, dr := t.nodes[at+1].box.Dist(geom.Box{Min: q, Max: q}), t.nodes[right].box.Dist(geom.Box{Min: q, Max: q})
	if dl <= dr {
		if dl < *best {
			t.descend(at+1, lo, mid, q, best, near)
		}
		if dr < *best {
			t.descend(right, mid, hi, q, best, near)
		}
		return
	}
	if dr < *best {
		t.descend(right, mid, hi, q, best, near)
	}
	if dl < *best {
		t.descend(at+1, lo, mid, q, best, near)
	}
}
