package kit

import (
	"math"
	"strconv"

	"sluice/geom"
)

// Plate is a part that meets an unmatched joint, in coordinates of its own: its lower
// left corner is at 0,0.
type Plate struct {
	Outer geom.Path // counter-clockwise
	Holes []geom.Path
	W, H  float64 // mm
	With  string  // what it has: "a tab of 12 mm"
}

// Room says how much material a plate is to have about its joint, mm.
type Room struct {
	Web  float64 // beside a slot, and on both sides of a tab or notch
	Body float64 // least height behind a tab
}

// Mate returns the least plate that meets an unmatched joint: with a tab for a slot or
// gap, a slot for a tab, a notch for a notch whose bottom it meets, steps for a finger
// edge. ok is false where the kit does not say how thick it is to be.
func (k *Kit) Mate(u *Unmatched, r Room) (p Plate, ok bool) {
	if len(k.Thicknesses) == 0 {
		return p, false
	}
	if u.Joint < 0 {
		return k.fingerMate(&k.Edges[u.Edge], r)
	}
	j := &k.Joints[u.Joint]
	at := k.thicknessOf(j.Width)
	if j.Kind == Tab || j.Kind == Gap {
		at = k.roughly(j.Depth)
	}
	t := &k.Thicknesses[max(at, 0)]
	switch j.Kind {
	case Slot, Gap:
		l := j.Length - t.Play
		if !(l > 0) {
			return p, false
		}
		side := max(r.Web, t.Depth)
		body := max(r.Body, 2*t.Depth)
		p = outlined(geom.Pt(0, 0), geom.Pt(l+2*side, 0), geom.Pt(l+2*side, body), geom.Pt(l+side, body),
			geom.Pt(l+side, body+t.Depth), geom.Pt(side, body+t.Depth), geom.Pt(side, body), geom.Pt(0, body))
		p.With = "a tab of " + figure(l) + " mm"
	case Tab:
		l, around := j.Length+t.Play, max(2*r.Web, 2*t.Depth)
		p = outlined(geom.Pt(0, 0), geom.Pt(l+2*around, 0), geom.Pt(l+2*around, t.Width+2*around), geom.Pt(0, t.Width+2*around))
		hole := outlined(geom.Pt(around, around), geom.Pt(around+l, around), geom.Pt(around+l, around+t.Width), geom.Pt(around, around+t.Width))
		p.Holes = []geom.Path{hole.Outer.Reverse()}
		p.With = "a slot of " + figure(l) + " mm"
	case Notch:
		deep := j.Behind // so that the bottoms meet and both plates end flush
		if !(deep > t.Width) || math.IsInf(deep, 0) || deep > 10*j.Length {
			deep = j.Length
		}
		h, side := j.Length+deep, max(2*r.Web, 3*t.Width)
		w := t.Width + 2*side
		p = outlined(geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w, h), geom.Pt(side+t.Width, h),
			geom.Pt(side+t.Width, h-deep), geom.Pt(side, h-deep), geom.Pt(side, h), geom.Pt(0, h))
		p.With = "a notch " + figure(deep) + " mm deep"
	}
	return p, true
}

// fingerMate returns a plate with the steps of an edge the other way round.
func (k *Kit) fingerMate(e *Edge, r Room) (p Plate, ok bool) {
	n := len(e.Steps)
	if n < 2 || !(e.depth() > 0) {
		return p, false
	}
	depth, body := e.depth(), max(r.Body, 2*e.depth())
	end := max((e.Steps[n-1].Pos-e.Steps[0].Pos)/float64(n-1), r.Web, depth)
	w := e.Steps[n-1].Pos - e.Steps[0].Pos + 2*end
	// Along the top from right to left; where the edge stands out the plate gives way.
	pts := []geom.Point{geom.Pt(0, 0), geom.Pt(w, 0)}
	level := func(out bool) float64 {
		if out {
			return body
		}
		return body + depth
	}
	pts = append(pts, geom.Pt(w, level(!e.Steps[0].Up)))
	for i := range e.Steps {
		s := &e.Steps[i]
		if i > 0 && s.Up == e.Steps[i-1].Up {
			return p, false // two steps the same way: no edge of fingers
		}
		x := w - end - (s.Pos - e.Steps[0].Pos)
		pts = append(pts, geom.Pt(x, level(!s.Up)), geom.Pt(x, level(s.Up)))
	}
	p = outlined(append(pts, geom.Pt(0, level(e.Steps[n-1].Up)))...)
	p.With = "an edge of " + figure(e.span()) + " mm with fingers"
	return p, true
}

// outlined returns the plate with these corners, counter-clockwise.
func outlined(pts ...geom.Point) (p Plate) {
	for i := range pts {
		p.Outer = append(p.Outer, geom.Line(pts[i], pts[(i+1)%len(pts)]))
	}
	b := p.Outer.Box()
	p.W, p.H = b.W(), b.H()
	return p
}

// figure writes a length to a hundredth.
func figure(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }
