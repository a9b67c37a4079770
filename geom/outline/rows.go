package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// How letters stand in rows, as shares of their height.
const (
	leastRun   = 3    // letters side by side
	sameLine   = 0.15 // by which the feet of neighbours may differ
	letterGap  = 1.0  // between neighbours at most
	kerned     = 0.3  // by which their boxes may overlap
	loneLine   = 5    // letters of a group that lies on no plate
	scattered  = 6    // letters of a group that stand apart, as on a scale
	manyShapes = 4    // how many shapes they have, and how many stand on one line
	scaleGap   = 3.0  // between them
	wordGap    = 0.6  // others are so near to a letter
	beyond     = 0.65 // b, d, h, k, l, g, p, q, y reach so far beyond x
)

// rows are letters of one height that stand in rows along one direction.
type rows struct {
	along   geom.Point // unit direction of the rows
	height  float64    // mm
	stroke  float64    // middle width of strokes, mm
	letters []int32    // glyphs
	spans   []geom.Box // of each letter, along and across the rows
}

// findRows looks for lettering in a clump of glyphs.
func (l *lettering) findRows(clump []int32) (*rows, bool) {
	if len(clump) < leastRun {
		return nil, false
	}
	var best *rows
	for _, u := range l.directions(clump) {
		for _, along := range [2]geom.Point{u, u.Left()} {
			for _, r := range l.heights(clump, along) {
				if !l.isLettering(r) || best != nil && len(r.letters) <= len(best.letters) {
					continue
				}
				best = r
			}
		}
	}
	return best, best != nil
}

// directions returns directions that rows of the clump may have: those of its
// longest straight lines, of lines between neighbours, and the axes.
func (l *lettering) directions(clump []int32) []geom.Point {
	const bins = 90 // a degree each, lines square to each other being one
	var lines, links [bins]float64
	var lineSum, linkSum [bins]geom.Point // of doubled-doubled angles
	add := func(w *[bins]float64, sum *[bins]geom.Point, d geom.Point, weight float64) {
		a := d.Angle()
		k := int(math.Floor(a/(math.Pi/2)*bins+0.5)) % bins
		if k < 0 {
			k += bins
		}
		w[k] += weight
		sum[k] = sum[k].Add(geom.Polar(geom.Point{}, weight, 4*a))
	}
	for _, g := range clump {
		y := &l.glyphs[g]
		for i := range l.outlines[y.out].Pieces {
			if p := &l.outlines[y.out].Pieces[i]; p.R == 0 {
				d := p.B.Sub(p.A)
				add(&lines, &lineSum, d, d.Norm())
			}
		}
		nearest, dist := int32(-1), math.Inf(1)
		l.near(g, func(n int32) {
			if d := y.box.Center().Dist(l.glyphs[n].box.Center()); l.glyphs[n].shaped && d > 0 && (d < dist || d == dist && n < nearest) {
				nearest, dist = n, d
			}
		})
		if nearest >= 0 {
			add(&links, &linkSum, l.glyphs[nearest].box.Center().Sub(y.box.Center()), 1)
		}
	}
	out := []geom.Point{geom.Pt(1, 0)}
	top := func(w *[bins]float64, sum *[bins]geom.Point, n int) {
		order := make([]int, bins)
		for k := range order {
			order[k] = k
		}
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(w[b], w[a]) })
		for _, k := range order[:n] {
			if w[k] > 0 {
				s := sum[k].Add(sum[(k+1)%bins]).Add(sum[(k+bins-1)%bins])
				out = append(out, geom.Polar(geom.Point{}, 1, s.Angle()/4))
			}
		}
	}
	top(&lines, &lineSum, 3)
	top(&links, &linkSum, 2)
	return out
}

// heights returns the letters of the commonest heights, rows running along u.
func (l *lettering) heights(clump []int32, u geom.Point) []*rows {
	type tall struct {
		g int32
		s geom.Box
		h float64
	}
	var all []tall
	for _, g := range clump {
		s := spanOf(l.glyphs[g].pts, u)
		h := s.Max.Y - s.Min.Y
		if h < leastLetter || h > mostLetter || s.Max.X-s.Min.X > broad*h || l.glyphs[g].stroke > slender*h {
			continue
		}
		all = append(all, tall{g, s, h})
	}
	slices.SortFunc(all, func(a, b tall) int { return cmp.Or(cmp.Compare(a.h, b.h), cmp.Compare(a.g, b.g)) })
	type window struct{ from, to int }
	var windows []window
	to := 0
	for from := range all {
		for to < len(all) && all[to].h <= all[from].h*(1+oneHeight) {
			to++
		}
		if n := len(windows); to-from >= leastRun && (n == 0 || windows[n-1].to < to) {
			windows = append(windows, window{from, to})
		}
	}
	slices.SortStableFunc(windows, func(a, b window) int { return cmp.Compare(b.to-b.from, a.to-a.from) })
	var out []*rows
	for _, w := range windows[:min(3, len(windows))] {
		r := &rows{along: u, height: all[(w.from+w.to)/2].h}
		for _, t := range all[w.from:w.to] {
			r.letters, r.spans = append(r.letters, t.g), append(r.spans, t.s)
		}
		if l.evenStrokes(r); len(r.letters) >= leastRun {
			out = append(out, r)
		}
	}
	return out
}

