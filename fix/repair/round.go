package repair

import (
	"fmt"
	"math"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// GapRound closes a gap by an arc that runs on from both ends without a corner, or by
// two where one cannot.
const GapRound = "round"

// mostRound is how far, as a turn, the arcs of a rounded gap go about at most: more
// than that goes astray.
const mostRound = 1.5 * math.Pi

// RoundGap returns the edit that closes a gap by arcs tangent to both ends. It has no
// ops where the ends run on straight into each other, or the arcs would go astray.
func RoundGap(d *drawing.Drawing, g *outline.Gap) fix.Edit {
	e := fix.Edit{Kind: "close-gap", At: g.At}
	if g.Inside || g.EndA.Stroke < 0 || g.EndB.Stroke < 0 || g.Width <= snap {
		return e
	}
	p, q := outward(&d.Strokes[g.EndA.Stroke], g.EndA), outward(&d.Strokes[g.EndB.Stroke], g.EndB)
	arcs, ok := biarc(g.A, g.B, p.TangentAt(1), q.TangentAt(1).Mul(-1))
	if !ok {
		return e
	}
	var radii string
	for _, a := range arcs {
		e.Ops = append(e.Ops, bridge(d, g, a)...)
		if radii != "" {
			radii += " and "
		}
		if a.IsLine() {
			radii += "straight"
		} else {
			radii += fmt.Sprintf("%.4g mm", a.R)
		}
	}
	word := "a tangent arc of radius "
	if len(arcs) > 1 {
		word = "tangent arcs of radius "
	}
	e.Note = fmt.Sprintf("close the gap with %s%s, %.4g mm long", word, radii, geom.Path(arcs).Length())
	return e
}

// biarc returns one arc, or two that go on into each other, from a with direction u to
// b with direction v, both of length 1. The two are chosen so that the lengths of the
// tangents from both ends are equal (Bolton, "Biarc curves", Computer-Aided Design 7,
// 1975, from memory). ok is false where the ends lie on one line, or the arcs turn too
// far.
func biarc(a, b, u, v geom.Point) (arcs []geom.Piece, ok bool) {
	w, t := b.Sub(a), u.Add(v)
	if w.Norm() < snap || math.Abs(u.Cross(w)) < 1e-6*w.Norm() && math.Abs(v.Cross(w)) < 1e-6*w.Norm() && u.Dot(w) > 0 && v.Dot(w) > 0 {
		return nil, false
	}
	den := 2 * (1 - u.Dot(v))
	var l float64
	switch {
	case den > 1e-9:
		wt := w.Dot(t)
		l = (-wt + math.Sqrt(max(0, wt*wt+den*w.Dot(w)))) / den
	case math.Abs(w.Dot(v)) > 1e-9:
		l = w.Dot(w) / (4 * w.Dot(v))
	default:
		return nil, false
	}
	if !(l > 0) {
		return nil, false
	}
	m := a.Add(u.Mul(l)).Mid(b.Sub(v.Mul(l)))
	first, second := arcFrom(a, u, m), arcFrom(b, v.Mul(-1), m).Reverse()
	if math.Abs(first.Sweep)+math.Abs(second.Sweep) > mostRound {
		return nil, false
	}
	if first.R > 0 && second.R > 0 && first.C.Dist(second.C) < 1e-4 && math.Abs(first.R-second.R) < 1e-4 {
		one := arcFrom(a, u, b)
		return []geom.Piece{one}, true
	}
	return []geom.Piece{first, second}, true
}

// arcFrom returns the arc from a to b that leaves a in direction u, a line where that
// leads straight to b.
func arcFrom(a, u, b geom.Point) geom.Piece {
	turn := geom.TurnTo(u, b.Sub(a))
	if math.Abs(turn) < 1e-7 {
		return geom.Line(a, b)
	}
	return geom.Bulge(a, b, math.Tan(turn/2))
}
