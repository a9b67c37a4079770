package clear

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"sluice/geom"
)

// leafSize is the number of pieces in a leaf of a tree; four boxes are as
// quickly tried as one more level is entered.
const leafSize = 4

// allDirs is a set of directions that holds every one.
const allDirs = ^uint64(0)

// node is a run of pieces with the box that holds them and the set of
// directions of their normals.
type node struct {
	box         geom.Box
	dirs        uint64 // sectors that hold a normal of a piece of the run
	facing      uint64 // sectors opposite to those, give or take 60 degrees
	lo, hi      int32  // the pieces
	left, right int32  // -1 for a leaf
}

// tree is a hierarchy of boxes over pieces. Neighbours on an outline are kept
// together, so that a long smooth run is dismissed as a whole: its normals do
// not face each other.
type tree struct {
	pieces []geom.Piece
	boxes  []geom.Box
	dirs   []uint64 // nil: directions are not kept
	nodes  []node
	root   int32
}

// span is a run of pieces [lo, hi).
type span struct{ lo, hi int32 }

// newTree builds a tree over runs of pieces. dirs may be nil.
func newTree(pieces []geom.Piece, boxes []geom.Box, dirs []uint64, runs []span) *tree {
	t := &tree{pieces: pieces, boxes: boxes, dirs: dirs, root: -1}
	t.nodes = make([]node, 0, 2*(len(pieces)/leafSize+len(runs))+2)
	roots := make([]int32, 0, len(runs))
	for _, r := range runs {
		if r.lo < r.hi {
			roots = append(roots, t.chain(r.lo, r.hi))
		}
	}
	if len(roots) > 0 {
		t.root = t.join(roots)
	}
	return t
}

// chain builds the subtree of one run of pieces, in their order.
func (t *tree) chain(lo, hi int32) int32 {
	if hi-lo <= leafSize {
		n := node{box: geom.NoBox(), lo: lo, hi: hi, left: -1, right: -1, dirs: allDirs, facing: allDirs}
		if t.dirs != nil {
			n.dirs = 0
		}
		for i := lo; i < hi; i++ {
			n.box = n.box.Union(t.boxes[i])
			if t.dirs != nil {
				n.dirs |= t.dirs[i]
			}
		}
		if t.dirs != nil {
			n.facing = facing(n.dirs)
		}
		t.nodes = append(t.nodes, n)
		return int32(len(t.nodes) - 1)
	}
	half := ((hi-lo)/2 + leafSize - 1) / leafSize * leafSize
	return t.pair(t.chain(lo, lo+half), t.chain(lo+half, hi))
}

// join builds the upper levels over subtrees by halving them along the longer
// side of the box of their centres.
func (t *tree) join(roots []int32) int32 {
	if len(roots) == 1 {
		return roots[0]
	}
	b := geom.NoBox()
	for _, r := range roots {
		b = b.Add(t.nodes[r].box.Center())
	}
	alongX := b.W() >= b.H()
	slices.SortFunc(roots, func(i, j int32) int {
		p, q := t.nodes[i].box.Center(), t.nodes[j].box.Center()
		if alongX {
			return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(i, j))
		}
		return cmp.Or(cmp.Compare(p.Y, q.Y), cmp.Compare(i, j))
	})
	half := len(roots) / 2
	return t.pair(t.join(roots[:half]), t.join(roots[half:]))
}

func (t *tree) pair(l, r int32) int32 {
	a, b := &t.nodes[l], &t.nodes[r]
	t.nodes = append(t.nodes, node{
		box: a.box.Union(b.box), dirs: a.dirs | b.dirs, facing: a.facing | b.facing,
		lo: min(a.lo, b.lo), hi: max(a.hi, b.hi), left: l, right: r,
	})
	return int32(len(t.nodes) - 1)
}

// nearest returns the piece nearest to q among those nearer than bound, with
// its distance; -1 if there is none.
func (t *tree) nearest(q geom.Point, bound float64) (float64, int32) {
	best, at := bound, int32(-1)
	if t.root < 0 {
		return best, at
	}
	var buf [64]int32
	stack := append(buf[:0], t.root)
	for len(stack) > 0 {
		n := &t.nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if boxDist2(n.box, q) >= best*best {
			continue
		}
		if n.left < 0 {
			for i := n.lo; i < n.hi; i++ {
				if boxDist2(t.boxes[i], q) < best*best {
					if d := t.pieces[i].Dist(q); d < best {
						best, at = d, i
					}
				}
			}
			continue
		}
		if boxDist2(t.nodes[n.left].box, q) < boxDist2(t.nodes[n.right].box, q) {
			stack = append(stack, n.right, n.left)
		} else {
			stack = append(stack, n.left, n.right)
		}
	}
	return best, at
}

