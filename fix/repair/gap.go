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

// CloseGap returns the edit that closes a gap at most limit mm wide.
//
//   - Ends within 0.02 mm of each other meet in the middle.
//   - Lines and arcs whose carriers cross near both ends are run on, or cut back,
//     to the crossing.
//   - Two lines on one carrier are joined by running one on, two arcs of one
//     circle by an arc of it.
//   - Otherwise a short line is put between the ends.
//
// Where the gap lies between an end and the inside of another stroke only that
// end is run on, or cut back. No end moves by more than limit; where that cannot
// be the edit has no ops.
func CloseGap(d *drawing.Drawing, g *outline.Gap, limit float64) fix.Edit {
	e := fix.Edit{Kind: "close-gap", At: g.At}
	sa, sb := g.EndA.Stroke, g.EndB.Stroke
	if sa < 0 || sb < 0 {
		return e
	}
	p := outward(&d.Strokes[sa], g.EndA)
	if g.Inside {
		closeOnto(&e, d, g, p, limit)
		return e
	}
	q := outward(&d.Strokes[sb], g.EndB)
	switch {
	case g.Width <= snap:
		e.Moved = g.Width / 2
		e.Note = fmt.Sprintf("ends %.4g mm apart brought together", g.Width)
		e.Ops = []fix.Op{move(g.EndA, g.At), move(g.EndB, g.At)}
		if sa == sb && d.Strokes[sa].IsLine() {
			e.Ops = nil // a line's own ends: nothing to close
		}
		return e
	case sa == sb && p.R > 0:
		// An arc's own ends: it is to go all the way round.
		e.Note = fmt.Sprintf("gap of %.4g mm closed by an arc of the same circle", g.Width)
		e.Ops = bridge(d, g, onCircle(p, g.A, g.B))
		return e
	case onOneLine(p, q):
		e.Moved = g.Width
		e.Note = fmt.Sprintf("gap of %.4g mm: the line run on to the next, which continues it", g.Width)
		e.Ops = []fix.Op{move(g.EndA, g.B, endOf(g.EndB))}
		return e
	case onOneCircle(p, q):
		e.Note = fmt.Sprintf("gap of %.4g mm closed by an arc of the same circle", g.Width)
		e.Ops = bridge(d, g, onCircle(p, g.A, g.B))
		return e
	}
	if x, ok := meet(p, q, limit); ok {
		e.At = x
		e.Moved = max(x.Dist(p.B), x.Dist(q.B))
		e.Note = fmt.Sprintf("gap of %.4g mm: %s run on or cut back to where they cross", g.Width, kinds(p, q))
		e.Ops = []fix.Op{move(g.EndA, x), move(g.EndB, x)}
		return e
	}
	e.Note = fmt.Sprintf("gap of %.4g mm bridged by a line", g.Width)
	e.Ops = bridge(d, g, geom.Line(g.A, g.B))
	return e
}

// closeOnto runs the end of p on, or cuts it back, to the stroke on whose inside
// the gap ends.
func closeOnto(e *fix.Edit, d *drawing.Drawing, g *outline.Gap, p geom.Piece, limit float64) {
	q := d.Strokes[g.EndB.Stroke].Piece
	var best geom.Point
	found, past := false, false
	for _, x := range carriersCross(p, q) {
		if q.Dist(x) > 1e-6 || !keepsHalf(p, x) {
			continue
		}
		if x.Dist(g.A) > limit {
			past = past || x.Dist(g.A) <= 2*limit && p.Dist(x) <= 1e-6
		} else if !found || x.Dist(g.A) < best.Dist(g.A) {
			best, found = x, true
		}
	}
	if !found && past {
		return // it runs past the piece by more than an end may be moved
	}
	if !found {
		e.Note = fmt.Sprintf("gap of %.4g mm to the piece it stops short of, bridged by a line", g.Width)
		e.Ops = bridge(d, g, geom.Line(g.A, g.B))
		return
	}
	e.At, e.Moved = best, best.Dist(g.A)
	e.Note = fmt.Sprintf("end run on or cut back by %.4g mm to the piece it is to meet", best.Dist(g.A))
	e.Ops = []fix.Op{move(g.EndA, best, fix.Ends(g.EndB.Stroke)...)}
}

