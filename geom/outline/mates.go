package outline

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"sluice/geom"
	"sluice/geom/index"
)

// pair is two free ends that may belong together.
type pair struct {
	a, b endID
	d    float64 // mm apart
}

// endTree finds free ends by place.
type endTree struct{ *index.Tree }

// newEndTree returns a tree of those of the ends that may be found.
func newEndTree(ends []freeEnd, may func(i endID) bool) endTree {
	boxes := make([]geom.Box, len(ends))
	for i := range ends {
		if boxes[i] = geom.NoBox(); may(endID(i)) {
			boxes[i] = geom.BoxOf(ends[i].at)
		}
	}
	return endTree{index.NewTree(boxes)}
}

// visit calls f with the other ends, nearest to end i first, until it returns
// false.
func (t endTree) visit(ends []freeEnd, i endID, f func(j endID, d float64) bool) {
	at := ends[i].at
	t.ByDistance(at, func(j int32, _ float64) bool {
		return endID(j) == i || f(endID(j), at.Dist(ends[j].at))
	})
}

// nearest returns the three other ends nearest to end i.
func (t endTree) nearest(ends []freeEnd, i endID) []Near {
	var out []Near
	t.visit(ends, i, func(j endID, d float64) bool {
		out = append(out, Near{At: ends[j].at, Dist: d})
		return len(out) < nearTold
	})
	return out
}

