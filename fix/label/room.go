package label

import (
	"container/heap"
	"math"

	"sluice/geom"
	"sluice/geom/near"
)

// room answers where in a part's material a rectangle fits. Turned to the
// rectangle's own axes, the clearance of the rectangle about a centre changes
// no faster than the centre moves, and no centre within a square cell of half
// side a does better than the rectangle shrunk by a on all sides about the
// cell's middle: cells whose bound is too low are dropped, the others split in
// four, the most promising first.
type room struct {
	pl      *Placer
	clear   float64 // asked for, mm
	ease    float64 // further clearance worth having, mm
	box     geom.Box
	mass    geom.Point
	rings   []geom.Piece // outlines of the part itself
	other   []geom.Piece // what else is drawn or taken nearby
	angle   float64      // of the frame in force
	frame   geom.Transform
	back    geom.Transform
	pieces  []geom.Piece // all, in the frame; the rings come first
	boxes   []geom.Box   // of the pieces
	inFrame geom.Box
}

// Limits on one search: cells looked at, and the weight of nearness to the
// centre of mass against clearance.
const (
	maxCells   = 4000
	nearWeight = 0.05
)

func newRoom(pl *Placer, part int, r Request) *room {
	p := &pl.sheet.Parts[part]
	m := &room{pl: pl, clear: r.Clear + 1e-9, // what rounding may take
		ease: r.Height / 2, box: p.Box, mass: p.Centroid, angle: math.NaN()}
	if !m.mass.Finite() {
		m.mass = p.Box.Center()
	}
	pl.index.In(p.Box, func(i int32) bool {
		it := &pl.index.Items[i]
		if it.Outline < 0 || int(pl.sheet.Outlines[it.Outline].Part) != part {
			m.other = append(m.other, it.Piece)
		}
		return true
	})
	m.rings = append(m.rings, pl.sheet.Outlines[p.Outer].Pieces...)
	for _, h := range p.Holes {
		m.rings = append(m.rings, pl.sheet.Outlines[h].Pieces...)
	}
	for _, t := range pl.taken.near(p.Box) {
		c := t.Corners()
		for i := range c {
			m.other = append(m.other, geom.Line(c[i], c[(i+1)%4]))
		}
		m.other = append(m.other, geom.Line(c[0], c[2]), geom.Line(c[1], c[3]))
	}
	return m
}

// turn brings the room into the frame of rectangles at an angle in degrees.
func (m *room) turn(angle float64) {
	if angle == m.angle {
		return
	}
	m.angle = angle
	rad := angle * math.Pi / 180
	m.frame, m.back = geom.Identity(), geom.Identity()
	if angle != 0 {
		m.frame, m.back = geom.Turn(m.mass, -rad), geom.Turn(m.mass, rad)
	}
	m.pieces = m.pieces[:0]
	m.inFrame = geom.NoBox()
	for _, ps := range [2][]geom.Piece{m.rings, m.other} {
		for i := range ps {
			m.pieces = append(m.pieces, ps[i].Transform(m.frame))
		}
	}
	m.boxes = m.boxes[:0]
	for i := range m.pieces {
		m.boxes = append(m.boxes, m.pieces[i].Box())
		if i < len(m.rings) {
			m.inFrame = m.inFrame.Union(m.boxes[i])
		}
	}
}

// material reports whether q, in the frame, lies in the part's material.
func (m *room) material(q geom.Point) bool {
	return geom.Path(m.pieces[:len(m.rings)]).Contains(q)
}

// cell is a square of centres.
type cell struct {
	c     geom.Point
	half  float64
	bound float64 // no centre in it scores more
	near  []int32 // pieces that matter in it
}

type cells []cell

func (h cells) Len() int           { return len(h) }
func (h cells) Less(i, j int) bool { return h[i].bound > h[j].bound }
func (h cells) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *cells) Push(x any)        { *h = append(*h, x.(cell)) }
func (h *cells) Pop() any {
	n := len(*h) - 1
	x := (*h)[n]
	*h = (*h)[:n]
	return x
}

// best returns the middle of the best place for a rectangle of w by h at an
// angle in degrees.
func (m *room) best(angle, w, h float64) (geom.Point, bool) { return m.search(angle, w, h, false) }

// fits returns the middle of some place for it.
func (m *room) fits(angle, w, h float64) (geom.Point, bool) { return m.search(angle, w, h, true) }

// holdsDisc reports whether a disc of a radius, with what it must keep clear,
// lies in the part's material anywhere; letters that high need one at any angle.
func (m *room) holdsDisc(r float64) bool {
	clear := m.clear
	defer func() { m.clear = clear }()
	m.clear += r
	_, ok := m.fits(0, 0, 0)
	return ok
}