// evenStrokes leaves the letters whose strokes are of about the middle width.
func (l *lettering) evenStrokes(r *rows) {
	ws := make([]float64, len(r.letters))
	for i, g := range r.letters {
		ws[i] = l.glyphs[g].stroke
	}
	slices.Sort(ws)
	r.stroke = ws[len(ws)/2]
	letters, spans := r.letters[:0], r.spans[:0]
	for i, g := range r.letters {
		if w := l.glyphs[g].stroke; w*w <= oneStroke*r.stroke*r.stroke && w*w*oneStroke >= r.stroke*r.stroke {
			letters, spans = append(letters, g), append(spans, r.spans[i])
		}
	}
	r.letters, r.spans = letters, spans
}

// isLettering reports whether shapes of one height are letters.
func (l *lettering) isLettering(r *rows) bool {
	run := r.longestRun(letterGap)
	n, shapes := len(r.letters), l.shapes(r.letters)
	switch {
	case n < leastRun || run < leastRun && (n < scattered || shapes < manyShapes || r.longestRun(scaleGap) < manyShapes):
		return false
	case l.glyphs[r.letters[0]].parent < 0:
		// Small parts lie side by side too, but few of them are of one height, and
		// they have screw holes.
		drilled := 0
		for _, g := range r.letters {
			if l.glyphs[g].drilled {
				drilled++
			}
		}
		return n >= loneLine && shapes >= 3 && 3*drilled <= n
	}
	return shapes >= 3 || shapes == 2 && run > leastRun
}

// shapes counts different shapes, turned over or not, manyShapes at most.
func (l *lettering) shapes(letters []int32) int {
	var known []*glyph
	for _, i := range letters {
		g := &l.glyphs[i]
		if slices.ContainsFunc(known, g.like) {
			continue
		}
		if known = append(known, g); len(known) == manyShapes {
			break
		}
	}
	return len(known)
}

// longestRun returns how many letters stand side by side on one line at most, with
// gaps of so much of their height between them.
func (r *rows) longestRun(gap float64) (longest int) {
	order := make([]int, len(r.letters))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(r.spans[a].Min.Y, r.spans[b].Min.Y), cmp.Compare(r.letters[a], r.letters[b]))
	})
	// A line ends where the feet of the next letters stand much higher.
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && r.spans[order[to]].Min.Y-r.spans[order[to-1]].Min.Y <= sameLine*r.height {
			to++
		}
		line := order[from:to]
		slices.SortFunc(line, func(a, b int) int {
			return cmp.Or(cmp.Compare(r.spans[a].Min.X, r.spans[b].Min.X), cmp.Compare(r.letters[a], r.letters[b]))
		})
		run := 1
		longest = max(longest, run)
		for k := 1; k < len(line); k++ {
			if r.beside(line[k-1], line[k], gap) {
				run++
			} else {
				run = 1
			}
			longest = max(longest, run)
		}
		from = to
	}
	return longest
}

// beside reports whether letter k follows on letter i of the same line.
func (r *rows) beside(i, k int, most float64) bool {
	a, b := r.spans[i], r.spans[k]
	gap := b.Min.X - a.Max.X
	return gap <= most*r.height && gap >= -kerned*r.height && math.Abs(a.Min.Y-b.Min.Y) <= sameLine*r.height
}

// others returns what else belongs to rows: letters of other heights beside them,
// straight strokes such as I and l, hyphens and points between letters, and the
// dots of i.
func (l *lettering) others(r *rows) []int32 {
	in := map[int32]geom.Box{}
	for i, g := range r.letters {
		in[g] = r.spans[i]
	}
	queue := slices.Clone(r.letters)
	var more []int32
	for len(queue) > 0 {
		g := queue[0]
		queue = queue[1:]
		at := in[g]
		l.near(g, func(n int32) {
			if _, known := in[n]; known || l.taken[n] {
				return
			}
			s := spanOf(l.glyphs[n].pts, r.along)
			if l.goesWith(r, n, at, s) {
				in[n] = s
				more, queue = append(more, n), append(queue, n)
			}
		})
	}
	return append(more, l.dotsOf(r, in)...)
}

