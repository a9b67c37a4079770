package geomtest

import (
	"math"
	"math/rand/v2"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
)

// Stand is a made-up kit of flat plates of which it is known how it stands: it is made
// in space first, joints are cut where plates meet, and the plates are then laid out flat.
// All lengths are mm.
type Stand struct {
	Family    string
	Thickness float64      // of most plates
	Thick     []float64    // by part
	Play      float64      // by which slots and notches are wider than the sheet
	Parts     []KitPart    // as drawn
	Poses     []plate.Pose // by part: from the drawing to space
	Groups    []int        // by part: which group it is of, -1 for none
	Joints    []StandJoint
	Trapped   bool // it cannot be put together
}

// StandJoint is a joint that closes. A takes, B goes in; the places are in the drawing.
type StandJoint struct {
	Kind     string // "slot", "finger" or "lap"
	A, B     int
	AtA, AtB geom.Point
}

// Paths returns the outlines of a part, outside first.
func (s *Stand) Paths(part int) []geom.Path {
	return append([]geom.Path{s.Parts[part].Outer}, s.Parts[part].Holes...)
}

// Without returns the kit without a part.
func (s *Stand) Without(part int) *Stand {
	out := *s
	out.Parts = slices.Delete(slices.Clone(s.Parts), part, part+1)
	out.Poses = slices.Delete(slices.Clone(s.Poses), part, part+1)
	out.Groups = slices.Delete(slices.Clone(s.Groups), part, part+1)
	out.Thick = slices.Delete(slices.Clone(s.Thick), part, part+1)
	out.Joints = nil
	for _, j := range s.Joints {
		if j.A == part || j.B == part {
			continue
		}
		if j.A > part {
			j.A--
		}
		if j.B > part {
			j.B--
		}
		out.Joints = append(out.Joints, j)
	}
	return &out
}

// Moved returns the parts drawn in another order, each turned and perhaps turned over. Only
// Parts, Groups, Family, Thickness, Thick and Play are those of a kit.
func (s *Stand) Moved(rng *rand.Rand) *Stand {
	out := &Stand{Family: s.Family, Thickness: s.Thickness, Play: s.Play, Trapped: s.Trapped}
	x := 0.0
	for _, i := range rng.Perm(len(s.Parts)) {
		tr := geom.Turn(geom.Point{}, uniform(rng, 0, 2*math.Pi))
		if rng.IntN(2) == 0 {
			tr = geom.MirrorX(0).Then(tr)
		}
		box := s.Parts[i].Outer.Transform(tr).Box()
		tr = tr.Then(geom.Shift(geom.Pt(x, 0).Sub(box.Min)))
		x += box.W() + 8
		turned := func(p geom.Path) geom.Path {
			if tr.Mirrors() {
				return p.Transform(tr).Reverse()
			}
			return p.Transform(tr)
		}
		part := KitPart{Name: s.Parts[i].Name, Outer: turned(s.Parts[i].Outer)}
		for _, h := range s.Parts[i].Holes {
			part.Holes = append(part.Holes, turned(h))
		}
		out.Parts, out.Groups, out.Thick = append(out.Parts, part), append(out.Groups, s.Groups[i]), append(out.Thick, s.Thick[i])
	}
	return out
}

// box3 is a box along the axes.
type box3 struct{ lo, hi plate.Vec }

func (b box3) mid() plate.Vec { return b.lo.Add(b.hi).Mul(0.5) }

// wider returns the box made larger on both sides along the axis of v.
func (b box3) wider(v plate.Vec, by float64) box3 {
	for k := range 3 {
		d := math.Abs(v[k]) * by
		b.lo[k], b.hi[k] = b.lo[k]-d, b.hi[k]+d
	}
	return b
}

// rect is a rectangle in a plate's own plane.
type rect struct{ x0, y0, x1, y1 float64 }

// slab is a plate under construction: rectangles added and cut, in its own plane.
type slab struct {
	name    string
	t       float64
	o, u, v plate.Vec // its lower left corner and its axes, along those of space
	add     []rect
	cut     []rect
	holes   []geom.Path // of no joint, or askew
	outer   geom.Path   // where it is no heap of rectangles: its outline
	group   int
}

func (s *slab) n() plate.Vec { return s.u.Cross(s.v) }

// local returns where a box lies in the plane of the slab.
func (s *slab) local(b box3) rect {
	p, q := b.lo.Sub(s.o), b.hi.Sub(s.o)
	return rect{min(p.Dot(s.u), q.Dot(s.u)), min(p.Dot(s.v), q.Dot(s.v)), max(p.Dot(s.u), q.Dot(s.u)), max(p.Dot(s.v), q.Dot(s.v))}
}

func (s *slab) place(p plate.Vec) geom.Point {
	d := p.Sub(s.o)
	return geom.Pt(d.Dot(s.u), d.Dot(s.v))
}