func kinds(p, q geom.Piece) string {
	switch {
	case p.R == 0 && q.R == 0:
		return "lines"
	case p.R > 0 && q.R > 0:
		return "arcs"
	}
	return "line and arc"
}

// outward returns the stroke's piece run so that it ends at the free end.
func outward(s *drawing.Stroke, e outline.End) geom.Piece {
	if e.AtB {
		return s.Piece
	}
	return s.Piece.Reverse()
}

func endOf(e outline.End) fix.End { return fix.End{Stroke: e.Stroke, B: e.AtB} }

// move moves an end to a place that was reckoned by the ends on.
func move(e outline.End, to geom.Point, on ...fix.End) fix.Op {
	k := fix.MoveA
	if e.AtB {
		k = fix.MoveB
	}
	return fix.Op{Kind: k, Stroke: e.Stroke, To: to, On: on}
}

// bridge adds a piece from one side of a gap to the other. It belongs with the
// stroke that ends there.
func bridge(d *drawing.Drawing, g *outline.Gap, p geom.Piece) []fix.Op {
	st := d.Strokes[g.EndA.Stroke]
	st.Piece, st.Made = p, drawing.Edited
	on := []fix.End{endOf(g.EndA), endOf(g.EndB)}
	if g.Inside {
		on = append(fix.Ends(g.EndB.Stroke), endOf(g.EndA))
	}
	return []fix.Op{{Kind: fix.Add, With: []drawing.Stroke{st}, On: on}}
}

// onOneLine reports whether two lines that end in a gap carry each other on: the
// end of either lies ahead of the other, within half of snap of its line.
func onOneLine(p, q geom.Piece) bool {
	if p.R > 0 || q.R > 0 || p.Length() == 0 || q.Length() == 0 {
		return false
	}
	u, v := p.TangentAt(1), q.TangentAt(1)
	return u.Dot(v) < -0.999 && q.B.Sub(p.B).Dot(u) > 0 && offLine(p, q.B) <= snap/2 && offLine(q, p.B) <= snap/2
}

// offLine is the distance of x from the line that carries p.
func offLine(p geom.Piece, x geom.Point) float64 {
	return math.Abs(p.TangentAt(1).Cross(x.Sub(p.B)))
}

// onOneCircle reports whether two arcs that end in a gap are of one circle and
// the gap lies between them.
func onOneCircle(p, q geom.Piece) bool {
	return p.R > 0 && q.R > 0 && p.C.Dist(q.C) <= snap/2 && math.Abs(p.R-q.R) <= snap/2 &&
		p.TangentAt(1).Dot(q.B.Sub(p.B)) > 0 && q.TangentAt(1).Dot(p.B.Sub(q.B)) > 0
}

// onCircle returns the arc from a to b that carries p on.
func onCircle(p geom.Piece, a, b geom.Point) geom.Piece {
	turn := geom.TurnTo(a.Sub(p.C), b.Sub(p.C))
	return geom.Bulge(a, b, math.Tan(turn/4))
}

// meet returns where the carriers of two pieces, run on past their B ends, cross,
// if that is within limit of both ends and leaves both at least half their
// length. Carriers that cross at less than three degrees have no crossing.
func meet(p, q geom.Piece, limit float64) (geom.Point, bool) {
	best, at := math.Inf(1), geom.Point{}
	for _, x := range carriersCross(p, q) {
		if far := max(x.Dist(p.B), x.Dist(q.B)); far <= limit && far < best && keepsHalf(p, x) && keepsHalf(q, x) {
			best, at = far, x
		}
	}
	return at, !math.IsInf(best, 1)
}

// keepsHalf reports whether p, run on or cut back to x on its carrier, keeps at
// least half its length; an arc must not become a whole circle either.
func keepsHalf(p geom.Piece, x geom.Point) bool {
	if p.R == 0 {
		d := p.B.Sub(p.A)
		return x.Sub(p.A).Dot(d) >= 0.5*d.Dot(d)
	}
	turn := geom.TurnTo(p.B.Sub(p.C), x.Sub(p.C)) // small: x is near B
	if p.Sweep < 0 {
		turn = -turn
	}
	s := math.Abs(p.Sweep)
	return s+turn >= 0.5*s && s+turn < 2*math.Pi-1e-6
}