// within calls f for every piece whose box comes within d of box b, in no
// particular but a fixed order, until f returns false.
func (t *tree) within(b geom.Box, d float64, f func(i int32) bool) {
	if t.root < 0 {
		return
	}
	b = b.Inflate(d)
	var buf [64]int32
	stack := append(buf[:0], t.root)
	for len(stack) > 0 {
		n := &t.nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if !n.box.Overlaps(b) {
			continue
		}
		if n.left >= 0 {
			stack = append(stack, n.right, n.left)
			continue
		}
		for i := n.lo; i < n.hi; i++ {
			if t.boxes[i].Overlaps(b) && !f(i) {
				return
			}
		}
	}
}

// facingPairs calls f once for every pair of leaves (which may be one leaf
// twice) whose boxes come within d of each other and whose normals may face
// each other. It stops when f returns false.
func (t *tree) facingPairs(d float64, f func(a, b *node) bool) bool {
	if t.root < 0 {
		return true
	}
	var walk func(i, j int32) bool
	walk = func(i, j int32) bool {
		a, b := &t.nodes[i], &t.nodes[j]
		if a.dirs&b.facing == 0 {
			return true
		}
		if i == j {
			if a.left < 0 {
				return f(a, a)
			}
			return walk(a.left, a.left) && walk(a.right, a.right) && walk(a.left, a.right)
		}
		if gapOver(a.box, b.box, d) {
			return true
		}
		switch {
		case a.left < 0 && b.left < 0:
			return f(a, b)
		case b.left < 0 || (a.left >= 0 && a.hi-a.lo >= b.hi-b.lo):
			return walk(a.left, j) && walk(a.right, j)
		default:
			return walk(i, b.left) && walk(i, b.right)
		}
	}
	return walk(t.root, t.root)
}

// gapOver reports whether the boxes are more than d apart along x or y.
func gapOver(a, b geom.Box, d float64) bool {
	return b.Min.X-a.Max.X > d || a.Min.X-b.Max.X > d || b.Min.Y-a.Max.Y > d || a.Min.Y-b.Max.Y > d
}

// boxDist2 returns the square of the distance from q to the box.
func boxDist2(b geom.Box, q geom.Point) float64 {
	dx := max(0, b.Min.X-q.X, q.X-b.Max.X)
	dy := max(0, b.Min.Y-q.Y, q.Y-b.Max.Y)
	return dx*dx + dy*dy
}

// The plane's directions are cut into 64 sectors by the diamond angle, which
// needs no trigonometry. Opposite directions lie exactly 32 sectors apart, and
// a turn by 60 degrees moves by at most 12 of them (64/4 * 2 tan 30 / (1 + tan
// 30) = 11.7), so 13 on either side of the opposite sector are sure to hold
// every direction at 120 degrees or more.
const facingReach = 13

// sector returns the sector of direction d.
func sector(d geom.Point) uint {
	s := math.Abs(d.X) + math.Abs(d.Y)
	if s == 0 {
		return 0
	}
	var a float64
	switch {
	case d.Y >= 0 && d.X >= 0:
		a = d.Y / s
	case d.Y >= 0:
		a = 1 - d.X/s
	case d.X < 0:
		a = 2 - d.Y/s
	default:
		a = 3 + d.X/s
	}
	return uint(a*16) & 63
}

// sectors returns the sectors passed when turning counter-clockwise from a to b.
func sectors(a, b geom.Point) uint64 {
	i, j := sector(a), sector(b)
	n := (j-i)&63 + 1
	if n == 64 {
		return allDirs
	}
	return bits.RotateLeft64(1<<n-1, int(i))
}

// facing returns the sectors opposite to those of m, widened by facingReach.
func facing(m uint64) uint64 {
	if m == allDirs {
		return m
	}
	m = bits.RotateLeft64(m, 32)
	for range facingReach {
		m |= bits.RotateLeft64(m, 1) | bits.RotateLeft64(m, -1)
	}
	return m
}
