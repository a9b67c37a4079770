package view

import (
	"math"
	"slices"

	"sluice/geom"
)

// touch is how far, mm, polygons may lie over each other on the picture and still count
// as side by side.
const touch = 0.02

// overlap reports whether two polygons lie over each other on the picture.
func overlap(a, b *poly) bool {
	if a.box.Max.X < b.box.Min.X+touch || b.box.Max.X < a.box.Min.X+touch || a.box.Max.Y < b.box.Min.Y+touch || b.box.Max.Y < a.box.Min.Y+touch {
		return false
	}
	return cross(a, b) || within(a, b) || within(b, a)
}

// cross reports whether outlines of two polygons cross.
func cross(a, b *poly) bool {
	for i := range a.rings {
		ra := a.rings[i].flat
		for k, p := range ra {
			q := ra[(k+1)%len(ra)]
			lo, hi := geom.Pt(min(p.X, q.X), min(p.Y, q.Y)), geom.Pt(max(p.X, q.X), max(p.Y, q.Y))
			if lo.X > b.box.Max.X || hi.X < b.box.Min.X || lo.Y > b.box.Max.Y || hi.Y < b.box.Min.Y {
				continue
			}
			for j := range b.rings {
				rb := b.rings[j].flat
				for l, r := range rb {
					s := rb[(l+1)%len(rb)]
					if max(r.X, s.X) < lo.X || min(r.X, s.X) > hi.X || max(r.Y, s.Y) < lo.Y || min(r.Y, s.Y) > hi.Y {
						continue
					}
					if through(p, q, r, s) && through(r, s, p, q) {
						return true
					}
				}
			}
		}
	}
	return false
}

// through reports whether r and s lie on both sides of the line from p to q, each by more
// than a touch.
func through(p, q, r, s geom.Point) bool {
	d := q.Sub(p)
	l := touch * math.Hypot(d.X, d.Y)
	a, b := d.Cross(r.Sub(p)), d.Cross(s.Sub(p))
	return a > l && b < -l || a < -l && b > l
}

// within reports whether a corner of a, or a place inside it, lies in b. Where outlines do
// not cross, some of its corners tell.
func within(a, b *poly) bool {
	if q := a.inner(); b.holds(q) {
		return true
	}
	r := a.rings[0].flat
	for k := 0; k < len(r); k += 1 + len(r)/12 {
		if b.holds(r[k]) {
			return true
		}
	}
	return false
}

// holds reports whether a place lies in a polygon, by more than a touch.
func (p *poly) holds(q geom.Point) bool {
	if q.X < p.box.Min.X || q.X > p.box.Max.X || q.Y < p.box.Min.Y || q.Y > p.box.Max.Y {
		return false
	}
	in := false
	for i := range p.rings {
		r := p.rings[i].flat
		a := r[len(r)-1]
		for _, b := range r {
			if (a.X <= q.X) != (b.X <= q.X) && q.Y < a.Y+(b.Y-a.Y)*(q.X-a.X)/(b.X-a.X) {
				in = !in
			}
			a = b
		}
	}
	if !in {
		return false
	}
	for i := range p.rings {
		r := p.rings[i].flat
		for k, a := range r {
			b := r[(k+1)%len(r)]
			if min(a.X, b.X) > q.X+touch || max(a.X, b.X) < q.X-touch || min(a.Y, b.Y) > q.Y+touch || max(a.Y, b.Y) < q.Y-touch {
				continue
			}
			d := b.Sub(a)
			t := 0.0
			if l := d.Dot(d); l > 0 {
				t = max(0, min(1, q.Sub(a).Dot(d)/l))
			}
			if off := q.Sub(a.Add(d.Mul(t))); off.Dot(off) < touch*touch {
				return false
			}
		}
	}
	return true
}

// inner returns a place inside a polygon: the middle of its longest upright stretch at
// one of a few places across it.
func (p *poly) inner() geom.Point {
	if p.known {
		return p.middle
	}
	longest := 0.0
	p.known, p.middle = true, p.rings[0].flat[0]
	for _, share := range [3]float64{0.5, 0.27, 0.81} {
		x := p.box.Min.X + share*p.box.W()
		var ys []float64
		for i := range p.rings {
			r := p.rings[i].flat
			for k, a := range r {
				if b := r[(k+1)%len(r)]; (a.X <= x) != (b.X <= x) {
					ys = append(ys, a.Y+(b.Y-a.Y)*(x-a.X)/(b.X-a.X))
				}
			}
		}
		slices.Sort(ys)
		for i := 0; i+1 < len(ys); i += 2 {
			if l := ys[i+1] - ys[i]; l > longest {
				longest, p.middle = l, geom.Pt(x, (ys[i]+ys[i+1])/2)
			}
		}
	}
	return p.middle
}
