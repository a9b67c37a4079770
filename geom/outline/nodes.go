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
	parent []int32
	next   []int32 // further clusters in the same cell
	keys   []uint64
	heads  []int32
	used   int
}

func newNodes(tol float64, expect int) *nodes {
	size := 64
	for size < expect { // two ends a node: at most half full
		size *= 2
	}
	return &nodes{
		tol: tol, inv: 1 / (8 * tol),
		at: make([]geom.Point, 0, expect/2+8), parent: make([]int32, 0, expect/2+8), next: make([]int32, 0, expect/2+8),
		keys: make([]uint64, size), heads: make([]int32, size),
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
	return h | 1 // 0 marks an empty slot
}

// slot finds the slot of key, or the empty one where it belongs.
func (n *nodes) slot(key uint64) int {
	m := uint64(len(n.keys) - 1)
	for i := key & m; ; i = (i + 1) & m {
		if n.keys[i] == key || n.keys[i] == 0 {
			return int(i)
		}
	}
}

// place returns the node at p, a new one if there is none within tol.
func (n *nodes) place(p geom.Point) int32 {
	x, y := p.X*n.inv, p.Y*n.inv
	cx, cy := math.Floor(x), math.Floor(y)
	fx, fy := x-cx, y-cy
	const edge = 1.0 / 8
	x0, x1, y0, y1 := int64(cx), int64(cx), int64(cy), int64(cy)
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
	found := int32(-1)
	t2 := n.tol * n.tol
	for gx := x0; gx <= x1; gx++ {
		for gy := y0; gy <= y1; gy++ {
			s := n.slot(mix(gx, gy))
			if n.keys[s] == 0 {
				continue
			}
			for i := n.heads[s]; i >= 0; i = n.next[i] {
				if n.at[i].Dist2(p) <= t2 {
					if found < 0 {
						found = i
					} else {
						n.union(found, i)
					}
				}
			}
		}
	}
	if found >= 0 {
		return found
	}
	return n.add(p, mix(int64(cx), int64(cy)))
}

func (n *nodes) add(p geom.Point, key uint64) int32 {
	if n.used*4 >= len(n.keys)*3 {
		n.grow()
	}
	id := int32(len(n.at))
	n.at = append(n.at, p)
	n.parent = append(n.parent, id)
	s := n.slot(key)
	if n.keys[s] == 0 {
		n.keys[s] = key
		n.heads[s] = -1
		n.used++
	}
	n.next = append(n.next, n.heads[s])
	n.heads[s] = id
	return id
}

func (n *nodes) grow() {
	keys, heads := n.keys, n.heads
	n.keys, n.heads = make([]uint64, 2*len(keys)), make([]int32, 2*len(keys))
	for i, k := range keys {
		if k != 0 {
			s := n.slot(k)
			n.keys[s], n.heads[s] = k, heads[i]
		}
	}
}

func (n *nodes) find(i int32) int32 {
	for n.parent[i] != i {
		n.parent[i] = n.parent[n.parent[i]]
		i = n.parent[i]
	}
	return i
}

// union makes two nodes one; the lower number stands for both.
func (n *nodes) union(i, j int32) {
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
func (n *nodes) settle() { n.keys, n.heads, n.next = nil, nil, nil }
