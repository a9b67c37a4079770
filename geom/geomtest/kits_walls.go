package geomtest

import (
	"fmt"

	"sluice/geom"
)

// round1 rounds to a tenth, as people draw.
func round1(v float64) float64 { return float64(int(v*10+0.5)) / 10 }

// lengths gives tab lengths that lie at least 1 mm apart.
type distinct struct {
	b    *kitMaker
	used []float64
}

func (d *distinct) next(lo, hi float64) float64 {
	for try := 0; ; try++ {
		l := round1(uniform(d.b.rng, lo, hi))
		ok := true
		for _, u := range d.used {
			if l-u < 1 && u-l < 1 {
				ok = false
			}
		}
		if ok || try > 30 {
			d.used = append(d.used, l)
			return l
		}
	}
}

// tabsAlong puts one to three tabs of a length along an edge of length l.
func (b *kitMaker) tabsAlong(l, tab float64) []tabAt {
	n := 1 + b.rng.IntN(3)
	for n > 1 && float64(n)*(tab+3*b.t) > l-4*b.t {
		n--
	}
	var out []tabAt
	for i := range n {
		out = append(out, tabAt{l * (float64(i) + 0.5) / float64(n), tab})
	}
	return out
}

// panel is a rectangle w by h about the origin's lower left with tabs on its
// edges, in the order bottom, right, top, left.
func (b *kitMaker) panel(name string, w, h float64, tabs [4][]tabAt) (part int, ids [4][]int) {
	c := []geom.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
	var vs []vert
	part = len(b.kit.Parts)
	for i := range 4 {
		vs = b.edge(vs, part, c[i], c[(i+1)%4], tabs[i], &ids[i])
	}
	return b.add(name, vs), ids
}

// carcass is a floor with slots, two sides, two or more cross walls between the
// sides, and perhaps a lid.
func (b *kitMaker) carcass() {
	b.kit.Name = "carcass"
	r, t := b.rng, b.t
	d := &distinct{b: b}
	w, dep, h := uniform(r, 28, 50)*t, uniform(r, 20, 36)*t, uniform(r, 12, 20)*t
	inset := 4 * t
	lid := r.IntN(2) == 0
	cross := 2 + r.IntN(2)
	side := b.tabsAlong(w-4*t, d.next(3*t, 5*t))
	sideTop := b.tabsAlong(w-4*t, d.next(3*t, 5*t))
	inner := dep - 2*inset - b.t
	wall := b.tabsAlong(inner, d.next(2.5*t, 4*t))
	wallEnd := []tabAt{{h / 2, d.next(2.5*t, 5*t)}}
	floor, _ := b.panel("floor", w, dep, [4][]tabAt{})
	top := -1
	if lid {
		top, _ = b.panel("lid", w+2*t, dep, [4][]tabAt{})
	}
	// Cross walls stand at x along the sides.
	xs := make([]float64, cross)
	for i := range xs {
		xs[i] = 4*t + (w-8*t)*float64(i)/float64(cross-1)
	}
	var sideTabs [2][4][]int
	var sides [2]int
	for s := range 2 {
		edges := [4][]tabAt{0: side}
		if lid {
			edges[2] = sideTop
		}
		sides[s], sideTabs[s] = b.panel(fmt.Sprint("side ", s), w-4*t, h, edges)
		y := inset
		if s == 1 {
			y = dep - inset
		}
		for n, tb := range side {
			b.mate(sideTabs[s][0][n], b.slot(floor, geom.Pt(2*t+tb.at, y), geom.Pt(1, 0), tb.l))
		}
		if lid {
			for n, tb := range sideTop {
				b.mate(sideTabs[s][2][n], b.slot(top, geom.Pt(3*t+tb.at, y), geom.Pt(1, 0), tb.l))
			}
		}
	}
	for i, x := range xs {
		part, ids := b.panel(fmt.Sprint("wall ", i), inner, h, [4][]tabAt{0: wall, 1: wallEnd, 3: wallEnd})
		for n, tb := range wall {
			b.mate(ids[0][n], b.slot(floor, geom.Pt(x, inset+b.t/2+tb.at), geom.Pt(0, 1), tb.l))
		}
		b.mate(ids[1][0], b.slot(sides[1], geom.Pt(x-2*t, wallEnd[0].at), geom.Pt(0, 1), wallEnd[0].l))
		b.mate(ids[3][0], b.slot(sides[0], geom.Pt(x-2*t, wallEnd[0].at), geom.Pt(0, 1), wallEnd[0].l))
		b.decoys(part, geom.Box{Min: geom.Pt(2*t, 2*t), Max: geom.Pt(inner-2*t, h-2*t)})
	}
	b.decoys(floor, geom.Box{Min: geom.Pt(6*t, inset+5*t), Max: geom.Pt(w-6*t, dep-inset-5*t)})
}

// ladder is ribs of several kinds between two spines, held by tabs in slots.
func (b *kitMaker) ladder() {
	b.kit.Name = "ladder"
	r, t := b.rng, b.t
	d := &distinct{b: b}
	n := 3 + r.IntN(5)
	h := uniform(r, 14, 20) * t
	pitch := uniform(r, 7, 12) * t
	l := pitch * float64(n+1)
	var spines [2]int
	for s := range 2 {
		spines[s], _ = b.panel(fmt.Sprint("spine ", s), l, h, [4][]tabAt{})
	}
	kinds := 1 + r.IntN(n)
	ends := make([][]tabAt, kinds)
	for k := range ends {
		if r.IntN(2) == 0 {
			ends[k] = []tabAt{{h / 2, d.next(2.5*t, 7*t)}}
		} else {
			tab := d.next(2*t, 4*t)
			ends[k] = []tabAt{{h * 0.27, tab}, {h * 0.75, tab}}
		}
	}
	width := uniform(r, 14, 30) * t
	for i := range n {
		e := ends[i%kinds]
		// The left edge is run downwards.
		var back []tabAt
		for j := len(e) - 1; j >= 0; j-- {
			back = append(back, tabAt{h - e[j].at, e[j].l})
		}
		part, ids := b.panel(fmt.Sprint("rib ", i), width, h, [4][]tabAt{1: e, 3: back})
		x := pitch * float64(i+1)
		for j, tb := range e {
			b.mate(ids[1][j], b.slot(spines[1], geom.Pt(x, tb.at), geom.Pt(0, 1), tb.l))
			b.mate(ids[3][len(e)-1-j], b.slot(spines[0], geom.Pt(x, tb.at), geom.Pt(0, 1), tb.l))
		}
		b.decoys(part, geom.Box{Min: geom.Pt(3*t, 3*t), Max: geom.Pt(width-3*t, h-3*t)})
	}
}
