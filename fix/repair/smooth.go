package repair

import (
	"math"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// mostRamp is the most, as a turn, by which an outline may turn where a detail was taken
// out of it, so that what is left is none.
const mostRamp = 15 * math.Pi / 180

// Smooth returns the ops that take out the detail which count pieces of an outline from
// first on are, within its size, mm: a corner is left sharp, or cut off where its walls
// do not meet nearby; elsewhere the outline runs straight on, along its own circle, or
// comes over a step by a ramp.
func Smooth(d *drawing.Drawing, o *outline.Path, first, count int, corner bool, size float64) []fix.Op {
	n := len(o.Pieces)
	if count >= n {
		return nil
	}
	for k := range count {
		if !whole(d, o, (first+k)%n) {
			return nil
		}
	}
	prev, next := (first+n-1)%n, (first+count)%n
	p, q := o.Pieces[prev], o.Pieces[next].Reverse() // both run to the detail
	// The walls may be drawn as what is more than these pieces only where they stay.
	walls := o.Src[prev] != o.Src[next] && whole(d, o, prev) && whole(d, o, next)
	join := func(line geom.Piece) []fix.Op { return instead(d, o, first, count, line) }
	switch x, ok := meet(p, q, 4*size+snap); {
	case corner && ok && walls:
		return append(instead(d, o, first, count), endTo(d, o.Src[prev], p.B, x), endTo(d, o.Src[next], q.B, x))
	case corner:
		return join(geom.Line(p.B, q.B))
	case p.B.Dist(q.B) < 1e-6:
		return instead(d, o, first, count)
	case onOneCircle(p, q):
		return join(onCircle(p, p.B, q.B))
	}
	line := geom.Line(p.B, q.B)
	turn := func(a, b geom.Point) float64 { return math.Abs(geom.TurnTo(a, b)) }
	if u := line.TangentAt(0.5); turn(p.TangentAt(1), u) <= mostRamp && turn(u, q.TangentAt(1).Mul(-1)) <= mostRamp {
		return join(line)
	}
	back := 2 * math.Abs(p.TangentAt(1).Cross(q.B.Sub(p.B))) // from either end of the detail
	if !walls || p.Length() < 1.5*back || q.Length() < 1.5*back {
		return nil
	}
	a, b := p.At(1-back/p.Length()), q.At(1-back/q.Length())
	return append(join(geom.Line(a, b)), endTo(d, o.Src[prev], p.B, a), endTo(d, o.Src[next], q.B, b))
}

// instead returns the ops that put a line, or nothing, in the place of count pieces of an
// outline from first on.
func instead(d *drawing.Drawing, o *outline.Path, first, count int, line ...geom.Piece) (ops []fix.Op) {
	n := len(o.Pieces)
	for k := range count {
		s := o.Src[(first+k)%n]
		op := fix.Op{Kind: fix.Drop, Stroke: s}
		if k == 0 && len(line) > 0 {
			st := d.Strokes[s]
			st.Piece, st.Made = line[0], drawing.Edited
			op = fix.Op{Kind: fix.Replace, Stroke: s, With: []drawing.Stroke{st}}
		}
		ops = append(ops, op)
	}
	return ops
}
