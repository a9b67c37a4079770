package assembly

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
)

// grid is a region of rectangles along two axes.
type grid struct {
	xs, ys []float64
	full   [][]bool // by column and row between them
}

// newGrid fills a box less what is cut out of it, but for what is to be full whatever is cut.
func newGrid(box geom.Box, cuts, full []geom.Box) *grid {
	xs, ys := []float64{box.Min.X, box.Max.X}, []float64{box.Min.Y, box.Max.Y}
	for _, c := range slices.Concat(cuts, full) {
		for _, x := range [2]float64{c.Min.X, c.Max.X} {
			if x > box.Min.X && x < box.Max.X {
				xs = append(xs, x)
			}
		}
		for _, y := range [2]float64{c.Min.Y, c.Max.Y} {
			if y > box.Min.Y && y < box.Max.Y {
				ys = append(ys, y)
			}
		}
	}
	g := &grid{xs: distinct(xs), ys: distinct(ys)}
	g.full = make([][]bool, len(g.xs)-1)
	for i := range g.full {
		g.full[i] = make([]bool, len(g.ys)-1)
		for k := range g.full[i] {
			p := geom.Pt((g.xs[i]+g.xs[i+1])/2, (g.ys[k]+g.ys[k+1])/2)
			holds := func(c geom.Box) bool { return c.Contains(p) }
			g.full[i][k] = slices.ContainsFunc(full, holds) || !slices.ContainsFunc(cuts, holds)
		}
	}
	return g
}

// hair is how far apart, mm, lines of a grid lie at least.
const hair = 0.02

func distinct(all []float64) []float64 {
	slices.Sort(all)
	out := all[:1]
	for _, v := range all[1:] {
		if v-out[len(out)-1] > hair {
			out = append(out, v)
		}
	}
	return out
}

func (g *grid) at(i, k int) bool {
	return i >= 0 && k >= 0 && i < len(g.full) && k < len(g.full[0]) && g.full[i][k]
}

// keep leaves of the region only what hangs together with the piece that has most of some
// places, of those alike the largest.
func (g *grid) keep(near []geom.Point) {
	seen := map[[2]int]bool{}
	var best [][2]int
	most, size := -1, 0.0
	for i := range g.full {
		for k := range g.full[i] {
			if !g.full[i][k] || seen[[2]int{i, k}] {
				continue
			}
			piece, area := g.piece([2]int{i, k}, seen)
			n := 0
			for _, p := range near {
				if slices.ContainsFunc(piece, func(c [2]int) bool { return g.box(c).Inflate(hair).Contains(p) }) {
					n++
				}
			}
			if n > most || n == most && area > size {
				best, most, size = piece, n, area
			}
		}
	}
	for i := range g.full {
		clear(g.full[i])
	}
	for _, c := range best {
		g.full[c[0]][c[1]] = true
	}
}

// holes returns what the region encloses, each clockwise.
func (g *grid) holes() (all [][]geom.Point) {
	out := &grid{xs: g.xs, ys: g.ys, full: make([][]bool, len(g.full))}
	for i := range g.full {
		out.full[i] = make([]bool, len(g.full[i]))
		for k := range g.full[i] {
			out.full[i][k] = !g.full[i][k]
		}
	}
	seen := map[[2]int]bool{}
	for i := range out.full {
		for k := range out.full[i] {
			if !out.full[i][k] || seen[[2]int{i, k}] {
				continue
			}
			piece, _ := out.piece([2]int{i, k}, seen)
			one := &grid{xs: g.xs, ys: g.ys, full: make([][]bool, len(g.full))}
			for i := range one.full {
				one.full[i] = make([]bool, len(g.full[i]))
			}
			open := false
			for _, c := range piece {
				one.full[c[0]][c[1]] = true
				open = open || c[0] == 0 || c[1] == 0 || c[0] == len(g.full)-1 || c[1] == len(g.full[0])-1
			}
			if ring := one.outline(); !open && len(ring) > 3 {
				slices.Reverse(ring)
				all = append(all, ring)
			}
		}
	}
	return all
}

func (g *grid) box(c [2]int) geom.Box {
	return geom.Box{Min: geom.Pt(g.xs[c[0]], g.ys[c[1]]), Max: geom.Pt(g.xs[c[0]+1], g.ys[c[1]+1])}
}

// piece lists the cells that hang together with one.
func (g *grid) piece(from [2]int, seen map[[2]int]bool) (all [][2]int, area float64) {
	all = [][2]int{from}
	seen[from] = true
	for n := 0; n < len(all); n++ {
		c := all[n]
		b := g.box(c)
		area += b.W() * b.H()
		for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			o := [2]int{c[0] + d[0], c[1] + d[1]}
			if g.at(o[0], o[1]) && !seen[o] {
				seen[o] = true
				all = append(all, o)
			}
		}
	}
	return all, area
}

// outline returns the outside of the region, counter-clockwise.
func (g *grid) outline() []geom.Point {
	i, k := 0, -1
	for ; i < len(g.full) && k < 0; i++ {
		k = slices.Index(g.full[i], true)
	}
	if k < 0 {
		return nil
	}
	// From the lowest full cell of the leftmost column, what is full to the left.
	at, d := [2]int{i - 1, k}, 0
	start := at
	step := [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}
	left := [4][2]int{{0, 0}, {-1, 0}, {-1, -1}, {0, -1}}  // the cell left of a step from a corner
	right := [4][2]int{{0, -1}, {0, 0}, {-1, 0}, {-1, -1}} // and right of it
	var out []geom.Point
	for turns := 0; turns < 8*len(g.xs)*len(g.ys); turns++ {
		next := [2]int{at[0] + step[d][0], at[1] + step[d][1]}
		at = next
		// Keep to the left where it can: then straight on, then right.
		for _, turn := range [3]int{3, 0, 1} {
			e := (d + turn) % 4
			l, r := left[e], right[e]
			if g.at(at[0]+l[0], at[1]+l[1]) && !g.at(at[0]+r[0], at[1]+r[1]) {
				if e != d {
					out = append(out, geom.Pt(g.xs[at[0]], g.ys[at[1]]))
				}
				d = e
				break
			}
		}
		if at == start && d == 0 {
			break
		}
	}
	return out
}

// standing returns what of the parts of a group lies in a plate's plane, as rectangles in
// its own coordinates; of parts that stand at right angles to it, and along its axes.
func (g *group) standing(pose plate.Pose, t float64, in geom.Box) (cuts []geom.Box) {
	back := pose.Back()
	for i := range g.stands {
		s := &g.stands[i]
		rel := s.pose.Then(back)
		n := rel.R[2]
		axis := 0
		if math.Abs(n[1]) > 0.999 {
			axis = 1
		} else if math.Abs(n[0]) < 0.999 {
			continue
		}
		// The part fills a strip across the axis; where, by its own outline.
		lo := rel.T[axis]
		hi := lo + n[axis]*g.m.shapes[s.shape].plate.Thickness
		lo, hi = min(lo, hi)-g.m.wide/2, max(lo, hi)+g.m.wide/2
		for _, span := range g.m.shapes[s.shape].plate.Shadow(rel, t, 1-axis) {
			b := geom.Box{Min: geom.Pt(lo, span[0]), Max: geom.Pt(hi, span[1])}
			if axis == 1 {
				b = geom.Box{Min: geom.Pt(span[0], lo), Max: geom.Pt(span[1], hi)}
			}
			if b.Overlaps(in) {
				cuts = append(cuts, b)
			}
		}
	}
	return cuts
}
