package clear

import (
	"context"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// region is what is known of one connected narrow region.
type region struct {
	ends    int  // places on the outline where it ends; two make a mouth
	several bool // several pairs of rings face each other in it
}

// report turns the discs into runs.
func (f *flood) report(ctx context.Context, side Side) ([]Narrow, error) {
	all, pairs := index.NewSets[int32](len(f.discs)), index.NewSets[int32](len(f.discs))
	for _, l := range f.links {
		all.Union(l.a, l.b)
		if f.sameRings(l.a, l.b) {
			pairs.Union(l.a, l.b)
		}
	}
	tip := f.tips()
	ends := f.ends(all)
	g := newGraph(len(f.discs), f.links)
	clusters := pairs.Groups()
	webs := make([][]int, len(f.discs)) // the clusters of each region, by its root
	for k, m := range clusters {
		root := all.Find(m[0])
		webs[root] = append(webs[root], k)
	}
	var out []Narrow
	for root, ks := range webs {
		if root%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		reg := region{ends: ends[root], several: len(ks) > 1}
		var found []Narrow
		for _, k := range ks {
			if n, ok := f.judge(reg, clusters[k], tip, g, pairs, side); ok {
				found = append(found, n)
			}
		}
		out = append(out, dropNodes(found)...)
	}
	return out, nil
}

// dropNodes leaves out the runs that are only a place where others meet: short,
// and wider than another.
func dropNodes(found []Narrow) []Narrow {
	if len(found) < 2 {
		return found
	}
	least := math.Inf(1)
	for i := range found {
		least = min(least, found[i].Width)
	}
	return slices.DeleteFunc(found, func(n Narrow) bool {
		return n.Length < n.Width/2 && n.Width > least+near
	})
}

func (f *flood) rings(i int32) (a, b int32) {
	d := &f.discs[i]
	a, b = f.ring[d.site/2], f.ring[d.partner/2]
	return min(a, b), max(a, b)
}

func (f *flood) sameRings(i, j int32) bool {
	a, b := f.rings(i)
	c, d := f.rings(j)
	return a == c && b == d
}

// ends counts, for each region by its root, the places where its outline goes
// over into outline that a disc of the limit can touch. Two ends make a mouth.
func (f *flood) ends(all index.Sets[int32]) []int {
	n := make([]int, len(f.discs))
	for _, site := range f.order {
		st := &f.state[site]
		k := 0
		tol := 1e-7 / max(1e-7, f.siteLength(site, f.r))
		for _, o := range st.open {
			for k < len(st.discs) && f.discs[st.discs[k]].t < o.a-tol {
				k++
			}
			if k == len(st.discs) {
				break
			}
			root := all.Find(st.discs[k])
			if o.a > 0 || !f.openAt(f.preceding(site), 1) {
				n[root]++
			}
			if o.b < 1 || !f.openAt(f.following(site), 0) {
				n[root]++
			}
		}
	}
	return n
}

// openAt reports whether a site is uncovered at its start (0) or end (1).
func (f *flood) openAt(site int32, t float64) bool {
	o := f.state[site].open
	return len(o) > 0 && (t == 0 && o[0].a == 0 || t == 1 && o[len(o)-1].b == 1)
}

// sharp is the turn (radians) from which a corner is so acute that its sides
// count as facing: 150 degrees.
const sharp = 5 * math.Pi / 6

// realFan is the turn (radians) from which a fan is a corner that sticks into
// the measured side, and not a joint of a many-sided curve.
const realFan = 0.1

// tips marks the discs in the tips of acute corners: from the vertex outwards as
// long as they grow and touch the two sides of the corner.
func (f *flood) tips() []bool {
	tip := make([]bool, len(f.discs))
	for _, site := range f.order {
		i := site / 2
		if site%2 == 1 && f.turn[i] > sharp-1e-6 {
			f.markTip(tip, site, true)
			f.markTip(tip, f.preceding(site), false)
		}
	}
	return tip
}

// markTip marks along one side of a corner, forwards from the start of site or
// backwards from its end.
func (f *flood) markTip(tip []bool, site int32, forward bool) {
	var last *disc
	for range f.state {
		st := &f.state[site]
		if site%2 == 0 && f.turn[site/2] < -realFan {
			return
		}
		for k := range st.discs {
			if !forward {
				k = len(st.discs) - 1 - k
			}
			i := st.discs[k]
			d := &f.discs[i]
			if last != nil {
				if d.rho < last.rho-1e-9 || f.ring[d.partner/2] != f.ring[d.site/2] {
					return
				}
				jump := d.q.Dist(last.q)
				if jump > 1e-5 && jump > 4*d.p.Dist(last.p)+4*d.c.Dist(last.c) {
					return
				}
			} else if d.rho > near {
				return
			}
			if d.partner%2 == 0 && f.turn[d.partner/2] < -realFan {
				return
			}
			tip[i] = true
			if d.twin >= 0 {
				tip[d.twin] = true
			}
			last = d
		}
		if last == nil {
			return
		}
		if forward {
			if !f.openAt(site, 1) {
				return
			}
			site = f.following(site)
		} else {
			if !f.openAt(site, 0) {
				return
			}
			site = f.preceding(site)
		}
	}
}

// facts is what a cluster of discs between two rings amounts to.
type facts struct {
	run    []int32 // discs whose sides face each other
	width  float64 // least width of the run, tips of acute corners left out
	widest float64 // of all discs
	across bool    // somewhere the sides are exactly opposite
	passes bool    // it runs past a corner that sticks in: a mouth
}

// facts gathers them. Where corners point at each other in waste the width
// counts only if there is nothing else.
func (f *flood) facts(cluster []int32, tip []bool, side Side) facts {
	s := facts{width: math.Inf(1)}
	pointWidth := math.Inf(1)
	for _, i := range cluster {
		d := &f.discs[i]
		s.widest = max(s.widest, 2*d.rho)
		if d.cos > opposed {
			continue
		}
		s.run = append(s.run, i)
		if tip[i] {
			continue
		}
		if side == Material || d.site%2 == 1 || d.partner%2 == 1 {
			s.width = min(s.width, 2*d.rho)
		} else {
			pointWidth = min(pointWidth, 2*d.rho)
		}
		s.across = s.across || d.cos < -1+1e-9
		s.passes = s.passes || d.site%2 == 0 && f.turn[d.site/2] < -realFan
	}
	if math.IsInf(s.width, 1) {
		s.width = pointWidth
	}
	return s
}

// judge decides whether a cluster of discs between two rings is a run.
func (f *flood) judge(reg region, cluster []int32, tip []bool, g *graph, pairs index.Sets[int32], side Side) (Narrow, bool) {
	s := f.facts(cluster, tip, side)
	whole := reg.ends == 0
	if math.IsInf(s.width, 1) { // nothing but corners
		if !whole || reg.several {
			return Narrow{}, false
		}
		s.width = s.widest
		if len(s.run) == 0 {
			s.run = append(s.run, f.widest(cluster))
		}
	}
	if reg.several && !s.across {
		return Narrow{}, false
	}
	// Between two corners a disc that cannot pass still covers everything, from
	// both sides: no slot, for the stream reaches all of it. A web that thin is
	// weak all the same.
	if side == Waste && !whole && len(f.betweenSides(s.run)) == 0 {
		return Narrow{}, false
	}
	deadEnd := !whole && !reg.several && reg.ends <= 2
	n := f.measure(g, pairs, s.run, reg.several, deadEnd)
	n.Side, n.Width, n.Whole = side, s.width, whole
	if whole {
		for _, i := range cluster {
			n.Box = n.Box.Add(f.back(f.discs[i].p))
		}
	}
	switch {
	case whole && n.RingA != n.RingB:
		f.allRound(&n, g, pairs, s.run)
	case whole && s.width > s.widest-near && !s.across:
		n.Length = f.reach(cluster, n.At)
	case deadEnd:
		limit := 2 * f.r
		least := s.width // a notch less deep than wide is a detail
		if side == Material {
			least = limit // and so is a bump
		}
		if n.Length < least-near || !s.passes && s.width < limit/4 {
			return Narrow{}, false
		}
	}
	return n, true
}

// widest returns the first of the largest discs of a cluster.
func (f *flood) widest(cluster []int32) int32 {
	at := cluster[0]
	for _, i := range cluster {
		if f.discs[i].rho > f.discs[at].rho+near {
			at = i
		}
	}
	return at
}

// reach returns the distance between the points of the outline that lie
// farthest apart in a region about c.
func (f *flood) reach(cluster []int32, c geom.Point) float64 {
	from, best := c.Sub(f.origin), 0.0
	for range 3 {
		at := from
		best = 0
		for _, i := range cluster {
			if d := f.discs[i].p.Dist(from); d > best {
				at, best = f.discs[i].p, d
			}
		}
		from = at
	}
	return best
}

// back returns a point in the drawing's own axes.
func (s *shape) back(p geom.Point) geom.Point { return p.Add(s.origin) }
