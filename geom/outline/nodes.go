package outline

import (
	"math"

	"sluice/geom"
)

// nodes gathers ends that lie within a tolerance of each other. The first end
// of a cluster stands for it; an end near two clusters makes them one.
type nodes struct {
	tol    float64
	inv    float64 // 1 / cell size; cells are 8 tol wide, so most ends look into one
	at     []geom.Point
	parent []nodeID
	next   []int32 // further clusters in the same cell
	slots  []endSlot
	used   int
}

func newNodes(tol float64, expect int) *nodes {
	size := 64
	for size < expect { // two ends a node: at most half full
		size *= 2
	}
	return &nodes{
		tol: tol, inv: 1 / (8 * tol),
		at: make([]geom.Point, 0, expect/2+8), parent: make([]nodeID, 0, expect/2+8), next: make([]int32, 0, expect/2+8),
		slots: make([]endSlot, size),
	}
}

// mix spreads two cell numbers over 64 bits (the finaliser of splitmix64).
func mix(x, y int64) uint64 {
	h := uint64(x)*0x9E3779B97F4A7C15 ^ uint64(y)*0xC2B2AE3D27D4EB4F
	h ^= h >> 30
	h *= 0xBF58476D1CE4E5B9
	h ^= h >> 27
	h *= 0x94D049BB133111EB
	h ^= h >> 31
	return h
}

// cellNumber turns the number of a cell into an integer. Of drawings in light
// years it keeps what an integer holds: cells far apart may share a number then,
// and what is found is measured anyway.
func cellNumber(v float64) int64 {
	const most = 1 << 62
	if v > -most && v < most {
		return int64(v)
	}
	return int64(math.Mod(v, most))
}

// slot finds the slot of key, or the empty one where it belongs. Keys with the
// same print share one: what is found is measured anyway.
func (n *nodes) slot(key uint64) *endSlot {
	m := uint64(len(n.slots) - 1)
	print := uint32(key>>32) | 1
	for i := key & m; ; i = (i + 1) & m {
		if s := &n.slots[i]; s.print == print || s.print == 0 {
			return s
		}
	}
}

// place returns the node at p, a new one if there is none within tol.
func (n *nodes) place(p geom.Point) nodeID {
	x, y := p.X*n.inv, p.Y*n.inv
	cx, cy := math.Floor(x), math.Floor(y)
	fx, fy := x-cx, y-cy
	const edge = 1.0 / 8
	kx, ky := cellNumber(cx), cellNumber(cy)
	x0, x1, y0, y1 := kx, kx, ky, ky
	if fx < edge {
		x0--
	}
	if fx > 1-edge {
		x1++
	}
	if fy < edge {
		y0--
	}
	if fy > 1-edge {
		y1++
	}
	found := nodeID(-1)
	t2 := n.tol * n.tol
	for gx := x0; gx <= x1; gx++ {
		for gy := y0; gy <= y1; gy++ {
			s := n.slot(mix(gx, gy))
			if s.print == 0 {
				continue
			}
			for i := s.head; i >= 0; i = n.next[i] {
				if n.at[i].Dist2(p) <= t2 {
					if found < 0 {
						found = nodeID(i)
					} else {
						n.union(found, nodeID(i))
					}
				}
			}
		}
	}
	if found >= 0 {
		return found
	}
	return n.add(p, mix(kx, ky))
}

func (n *nodes) add(p geom.Point, key uint64) nodeID {
	if n.used*4 >= len(n.slots)*3 {
		n.grow()
	}
	id := nodeID(len(n.at))
	n.at = append(n.at, p)
	n.parent = append(n.parent, id)
	s := n.slot(key)
	next := int32(-1)
	if s.print == 0 {
		s.print = uint32(key>>32) | 1
		n.used++
	} else {
		next = s.head
	}
	n.next = append(n.next, next)
	s.head = int32(id)
	return id
}

// grow doubles the table. Prints do not tell the place of a key in a larger
// table, so all nodes are entered again.
func (n *nodes) grow() {
	n.slots = make([]endSlot, 2*len(n.slots))
	n.used = 0
	for id := range n.at {
		key := n.cellKey(n.at[id])
		s := n.slot(key)
		n.next[id] = -1
		if s.print == 0 {
			s.print = uint32(key>>32) | 1
			n.used++
		} else {
			n.next[id] = s.head
		}
		s.head = int32(id)
	}
}

func (n *nodes) cellKey(p geom.Point) uint64 {
	return mix(cellNumber(math.Floor(p.X*n.inv)), cellNumber(math.Floor(p.Y*n.inv)))
}

func (n *nodes) find(i nodeID) nodeID {
	for n.parent[i] != i {
		n.parent[i] = n.parent[n.parent[i]]
		i = n.parent[i]
	}
	return i
}

// union makes two nodes one; the lower number stands for both.
func (n *nodes) union(i, j nodeID) {
	i, j = n.find(i), n.find(j)
	if i == j {
		return
	}
	if j < i {
		i, j = j, i
	}
	n.parent[j] = i
}

// settle lets go of what only finding new nodes needs.
func (n *nodes) settle() { n.slots, n.next = nil, nil }
