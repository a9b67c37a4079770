// Package repair builds edits: pure functions from a flaw to the changes that
// put it right. They change nothing themselves.
package repair

import (
	"fmt"
	"math"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// snap is the width, mm, up to which both ends of a gap simply move to its
// middle: neither by more than half of it.
const snap = 0.02

// CloseGap returns the edit that closes a gap between two free ends at most
// limit mm apart. Ends within 0.02 mm of each other meet in the middle. Lines
// that cross near both ends are run on, or cut back, to the crossing; ends that
// face each other along one line are joined by running one on. Otherwise a short
// line is put between them.
func CloseGap(d *drawing.Drawing, g *outline.Gap, limit float64) fix.Edit {
	e := fix.Edit{Kind: "close-gap", At: g.At}
	sa, sb := g.EndA.Stroke, g.EndB.Stroke
	if sa < 0 || sb < 0 {
		return e
	}
	p, q := outward(&d.Strokes[sa], g.EndA), outward(&d.Strokes[sb], g.EndB)
	switch {
	case g.Width <= snap:
		e.Moved = g.Width / 2
		e.Note = fmt.Sprintf("ends %.4g mm apart brought together", g.Width)
		e.Ops = []fix.Op{move(g.EndA, g.At), move(g.EndB, g.At)}
		if sa == sb && d.Strokes[sa].IsLine() {
			e.Ops = nil // a line's own ends: nothing to close
		}
		return e
	case p.R == 0 && q.R == 0:
		if x, ok := meet(p, q, limit); ok {
			e.At = x
			e.Moved = max(x.Dist(p.B), x.Dist(q.B))
			e.Note = fmt.Sprintf("gap of %.4g mm: lines run on or cut back to where they cross", g.Width)
			e.Ops = []fix.Op{move(g.EndA, x), move(g.EndB, x)}
			return e
		}
	}
	e.Moved = 0
	e.Note = fmt.Sprintf("gap of %.4g mm bridged by a line", g.Width)
	s := d.Strokes[sa]
	s.Piece = geom.Line(g.A, g.B)
	s.Made = drawing.Edited
	e.Ops = []fix.Op{{Kind: fix.Add, With: []drawing.Stroke{s}}}
	return e
}

// outward returns the stroke's piece run so that it ends at the free end.
func outward(s *drawing.Stroke, e outline.End) geom.Piece {
	if e.AtB {
		return s.Piece
	}
	return s.Piece.Reverse()
}

func move(e outline.End, to geom.Point) fix.Op {
	k := fix.MoveA
	if e.AtB {
		k = fix.MoveB
	}
	return fix.Op{Kind: k, Stroke: e.Stroke, To: to}
}

// meet returns where two lines, run on past their B ends, cross, if that is
// within limit of both ends and leaves both lines at least half their length.
func meet(p, q geom.Piece, limit float64) (geom.Point, bool) {
	d, e := p.B.Sub(p.A), q.B.Sub(q.A)
	lp, lq := d.Norm(), e.Norm()
	if lp == 0 || lq == 0 {
		return geom.Point{}, false
	}
	sin := d.Cross(e) / (lp * lq)
	if math.Abs(sin) < 0.05 { // within three degrees: the crossing is anywhere
		return geom.Point{}, false
	}
	t := q.A.Sub(p.A).Cross(e) / d.Cross(e)
	x := p.A.Add(d.Mul(t))
	if x.Dist(p.B) > limit || x.Dist(q.B) > limit {
		return geom.Point{}, false
	}
	u := x.Sub(q.A).Dot(e) / (lq * lq)
	if t < 0.5 || u < 0.5 {
		return geom.Point{}, false
	}
	return x, true
}
