package outline

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// locator finds the outline around a point.
type locator struct {
	outs []Outline
	refs []pieceRef
	grid *index.Grid
}

// pieceRef names a piece of an outline.
type pieceRef struct{ out, piece int32 }

func newLocator(outs []Outline, pad float64) *locator {
	l := &locator{outs: outs}
	for i := range outs {
		for k := range outs[i].Pieces {
			l.refs = append(l.refs, pieceRef{int32(i), int32(k)})
		}
	}
	l.grid = index.NewGrid(len(l.refs), func(i int) *geom.Piece { return &outs[l.refs[i].out].Pieces[l.refs[i].piece] }, pad, 0)
	return l
}

// meet runs a ray down from q and returns the first outline met, other than
// skip, and whether q lies inside it.
func (l *locator) meet(q geom.Point, skip int32) (hit int32, inside bool) {
	g := l.grid
	hit = -1
	best, dx := math.Inf(-1), 0.0
	if !g.Box.Contains(q) {
		return -1, false
	}
	col := g.Col(q.X)
	for row := g.Row(q.Y); row >= 0; row-- {
		if hit >= 0 && best >= g.Box.Min.Y+float64(row+1)*g.Side {
			break
		}
		for _, k := range g.At(row, col) {
			r := l.refs[k]
			if r.out == skip {
				continue
			}
			p := &l.outs[r.out].Pieces[r.piece]
			if p.R == 0 {
				if (p.A.X > q.X) == (p.B.X > q.X) {
					continue
				}
			} else if q.X < p.C.X-p.R || q.X > p.C.X+p.R {
				continue
			}
			y, d, ok := below(p, q)
			// Of two outlines along one edge the one above the edge counts.
			if ok && (y > best || y == best && d > 0 && dx <= 0) {
				best, dx, hit = y, d, r.out
			}
		}
	}
	return hit, hit >= 0 && dx > 0
}

// crowded reports whether rays from the outlines would have to look at many
// pieces each.
func (l *locator) crowded() bool {
	g := l.grid
	looks := 0
	for i := range l.outs {
		p := l.outs[i].Box.Center()
		looks += len(g.At(g.Row(l.outs[i].Box.Min.Y), g.Col(p.X)))
	}
	return looks > crowdedRays*len(l.outs)
}

// around returns the outline directly around q, once parents are known.
func (l *locator) around(q geom.Point) int32 {
	hit, inside := l.meet(q, -1)
	if hit >= 0 && !inside {
		return l.outs[hit].Parent
	}
	return hit
}

// nested is the sixth stage: rings, each with the outline directly around it.
type nested struct {
	*rings
	locate *locator
}

// nest finds the outline directly around each outline.
func (r *rings) nest() *nested {
	return &nested{r, nest(r.outlines, r.crossOut, r.o.Join)}
}

// nest gives outlines their Parent and Depth, and returns what finds the outline
// around a point. It is the one method by which it is told here which lies in
// which: of a point on the outline it is asked what lies below. The first other
// outline met either is around the point (when its inside lies above the place
// met) or lies beside it, with the same outline around both. Of those that cross
// neither is taken to lie in the other. pad, mm, is by how much pieces may be off
// their cells.
func nest(outs []Outline, cross map[[2]int32]bool, pad float64) *locator {
	l := newLocator(outs, pad)
	hit, inside := l.below()
	for i := range outs {
		if k := int32(i); inside[i] && cross[[2]int32{min(hit[i], k), max(hit[i], k)}] {
			inside[i] = false
		}
	}
	// Follow "beside" links to an outline whose parent is known.
	done := make([]bool, len(outs))
	var trail []int32
	for i := range outs {
		trail = trail[:0]
		j := int32(i)
		for !done[j] {
			trail = append(trail, j)
			if hit[j] < 0 || inside[j] || len(trail) > len(outs) {
				break
			}
			j = hit[j]
		}
		parent := int32(-1)
		switch {
		case done[j]:
			parent = outs[j].Parent
		case hit[j] >= 0 && inside[j]:
			parent = hit[j]
		}
		for _, t := range trail {
			outs[t].Parent = parent
			done[t] = true
		}
	}
	setDepths(outs)
	return l
}

