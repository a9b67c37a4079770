package clear

import (
	"container/heap"
	"math"

	"sluice/geom"
	"sluice/geom/index"
)

// graph is the links of a flood by disc, in compressed rows, with the last
// search in it.
type graph struct {
	start []int32
	to    []int32
	len   []float64

	dist  []float64 // from the start of the last search
	prev  []int32   // the disc before on the way, -1 at the start
	round []int32   // the search that set them, negative while not settled
	now   int32
	queue queue
}

func newGraph(n int, links []link) *graph {
	g := &graph{
		start: make([]int32, n+1), to: make([]int32, 2*len(links)), len: make([]float64, 2*len(links)),
		dist: make([]float64, n), prev: make([]int32, n), round: make([]int32, n),
	}
	for _, l := range links {
		g.start[l.a+1]++
		g.start[l.b+1]++
	}
	for i := range n {
		g.start[i+1] += g.start[i]
	}
	fill := append([]int32(nil), g.start[:n]...)
	for _, l := range links {
		g.to[fill[l.a]], g.len[fill[l.a]] = l.b, l.length
		fill[l.a]++
		g.to[fill[l.b]], g.len[fill[l.b]] = l.a, l.length
		fill[l.b]++
	}
	return g
}

// queue is a heap of discs by distance.
type queue []waiting

type waiting struct {
	dist float64
	at   int32
}

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i].dist < q[j].dist || q[i].dist == q[j].dist && q[i].at < q[j].at
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(waiting)) }
func (q *queue) Pop() any {
	n := len(*q) - 1
	x := (*q)[n]
	*q = (*q)[:n]
	return x
}

// search finds the shortest ways along the medial axis from one disc to all of
// its cluster.
func (g *graph) search(start int32, pairs index.Sets[int32]) {
	g.now++
	root := pairs.Find(start)
	g.dist[start], g.prev[start], g.round[start] = 0, -1, -g.now
	g.queue = append(g.queue[:0], waiting{0, start})
	for len(g.queue) > 0 {
		e := heap.Pop(&g.queue).(waiting)
		if g.round[e.at] == g.now {
			continue
		}
		g.round[e.at] = g.now
		for k := g.start[e.at]; k < g.start[e.at+1]; k++ {
			to, d := g.to[k], e.dist+g.len[k]
			if g.round[to] == g.now || g.round[to] == -g.now && g.dist[to] <= d || pairs.Find(to) != root {
				continue
			}
			g.dist[to], g.prev[to], g.round[to] = d, e.at, -g.now
			heap.Push(&g.queue, waiting{d, to})
		}
	}
}

// farthest returns the disc of run that is farthest from the last start.
func (g *graph) farthest(run []int32) int32 {
	at, best := run[0], -1.0
	for _, i := range run {
		if g.round[i] == g.now && g.dist[i] > best+1e-9 {
			at, best = i, g.dist[i]
		}
	}
	return at
}

// measure finds the extent and the middle of a run.
func (f *flood) measure(g *graph, pairs index.Sets[int32], run []int32, several, deadEnd bool) Narrow {
	core := f.betweenSides(run)
	if len(core) == 0 {
		core = run
	}
	g.search(core[0], pairs)
	g.search(g.farthest(core), pairs)
	b := g.farthest(core)
	length := g.dist[b]
	way := []int32{b}
	for i := g.prev[b]; i >= 0; i = g.prev[i] {
		way = append(way, i)
	}
	// way runs from b to a.
	extB, extA := 0.0, 0.0
	if !several { // between rings a run ends in a meeting of runs
		extB, extA = f.deadEnd(way, false), f.deadEnd(way, true)
		if deadEnd && length < max(extA, extB) { // hardly longer than a disc: one end is the mouth
			extB, extA = max(extA, extB), 0
		}
	}
	half := (extA + length + extB) / 2
	at := half - extA // along the way from a
	mid := f.middle(way, g.dist, min(max(at, 0), length))
	if mid.q.Dist(mid.p) < near { // about an arc's own centre
		mid.q = mid.c.Mul(2).Sub(mid.p)
	}
	n := Narrow{
		At: f.back(mid.c), A: f.back(mid.p), B: f.back(mid.q), Length: length + extA + extB,
		RingA: f.ring[mid.site/2], PieceA: f.src[mid.site/2],
		RingB: f.ring[mid.partner/2], PieceB: f.src[mid.partner/2],
	}
	n.Box = geom.BoxOf(n.A, n.B)
	for _, i := range run {
		n.Box = n.Box.Add(f.back(f.discs[i].p)).Add(f.back(f.discs[i].q))
	}
	return n
}

