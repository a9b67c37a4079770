package layout

import (
	"errors"
	"math"

	"sluice/fix/layout/region"
	"sluice/fix/layout/search"
	"sluice/geom"
)

// room is a sheet as the search sees it: a rectangle from 0,0 whose length runs
// along x, with fixed places in it. Where the length runs along y the sheet is
// turned by a quarter turn clockwise.
type room struct {
	sheet         *Sheet
	usable        geom.Box // on the sheet: within the margins
	alongY        bool
	length, width float64 // of the usable part, along and across
	fixed         []search.Shape
	clear         []float64
}

var errSheet = errors.New("nothing is left of it within the margins")

func newRoom(s *Sheet, o Options) (*room, error) {
	r := &room{sheet: s, usable: s.usable()}
	if !(r.usable.W() > 0 && r.usable.H() > 0 && r.usable.W() < 1e7 && r.usable.H() < 1e7) || !(s.Margin >= 0) {
		return nil, errSheet
	}
	r.alongY = s.alongY(o)
	r.length, r.width = r.usable.W(), r.usable.H()
	if r.alongY {
		r.length, r.width = r.width, r.length
	}
	for _, c := range s.Clamps {
		if !c.Empty() && c.Inflate(s.OffClamps).Overlaps(r.usable) {
			r.keepOff(&region.Region{Outer: boxRing(c)}, s.OffClamps)
		}
	}
	for _, h := range s.Holes {
		g, err := toRegion(h, nil, o.Outward)
		if err != nil {
			return nil, err
		}
		r.keepOff(g, s.Margin)
	}
	for _, t := range s.taken {
		r.keepOff(t.region, t.clear)
	}
	if len(s.Outline) > 0 {
		around := geom.Box{Max: geom.Pt(s.Width, s.Height)}.Union(s.Outline.Box()).Inflate(1 + s.Margin)
		edge := s.Outline
		if edge.Area() < 0 {
			edge = edge.Reverse()
		}
		inner := region.Outward(edge.Reverse(), o.Outward)
		if len(inner) < 3 || !finite(inner) {
			return nil, errOutline
		}
		r.keepOff(&region.Region{Outer: boxRing(around), Holes: []region.Ring{inner}}, s.Margin)
	}
	return r, nil
}

// usable returns what of the sheet is within the margins.
func (s *Sheet) usable() geom.Box {
	u := geom.Box{Max: geom.Pt(s.Width, s.Height)}
	if len(s.Outline) > 0 {
		b := s.Outline.Box()
		u = geom.Box{
			Min: geom.Pt(max(b.Min.X, 0), max(b.Min.Y, 0)),
			Max: geom.Pt(min(b.Max.X, s.Width), min(b.Max.Y, s.Height)),
		}
	}
	return u.Inflate(-s.Margin)
}

// alongY reports whether the used length runs along y.
func (s *Sheet) alongY(o Options) bool {
	return o.Along == Y || o.Along == LongSide && s.Height > s.Width
}

func boxRing(b geom.Box) region.Ring {
	return region.Ring{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)}
}

// keepOff adds a fixed place.
func (r *room) keepOff(g *region.Region, clear float64) {
	pieces, _ := g.Convex()
	for _, p := range pieces {
		for i := range p {
			p[i] = r.in(p[i])
		}
	}
	area := 0.0
	u := geom.BoxOf(r.in(r.usable.Min), r.in(r.usable.Max))
	for _, p := range pieces {
		area += clipArea(p, u)
	}
	r.fixed = append(r.fixed, search.Shape{Pieces: pieces, Area: area})
	r.clear = append(r.clear, clear)
}

// clipArea returns the area of a convex ring within a box (Sutherland and
// Hodgman 1974).
func clipArea(p region.Ring, b geom.Box) float64 {
	cut := func(p region.Ring, in func(geom.Point) float64) region.Ring {
		var out region.Ring
		for i := range p {
			a, c := p[i], p[(i+1)%len(p)]
			da, dc := in(a), in(c)
			if da >= 0 {
				out = append(out, a)
			}
			if (da >= 0) != (dc >= 0) {
				out = append(out, a.Lerp(c, da/(da-dc)))
			}
		}
		return out
	}
	p = cut(p, func(q geom.Point) float64 { return q.X - b.Min.X })
	p = cut(p, func(q geom.Point) float64 { return b.Max.X - q.X })
	p = cut(p, func(q geom.Point) float64 { return q.Y - b.Min.Y })
	p = cut(p, func(q geom.Point) float64 { return b.Max.Y - q.Y })
	return math.Abs(p.Area())
}

