package drawing

import (
	"math"
	"slices"

	"sluice/geom"
)

// Box returns a box that holds the curve: that of its control or fit points, or
// of the whole ellipse. A fitted polyline's is empty, since its strokes have it.
func (c *Curve) Box() geom.Box {
	switch {
	case c.Spline != nil:
		b := geom.BoxOf(c.Spline.Ctrl...)
		if len(c.Spline.Ctrl) == 0 {
			b = geom.BoxOf(c.Spline.Fit...)
		}
		return b
	case c.Ellipse != nil:
		// Half width and height of an ellipse with half axes u, v are the
		// lengths of the vectors (u.x, v.x) and (u.y, v.y).
		u := c.Ellipse.Major
		v := u.Left().Mul(c.Ellipse.Ratio)
		w := geom.Pt(math.Hypot(u.X, v.X), math.Hypot(u.Y, v.Y))
		return geom.Box{Min: c.Ellipse.Center.Sub(w), Max: c.Ellipse.Center.Add(w)}
	}
	return geom.NoBox()
}

// Scale multiplies all lengths by f, which must be positive.
func (d *Drawing) Scale(f float64) {
	if f == 1 {
		return
	}
	scaleAll := func(ps []geom.Point) {
		for i := range ps {
			ps[i] = ps[i].Mul(f)
		}
	}
	for i := range d.Strokes {
		p := &d.Strokes[i].Piece
		p.A, p.B, p.C, p.R = p.A.Mul(f), p.B.Mul(f), p.C.Mul(f), p.R*f
	}
	for i := range d.Curves {
		c := &d.Curves[i]
		c.Deviation *= f
		if s := c.Spline; s != nil {
			scaleAll(s.Ctrl)
			scaleAll(s.Fit)
			s.StartTan, s.EndTan = s.StartTan.Mul(f), s.EndTan.Mul(f)
		}
		if e := c.Ellipse; e != nil {
			e.Center, e.Major = e.Center.Mul(f), e.Major.Mul(f)
		}
	}
	for i := range d.Texts {
		t := &d.Texts[i]
		t.At, t.Insert, t.Height = t.At.Mul(f), t.Insert.Mul(f), t.Height*f
	}
	for i := range d.Points {
		d.Points[i].At = d.Points[i].At.Mul(f)
	}
	for i := range d.Turns {
		t := &d.Turns[i]
		p := &t.Piece
		p.A, p.B, p.C, p.R = p.A.Mul(f), p.B.Mul(f), p.C.Mul(f), p.R*f
		t.Center, t.Radius = t.Center.Mul(f), t.Radius*f
	}
	for i := range d.Notices {
		n := &d.Notices[i]
		n.At = n.At.Mul(f)
		if !n.Box.Empty() {
			n.Box.Min, n.Box.Max = n.Box.Min.Mul(f), n.Box.Max.Mul(f)
		}
	}
}

// Regroup puts strokes and all else in the order of entities, keeping the order
// within each, and lets curves follow their strokes.
func (d *Drawing) Regroup() {
	next := make([]int32, len(d.Entities)+1)
	for i := range d.Strokes {
		next[d.Strokes[i].Entity+1]++
	}
	for i := 1; i < len(next); i++ {
		next[i] += next[i-1]
	}
	sorted := slices.IsSortedFunc(d.Strokes, func(a, b Stroke) int { return int(a.Entity) - int(b.Entity) })
	if !sorted {
		place := make([]int32, len(d.Strokes))
		out := make([]Stroke, len(d.Strokes))
		for i := range d.Strokes {
			e := d.Strokes[i].Entity
			place[i] = next[e]
			out[next[e]] = d.Strokes[i]
			next[e]++
		}
		for i := range d.Curves {
			// A curve's strokes belong to one entity and lie together, so
			// they still do.
			if c := &d.Curves[i]; c.Count > 0 {
				c.First = place[c.First]
			}
		}
		d.Strokes = out
	}
	slices.SortStableFunc(d.Curves, func(a, b Curve) int { return int(a.Entity) - int(b.Entity) })
	slices.SortStableFunc(d.Texts, func(a, b Text) int { return int(a.Entity) - int(b.Entity) })
	slices.SortStableFunc(d.Points, func(a, b Mark) int { return int(a.Entity) - int(b.Entity) })
	slices.SortStableFunc(d.Notices, func(a, b Notice) int { return int(a.Entity) - int(b.Entity) })
}
