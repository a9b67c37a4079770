package survey

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// loop is a closed run of chords: bent[i] is about the one from pts[i] to the
// next point.
type loop struct {
	pts  []geom.Point
	bent []bool
}

func bentLoop(pts []geom.Point) loop {
	l := loop{pts: pts, bent: make([]bool, len(pts))}
	for i := range l.bent {
		l.bent[i] = true
	}
	return l
}

func (l *loop) box() geom.Box { return geom.BoxOf(l.pts...) }

// Crowds that are passed over, so that no drawing takes long.
const (
	cellCrowd = 32 // nodes in one cell that are compared
	starCrowd = 12 // chords that meet in one node
)

// nodes makes ends one that lie within weld of each other.
type nodes struct {
	weld, cell float64
	at         []geom.Point
	next       []int32 // the next node of the same cell, -1 at the end
	first      map[uint64]int32
}

func newNodes(weld float64, room int) *nodes {
	return &nodes{weld: weld, cell: 32 * weld, first: make(map[uint64]int32, room)}
}

// cellOf returns the column and row of a point in a grid.
func cellOf(p geom.Point, cell float64) (x, y int64) {
	return int64(math.Floor(p.X / cell)), int64(math.Floor(p.Y / cell))
}

// cellKey names a cell; those four thousand million columns apart share a name,
// which does no harm.
func cellKey(x, y int64) uint64 { return uint64(x)<<32 | uint64(uint32(y)) }

// of returns the node at p, a new one where there is none.
func (n *nodes) of(p geom.Point) int32 {
	lowX, lowY := cellOf(p.Sub(geom.Pt(n.weld, n.weld)), n.cell)
	highX, highY := cellOf(p.Add(geom.Pt(n.weld, n.weld)), n.cell)
	best, bestDist := int32(-1), n.weld
	for x := lowX; x <= highX; x++ {
		for y := lowY; y <= highY; y++ {
			i, ok := n.first[cellKey(x, y)]
			for seen := 0; ok && i >= 0 && seen < cellCrowd; seen++ {
				if d := n.at[i].Dist(p); d <= bestDist {
					best, bestDist = i, d
				}
				i = n.next[i]
			}
		}
	}
	if best >= 0 {
		return best
	}
	k, i := cellKey(cellOf(p, n.cell)), int32(len(n.at))
	next, ok := n.first[k]
	if !ok {
		next = -1
	}
	n.at, n.next = append(n.at, p), append(n.next, next)
	n.first[k] = i
	return i
}

// net is the chords as a graph. An end of chord c is named 2c (its a) or 2c+1.
type net struct {
	ends    [][2]int32 // by chord: its nodes
	bent    []bool
	at      []geom.Point // by node
	from    []int32      // by node: its first place in inc; one more at the end
	inc     []int32      // ends that meet in each node
	partner []int32      // by end: the end on which the outline goes on, -1 if none
}

// trace joins chords to loops. What is drawn twice counts once.
func trace(chords []chord, diagonal float64) []loop {
	g := weldAll(chords, weldShare*diagonal)
	g.bridge(reach * diagonal)
	g.incidence()
	g.pair()
	return g.walk()
}

func weldAll(chords []chord, weld float64) *net {
	ns := newNodes(weld, len(chords))
	g := &net{}
	seen := make(map[uint64]struct{}, len(chords))
	for _, c := range chords {
		a, b := ns.of(c.a), ns.of(c.b)
		k := cellKey(int64(min(a, b)), int64(max(a, b)))
		if _, twice := seen[k]; twice || a == b {
			continue
		}
		seen[k] = struct{}{}
		g.ends, g.bent = append(g.ends, [2]int32{a, b}), append(g.bent, c.bent)
	}
	g.at = ns.at
	return g
}

// bridge links each free end with the free end nearest to it, where that is
// mutual and within reach.
func (g *net) bridge(reach float64) {
	degree := make([]int32, len(g.at))
	for _, e := range g.ends {
		degree[e[0]]++
		degree[e[1]]++
	}
	var free []int32
	for i, d := range degree {
		if d == 1 {
			free = append(free, int32(i))
		}
	}
	cells := make(map[uint64][]int32, len(free))
	for _, i := range free {
		k := cellKey(cellOf(g.at[i], reach))
		if len(cells[k]) < cellCrowd {
			cells[k] = append(cells[k], i)
		}
	}
	nearest := make(map[int32]int32, len(free))
	for _, i := range free {
		best, bestDist := int32(-1), reach
		cx, cy := cellOf(g.at[i], reach)
		for x := cx - 1; x <= cx+1; x++ {
			for y := cy - 1; y <= cy+1; y++ {
				for _, j := range cells[cellKey(x, y)] {
					if d := g.at[i].Dist(g.at[j]); j != i && d < bestDist {
						best, bestDist = j, d
					}
				}
			}
		}
		nearest[i] = best
	}
	for _, i := range free {
		if j := nearest[i]; j > i && nearest[j] == i {
			g.ends, g.bent = append(g.ends, [2]int32{i, j}), append(g.bent, true)
		}
	}
}

// incidence lists the ends that meet in each node.
func (g *net) incidence() {
	g.from = make([]int32, len(g.at)+1)
	for _, e := range g.ends {
		g.from[e[0]+1]++
		g.from[e[1]+1]++
	}
	for i := range g.at {
		g.from[i+1] += g.from[i]
	}
	fill := slices.Clone(g.from)
	g.inc = make([]int32, 2*len(g.ends))
	for c, e := range g.ends {
		for side, n := range e {
			g.inc[fill[n]] = int32(2*c + side)
			fill[n]++
		}
	}
}

// away returns the direction in which an end's chord leaves its node.
func (g *net) away(end int32) geom.Point {
	e := g.ends[end/2]
	return g.at[e[1-end&1]].Sub(g.at[e[end&1]]).Unit()
}

// pair says how outlines go on at each node: at a meeting of more than two, the
// straightest go on into each other.
func (g *net) pair() {
	g.partner = make([]int32, 2*len(g.ends))
	for i := range g.partner {
		g.partner[i] = -1
	}
	link := func(a, b int32) { g.partner[a], g.partner[b] = b, a }
	for i := range g.at {
		ends := g.inc[g.from[i]:g.from[i+1]]
		switch {
		case len(ends) == 2:
			link(ends[0], ends[1])
		case len(ends) > 2 && len(ends) <= starCrowd:
			type turn struct {
				a, b int32
				cos  float64 // -1 straight on
			}
			var turns []turn
			for k, a := range ends {
				for _, b := range ends[k+1:] {
					turns = append(turns, turn{a, b, g.away(a).Dot(g.away(b))})
				}
			}
			slices.SortStableFunc(turns, func(s, t turn) int { return cmp.Compare(s.cos, t.cos) })
			for _, t := range turns {
				if g.partner[t.a] < 0 && g.partner[t.b] < 0 {
					link(t.a, t.b)
				}
			}
		}
	}
}

func (g *net) walk() []loop {
	var loops []loop
	done := make([]bool, len(g.ends))
	for c := range g.ends {
		if done[c] {
			continue
		}
		var l loop
		closed := false
		for end := int32(2 * c); ; { // the end at which the chord is entered
			done[end/2] = true
			l.pts = append(l.pts, g.at[g.ends[end/2][end&1]])
			l.bent = append(l.bent, g.bent[end/2])
			end = g.partner[end^1]
			if closed = end == int32(2*c); end < 0 || closed || done[end/2] {
				break
			}
		}
		if closed && len(l.pts) > 2 {
			loops = append(loops, l)
		}
	}
	return loops
}
