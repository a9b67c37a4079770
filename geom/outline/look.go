package outline

import (
	"math"

	"sluice/geom"
)

// look is what an outline looks like from afar. It goes by area and length, so
// that it is the same for a circle drawn as CIRCLE, as arcs or as short lines.
type look struct {
	round  float64    // 4 pi area over length squared: 1 for a circle, 0.907 for a hexagon, 0.785 for a square
	long   float64    // sides of the least rectangle around it, mm
	wide   float64    // the shorter one
	filled float64    // share of that rectangle
	dir    geom.Point // along its longer side
}

// What counts as of a shape (common practice, no source): 16 corners have a
// roundness of 0.987, 12 of 0.977.
const (
	roundEnough  = 0.98
	hexagonal    = 0.88 // six corners or more: 0.907, less rounding of the drawing
	squareFilled = 0.97 // a rectangle, its corners a little rounded
)

func (l *look) isRound() bool     { return l.round >= roundEnough }
func (l *look) isRectangle() bool { return l.filled >= squareFilled }

// isSlot reports whether it is a long hole with round or square ends, which may
// have reliefs at its corners.
func (l *look) isSlot() bool {
	return l.long >= 1.7*l.wide && l.filled >= 0.65
}

// isObround reports whether its ends are half circles.
func (l *look) isObround() bool {
	area, length := l.long*l.wide-(1-math.Pi/4)*l.wide*l.wide, 2*(l.long-l.wide)+math.Pi*l.wide
	got := l.filled * l.long * l.wide
	return math.Abs(got-area) <= 0.02*area && math.Abs(4*math.Pi*got/l.round-length*length) <= 0.04*length*length
}

// looks measures an outline that stands, once.
func (a *sifted) looks(i int32) look {
	if l, ok := a.looked[i]; ok {
		return l
	}
	l := lookOf(&a.outlines[i])
	a.looked[i] = l
	return l
}

// mostDirections is how many of an outline's longest lines the least rectangle
// is looked for along.
const mostDirections = 8

func lookOf(o *Outline) look {
	l := look{round: 4 * math.Pi * o.Area / (o.Length * o.Length)}
	best := math.Inf(1)
	try := func(u geom.Point) {
		box := spanAlong(o.Pieces, u)
		w, h := box.W(), box.H()
		if w*h >= best {
			return
		}
		best = w * h
		l.long, l.wide, l.dir = w, h, u
		if h > w {
			l.long, l.wide, l.dir = h, w, u.Left()
		}
	}
	try(geom.Pt(1, 0))
	if l.round < roundEnough {
		for _, u := range o.directions() {
			try(u)
		}
	}
	if best > 0 {
		l.filled = min(1, o.Area/best)
	}
	return l
}

// directions returns the directions of the longest lines, each but once.
func (o *Outline) directions() []geom.Point {
	var top []geom.Point // scaled by length, longest first
	for i := range o.Pieces {
		p := &o.Pieces[i]
		if p.R > 0 {
			continue
		}
		d := p.B.Sub(p.A)
		k := len(top)
		for k > 0 && top[k-1].Norm() < d.Norm() {
			k--
		}
		if k == mostDirections {
			continue
		}
		if len(top) < mostDirections {
			top = append(top, geom.Point{})
		}
		copy(top[k+1:], top[k:])
		top[k] = d
	}
	for k := range top {
		top[k] = top[k].Unit()
	}
	return top
}

// shortEdge is the length, mm, below which a line belongs to the rounding or the
// relief of a corner (common practice, no source).
const shortEdge = 0.6

// notches says how many tabs and notches an outline may have, by how far it turns
// inwards at its corners in all: half a turn for each. What lies between two
// straight edges is one corner, however it is rounded or relieved.
func (o *Outline) notches() float64 {
	n := len(o.Pieces)
	edge := func(k int) bool { p := &o.Pieces[k%n]; return p.R == 0 && p.Length() >= shortEdge }
	first := 0
	for first < n && !edge(first) {
		first++
	}
	inward, corner := 0.0, 0.0
	for k := first; k < first+n && first < n; k++ {
		p, q := &o.Pieces[k%n], &o.Pieces[(k+1)%n]
		// Outlines run counter-clockwise until order: an inside corner turns right.
		corner += p.Sweep + geom.TurnTo(p.TangentAt(1), q.TangentAt(0))
		if edge(k + 1) {
			inward += max(0, -corner)
			corner = 0
		}
	}
	return inward / math.Pi
}