// dotsOf returns the points and hyphens between letters and the dots over upright
// strokes. A hole beside lettering is none of them: it has no letter on both sides,
// or does not stand where a point would.
func (l *lettering) dotsOf(r *rows, in map[int32]geom.Box) []int32 {
	left, right := map[int32]bool{}, map[int32]bool{} // a letter stands to that side
	var found []int32
	for g, at := range in {
		l.nearDots(r, g, func(n int32) {
			s := spanOf(flat(l.outlines[l.glyphs[n].out].Pieces), r.along)
			if r.overStroke(&l.glyphs[g], at, s) {
				found = append(found, n)
				return
			}
			if r.isPoint(at, s) || r.isHyphen(at, s) {
				left[n] = left[n] || at.Max.X <= s.Min.X
				right[n] = right[n] || at.Min.X >= s.Max.X
				if left[n] && right[n] {
					found = append(found, n)
				}
			}
		})
	}
	slices.Sort(found)
	return slices.Compact(found)
}

// isPoint reports whether s is a point at the foot of a letter that spans at.
func (r *rows) isPoint(at, s geom.Box) bool {
	h := r.height
	foot := min(math.Abs(s.Min.Y-at.Min.Y), math.Abs(s.Max.Y-at.Max.Y)) <= oneHeight*h
	return foot && max(s.Max.X-s.Min.X, s.Max.Y-s.Min.Y) <= 2*oneStroke*r.stroke && max(s.Min.X-at.Max.X, at.Min.X-s.Max.X) <= wordGap*h
}

// isHyphen reports whether s is a hyphen beside a letter that spans at.
func (r *rows) isHyphen(at, s geom.Box) bool {
	h := r.height
	wide, high, mid := s.Max.X-s.Min.X, s.Max.Y-s.Min.Y, (s.Min.Y+s.Max.Y-at.Min.Y-at.Max.Y)/2
	return wide >= 1.3*high && wide <= 0.8*h && high <= 2*oneStroke*r.stroke && math.Abs(mid) <= 0.2*h && max(s.Min.X-at.Max.X, at.Min.X-s.Max.X) <= wordGap*h
}

// overStroke reports whether s is the dot over an upright stroke g that spans at.
func (r *rows) overStroke(g *glyph, at, s geom.Box) bool {
	h := r.height
	wide, size := at.Max.X-at.Min.X, max(s.Max.X-s.Min.X, s.Max.Y-s.Min.Y)
	gap := max(s.Min.Y-at.Max.Y, at.Min.Y-s.Max.Y)
	return !g.shaped && math.Abs(s.Min.X+s.Max.X-at.Min.X-at.Max.X) <= 0.2*h && gap > 0 && gap <= 0.4*h && size >= wide/2 && size <= 2*wide
}

// nearDots calls f for the dots around letter g, not larger than a hyphen.
func (l *lettering) nearDots(r *rows, g int32, f func(int32)) {
	a := &l.glyphs[g]
	most := a.size/2 + r.height
	for order := int(math.Floor(math.Log2(r.height))); order >= int(math.Floor(math.Log2(r.stroke/2))); order-- {
		c := l.cellAt(a, order)
		n := int(math.Ceil(most / math.Ldexp(cellWide, order)))
		for x := c.x - n; x <= c.x+n; x++ {
			for y := c.y - n; y <= c.y+n; y++ {
				for _, k := range l.dots[glyphCell{c.parent, c.order, x, y}] {
					if !l.taken[k] {
						f(k)
					}
				}
			}
		}
	}
}

// goesWith reports whether glyph n, which spans s, is a letter beside one that
// spans at.
func (l *lettering) goesWith(r *rows, n int32, at, s geom.Box) bool {
	g := &l.glyphs[n]
	h := r.height
	gap := max(s.Min.X-at.Max.X, at.Min.X-s.Max.X)
	high := s.Max.Y - s.Min.Y
	if gap > wordGap*h || gap < -kerned*h || s.Min.Y < at.Min.Y-beyond*h || s.Max.Y > at.Max.Y+beyond*h {
		return false
	}
	ratio := g.stroke / r.stroke
	if g.shaped {
		return high >= 0.5*h && high <= (1+beyond)*h && s.Max.X-s.Min.X <= broad*h && ratio <= oneStroke && ratio*oneStroke >= 1
	}
	// A straight upright stroke as high as a letter.
	thick := 2 * g.stroke // less than its width by what its ends add
	upright := (s.Max.X-s.Min.X)*3 <= high && thick >= r.stroke && thick <= 4*r.stroke
	lined := min(math.Abs(s.Min.Y-at.Min.Y), math.Abs(s.Max.Y-at.Max.Y)) <= oneHeight*h
	return upright && lined && high >= (1-oneHeight)*h && high <= (1+beyond)*h
}
