package index

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// leafSize is the number of boxes in a leaf; four are as quickly tried as one more
// level is entered (measured).
const leafSize = 4

// Run is a run [Lo, Hi) of things that are kept together.
type Run struct{ Lo, Hi int32 }

// Node is a node of a Tree. Children come before their parents, so that what a
// node is to know besides can be gathered in one pass, into slices of one's own.
type Node struct {
	Box         geom.Box
	Lo, Hi      int32 // places in the tree's order, see Tree.Number
	Left, Right int32 // nodes, -1 in a leaf
}

// Leaf reports whether the node has no children.
func (n *Node) Leaf() bool { return n.Left < 0 }

// Tree is a hierarchy of boxes of any size, given all at once. It is built in
// n log n time and asked in logarithmic time, plus what is found.
type Tree struct {
	Nodes []Node
	Root  int32      // -1 without boxes
	Boxes []geom.Box // by place in the tree's order
	order []int32    // place in the tree -> number; nil where they are the same
}

// NewTree returns a tree over boxes in any order; empty ones are found nowhere.
// It copies what it needs.
func NewTree(boxes []geom.Box) *Tree {
	spots := make([]spot, 0, len(boxes))
	for i := range boxes {
		if usable(&boxes[i]) {
			spots = append(spots, spot{boxes[i].Center(), int32(i)})
		}
	}
	byPlace(spots)
	t := &Tree{Boxes: make([]geom.Box, len(spots)), order: make([]int32, len(spots))}
	for k, s := range spots {
		t.Boxes[k], t.order[k] = boxes[s.i], s.i
	}
	t.build([]Run{{0, int32(len(spots))}})
	return t
}

func usable(b *geom.Box) bool { return !b.Empty() && b.Min.Finite() && b.Max.Finite() }

// NewRunTree returns a tree over runs of boxes that follow each other, as the
// pieces of an outline do: neighbours share their nodes, runs are put together by
// place. It keeps boxes.
func NewRunTree(boxes []geom.Box, runs []Run) *Tree {
	t := &Tree{Boxes: boxes}
	t.build(runs)
	return t
}

// Number returns the number of the box at a place in the tree's order: they
// differ after NewTree only.
func (t *Tree) Number(place int32) int32 {
	if t.order == nil {
		return place
	}
	return t.order[place]
}

func (t *Tree) build(runs []Run) {
	t.Root = -1
	t.Nodes = make([]Node, 0, 2*(len(t.Boxes)/leafSize+len(runs))+2)
	roots := make([]int32, 0, len(runs))
	for _, r := range runs {
		if r.Lo < r.Hi {
			roots = append(roots, t.chain(r.Lo, r.Hi))
		}
	}
	if len(roots) > 0 {
		t.Root = t.join(roots)
	}
}

// chain builds the subtree of one run, in its order.
func (t *Tree) chain(lo, hi int32) int32 {
	if hi-lo <= leafSize {
		n := Node{Box: geom.NoBox(), Lo: lo, Hi: hi, Left: -1, Right: -1}
		for i := lo; i < hi; i++ {
			n.Box = n.Box.Union(t.Boxes[i])
		}
		t.Nodes = append(t.Nodes, n)
		return int32(len(t.Nodes) - 1)
	}
	half := int32(halfOf(int(hi - lo)))
	return t.pair(t.chain(lo, lo+half), t.chain(lo+half, hi))
}

// join builds the upper levels over subtrees by halving them along the longer
// side of the box of their centres.
func (t *Tree) join(roots []int32) int32 {
	if len(roots) == 1 {
		return roots[0]
	}
	b := geom.NoBox()
	for _, r := range roots {
		b = b.Add(t.Nodes[r].Box.Center())
	}
	alongX := b.W() >= b.H()
	slices.SortFunc(roots, func(i, j int32) int {
		p, q := t.Nodes[i].Box.Center(), t.Nodes[j].Box.Center()
		if alongX {
			return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(i, j))
		}
		return cmp.Or(cmp.Compare(p.Y, q.Y), cmp.Compare(i, j))
	})
	half := len(roots) / 2
	return t.pair(t.join(roots[:half]), t.join(roots[half:]))
}

func (t *Tree) pair(l, r int32) int32 {
	a, b := &t.Nodes[l], &t.Nodes[r]
	t.Nodes = append(t.Nodes, Node{
		Box: a.Box.Union(b.Box), Lo: min(a.Lo, b.Lo), Hi: max(a.Hi, b.Hi), Left: l, Right: r,
	})
	return int32(len(t.Nodes) - 1)
}

