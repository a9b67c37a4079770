package geomtest

import (
	"math"

	"sluice/geom"
)

// Rounded returns the kit as another draughtsman would draw it: slots that are at least
// twice as long as wide have round ends beyond what the tab needs, and tabs round heads beyond
// the sheet they go through. Joints stay where they are.
func (s *Stand) Rounded() *Stand {
	out := *s
	out.Parts = nil
	for _, p := range s.Parts {
		part := KitPart{Name: p.Name, Outer: roundTabs(p.Outer, s.Thickness)}
		for _, h := range p.Holes {
			part.Holes = append(part.Holes, roundSlot(h, s.Thickness+s.Play))
		}
		out.Parts = append(out.Parts, part)
	}
	return &out
}

// roundSlot puts half circles at the short ends of a slot as wide as width.
func roundSlot(h geom.Path, width float64) geom.Path {
	if len(h) != 4 {
		return h
	}
	for i := range h {
		if h[i].R > 0 || math.Abs(h[i].Length()-width) > 1e-6 && h[i].Length() < 2*width {
			return h
		}
	}
	var out geom.Path
	for i := range h {
		if p := h[i]; math.Abs(p.Length()-width) > 1e-6 {
			out = append(out, p)
		} else {
			out = append(out, geom.Bulge(p.A, p.B, -1)) // clockwise, out into the material
		}
	}
	return out
}

// roundTabs puts half circles on the heads of tabs that stand out by a thickness, square to
// both flanks.
func roundTabs(path geom.Path, t float64) geom.Path {
	n := len(path)
	var out geom.Path
	for i, p := range path {
		a, b := path[(i+n-1)%n], path[(i+1)%n]
		if p.IsLine() && a.IsLine() && b.IsLine() && math.Abs(a.Length()-t) < 1e-6 && math.Abs(b.Length()-t) < 1e-6 &&
			geom.TurnTo(a.TangentAt(1), p.TangentAt(0)) > 1.5 && geom.TurnTo(p.TangentAt(1), b.TangentAt(0)) > 1.5 {
			out = append(out, geom.Bulge(p.A, p.B, 1))
			continue
		}
		out = append(out, p)
	}
	return out
}