// below answers meet for the lowest points of all outlines: by rays, or, where
// these would have to look at many pieces each, by a sweep.
func (l *locator) below() (hit []int32, inside []bool) {
	if l.crowded() {
		return sweepNest(l.outs)
	}
	hit, inside = make([]int32, len(l.outs)), make([]bool, len(l.outs))
	for i := range l.outs {
		hit[i] = -1
		if start, ok := lowAt(&l.outs[i]); ok {
			hit[i], inside[i] = l.meet(start, int32(i))
		}
	}
	return hit, inside
}

// setDepths counts the outlines around each outline, once each. Outlines that
// cross may seem to lie in each other by turns: then the one met again is taken
// to lie in none.
func setDepths(outs []Outline) {
	const unknown, onTrail = -1, -2
	for i := range outs {
		outs[i].Depth = unknown
	}
	count := func(trail []int32, d int32) {
		for _, i := range slices.Backward(trail) {
			d++
			outs[i].Depth = d
		}
	}
	var trail []int32
	for i := range outs {
		trail = trail[:0]
		j := int32(i)
		for j >= 0 && outs[j].Depth == unknown {
			outs[j].Depth = onTrail
			trail = append(trail, j)
			j = outs[j].Parent
		}
		switch {
		case j < 0:
			count(trail, -1)
		case outs[j].Depth != onTrail:
			count(trail, outs[j].Depth)
		default:
			k := slices.Index(trail, j)
			outs[j].Parent, outs[j].Depth = -1, 0
			count(trail[k+1:], 0) // what hangs on j from the far side of the ring
			count(trail[:k], 0)
		}
	}
}

// lowAt returns the lowest point of the outline at an x well inside its width
// and away from round shares, so that rays seldom pass through corners.
func lowAt(o *Outline) (geom.Point, bool) {
	x := o.Box.Min.X + o.Box.W()*0.38196601125010515
	low, ok := math.Inf(1), false
	for k := range o.Pieces {
		ys, n := ysAt(&o.Pieces[k], x)
		for _, y := range ys[:n] {
			if y < low {
				low, ok = y, true
			}
		}
	}
	return geom.Pt(x, low), ok
}

// below returns the highest place of piece p below q, or at its height, and the
// sign of the direction of travel along x there.
func below(p *geom.Piece, q geom.Point) (y, dx float64, ok bool) {
	y = math.Inf(-1)
	ys, n := ysAt(p, q.X)
	for _, v := range ys[:n] {
		if v <= q.Y && v > y {
			y, ok = v, true
		}
	}
	if !ok {
		return 0, 0, false
	}
	if p.R == 0 {
		return y, p.B.X - p.A.X, true
	}
	// Counter-clockwise travel runs to the left on top of the circle.
	dx = p.C.Y - y
	if p.Sweep < 0 {
		dx = -dx
	}
	return y, dx, true
}

// ysAt returns the heights at which the piece passes x. A shared end is given by
// the piece that lies to its right only.
func ysAt(p *geom.Piece, x float64) (ys [2]float64, n int) {
	if p.R == 0 {
		lo, hi := p.A, p.B
		if lo.X > hi.X {
			lo, hi = hi, lo
		}
		if x < lo.X || x >= hi.X {
			return ys, 0
		}
		ys[0] = lo.Y + (hi.Y-lo.Y)*(x-lo.X)/(hi.X-lo.X)
		return ys, 1
	}
	d := x - p.C.X
	if d <= -p.R || d >= p.R {
		return ys, 0
	}
	h := math.Sqrt((p.R - d) * (p.R + d))
	for _, s := range [2]float64{-h, h} {
		if p.SweepsOver(geom.Pt(d, s)) {
			ys[n] = p.C.Y + s
			n++
		}
	}
	return ys, n
}