// allRound turns the measure of a run that goes all round between two rings into
// that of the whole loop, told at its narrowest place.
func (f *flood) allRound(n *Narrow, g *graph, pairs index.Sets[int32], run []int32) {
	least := run[0]
	n.Length = 0
	for _, i := range run {
		d := &f.discs[i]
		if d.rho < f.discs[least].rho-near {
			least = i
		}
		if f.ring[d.site/2] != n.RingA {
			continue
		}
		for k := g.start[i]; k < g.start[i+1]; k++ { // every link is met from both ends
			if j := g.to[k]; f.ring[f.discs[j].site/2] == n.RingA && pairs.Find(i) == pairs.Find(j) {
				n.Length += g.len[k] / 2
			}
		}
	}
	d := &f.discs[least]
	n.At, n.A, n.B = f.back(d.c), f.back(d.p), f.back(d.q)
	n.RingA, n.PieceA = f.ring[d.site/2], f.src[d.site/2]
	n.RingB, n.PieceB = f.ring[d.partner/2], f.src[d.partner/2]
}

// betweenSides leaves out the discs that touch two corners only, as they do past
// a mouth.
func (f *flood) betweenSides(run []int32) []int32 {
	core := make([]int32, 0, len(run))
	for _, i := range run {
		if d := &f.discs[i]; d.site%2 == 1 || d.partner%2 == 1 {
			core = append(core, i)
		}
	}
	return core
}

// deadEnd returns how far the outline lies ahead of the last disc of a way, its
// radius, if it lies there at all: 0 at a mouth.
func (f *flood) deadEnd(way []int32, last bool) float64 {
	e, k := way[0], 1
	step := 1
	if last {
		e, k, step = way[len(way)-1], len(way)-2, -1
	}
	d := &f.discs[e]
	ahead := geom.Point{}
	for ; k >= 0 && k < len(way); k += step {
		if v := d.c.Sub(f.discs[way[k]].c); v.Norm() > 0.1*d.rho {
			ahead = v.Unit()
			break
		}
	}
	if ahead == (geom.Point{}) {
		ahead = d.p.Sub(d.c).Unit().Left()
		if last {
			ahead = ahead.Mul(-1)
		}
	}
	if at, _ := f.tree.Nearest(d.c.Add(ahead.Mul(d.rho)), 0.3*d.rho+near); at < 0.3*d.rho {
		return d.rho
	}
	return 0
}

// middle returns the disc a given length from the start of the way (its last
// entry).
func (f *flood) middle(way []int32, dist []float64, at float64) disc {
	for k := len(way) - 1; k > 0; k-- {
		i, j := way[k], way[k-1]
		if dist[j] < at {
			continue
		}
		d, e := f.discs[i], f.discs[j]
		if dist[j]-dist[i] < near || d.site != e.site {
			if at-dist[i] < dist[j]-at {
				return d
			}
			return e
		}
		return f.along(d, e, (at-dist[i])/(dist[j]-dist[i]))
	}
	return f.discs[way[0]]
}

// along returns the disc a share of the way along the axis from d to e.
func (f *flood) along(d, e disc, share float64) disc {
	best := d
	lo, hi := 0.0, 1.0
	t := share
	for range 12 {
		m, ok := f.touching(d.site, d.t+(e.t-d.t)*t, d.rho+e.rho+f.r)
		if !ok {
			return best
		}
		best = m
		before, after := axisLength(&d, &m), axisLength(&m, &e)
		off := before - share*(before+after)
		if math.Abs(off) < near/10 {
			break
		}
		if off > 0 {
			hi = t
		} else {
			lo = t
		}
		if t -= off / (before + after); t <= lo || t >= hi {
			t = (lo + hi) / 2
		}
	}
	return best
}
