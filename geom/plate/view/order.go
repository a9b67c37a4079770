package view

import (
	"cmp"
	"slices"
)

// relation is which of two polygons has to be painted first.
type relation uint8

const (
	either    relation = iota
	first              // the first one
	second             // the second one
	entangled          // neither: each has parts before the other
)

// relate works out which of two polygons has to be painted first, from their planes and
// from their boxes in space and on the picture.
func (m *painter) relate(a, b *poly) relation {
	if a.box.Max.X < b.box.Min.X+touch || b.box.Max.X < a.box.Min.X+touch || a.box.Max.Y < b.box.Min.Y+touch || b.box.Max.Y < a.box.Min.Y+touch {
		return either
	}
	for k := range 3 { // a plane between them decides
		var r relation
		switch {
		case a.hi[k] <= b.lo[k]+near:
			r = first
		case b.hi[k] <= a.lo[k]+near:
			r = second
		default:
			continue
		}
		switch n := m.camera.Near[k]; {
		case n > 1e-6:
			return r
		case n < -1e-6:
			return first + second - r
		}
	}
	aBehind, aFront := a.spans(b)
	bBehind, bFront := b.spans(a)
	ab := !aFront || !bBehind // a may be painted first: it is behind b's plane, or b in front of a's
	ba := !bFront || !aBehind
	switch {
	case ab && ba:
		return either
	case ab:
		return first
	case ba:
		return second
	}
	return entangled
}

// ordered returns the polygons from the back to the front. Those that go through each
// other are cut, so that no part of one is both before and behind another.
func (m *painter) ordered() []*poly {
	return m.sequence(m.untangled(), 0)
}

// mostCuts bounds how many pieces polygons are cut into.
const mostCuts = 20_000

// untangled cuts polygons that go through each other, two by two.
func (m *painter) untangled() (out []*poly) {
	todo := slices.Clone(m.all)
	var settled []*poly
	cuts := 0
	for len(todo) > 0 {
		p := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		gone := false
		for i := 0; i < len(settled); i++ {
			q := settled[i]
			if q == nil || cuts > mostCuts || m.relate(p, q) != entangled || !overlap(p, q) {
				continue
			}
			cuts++
			if n, k := p.cuts(q), q.cuts(p); n < k || n == k && len(p.rings) < len(q.rings) {
				todo = p.pieces(q, &m.camera, todo)
				gone = true
				break
			}
			todo = q.pieces(p, &m.camera, todo)
			settled[i] = nil
		}
		if !gone {
			settled = append(settled, p)
		}
	}
	for _, p := range settled {
		if p != nil {
			out = append(out, p)
		}
	}
	return out
}

// pieces adds both pieces of a polygon that a plane cuts.
func (p *poly) pieces(of *poly, c *Camera, list []*poly) []*poly {
	behind, front := p.split(of, c)
	for _, x := range [2]*poly{behind, front} {
		if x != nil {
			list = append(list, x)
		}
	}
	return list
}

// graph is which polygons have to be painted before which.
type graph struct {
	after [][]int32 // by polygon: those to be painted later
}

// graphOf works out the order of all pairs; exact looks at the polygons, not only at their
// boxes.
func (m *painter) graphOf(all []*poly, exact bool) *graph {
	g := &graph{make([][]int32, len(all))}
	byX := make([]int, len(all))
	for i := range byX {
		byX[i] = i
	}
	slices.SortStableFunc(byX, func(a, b int) int { return cmp.Compare(all[a].box.Min.X, all[b].box.Min.X) })
	for n, i := range byX {
		for _, k := range byX[n+1:] {
			if all[k].box.Min.X > all[i].box.Max.X {
				break
			}
			r := m.relate(all[i], all[k])
			if r == either || exact && !overlap(all[i], all[k]) {
				continue
			}
			if r != second {
				g.after[i] = append(g.after[i], int32(k))
			}
			if r != first {
				g.after[k] = append(g.after[k], int32(i))
			}
		}
	}
	return g
}

