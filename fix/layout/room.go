package layout

import (
	"cmp"
	"errors"
	"math"
	"slices"

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
	r := &room{sheet: s, usable: geom.Box{Max: geom.Pt(s.Width, s.Height)}}
	if len(s.Outline) > 0 {
		b := s.Outline.Box()
		r.usable = geom.Box{
			Min: geom.Pt(max(b.Min.X, 0), max(b.Min.Y, 0)),
			Max: geom.Pt(min(b.Max.X, s.Width), min(b.Max.Y, s.Height)),
		}
	}
	r.usable = r.usable.Inflate(-s.Margin)
	if !(r.usable.W() > 0 && r.usable.H() > 0 && r.usable.W() < 1e7 && r.usable.H() < 1e7) || !(s.Margin >= 0) {
		return nil, errSheet
	}
	r.alongY = o.Along == Y || o.Along == LongSide && s.Height > s.Width
	r.length, r.width = r.usable.W(), r.usable.H()
	if r.alongY {
		r.length, r.width = r.width, r.length
	}
	for _, c := range s.Clamps {
		if !c.Empty() && c.Overlaps(r.usable) {
			r.keepOff(&region.Region{Outer: boxRing(c)}, 0)
		}
	}
	for _, h := range s.Holes {
		g, err := toRegion(h, nil, o.Outward)
		if err != nil {
			return nil, err
		}
		r.keepOff(g, s.Margin)
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

// problem states what is left to place in the room; of tells the item of each
// piece.
func (r *room) problem(items []Item, stock []shape, left []int, gap float64) (p *search.Problem, of []int) {
	p = &search.Problem{Length: r.length, Height: r.width, Clear: gap}
	index := map[int]int{}
	for _, i := range r.offered(items, stock, left) {
		turns := allowed(&items[i], r.sheet)
		for k := range turns {
			turns[k] = norm(turns[k] + r.quarter())
		}
		at, ok := index[stock[i].class]
		if !ok {
			at = len(p.Shapes)
			index[stock[i].class] = at
			p.Shapes = append(p.Shapes, stock[i].Shape)
		}
		for range min(left[i], mostItems-len(p.Items)) {
			p.Items = append(p.Items, search.Item{Shape: at, Turns: turns})
			of = append(of, i)
		}
	}
	for i := range r.fixed {
		p.Fixed = append(p.Fixed, search.Fixed{Shape: len(p.Shapes), Clear: r.clear[i]})
		p.Shapes = append(p.Shapes, r.fixed[i])
	}
	return p, of
}

// Bounds on what is offered to one sheet at a time, for the sake of memory and
// time: parts, and forms times turns.
const (
	mostItems = 2000
	mostForms = 1600
)

// offered lists the items that may go on the sheet, in their order. Where there
// are too many for one search the largest are offered first, until they would
// fill the sheet, then the smallest, which fill what is left.
func (r *room) offered(items []Item, stock []shape, left []int) []int {
	var list []int
	count := 0
	forms := map[int]int{}
	for i := range items {
		if left[i] == 0 {
			continue
		}
		turns := allowed(&items[i], r.sheet)
		if !r.takes(stock[i], turns) {
			continue
		}
		list = append(list, i)
		count += left[i]
		forms[stock[i].class] = max(forms[stock[i].class], len(turns))
	}
	sum := 0
	for _, n := range forms {
		sum += n
	}
	if count <= mostItems && sum <= mostForms {
		return list
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(stock[b].area, stock[a].area) })
	clear(forms)
	count, sum = 0, 0
	fill := r.length * r.width
	var out []int
	for len(list) > 0 {
		at := 0
		if fill <= 0 {
			at = len(list) - 1
		}
		i := list[at]
		list = slices.Delete(list, at, at+1)
		n := max(forms[stock[i].class], len(allowed(&items[i], r.sheet)))
		sum += n - forms[stock[i].class]
		forms[stock[i].class] = n
		if sum > mostForms || count >= mostItems {
			break
		}
		out = append(out, i)
		count += left[i]
		fill -= stock[i].Bulk * float64(left[i])
	}
	slices.Sort(out)
	return out
}

// sheetsFor estimates how many rooms like this one the items need.
func (r *room) sheetsFor(p *search.Problem) int {
	free, area := r.length*r.width, 0.0
	for _, f := range r.fixed {
		free -= f.Area
	}
	for _, it := range p.Items {
		area += p.Shapes[it.Shape].Area
	}
	if free <= 0 {
		return 1
	}
	return int(math.Ceil(area / (0.75 * free)))
}

// tell adapts the search's progress to the whole.
func (r *room) tell(f func(Progress), sheet int, from, share float64) func(length, spent float64) {
	if f == nil {
		return nil
	}
	return func(length, spent float64) {
		f(Progress{Sheet: sheet, Length: length + r.sheet.Margin, Share: from + share*min(1, spent)})
	}
}

// laid turns a filled room into a sheet with parts. next numbers the copies of
// each item and is moved on.
func (r *room) laid(items []Item, stock []shape, p *search.Problem, of []int, f search.Filled, next []int) Laid {
	l := Laid{AlongY: r.alongY, Cutoff: geom.NoBox()}
	far := 0.0
	for k, ok := range f.Placed {
		if !ok {
			continue
		}
		i := of[k]
		turn := norm(f.Places[k].Turn - r.quarter())
		q := Placed{Item: i, Copy: next[i], Turn: turn}
		next[i]++
		mid := q.Transform().Apply(stock[i].middle)
		q.Shift = r.out(f.Places[k].At).Sub(mid)
		l.Placed = append(l.Placed, q)
		l.Area += stock[i].area
		b := items[i].Outer.Transform(q.Transform()).Box()
		if r.alongY {
			far = max(far, b.Max.Y)
		} else {
			far = max(far, b.Max.X)
		}
	}
	if len(l.Placed) == 0 {
		return l
	}
	s := r.sheet
	l.Used = far
	across, long := s.Height, s.Width
	if r.alongY {
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
	if at := far + p.Clear; at < long && len(s.Outline) == 0 && len(s.Holes) == 0 {
		l.Cutoff = geom.Box{Min: geom.Pt(at, 0), Max: geom.Pt(s.Width, s.Height)}
		if r.alongY {
			l.Cutoff.Min = geom.Pt(0, at)
		}
	}
	return l
}