func (m *room) search(angle, w, h float64, first bool) (geom.Point, bool) {
	m.turn(angle)
	hw, hh := w/2, h/2
	s := &search{room: m, hw: hw, hh: hh, top: m.clear + m.ease, best: math.Inf(-1)}
	// Centres that keep the rectangle clear of the part's own extent.
	in := m.inFrame
	in.Min = in.Min.Add(geom.Pt(hw+m.clear, hh+m.clear))
	in.Max = in.Max.Sub(geom.Pt(hw+m.clear, hh+m.clear))
	if in.Empty() {
		return geom.Point{}, false
	}
	all := make([]int32, len(m.pieces))
	for i := range all {
		all[i] = int32(i)
	}
	// The centre of mass, or the nearest centre to it, is best if it will do.
	aim := geom.Pt(min(max(m.mass.X, in.Min.X), in.Max.X), min(max(m.mass.Y, in.Min.Y), in.Max.Y))
	s.look(cell{c: aim, near: all})
	if s.found() && (first || s.best >= s.top-nearWeight*aim.Dist(m.mass)-1e-9) {
		return m.back.Apply(s.at), true
	}
	side := max(min(in.W(), in.H()), max(in.W(), in.H())/16, 1e-6)
	nx, ny := max(1, math.Ceil(in.W()/side)), max(1, math.Ceil(in.H()/side))
	for i := range int(nx) {
		for j := range int(ny) {
			c := geom.Pt(in.Min.X+in.W()*(float64(i)+0.5)/nx, in.Min.Y+in.H()*(float64(j)+0.5)/ny)
			s.look(cell{c: c, half: max(in.W()/nx, in.H()/ny) / 2, near: all})
		}
	}
	for n := 0; len(s.open) > 0 && n < maxCells && !m.pl.Spent(); n++ {
		c := heap.Pop(&s.open).(cell)
		if c.bound <= s.best+0.02*h {
			break
		}
		if s.found() && first {
			break
		}
		q := c.half / 2
		for _, d := range [4]geom.Point{{X: -q, Y: q}, {X: q, Y: q}, {X: -q, Y: -q}, {X: q, Y: -q}} {
			s.look(cell{c: c.c.Add(d), half: q, near: c.near})
		}
	}
	return m.back.Apply(s.at), s.found()
}

// search is one search in progress.
type search struct {
	*room
	hw, hh float64
	top    float64 // clearance beyond which more is worth nothing
	best   float64
	at     geom.Point
	open   cells
}

func (s *search) found() bool { return !math.IsInf(s.best, -1) }

// score weighs a clearance and a distance from the centre of mass.
func (s *search) score(clear, far float64) float64 { return min(clear, s.top) - nearWeight*far }

// look judges a cell's middle, and keeps the cell if it may hold better.
func (s *search) look(c cell) {
	a := c.half
	// The shrunken rectangle exists only while it has both sides left.
	shrunk := a > 0 && a < min(s.hw, s.hh)
	reach := a * math.Sqrt2
	out := math.Hypot(s.hw, s.hh) // the rectangle lies within this of its middle
	clear, bound := math.Inf(1), math.Inf(1)
	var kept []int32
	rect := geom.Box{Min: c.c.Sub(geom.Pt(s.hw, s.hh)), Max: c.c.Add(geom.Pt(s.hw, s.hh))}
	s.pl.work += len(c.near)
	for _, i := range c.near {
		least := apart(rect, s.boxes[i])
		if q := &s.pieces[i]; q.R > 0 { // the box of a large circle says little
			least = max(least, math.Abs(c.c.Dist(q.C)-q.R)-out)
		}
		if least >= s.top+reach {
			continue
		}
		if a > 0 {
			kept = append(kept, i)
		}
		blocks := shrunk && least < s.clear+reach
		if least >= clear && !blocks {
			continue
		}
		p := s.pieces[i]
		p.A, p.B, p.C = p.A.Sub(c.c), p.B.Sub(c.c), p.C.Sub(c.c)
		d := near.UprightDist(s.hw, s.hh, p)
		clear = min(clear, d)
		if blocks && d < s.clear+reach {
			bound = min(bound, near.UprightDist(s.hw-a, s.hh-a, p))
			if bound < s.clear {
				return // in the way wherever the rectangle is in the cell
			}
		}
	}
	bound = min(bound, clear+reach)
	far := c.c.Dist(s.mass)
	most := s.score(bound, max(0, far-reach))
	if most <= s.best {
		return
	}
	if clear > 0 {
		if !s.material(c.c) {
			if clear+min(s.hw, s.hh) >= reach {
				return // no edge within the cell: all of it is waste
			}
		} else if v := s.score(clear, far); clear >= s.clear && v > s.best {
			s.best, s.at = v, c.c
		}
	}
	if bound >= s.clear && a > 1e-3*max(s.hh, s.clear) {
		c.bound, c.near = most, kept
		heap.Push(&s.open, c)
	}
}

// apart returns a distance that two boxes have at least: Box.Dist without the
// root.
func apart(a, b geom.Box) float64 {
	return max(0, a.Min.X-b.Max.X, b.Min.X-a.Max.X, a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y)
}