// stander makes a kit in space.
type stander struct {
	rng   *rand.Rand
	kit   *Stand
	t     float64
	thick float64 // of the thicker plates of a mixed kit
	play  float64 // slots are wider than the sheet by this
	long  float64 // and longer than their tabs by this
	slabs []*slab
	group int
}

// Axes of space.
var (
	alongX = plate.Vec{1, 0, 0}
	alongY = plate.Vec{0, 1, 0}
	alongZ = plate.Vec{0, 0, 1}
)

// plateAt adds a plate that fills a box, whose least side is its thickness.
func (b *stander) plateAt(name string, box box3) *slab {
	s := &slab{name: name, o: box.lo, group: b.group}
	d := box.hi.Sub(box.lo)
	s.t = min(d[0], d[1], d[2])
	switch {
	case d[2] < d[0] && d[2] < d[1]:
		s.u, s.v = alongX, alongY
	case d[0] < d[1]:
		s.u, s.v = alongY, alongZ
	default:
		s.u, s.v = alongZ, alongX
	}
	s.add = append(s.add, s.local(box))
	b.slabs = append(b.slabs, s)
	return s
}

// fillsX adds a plate across x at a place, and so on.
func (b *stander) fillsX(name string, x, y0, z0, y1, z1 float64) *slab {
	return b.plateAt(name, box3{plate.Vec{x, y0, z0}, plate.Vec{x + b.t, y1, z1}})
}

func (b *stander) fillsY(name string, y, x0, z0, x1, z1 float64) *slab {
	return b.plateAt(name, box3{plate.Vec{x0, y, z0}, plate.Vec{x1, y + b.t, z1}})
}

func (b *stander) fillsZ(name string, z, x0, y0, x1, y1 float64) *slab {
	return b.plateAt(name, box3{plate.Vec{x0, y0, z}, plate.Vec{x1, y1, z + b.t}})
}

func (b *stander) joint(kind string, a, c *slab, at, ct plate.Vec) {
	b.kit.Joints = append(b.kit.Joints, StandJoint{kind, b.index(a), b.index(c), a.place(at), c.place(ct)})
}

func (b *stander) index(s *slab) int { return slices.Index(b.slabs, s) }

// tab gives a plate a tab that fills a box, and the other a slot for it. What of the tab
// stands out beyond the slot is further.
func (b *stander) tab(of, into *slab, box box3, further plate.Vec) {
	out := box
	for k := range 3 {
		out.lo[k], out.hi[k] = out.lo[k]+min(0, further[k]), out.hi[k]+max(0, further[k])
	}
	of.add = append(of.add, of.local(out))
	along := into.n().Cross(of.n())
	into.cut = append(into.cut, into.local(box.wider(of.n(), b.play/2).wider(along, b.long/2)))
	b.joint("slot", into, of, box.mid(), out.mid())
}

// lap cuts two plates that cross in a box into each other along an axis: the first from
// its upper end down to a share of the way.
func (b *stander) lap(upper, lower *slab, box box3, axis int, share float64) {
	m := box.lo[axis] + share*(box.hi[axis]-box.lo[axis])
	up, low := box, box
	up.lo[axis], low.hi[axis] = m, m
	upper.cut = append(upper.cut, upper.local(up.wider(lower.n(), b.play/2)))
	lower.cut = append(lower.cut, lower.local(low.wider(upper.n(), b.play/2)))
	if share <= 0.5 {
		b.joint("lap", upper, lower, up.mid(), low.mid())
	} else {
		b.joint("lap", lower, upper, low.mid(), up.mid())
	}
}

// fingers shares out the box in which two plates meet at a corner, by turns: the first
// gets the odd of n cells. Both must fill it so far.
func (b *stander) fingers(p, q *slab, box box3, axis, n int) {
	w := (box.hi[axis] - box.lo[axis]) / float64(n)
	for i := range n {
		cell := box
		cell.lo[axis] = box.lo[axis] + float64(i)*w
		cell.hi[axis] = cell.lo[axis] + w
		loser := p
		if i%2 == 1 {
			loser = q
		}
		loser.cut = append(loser.cut, loser.local(cell))
	}
	b.joint("finger", p, q, box.mid(), box.mid())
}

// tabsFrom gives a plate n tabs of a width along one side into another plate. The box is
// where its end would be in the other plate if it went in as a whole.
func (b *stander) tabsFrom(of, into *slab, box box3, axis, n int, width float64, further plate.Vec) {
	l := (box.hi[axis] - box.lo[axis]) / float64(n)
	for i := range n {
		m := box.lo[axis] + (float64(i)+0.5)*l
		c := box
		c.lo[axis], c.hi[axis] = m-width/2, m+width/2
		b.tab(of, into, c, further)
	}
}

