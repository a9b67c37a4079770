package index

import (
	"math"

	"sluice/geom"
)

// PieceTree is a Tree over pieces, which finds the nearest one exactly.
type PieceTree struct {
	*Tree
	Pieces []geom.Piece // by place in the tree's order
}

// NewPieceTree returns a tree over the pieces of runs, as NewRunTree does. boxes
// may be nil. It keeps both.
func NewPieceTree(pieces []geom.Piece, boxes []geom.Box, runs []Run) *PieceTree {
	if boxes == nil {
		boxes = make([]geom.Box, len(pieces))
		for i := range pieces {
			boxes[i] = pieces[i].Box()
		}
	}
	return &PieceTree{NewRunTree(boxes, runs), pieces}
}

// PathTree returns a tree over the pieces of one path, by their index.
func PathTree(path []geom.Piece) *PieceTree {
	return NewPieceTree(path, nil, []Run{{0, int32(len(path))}})
}

// Scattered returns a tree over pieces in any order. It copies them; Number tells
// which one lies where.
func Scattered(pieces []geom.Piece) *PieceTree {
	boxes := make([]geom.Box, len(pieces))
	for i := range pieces {
		boxes[i] = pieces[i].Box()
	}
	t := &PieceTree{Tree: NewTree(boxes)}
	t.Pieces = make([]geom.Piece, len(t.order))
	for k, i := range t.order {
		t.Pieces[k] = pieces[i]
	}
	return t
}

// Nearest returns the distance from q to the nearest piece among those nearer
// than bound (mm), and its place in Pieces; bound and -1 if there is none. Where two
// neighbours of a run share the end that q lies on, it is the one before.
func (t *PieceTree) Nearest(q geom.Point, bound float64) (float64, int32) {
	best, at := bound, int32(-1)
	if t.Root < 0 {
		return best, at
	}
	var buf [64]int32
	stack := append(buf[:0], t.Root)
	for len(stack) > 0 {
		n := &t.Nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if n.Box.PointDist2(q) >= best*best {
			continue
		}
		if n.Left < 0 {
			for k := n.Lo; k < n.Hi; k++ {
				if d := t.Pieces[k].Dist(q); d < best {
					best, at = d, k
				}
			}
			continue
		}
		if t.Nodes[n.Left].Box.PointDist2(q) <= t.Nodes[n.Right].Box.PointDist2(q) {
			stack = append(stack, n.Right, n.Left)
		} else {
			stack = append(stack, n.Left, n.Right)
		}
	}
	return best, at
}

// NearestFrom returns the distance from q to the nearest piece, and its place in
// Pieces, when the piece at place hint may be near it; hint may be -1. Of several
// as near it takes the hint. It returns infinity and -1 without pieces,
// infinity and the first place where q is no number.
func (t *PieceTree) NearestFrom(q geom.Point, hint int32) (float64, int32) {
	bound := math.Inf(1)
	if hint >= 0 {
		bound = t.Pieces[hint].Dist(q)
	}
	d, at := t.Nearest(q, bound)
	if at < 0 {
		at = hint
	}
	if at < 0 && len(t.Pieces) > 0 {
		at = 0
	}
	return d, at
}
