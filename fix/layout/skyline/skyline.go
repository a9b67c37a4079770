// Package skyline lays boxes in a room, each as far back as the skyline of those
// that lie allows (bottom-left by skyline: Burke, Kendall and Whitwell 2004; from
// memory). It is quick and knows nothing of shapes: the layout that anything else
// must not fall behind.
package skyline

import "sluice/geom"

// step is a level stretch of the skyline: from y on it reaches out to x.
type step struct{ y, x float64 }

// Room is a room from 0,0 with the boxes laid so far. Boxes are mm.
type Room struct {
	length, height float64
	gap            float64
	steps          []step // by y; the last ends at height+gap
	barred         []geom.Box
}

// New returns an empty room. gap is kept between boxes; barred boxes are kept
// clear, and may touch what is laid.
func New(length, height, gap float64, barred []geom.Box) *Room {
	return &Room{length: length, height: height, gap: gap, steps: []step{{0, 0}}, barred: barred}
}

// Clone returns a copy.
func (r *Room) Clone() *Room {
	c := *r
	c.steps = append([]step(nil), r.steps...)
	return &c
}

// slack is what a box may be larger than the room by rounding alone, mm.
const slack = 1e-9

// Find returns the lower left corner at which a box of w by h reaches the least
// far along x.
func (r *Room) Find(w, h float64) (at geom.Point, ok bool) {
	for i := range r.steps {
		for _, y := range [2]float64{r.steps[i].y, r.end(i) - h - r.gap} {
			if y < -slack || y+h > r.height+slack {
				continue
			}
			x := r.clear(max(y, 0), w, h)
			if x+w > r.length+slack {
				continue
			}
			if !ok || x < at.X {
				at, ok = geom.Pt(x, max(y, 0)), true
			}
		}
	}
	return at, ok
}

// end returns where step i ends.
func (r *Room) end(i int) float64 {
	if i+1 < len(r.steps) {
		return r.steps[i+1].y
	}
	return r.height + r.gap
}

// clear returns the least x at which a box at y lies behind no other and meets
// no barred box.
func (r *Room) clear(y, w, h float64) float64 {
	x := 0.0
	for i := range r.steps {
		if r.steps[i].y < y+h+r.gap && r.end(i) > y {
			x = max(x, r.steps[i].x)
		}
	}
	for moved := true; moved; {
		moved = false
		for _, b := range r.barred {
			if b.Min.Y < y+h && b.Max.Y > y && b.Min.X < x+w && b.Max.X > x {
				x, moved = b.Max.X, true
			}
		}
	}
	return x
}

// Put lays a box.
func (r *Room) Put(at geom.Point, w, h float64) {
	lo, hi := at.Y, min(at.Y+h+r.gap, r.height+r.gap)
	var out []step
	add := func(y, x float64) {
		if n := len(out); n > 0 && out[n-1].x == x {
			return
		}
		out = append(out, step{y, x})
	}
	done := false
	for i, s := range r.steps {
		end := r.end(i)
		if s.y < lo {
			add(s.y, s.x)
		}
		if end > lo && !done {
			add(lo, at.X+w+r.gap)
			done = true
		}
		if end > hi {
			add(max(s.y, hi), s.x)
		}
	}
	r.steps = out
}