// in takes a point of the sheet into the room.
func (r *room) in(p geom.Point) geom.Point {
	if r.alongY {
		return geom.Pt(p.Y-r.usable.Min.Y, r.usable.Max.X-p.X)
	}
	return p.Sub(r.usable.Min)
}

// out takes a point of the room back to the sheet.
func (r *room) out(p geom.Point) geom.Point {
	if r.alongY {
		return geom.Pt(r.usable.Max.X-p.Y, p.X+r.usable.Min.Y)
	}
	return p.Add(r.usable.Min)
}

// quarter is the turn from the sheet to the room, degrees.
func (r *room) quarter() float64 {
	if r.alongY {
		return -90
	}
	return 0
}

// takes reports whether a shape fits the room by its box in one of the turns.
func (r *room) takes(s shape, turns []float64) bool {
	for _, t := range turns {
		c, sn := search.CosSin(t + r.quarter())
		b := geom.NoBox()
		for _, p := range s.Pieces {
			for _, q := range p {
				b = b.Add(geom.Pt(q.X*c-q.Y*sn, q.X*sn+q.Y*c))
			}
		}
		if b.W() <= r.length && b.H() <= r.width {
			return true
		}
	}
	return false
}

// free returns the area of the room that no fixed place takes.
func (r *room) free() float64 {
	free := r.length * r.width
	for _, f := range r.fixed {
		free -= f.Area
	}
	return free
}

// laid turns a plan into sheets with parts.
func (d *driver) laid(p *plan) []Laid {
	next := make([]int, len(d.items))
	var out []Laid
	for i := range p.sheets {
		f := &p.sheets[i]
		l := d.rooms[f.sheet].laid(d, f, next)
		l.Sheet, l.Copy = f.sheet, f.copy
		out = append(out, l)
	}
	return out
}

// laid turns a filled room into a sheet with parts. next numbers the copies of
// each item and is moved on.
func (r *room) laid(d *driver, f *filled, next []int) Laid {
	var l Laid
	for _, p := range f.parts {
		i := p.item
		q := Placed{Item: i, Copy: next[i], Turn: norm(p.turn - r.quarter())}
		next[i]++
		mid := q.Transform().Apply(d.stock[i].middle)
		q.Shift = r.out(p.at).Sub(mid)
		q = q.settled(&d.items[i])
		l.Placed = append(l.Placed, q)
	}
	l.measure(d.items, r.sheet, d.o)
	return l
}

// measure reckons the figures of a sheet from the parts that lie on it.
func (l *Laid) measure(items []Item, s *Sheet, o Options) {
	l.AlongY, l.Cutoff = s.alongY(o), geom.NoBox()
	far, gap := 0.0, o.Gap
	for _, q := range l.Placed {
		it := &items[q.Item]
		l.Area += it.area()
		b := it.Outer.Transform(q.Transform()).Box()
		at := b.Max.X
		if l.AlongY {
			at = b.Max.Y
		}
		if far = max(far, at); at == far {
			gap = it.gap(o.Gap)
		}
	}
	if len(l.Placed) == 0 {
		return
	}
	l.Used = far
	across, long := s.Height, s.Width
	if l.AlongY {
		across, long = long, across
	}
	l.Density = l.Area / (l.Used * across)
	whole := s.Width * s.Height
	if len(s.Outline) > 0 {
		whole = math.Abs(s.Outline.Area())
	}
	for _, h := range s.Holes {
		whole -= math.Abs(h.Area())
	}
	l.Share = l.Area / whole
	// The rack takes a full-width rectangle, cut a clearance beyond the last part.
	if at := far + gap; at < long && len(s.Outline) == 0 && len(s.Holes) == 0 {
		l.Cutoff = geom.Box{Min: geom.Pt(at, 0), Max: geom.Pt(s.Width, s.Height)}
		if l.AlongY {
			l.Cutoff.Min = geom.Pt(0, at)
		}
	}
}