// carriersCross returns the points, two at most, at which the whole lines and
// circles that carry p and q cross at three degrees or more.
func carriersCross(p, q geom.Piece) []geom.Point {
	const least = 0.05 // sine of the angle
	switch {
	case p.R == 0 && q.R == 0:
		d, e := p.B.Sub(p.A), q.B.Sub(q.A)
		den := d.Cross(e)
		if math.Abs(den) < least*d.Norm()*e.Norm() || den == 0 {
			return nil
		}
		return []geom.Point{p.A.Add(d.Mul(q.A.Sub(p.A).Cross(e) / den))}
	case p.R == 0:
		u := p.TangentAt(1)
		w := q.C.Sub(p.A)
		along, off := w.Dot(u), w.Cross(u)
		half := math.Sqrt(max(0, (q.R-off)*(q.R+off)))
		if half < least*q.R {
			return nil
		}
		return []geom.Point{p.A.Add(u.Mul(along - half)), p.A.Add(u.Mul(along + half))}
	case q.R == 0:
		return carriersCross(q, p)
	}
	w := q.C.Sub(p.C)
	d := w.Norm()
	if d == 0 {
		return nil
	}
	a := (d*d + (p.R-q.R)*(p.R+q.R)) / (2 * d)
	h2 := (p.R - a) * (p.R + a)
	if h2 <= 0 {
		return nil
	}
	h := math.Sqrt(h2)
	// The triangle of centres and crossing has sides d, R, R and height h: the
	// radii, and so the circles, cross at the angle whose sine is d h / (R R).
	if d*h < least*p.R*q.R {
		return nil
	}
	u := w.Mul(1 / d)
	m := p.C.Add(u.Mul(a))
	return []geom.Point{m.Add(u.Left().Mul(h)), m.Sub(u.Left().Mul(h))}
}

// Ways in which a person may have a gap closed, however wide it is.
const (
	GapStraight = "straight" // a line from end to end
	GapExtend   = "extend"   // both ends run on to where they meet
	GapJoin     = "join"     // both ends moved to their middle
)

// CloseGapAs returns the edit that closes a gap in the way that a person chose. It
// has no ops where that cannot be done.
func CloseGapAs(d *drawing.Drawing, g *outline.Gap, how string) fix.Edit {
	e := fix.Edit{Kind: "close-gap", At: g.At}
	sa, sb := g.EndA.Stroke, g.EndB.Stroke
	if sa < 0 || sb < 0 {
		return e
	}
	p := outward(&d.Strokes[sa], g.EndA)
	switch how {
	case GapRound:
		return RoundGap(d, g)
	case GapStraight:
		e.Note = fmt.Sprintf("close the gap with a straight line, %.4g mm", g.Width)
		e.Ops = bridge(d, g, geom.Line(g.A, g.B))
	case GapExtend:
		if g.Inside {
			closeOnto(&e, d, g, p, far(p))
			if len(e.Ops) > 0 && e.Ops[0].Kind == fix.Add {
				e.Ops = nil // it does not reach: that is a line
			}
			return e
		}
		q := outward(&d.Strokes[sb], g.EndB)
		x, ok := meet(p, q, max(far(p), far(q)))
		if !ok || sa == sb {
			return e
		}
		e.At, e.Moved = x, max(x.Dist(p.B), x.Dist(q.B))
		e.Note = fmt.Sprintf("run both ends on, or back, to where they meet, %.4g and %.4g mm", x.Dist(p.B), x.Dist(q.B))
		e.Ops = []fix.Op{move(g.EndA, x), move(g.EndB, x)}
	case GapJoin:
		if g.Inside || sa == sb {
			return e
		}
		e.Moved = g.Width / 2
		e.Note = fmt.Sprintf("move both ends to their middle, %.4g mm each", g.Width/2)
		e.Ops = []fix.Op{move(g.EndA, g.A.Mid(g.B)), move(g.EndB, g.A.Mid(g.B))}
	}
	return e
}

// far is how far an end may be run on where a person asks for it: over the search
// distance of ends, or the length of the piece where that is more.
func far(p geom.Piece) float64 { return max(20, p.Length()) }
