package geomtest

import (
	"fmt"

	"sluice/geom"
)

// comb is the steps along an edge of a box: level at the first corner and the
// places of the steps from it.
type comb struct {
	out bool // at the first corner
	at  []float64
}

// flip runs the comb from the other end of an edge of length l.
func (c comb) flip(l float64) comb {
	f := comb{out: c.out != (len(c.at)%2 == 1)}
	for i := len(c.at) - 1; i >= 0; i-- {
		f.at = append(f.at, l-c.at[i])
	}
	return f
}

// fingered is a panel w by h with combs on its four edges, in the order bottom,
// right, top, left, each run counter-clockwise. It returns the tabs and gaps of
// each edge in that order.
func (b *kitMaker) fingered(name string, w, h float64, cs [4]*comb) (part int, ids [4][]int) {
	t := b.t
	part = len(b.kit.Parts)
	c := []geom.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
	level := func(i int, last bool) float64 { // how far the edge is set back at its end
		e := cs[i]
		if e == nil || e.out != (last && len(e.at)%2 == 1) {
			return 0
		}
		return t
	}
	var vs []vert
	for i := range 4 {
		a, d := c[i], c[(i+1)%4]
		u := d.Sub(a).Unit()
		in := u.Left()
		prev := (i + 3) % 4
		// The corner lies where both edges are at their levels.
		start := a.Add(in.Mul(level(i, false))).Add(u.Mul(level(prev, true)))
		vs = append(vs, vert{start, plain})
		e := cs[i]
		if e == nil {
			continue
		}
		out := e.out
		for n, s := range e.at {
			p := func(s, back float64) geom.Point { return a.Add(u.Mul(s)).Add(in.Mul(back)) }
			if out {
				vs = append(vs, vert{p(s, 0), tip}, vert{p(s, t), foot})
			} else {
				vs = append(vs, vert{p(s, t), foot}, vert{p(s, 0), tip})
			}
			out = !out
			if n+1 < len(e.at) {
				j := KitJoint{Part: part, Kind: "gap", At: p((s+e.at[n+1])/2, t/2), Dir: u, Out: in.Mul(-1), Length: e.at[n+1] - s, Depth: t}
				if out {
					j.Kind, j.At = "tab", p((s+e.at[n+1])/2, 0)
				}
				ids[i] = append(ids[i], b.joint(j))
			}
		}
	}
	return b.add(name, vs), ids
}

// newComb puts steps along an edge of length l, clear of its corners.
func (b *kitMaker) newComb(l float64) comb {
	t := b.t
	m := uniform(b.rng, 2.6, 4) * t
	n := max(2, int((l-2*m)/(uniform(b.rng, 3, 6)*t)))
	n -= n % 2 // an even number of fingers has an odd number of steps
	if b.rng.IntN(3) > 0 {
		n++
	}
	c := comb{out: true}
	for i := range n + 1 {
		c.at = append(c.at, m+(l-2*m)*float64(i)/float64(n))
	}
	return c
}

// not is the comb of the panel that meets one.
func (c comb) not() comb {
	c.out = !c.out
	return c
}

// box is a box with fingers, with or without a lid.
func (b *kitMaker) box() {
	b.kit.Name = "box"
	r, t := b.rng, b.t
	// The three lengths differ, else the panels are all alike and one more or
	// less cannot be told.
	w := uniform(r, 34, 44) * t
	d := uniform(r, 24, 31) * t
	h := uniform(r, 14, 21) * t
	b.kit.Width = t
	lid := r.IntN(2) == 0
	cw, cd, ch := b.newComb(w), b.newComb(d), b.newComb(h)
	ptr := func(c comb) *comb { return &c }
	var front, side [2]panelRef
	for i := range 2 {
		top := ptr(cw.flip(w))
		topSide := ptr(cd.flip(d))
		if !lid {
			top, topSide = nil, nil
		}
		front[i].part, front[i].ids = b.fingered(fmt.Sprint("front ", i), w, h, [4]*comb{ptr(cw), ptr(ch), top, ptr(ch.flip(h))})
		side[i].part, side[i].ids = b.fingered(fmt.Sprint("side ", i), d, h, [4]*comb{ptr(cd), ptr(ch.not()), topSide, ptr(ch.not().flip(h))})
	}
	floors := 1
	if lid {
		floors = 2
	}
	link := func(pa int, a []int, pb int, bb []int, reverse bool) {
		m := KitEdgeMate{PartA: pa, PartB: pb, JointsA: a}
		for i := range bb {
			if reverse {
				i = len(bb) - 1 - i
			}
			m.JointsB = append(m.JointsB, bb[i])
		}
		m.AtA, m.AtB = b.middle(a), b.middle(bb)
		b.kit.EdgeMates = append(b.kit.EdgeMates, m)
	}
	for f := range floors {
		p, ids := b.fingered(fmt.Sprint("floor ", f), w, d, [4]*comb{ptr(cw.not()), ptr(cd.not()), ptr(cw.not().flip(w)), ptr(cd.not().flip(d))})
		e := 0
		if f == 1 {
			e = 2
		}
		link(p, ids[0], front[0].part, front[0].ids[e], f == 1)
		link(p, ids[2], front[1].part, front[1].ids[e], f == 0)
		link(p, ids[1], side[0].part, side[0].ids[e], f == 1)
		link(p, ids[3], side[1].part, side[1].ids[e], f == 0)
		b.decoys(p, geom.Box{Min: geom.Pt(3*t, 3*t), Max: geom.Pt(w-3*t, d-3*t)})
	}
	// Upright edges: each front meets both sides.
	for i := range 2 {
		link(front[i].part, front[i].ids[1], side[i].part, side[i].ids[1], false)
		link(front[i].part, front[i].ids[3], side[1-i].part, side[1-i].ids[3], false)
	}
}

// panelRef is a panel and the joints of its edges.
type panelRef struct {
	part int
	ids  [4][]int
}

// middle returns the middle of the places of joints.
func (b *kitMaker) middle(ids []int) geom.Point {
	box := geom.NoBox()
	for _, i := range ids {
		box = box.Add(b.kit.Joints[i].At)
	}
	return box.Center()
}