// layOut lays the plates flat side by side, shuffled, turned, and some turned over.
func (b *stander) layOut() {
	k, r := b.kit, b.rng
	free := r.IntN(2) == 0
	order := r.Perm(len(b.slabs))
	to := make([]int, len(b.slabs)) // by slab: its part
	put := make([]geom.Transform, len(b.slabs))
	x, y, row := 0.0, 0.0, 0.0
	wide := 60 * math.Sqrt(float64(len(b.slabs))) * b.t
	for at, i := range order {
		s := b.slabs[i]
		to[i] = at
		tr := geom.Turn(geom.Point{}, 0)
		u, v, o := s.u, s.v, s.o
		if r.IntN(2) == 0 { // it lies on its other face
			tr, u, o = geom.MirrorX(0), s.u.Mul(-1), s.o.Add(s.n().Mul(s.t))
		}
		turn := float64(r.IntN(4)) * math.Pi / 2
		if free {
			turn = uniform(r, 0, 2*math.Pi)
		}
		tr = tr.Then(geom.Turn(geom.Point{}, turn))
		outer, holes := s.rings()
		box := outer.Transform(tr).Box()
		if x > wide {
			x, y, row = 0, y+row+8, 0
		}
		shift := geom.Pt(x, y).Sub(box.Min)
		tr = tr.Then(geom.Shift(shift))
		x += box.W() + 8
		row = max(row, box.H())
		put[i] = tr
		turned := func(p geom.Path) geom.Path {
			if tr.Mirrors() {
				return p.Transform(tr).Reverse()
			}
			return p.Transform(tr)
		}
		part := KitPart{Name: s.name, Outer: turned(outer)}
		for _, h := range append(holes, s.holes...) {
			part.Holes = append(part.Holes, turned(h))
		}
		cos, sin := math.Cos(turn), math.Sin(turn)
		px, py := u.Mul(cos).Sub(v.Mul(sin)), u.Mul(sin).Add(v.Mul(cos))
		k.Parts = append(k.Parts, part)
		k.Poses = append(k.Poses, plate.Pose{R: [3]plate.Vec{px, py, px.Cross(py)}, T: o.Sub(px.Mul(shift.X)).Sub(py.Mul(shift.Y))})
		k.Groups, k.Thick = append(k.Groups, s.group), append(k.Thick, s.t)
	}
	for i := range k.Joints {
		j := &k.Joints[i]
		j.AtA, j.AtB = put[j.A].Apply(j.AtA), put[j.B].Apply(j.AtB)
		j.A, j.B = to[j.A], to[j.B]
	}
}

// rings returns the outline of a slab and its holes, in its own plane.
func (s *slab) rings() (outer geom.Path, holes []geom.Path) {
	if s.outer != nil {
		return s.outer, nil
	}
	var xs, ys []float64
	for _, r := range append(slices.Clone(s.add), s.cut...) {
		xs, ys = append(xs, r.x0, r.x1), append(ys, r.y0, r.y1)
	}
	xs, ys = steps(xs), steps(ys)
	full := make([][]bool, len(xs)-1)
	has := func(all []rect, x, y float64) bool {
		return slices.ContainsFunc(all, func(r rect) bool { return x > r.x0 && x < r.x1 && y > r.y0 && y < r.y1 })
	}
	for i := range full {
		full[i] = make([]bool, len(ys)-1)
		for k := range full[i] {
			x, y := (xs[i]+xs[i+1])/2, (ys[k]+ys[k+1])/2
			full[i][k] = has(s.add, x, y) && !has(s.cut, x, y)
		}
	}
	at := func(i, k int) bool { return i >= 0 && k >= 0 && i < len(full) && k < len(ys)-1 && full[i][k] }
	next := map[[2]int][2]int{} // borders, what is full to the left
	for i := range full {
		for k := range full[i] {
			if !full[i][k] {
				continue
			}
			if !at(i, k-1) {
				next[[2]int{i, k}] = [2]int{i + 1, k}
			}
			if !at(i+1, k) {
				next[[2]int{i + 1, k}] = [2]int{i + 1, k + 1}
			}
			if !at(i, k+1) {
				next[[2]int{i + 1, k + 1}] = [2]int{i, k + 1}
			}
			if !at(i-1, k) {
				next[[2]int{i, k + 1}] = [2]int{i, k}
			}
		}
	}
	for i := range xs {
		for k := range ys {
			var vs []vert
			for p := [2]int{i, k}; ; {
				q, ok := next[p]
				if !ok {
					break
				}
				delete(next, p)
				vs = append(vs, vert{p: geom.Pt(xs[p[0]], ys[p[1]])})
				p = q
			}
			if len(vs) == 0 {
				continue
			}
			vs = dropStraight(vs)
			var path geom.Path
			for n := range vs {
				path = append(path, geom.Line(vs[n].p, vs[(n+1)%len(vs)].p))
			}
			if outer == nil {
				outer = path // the leftmost ring is the outer one
			} else {
				holes = append(holes, path)
			}
		}
	}
	return outer, holes
}

// steps sorts numbers and drops those that repeat.
func steps(all []float64) []float64 {
	slices.Sort(all)
	return slices.CompactFunc(all, func(a, b float64) bool { return math.Abs(a-b) < 1e-7 })
}
