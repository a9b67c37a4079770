package survey

import (
	"cmp"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
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
	endCrowd  = 64 // free ends about one that are compared
	starCrowd = 12 // chords that meet in one node
)

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
func trace(chords *chords, diagonal float64) []loop {
	g := weldAll(chords, weldShare*diagonal)
	g.bridge(reach * diagonal)
	g.incidence()
	g.pair()
	return g.walk()
}

// weldAll makes ends one that lie within weld of each other.
func weldAll(chords *chords, weld float64) *net {
	expect := len(chords.at)
	places := index.NewPoints[int32](weld, expect)
	g := &net{ends: make([][2]int32, 0, expect), bent: make([]bool, 0, expect)}
	hung := hung{last: make([]int32, 0, expect), degree: make([]int32, 0, expect), before: make([][2]int32, 0, expect)}
	from, last := geom.Point{}, int32(-1) // what was placed last
	chords.all(func(a, b geom.Point, kind chordKind) {
		i := last
		if i < 0 || a != from {
			i = places.PlaceNearest(a)
		}
		j := places.PlaceNearest(b)
		from, last = b, j
		if i == j {
			return
		}
		if hung.grow(len(places.At)); hung.joins(g.ends, i, j) {
			return
		}
		hung.add(int32(len(g.ends)), i, j)
		g.ends, g.bent = append(g.ends, [2]int32{i, j}), append(g.bent, kind == bent)
	})
	g.at = places.At
	return g
}

// hung is the chords by the nodes that they end in, as lists.
type hung struct {
	last   []int32    // by node: the end that came last, -1 if none
	degree []int32    // by node: how many ends
	before [][2]int32 // by chord and side: the end of the same node before it, -1 if none
}

// grow makes room for n nodes.
func (h *hung) grow(n int) {
	for len(h.last) < n {
		h.last, h.degree = append(h.last, -1), append(h.degree, 0)
	}
}

// joins reports whether one of the chords joins nodes i and j. It goes through the ends
// of that with fewer; as no two chords join the same nodes, that takes no more than the
// root of the number of chords on average (N. Chiba, T. Nishizeki, "Arboricity and
// subgraph listing algorithms", 1985), and next to nothing where few meet.
func (h *hung) joins(ends [][2]int32, i, j int32) bool {
	if h.degree[i] > h.degree[j] {
		i, j = j, i
	}
	for e := h.last[i]; e >= 0; e = h.before[e/2][e&1] {
		if ends[e/2][1-e&1] == j {
			return true
		}
	}
	return false
}

// add hangs chord c between nodes i and j.
func (h *hung) add(c, i, j int32) {
	h.before = append(h.before, [2]int32{h.last[i], h.last[j]})
	h.last[i], h.last[j] = 2*c, 2*c+1
	h.degree[i]++
	h.degree[j]++
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
	cells := index.NewCells[int32](reach, len(free))
	for _, i := range free {
		cells.Add(g.at[i], i)
	}
	nearest := make(map[int32]int32, len(free))
	for _, i := range free {
		best, bestDist := int32(-1), reach
		met := 0
		cells.Around(g.at[i], reach, func(j int32) bool {
			if d := g.at[i].Dist(g.at[j]); j != i && d < bestDist {
				best, bestDist = j, d
			}
			met++
			return met < endCrowd
		})
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
	// Every chord is walked once, so that all loops find room in two lists.
	pts, bent := make([]geom.Point, 0, len(g.ends)), make([]bool, 0, len(g.ends))
	for c := range g.ends {
		if done[c] {
			continue
		}
		first, closed := len(pts), false
		for end := int32(2 * c); ; { // the end at which the chord is entered
			done[end/2] = true
			pts = append(pts, g.at[g.ends[end/2][end&1]])
			bent = append(bent, g.bent[end/2])
			end = g.partner[end^1]
			if closed = end == int32(2*c); end < 0 || closed || done[end/2] {
				break
			}
		}
		if n := len(pts); closed && n-first > 2 {
			loops = append(loops, loop{pts[first:n:n], bent[first:n:n]})
		} else {
			pts, bent = pts[:first], bent[:first]
		}
	}
	return loops
}
