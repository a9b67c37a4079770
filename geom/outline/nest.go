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

// nest finds the outline directly around each outline. From a point on the
// outline a ray runs down; the first other outline it meets either is around
// the point (when its inside lies above the place met) or lies beside it, with
// the same outline around both.
func (b *builder) nest() {
	outs := b.sheet.Outlines
	b.locate = newLocator(outs, b.o.Join)
	hit := make([]int32, len(outs))
	inside := make([]bool, len(outs))
	if b.locate.crowded() {
		hit, inside = sweepNest(outs)
	} else {
		for i := range outs {
			hit[i] = -1
			if start, ok := lowAt(&outs[i]); ok {
				hit[i], inside[i] = b.locate.meet(start, int32(i))
			}
		}
	}
	if len(b.crossOut) > 0 {
		for i := range outs {
			if inside[i] && b.crossOut[[2]int32{min(hit[i], int32(i)), max(hit[i], int32(i))}] {
				inside[i] = false // it crosses what it seems to lie in
			}
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
	// Depths, each outline once. Outlines that cross may seem to lie in each other
	// by turns: then the one met again is taken to lie in none.
	const unknown, onTrail = -1, -2
	for i := range outs {
		outs[i].Depth = unknown
	}
	for i := range outs {
		trail = trail[:0]
		j := int32(i)
		for j >= 0 && outs[j].Depth == unknown {
			outs[j].Depth = onTrail
			trail = append(trail, j)
			j = outs[j].Parent
		}
		d := int32(-1)
		switch {
		case j < 0:
		case outs[j].Depth == onTrail:
			outs[j].Parent = -1
			k := slices.Index(trail, j)
			// What hangs on j from the far side of the ring counts from j up.
			outs[j].Depth = 0
			d = 0
			for x := len(trail) - 1; x > k; x-- {
				d++
				outs[trail[x]].Depth = d
			}
			d = 0
			if k > 0 {
				d = outs[trail[k]].Depth
			}
			trail = trail[:k]
		default:
			d = outs[j].Depth
		}
		for k := len(trail) - 1; k >= 0; k-- {
			d++
			outs[trail[k]].Depth = d
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