// loops returns, by polygon, the number of the loop it is in; polygons in no loop have one
// alone. A loop has a larger number than those painted later (Tarjan's algorithm).
func (g *graph) loops() (of []int32, count int) {
	n := len(g.after)
	of = make([]int32, n)
	index, low := make([]int32, n), make([]int32, n)
	at := make([]int32, n) // how far after has been gone through
	var stack, path []int32
	on := make([]bool, n)
	next := int32(1)
	for root := range n {
		if index[root] != 0 {
			continue
		}
		path = append(path, int32(root))
		for len(path) > 0 {
			v := path[len(path)-1]
			if index[v] == 0 {
				index[v], low[v] = next, next
				next++
				stack, on[v] = append(stack, v), true
			}
			if int(at[v]) < len(g.after[v]) {
				w := g.after[v][at[v]]
				at[v]++
				if index[w] == 0 {
					path = append(path, w)
				} else if on[w] {
					low[v] = min(low[v], index[w])
				}
				continue
			}
			path = path[:len(path)-1]
			if len(path) > 0 {
				u := path[len(path)-1]
				low[u] = min(low[u], low[v])
			}
			if low[v] == index[v] {
				for {
					w := stack[len(stack)-1]
					stack, on[w] = stack[:len(stack)-1], false
					of[w] = int32(count)
					if w == v {
						break
					}
				}
				count++
			}
		}
	}
	return of, count
}

// deepest is how often loops are cut before their polygons are painted as they come.
const deepest = 64

// sequence orders polygons; those in a loop are cut by the plane of one of them.
func (m *painter) sequence(all []*poly, depth int) []*poly {
	g := m.graphOf(all, depth > 0)
	of, count := g.loops()
	members := make([][]int, count)
	for i := range all {
		members[of[i]] = append(members[of[i]], i)
	}
	if count == 1 && len(all) > 1 && depth > 0 {
		return m.cut(all, depth)
	}
	waits := make([]int, count)
	for i, list := range g.after {
		for _, k := range list {
			if of[k] != of[i] {
				waits[of[k]]++
			}
		}
	}
	out := make([]*poly, 0, len(all))
	ready := &ready{all: all, members: members}
	for c := range members {
		if waits[c] == 0 {
			ready.put(c)
		}
	}
	for {
		c, ok := ready.next()
		if !ok {
			return out
		}
		list := members[c]
		if len(list) == 1 {
			out = append(out, all[list[0]])
		} else {
			set := make([]*poly, len(list))
			for i, k := range list {
				set[i] = all[k]
			}
			out = append(out, m.sequence(set, depth+1)...)
		}
		for _, i := range list {
			for _, k := range g.after[i] {
				if of[k] != of[i] {
					if waits[of[k]]--; waits[of[k]] == 0 {
						ready.put(int(of[k]))
					}
				}
			}
		}
	}
}

// cut orders polygons by the plane of the one that cuts the fewest of the others.
func (m *painter) cut(all []*poly, depth int) []*poly {
	if depth > deepest {
		return all
	}
	best, fewest := -1, 0
	for i, p := range all {
		n, behind, front := 0, 0, 0
		for k, q := range all {
			if k == i {
				continue
			}
			switch b, f := q.spans(p); {
			case b && f:
				n++
			case b:
				behind++
			case f:
				front++
			}
		}
		if behind+n == 0 && front+n == 0 {
			continue
		}
		if n += max(behind, front) / 4; best < 0 || n < fewest {
			best, fewest = i, n
		}
	}
	if best < 0 {
		return all
	}
	by := all[best]
	var behind, in, front []*poly
	for _, q := range all {
		switch b, f := q.spans(by); {
		case b && f:
			x, y := q.split(by, &m.camera)
			if x != nil {
				behind = append(behind, x)
			}
			if y != nil {
				front = append(front, y)
			}
		case b:
			behind = append(behind, q)
		case f:
			front = append(front, q)
		default:
			in = append(in, q)
		}
	}
	return slices.Concat(m.sequence(behind, depth+1), in, m.sequence(front, depth+1))
}

// ready holds what can be painted next. What is of the plate and the shade painted last
// comes first, so that patches are large.
type ready struct {
	all     []*poly
	members [][]int
	list    []int
	last    *poly
}

func (r *ready) put(c int) { r.list = append(r.list, c) }

func (r *ready) next() (c int, ok bool) {
	if len(r.list) == 0 {
		return 0, false
	}
	best, score := 0, -1
	for i, c := range r.list {
		p := r.all[r.members[c][0]]
		s := 0
		if r.last != nil && p.solid == r.last.solid && len(r.members[c]) == 1 {
			s = 1
			if p.tone == r.last.tone {
				s = 2
			}
		}
		if s > score || s == score && c < r.list[best] {
			best, score = i, s
		}
	}
	c = r.list[best]
	r.list = slices.Delete(r.list, best, best+1)
	r.last = r.all[r.members[c][0]]
	return c, true
}