// In visits the boxes that share a point with b, touching ones too, those of left
// nodes first.
func (t *Tree) In(b geom.Box, visit func(i int32) bool) bool {
	if t.Root < 0 {
		return true
	}
	var buf [64]int32
	stack := append(buf[:0], t.Root)
	for len(stack) > 0 {
		n := &t.Nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if !n.Box.Overlaps(b) {
			continue
		}
		if n.Left >= 0 {
			stack = append(stack, n.Right, n.Left)
			continue
		}
		for k := n.Lo; k < n.Hi; k++ {
			if t.Boxes[k].Overlaps(b) && !visit(t.Number(k)) {
				return false
			}
		}
	}
	return true
}

// Closer visits the boxes that are closer to b than bound (mm) tells, which may
// shrink meanwhile: nearer nodes come first.
func (t *Tree) Closer(b geom.Box, bound func() float64, visit func(i int32)) {
	if t.Root < 0 {
		return
	}
	var buf [64]int32
	stack := append(buf[:0], t.Root)
	for len(stack) > 0 {
		n := &t.Nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if n.Box.Dist(b) >= bound() {
			continue
		}
		if n.Left >= 0 {
			if t.Nodes[n.Left].Box.Dist(b) < t.Nodes[n.Right].Box.Dist(b) {
				stack = append(stack, n.Right, n.Left)
			} else {
				stack = append(stack, n.Left, n.Right)
			}
			continue
		}
		for k := n.Lo; k < n.Hi; k++ {
			if t.Boxes[k].Dist(b) < bound() {
				visit(t.Number(k))
			}
		}
	}
}

// ByDistance visits the boxes by their distance (mm) from q, 0 inside, nearest
// first. The first few take logarithmic time each, however many are as near.
func (t *Tree) ByDistance(q geom.Point, visit func(i int32, d float64) bool) bool {
	if t.Root < 0 {
		return true
	}
	h := make(byDist, 0, 32)
	h.push(distItem{t.Nodes[t.Root].Box.PointDist2(q), -1, t.Root})
	for len(h) > 0 {
		x := h.pop()
		if x.number >= 0 {
			if !visit(x.number, math.Sqrt(x.d2)) {
				return false
			}
			continue
		}
		n := &t.Nodes[x.node]
		if n.Left >= 0 {
			h.push(distItem{t.Nodes[n.Left].Box.PointDist2(q), -1, n.Left})
			h.push(distItem{t.Nodes[n.Right].Box.PointDist2(q), -1, n.Right})
			continue
		}
		for k := n.Lo; k < n.Hi; k++ {
			h.push(distItem{t.Boxes[k].PointDist2(q), t.Number(k), -1})
		}
	}
	return true
}

// distItem is a node (number -1) or a box still to be visited.
type distItem struct {
	d2           float64
	number, node int32
}

// before orders by distance, boxes before nodes as near, so that a crowd in one
// place is not gone through for its first.
func (a *distItem) before(b *distItem) bool {
	if a.d2 != b.d2 {
		return a.d2 < b.d2
	}
	return a.number > b.number
}

// byDist is a binary heap.
type byDist []distItem

func (h *byDist) push(x distItem) {
	*h = append(*h, x)
	l := *h
	i := len(l) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !l[i].before(&l[up]) {
			return
		}
		l[i], l[up] = l[up], l[i]
		i = up
	}
}

func (h *byDist) pop() distItem {
	l := *h
	top, n := l[0], len(l)-1
	l[0] = l[n]
	*h, l = l[:n], l[:n]
	for i := 0; ; {
		c := 2*i + 1
		if c >= n {
			return top
		}
		if c+1 < n && l[c+1].before(&l[c]) {
			c++
		}
		if !l[c].before(&l[i]) {
			return top
		}
		l[i], l[c] = l[c], l[i]
		i = c
	}
}

// Pairs visits, once each, pairs of leaves (a leaf with itself too) whose boxes
// are no more than d mm apart along x and y. A pair of nodes of which apart holds
// is passed over with all below it; apart is asked of a node with itself too.
func (t *Tree) Pairs(d float64, apart func(i, j int32) bool, visit func(i, j int32) bool) bool {
	if t.Root < 0 {
		return true
	}
	var walk func(i, j int32) bool
	walk = func(i, j int32) bool {
		if apart(i, j) {
			return true
		}
		a, b := &t.Nodes[i], &t.Nodes[j]
		switch {
		case i == j && a.Left < 0:
			return visit(i, i)
		case i == j:
			return walk(a.Left, a.Left) && walk(a.Right, a.Right) && walk(a.Left, a.Right)
		case !a.Box.Within(b.Box, d):
			return true
		case a.Left < 0 && b.Left < 0:
			return visit(i, j)
		case b.Left < 0 || (a.Left >= 0 && a.Hi-a.Lo >= b.Hi-b.Lo):
			return walk(a.Left, j) && walk(a.Right, j)
		default:
			return walk(i, b.Left) && walk(i, b.Right)
		}
	}
	return walk(t.Root, t.Root)
}