// neighbours returns candidate pairs of free ends within the search distance,
// nearest first: the six nearest of each end.
func (p *pairing) neighbours(tree endTree) []pair {
	of := func(i endID, out []pair) []pair {
		n, worst := 0, 0.0
		tree.visit(p.ends, i, func(j endID, d float64) bool {
			if d > p.o.Search || n >= mateLooks && d > worst {
				return false
			}
			n, worst = n+1, d
			out = append(out, pair{min(i, j), max(i, j), d})
			return n < mostTies
		})
		return out
	}
	// Each end looks for itself; the order in which they do is sorted out below.
	workers := max(1, min(p.o.Workers, len(p.ends)/1024))
	found := make([][]pair, workers)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := w; i < len(p.ends); i += workers {
				found[w] = of(endID(i), found[w])
			}
		})
	}
	wg.Wait()
	out := slices.Concat(found...)
	slices.SortFunc(out, func(x, y pair) int {
		return cmp.Or(cmp.Compare(x.d, y.d), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	return slices.Compact(out)
}

// edge is a pair with what it costs.
type edge struct {
	a, b endID
	cost float64
}

// matchWithin pairs ends at most limit mm apart so that all pairs together, and
// the ends left, cost least: exactly where at most ten ends hang together by
// candidate pairs, else greedily, improved by exchanges.
func (p *pairing) matchWithin(cand []pair, limit float64) {
	var edges []edge
	group := index.NewSets[endID](len(p.ends))
	for _, x := range cand {
		if x.d > limit || !p.mayPair(x) {
			continue
		}
		edges = append(edges, edge{x.a, x.b, p.pairCost(&p.ends[x.a], &p.ends[x.b], x.d, limit)})
		group.Union(x.a, x.b)
	}
	slices.SortStableFunc(edges, func(x, y edge) int {
		return cmp.Or(cmp.Compare(group.Find(x.a), group.Find(y.a)), cmp.Compare(x.cost, y.cost))
	})
	for len(edges) > 0 {
		n := 1
		for n < len(edges) && group.Same(edges[n].a, edges[0].a) {
			n++
		}
		for _, e := range leastCost(edges[:n]) {
			p.ends[e.a].mate, p.ends[e.b].mate = e.b, e.a
		}
		edges = edges[n:]
	}
}

// pairCost is what it costs to pair two ends d mm apart: the distance as a share
// of limit, how badly they go on into each other, and a change of layer. The two
// ends of one chain close it, which is cheaper.
func (p *pairing) pairCost(e, f *freeEnd, d, limit float64) float64 {
	cost := d/limit + misfitCost*p.misfit(e, f, d, limit)
	se, sf := &p.strokes[p.end(e.half).Stroke], &p.strokes[p.end(f.half).Stroke]
	if p.o.Layer(se) != p.o.Layer(sf) {
		cost += layerCost
	}
	if e.chain == f.chain {
		cost *= closingCost
	}
	return min(cost, mostCost)
}

// misfit says how badly two ends d mm apart go on into each other, 0 to 1; their
// common corner may be limit mm away.
func (c *chosen) misfit(e, f *freeEnd, d, limit float64) float64 {
	if d <= onePlace*c.o.Join {
		return straightOn
	}
	u, v := e.out, f.out
	w := f.at.Sub(e.at).Mul(1 / d)
	if u.Dot(w) > headOn && v.Dot(w) < -headOn {
		return straightOn
	}
	if sin := u.Cross(v); math.Abs(sin) > parallel {
		// e.at + s u = f.at + t v
		s, t := d*w.Cross(v)/sin, d*w.Cross(u)/sin
		if math.Abs(s) <= limit && math.Abs(t) <= limit {
			return atCorner
		}
	}
	if u.Dot(w) < -headOn && v.Dot(w) > headOn {
		return runPast
	}
	return atAngle + sideBySide*(1+u.Dot(v))
}

// leastCost chooses among the edges, which hang together and come cheapest
// first, the pairs that cost least.
func leastCost(edges []edge) []edge {
	if len(edges) == 1 {
		return edges
	}
	index := map[endID]int{}
	for _, e := range edges {
		for _, x := range [2]endID{e.a, e.b} {
			if _, ok := index[x]; !ok {
				index[x] = len(index)
			}
		}
	}
	if len(index) <= exactEnds {
		return exactPairs(edges, index)
	}
	return improvedPairs(edges, index)
}

// exactPairs goes through all sets of ends: best[set] is the least cost of
// dealing with the ends of the set.
func exactPairs(edges []edge, index map[endID]int) []edge {
	n := len(index)
	best := make([]float64, 1<<n)
	took := make([]int, 1<<n) // the edge taken for the highest end of the set, -1 if it stays alone
	at := make([][]int, n)    // edges by their higher end
	for k, e := range edges {
		hi := max(index[e.a], index[e.b])
		at[hi] = append(at[hi], k)
	}
	for set := 1; set < 1<<n; set++ {
		hi := 0
		for set>>(hi+1) != 0 {
			hi++
		}
		rest := set &^ (1 << hi)
		best[set], took[set] = best[rest]+alone, -1
		for _, k := range at[hi] {
			lo := 1 << min(index[edges[k].a], index[edges[k].b])
			if rest&lo == 0 {
				continue
			}
			if c := best[rest&^lo] + edges[k].cost; c < best[set]-1e-12 {
				best[set], took[set] = c, k
			}
		}
	}
	var out []edge
	for set := 1<<n - 1; set != 0; {
		hi := 0
		for set>>(hi+1) != 0 {
			hi++
		}
		if k := took[set]; k >= 0 {
			out = append(out, edges[k])
			set &^= 1 << min(index[edges[k].a], index[edges[k].b])
		}
		set &^= 1 << hi
	}
	return out
}

// improvedPairs takes the cheapest edges first and then exchanges: an edge goes
// in for those at its two ends, with the ends set free paired if they can be,
// while that lowers the cost.
func improvedPairs(edges []edge, index map[endID]int) []edge {
	mate := make([]int, len(index)) // edge at each end, -1
	for i := range mate {
		mate[i] = -1
	}
	at := make([][2]int, len(edges)) // the ends of each edge
	for k, e := range edges {
		at[k] = [2]int{index[e.a], index[e.b]}
	}
	byEnds := make(map[[2]int]int, len(edges))
	for k := range edges {
		i, j := at[k][0], at[k][1]
		byEnds[[2]int{min(i, j), max(i, j)}] = k
		if mate[i] < 0 && mate[j] < 0 {
			mate[i], mate[j] = k, k
		}
	}
	other := func(k, i int) int { return at[k][0] + at[k][1] - i }
	for range exchanges {
		better := false
		for k := range edges {
			e := &edges[k]
			i, j := at[k][0], at[k][1]
			if mate[i] == k {
				continue
			}
			gain, freed := -e.cost, [2]int{-1, -1}
			for n, x := range [2]int{i, j} {
				if mate[x] < 0 {
					gain += alone
					continue
				}
				gain += edges[mate[x]].cost - alone
				freed[n] = other(mate[x], x)
			}
			join := -1
			if freed[0] >= 0 && freed[1] >= 0 {
				if m, ok := byEnds[[2]int{min(freed[0], freed[1]), max(freed[0], freed[1])}]; ok && edges[m].cost < 2*alone {
					join = m
					gain += 2*alone - edges[m].cost
				}
			}
			if gain <= 1e-9 {
				continue
			}
			better = true
			for _, x := range freed {
				if x >= 0 {
					mate[x] = join
				}
			}
			mate[i], mate[j] = k, k
		}
		if !better {
			break
		}
	}
	var out []edge
	for k, e := range edges {
		if mate[at[k][0]] == k {
			out = append(out, e)
		}
	}
	return out
}
