package geomtest

import (
	"math"
	"math/rand/v2"

	"sluice/geom"
	"sluice/geom/plate"
)

// askew makes one kit of each family in which plates meet at other angles than square, or
// are turned to each other by other angles while each joint is square.
var askew = []struct {
	name string
	make func(b *stander, size int)
}{
	{"prism", (*stander).prism},
	{"prism without lid", (*stander).openPrism},
	{"prism with a joint of floor and lid only", (*stander).loosePrism},
	{"gable", (*stander).gable},
	{"ramp", (*stander).ramp},
	{"lean-to", (*stander).leanTo},
	{"desk", (*stander).desk},
	{"house", (*stander).house},
	{"lattice", (*stander).lattice},
	{"crown", (*stander).crown},
}

// AskewFamilies lists the families of AskewStand.
func AskewFamilies() (names []string) {
	for _, f := range askew {
		names = append(names, f.name)
	}
	return names
}

// AskewStand returns a kit of an askew family with about as many parts as size says, turned
// and shuffled. The same rng state gives the same kit.
func AskewStand(rng *rand.Rand, family string, size int) *Stand {
	t := []float64{2, 3, 3, 3.175, 4, 5, 6}[rng.IntN(7)]
	b := &stander{rng: rng, t: t, play: []float64{0, 0.05, 0.1, 0.2}[rng.IntN(4)], long: []float64{0, 0, 0.2, 0.4}[rng.IntN(4)]}
	b.kit = &Stand{Family: family, Thickness: t, Play: b.play}
	for _, f := range askew {
		if f.name == family {
			f.make(b, size)
		}
	}
	b.layOut()
	return b.kit
}

// slabAt adds a plate under construction whose lower left corner is at o, with axes of its
// own; its thickness goes up along u x v.
func (b *stander) slabAt(name string, o, u, v plate.Vec, add ...rect) *slab {
	s := &slab{name: name, t: b.t, o: o, u: u, v: v, add: add, group: b.group}
	b.slabs = append(b.slabs, s)
	return s
}

// slotAt cuts a slot into a plate: its middle, the way it runs (in space), how long the tab
// is and how wide the slot.
func (b *stander) slotAt(s *slab, at, along plate.Vec, length, width float64) {
	c := s.place(at)
	dir := s.place(at.Add(along)).Sub(c).Unit()
	p, q := dir.Mul((length+b.long)/2), dir.Left().Mul(width/2)
	w, x, y, z := c.Sub(p).Sub(q), c.Sub(p).Add(q), c.Add(p).Add(q), c.Add(p).Sub(q)
	s.holes = append(s.holes, geom.Path{geom.Line(w, x), geom.Line(x, y), geom.Line(y, z), geom.Line(z, w)})
}

// crossing is how wide a cut through a plate must be for another that goes through it at an
// angle between the two: the other's own band, cut aslant, and what it moves on by on its
// way through.
func (b *stander) crossing(angle float64) float64 {
	return b.t/math.Sin(angle) + b.t*math.Abs(math.Cos(angle))/math.Sin(angle) + b.play
}

// foot gives a plate a tab along its lower edge, its v being upright, down into a floor.
// at is along its u.
func (b *stander) foot(of, floor *slab, at, width float64) {
	of.add = append(of.add, rect{at - width/2, -b.t, at + width/2, 0})
	p := of.o.Add(of.u.Mul(at)).Add(of.n().Mul(b.t / 2)).Sub(of.v.Mul(b.t / 2))
	b.slotAt(floor, p, of.u, width, b.t+b.play)
	b.joint("slot", floor, of, p, p)
}

// ringOf is walls about a middle, each square to the floor and turned on from the last.
func (b *stander) ringOf(n int, lid, lidTabs bool) {
	t := b.t
	side := b.mm(14, 22)
	if n > 6 {
		side = b.mm(15, 20)
	}
	z := b.mm(9, 16)
	apothem := side / 2 / math.Tan(math.Pi/float64(n))
	r := apothem/math.Cos(math.Pi/float64(n)) + 5*t
	floor := b.fillsZ("floor", -t, -r, -r, r, r)
	var top *slab
	if lid {
		top = b.fillsZ("lid", z, -r, -r, r, r)
	}
	low, high := b.mm(2.6, 3.2), b.mm(3.8, 4.4)
	first := uniform(b.rng, 0, 2*math.Pi)
	for i := range n {
		a := first + 2*math.Pi*float64(i)/float64(n)
		out := plate.Vec{math.Cos(a), math.Sin(a), 0}
		u := plate.Vec{-math.Sin(a), math.Cos(a), 0}
		wide := side - 3*t
		// u x up is outward: the wall goes from its inner face out.
		w := b.slabAt("wall", out.Mul(apothem).Sub(u.Mul(wide/2)), u, alongZ, rect{0, 0, wide, z})
		b.foot(w, floor, wide*0.3, low)
		b.foot(w, floor, wide*0.72, low)
		if lid && lidTabs {
			m := wide / 2
			w.add = append(w.add, rect{m - high/2, z, m + high/2, z + t})
			p := w.o.Add(u.Mul(m)).Add(w.n().Mul(t / 2)).Add(alongZ.Mul(z + t/2))
			b.slotAt(top, p, u, high, t+b.play)
			b.joint("slot", top, w, p, p)
		}
	}
	if lid && !lidTabs { // the lid lies on the walls, held by posts outside of the ring
		for i, x := range []float64{-r + 2*t, r - 3*t} {
			wide := 8 * t
			p := b.slabAt("post", plate.Vec{x, -wide/2 + float64(i)*t, 0}, alongY, alongZ, rect{0, 0, wide, z})
			b.foot(p, floor, wide/2, 5*t)
			p.add = append(p.add, rect{wide/2 - 2.75*t, z, wide/2 + 2.75*t, z + t})
			q := p.o.Add(alongY.Mul(wide / 2)).Add(p.n().Mul(t / 2)).Add(alongZ.Mul(z + t/2))
			b.slotAt(top, q, alongY, 5.5*t, t+b.play)
			b.joint("slot", top, p, q, q)
		}
	}
}

// ringSizes is how many walls a ring has.
var ringSizes = []int{3, 5, 6, 8}

func (b *stander) prism(int)      { b.ringOf(ringSizes[b.rng.IntN(4)], true, true) }
func (b *stander) openPrism(int)  { b.ringOf(ringSizes[b.rng.IntN(4)], false, false) }
func (b *stander) loosePrism(int) { b.ringOf(ringSizes[b.rng.IntN(4)], true, false) }

// gable is a floor, two gables on it, and two roofs square to those, into which tabs on
// their slanted edges go.
func (b *stander) gable(int) {
	t := b.t
	x, wide, high := b.mm(20, 40), b.mm(20, 32), b.mm(8, 14)
	pitch := uniform(b.rng, 25, 55) * math.Pi / 180
	floor := b.fillsZ("floor", -t, -3*t, -wide/2-3*t, x+3*t, wide/2+3*t)
	cos, sin := math.Cos(pitch), math.Sin(pitch)
	slope := wide / 2 / cos
	tab, on := b.mm(2.6, 3.4), b.mm(3.8, 4.6)
	var roofs []*slab
	for _, side := range []float64{1, -1} {
		v := plate.Vec{0, -side * cos, sin} // up the slope
		u := alongX.Mul(-side)              // so that the plate is above its lower left corner
		o := plate.Vec{-4 * t, side * wide / 2, high}.Sub(v.Mul(3 * t))
		if side > 0 {
			o[0] = x + 4*t
		}
		roofs = append(roofs, b.slabAt("roof", o, u, v, rect{0, 0, x + 8*t, slope + 1.5*t}))
	}
	for _, x0 := range []float64{0, x - t} {
		g := b.slabAt("gable", plate.Vec{x0, -wide / 2, 0}, alongY, alongZ)
		top := high + wide/2*sin/cos
		pts := []geom.Point{geom.Pt(0, 0), geom.Pt(wide, 0), geom.Pt(wide, high), geom.Pt(wide/2, top), geom.Pt(0, high)}
		// Its tabs are laid into the outline: two below, one on each slope.
		for k, at := range []float64{0.25, 0.7} {
			i := 1 + 4*k
			p := geom.Pt(wide*at, 0)
			pts = append(pts[:i], append([]geom.Point{p.Add(geom.Pt(-tab/2, 0)), p.Add(geom.Pt(-tab/2, -t)), p.Add(geom.Pt(tab/2, -t)), p.Add(geom.Pt(tab/2, 0))}, pts[i:]...)...)
			m := plate.Vec{x0 + t/2, -wide/2 + wide*at, -t / 2}
			b.slotAt(floor, m, alongY, tab, t+b.play)
			b.joint("slot", floor, g, m, m)
		}
		at := func(q geom.Point) plate.Vec { return plate.Vec{x0 + t/2, -wide/2 + q.X, q.Y} }
		for k := range 2 {
			a, c := geom.Pt(wide, high), geom.Pt(wide/2, top)
			if k == 1 {
				a, c = geom.Pt(wide/2, top), geom.Pt(0, high)
			}
			i := indexOf(pts, a) + 1
			m, d := a.Lerp(c, 0.5), c.Sub(a).Unit()
			out := d.Left().Mul(-t)
			pts = append(pts[:i], append([]geom.Point{m.Sub(d.Mul(on / 2)), m.Sub(d.Mul(on / 2)).Add(out), m.Add(d.Mul(on / 2)).Add(out), m.Add(d.Mul(on / 2))}, pts[i:]...)...)
			q := at(m.Add(out.Mul(0.5)))
			b.slotAt(roofs[k], q, plate.Vec{0, d.X, d.Y}, on, t+b.play)
			b.joint("slot", roofs[k], g, q, q)
		}
		for i := range pts {
			g.outer = append(g.outer, geom.Line(pts[i], pts[(i+1)%len(pts)]))
		}
	}
}

func indexOf(pts []geom.Point, p geom.Point) int {
	for i := range pts {
		if pts[i] == p {
			return i
		}
	}
	return -1
}

// ramp is a slanted plate between two cheeks whose slots are drawn aslant.
func (b *stander) ramp(size int) {
	t := b.t
	wide, long, high := b.mm(14, 30), b.mm(24, 40), b.mm(14, 22)
	n := max(1, min(3, size-3, int(long/(11*t))))
	floor := b.fillsZ("floor", -t, -5*t, -3*t, wide+5*t, long+3*t)
	foot := []float64{b.mm(3, 3.6), b.mm(4.2, 5)}
	var cheeks []*slab
	for _, x0 := range []float64{-t, wide} {
		c := b.slabAt("cheek", plate.Vec{x0, 0, 0}, alongY, alongZ, rect{0, 0, long, high})
		b.foot(c, floor, long*0.2, foot[0])
		b.foot(c, floor, long*0.75, foot[1])
		cheeks = append(cheeks, c)
	}
	slope := uniform(b.rng, 12, 40) * math.Pi / 180
	v := plate.Vec{0, math.Cos(slope), math.Sin(slope)}
	tab := b.mm(2.5, 3)
	for i := range n {
		run := long / float64(n) * 0.7 / math.Cos(slope)
		run = min(run, (high-6*t)/math.Sin(slope))
		o := plate.Vec{0, long/float64(n)*float64(i) + 3*t, 2 * t}
		r := b.slabAt("ramp", o, alongX, v, rect{0, 0, wide, run}, rect{-t, run/2 - tab/2, wide + t, run/2 + tab/2})
		for k, c := range cheeks {
			p := o.Add(v.Mul(run / 2)).Add(r.n().Mul(t / 2)).Add(plate.Vec{[]float64{-t / 2, wide + t/2}[k], 0, 0})
			b.slotAt(c, p, v, tab, t+b.play)
			b.joint("slot", c, r, p, p)
		}
	}
}

// onWalls lays a slanted plate on walls across y whose tabs go upright through it. The
// lower face of the plate goes through the place at with the slope; xs are where the tabs
// are, by wall. It returns the plate, from y0 to y1 along its slope.
func (b *stander) onWalls(name string, at plate.Vec, slope, x0, x1, y0, y1 float64, walls []*slab, xs [][]float64, tab []float64) *slab {
	t := b.t
	cos, sin := math.Cos(slope), math.Sin(slope)
	v := plate.Vec{0, cos, sin}
	o := at.Add(v.Mul((y0 - at[1]) / cos))
	o[0] = x0
	p := b.slabAt(name, o, alongX, v, rect{0, 0, x1 - x0, (y1 - y0) / cos})
	for i, w := range walls {
		mid := w.o[1] + w.n()[1]*t/2 // of the wall, across
		shoulder := at[2] + (mid-at[1])*sin/cos - math.Abs(sin)/cos*t/2
		w.add[0].y1 = shoulder - w.o[2]
		for _, x := range xs[i] {
			m := (x - w.o[0]) * w.u[0]
			w.add = append(w.add, rect{m - tab[i]/2, w.add[0].y1, m + tab[i]/2, w.add[0].y1 + t/cos})
			// The middles of wall and plate meet here.
			c := plate.Vec{x, mid, at[2] + (mid-at[1])*sin/cos + t/2/cos}
			b.slotAt(p, c, alongX, tab[i], b.crossing(math.Pi/2-slope))
			b.joint("slot", p, w, c, c)
		}
	}
	return p
}

// wallY adds a wall across y on a floor, into which it has two tabs of its own; its height
// is set by what lies on it.
func (b *stander) wallY(name string, floor *slab, x0, x1, y float64, tab float64, at ...float64) *slab {
	w := b.slabAt(name, plate.Vec{x1, y, 0}, alongX.Mul(-1), alongZ, rect{0, 0, x1 - x0, 10 * b.t})
	for _, f := range at {
		b.foot(w, floor, (x1-x0)*f, tab)
	}
	return w
}

// leanTo is a slanted lid on a front and a taller back.
func (b *stander) leanTo(int) {
	t := b.t
	x, y := b.mm(22, 40), b.mm(16, 30)
	slope := uniform(b.rng, 12, 50) * math.Pi / 180
	floor := b.fillsZ("floor", -t, -2*t, -4*t, x+2*t, y+4*t)
	feet := []float64{b.mm(2.6, 3.1), b.mm(4.2, 4.8)}
	tabs := []float64{b.mm(3.4, 3.9), b.mm(5.2, 5.8)}
	front := b.wallY("front", floor, 0, x, 0, feet[0], 0.2, 0.7)
	back := b.wallY("back", floor, 0, x, y, feet[1], 0.3, 0.75)
	b.onWalls("lid", plate.Vec{0, 0, b.mm(6, 10)}, slope, -t, x+t, -4*t, y+5*t, []*slab{front, back},
		[][]float64{{0.25 * x, 0.7 * x}, {0.35 * x, 0.8 * x}}, tabs)
}

// desk is a slanted plate on three walls of growing height, all with tabs alike.
func (b *stander) desk(int) {
	t := b.t
	x, step := b.mm(22, 40), b.mm(9, 14)
	slope := uniform(b.rng, 12, 40) * math.Pi / 180
	floor := b.fillsZ("floor", -t, -2*t, -4*t, x+2*t, 2*step+9*t)
	foot, tab := b.mm(2.6, 3.2), b.mm(3.8, 4.6)
	var walls []*slab
	for i := range 3 {
		walls = append(walls, b.wallY("wall", floor, 0, x, float64(i)*step+float64(i*i)*t, foot, 0.15+0.1*float64(i), 0.8))
	}
	b.onWalls("top", plate.Vec{0, 0, b.mm(5, 8)}, slope, -t, x+t, -3*t, 2*step+8*t, walls,
		[][]float64{{0.3 * x, 0.7 * x}, {0.4 * x, 0.6 * x}, {0.2 * x, 0.7 * x}}, []float64{tab, tab, tab})
}

// house is two slanted roofs, each on a wall and on one of two ridge plates.
func (b *stander) house(int) {
	t := b.t
	x, half := b.mm(22, 40), b.mm(14, 22)
	slope := uniform(b.rng, 15, 45) * math.Pi / 180
	floor := b.fillsZ("floor", -t, -2*t, -half-4*t, x+2*t, half+4*t)
	feet := []float64{b.mm(2.6, 3.1), b.mm(4.2, 4.8)}
	tabs := []float64{b.mm(3.4, 3.9), b.mm(5.2, 5.8)}
	high := b.mm(6, 10)
	in := 4 * t // of the ridge plates from the middle
	for _, side := range []float64{-1, 1} {
		// Both halves are made as the one below, and the other is turned about the middle.
		from := len(b.slabs)
		joints := len(b.kit.Joints)
		low := b.wallY("wall", floor, 0, x, -half, feet[0], 0.2, 0.7)
		ridge := b.wallY("ridge", floor, 0, x, -in-t, feet[1], 0.3, 0.75)
		b.onWalls("roof", plate.Vec{0, -half, high}, slope, -t, x+t, -half-4*t, -0.3*t, []*slab{low, ridge},
			[][]float64{{0.25 * x, 0.7 * x}, {0.35 * x, 0.8 * x}}, tabs)
		if side < 0 {
			continue
		}
		turn := func(p plate.Vec) plate.Vec { return plate.Vec{x - p[0], -p[1], p[2]} }
		for _, s := range b.slabs[from:] {
			s.o = turn(s.o)
			s.u[0], s.u[1], s.v[0], s.v[1] = -s.u[0], -s.u[1], -s.v[0], -s.v[1]
		}
		// The slots in the floor, which were cut for where they were.
		n := len(floor.holes) / 2
		for i := n; i < len(floor.holes); i++ {
			a, c := floor.place(turn(plate.Vec{})), floor.place(plate.Vec{})
			floor.holes[i] = floor.holes[i].Transform(geom.Turn(c.Mid(a), math.Pi))
		}
		for i := joints; i < len(b.kit.Joints); i++ {
			if j := &b.kit.Joints[i]; b.slabs[j.A] == floor {
				a, c := floor.place(turn(plate.Vec{})), floor.place(plate.Vec{})
				j.AtA = geom.Turn(c.Mid(a), math.Pi).Apply(j.AtA)
			}
		}
	}
}

// lattice is ribs on a floor that cross each other at an angle, all notched.
func (b *stander) lattice(size int) {
	t := b.t
	na := max(2, min(5, size/2))
	nb := max(2, min(5, size-1-na))
	angle := []float64{45, 60, 60, 72, uniform(b.rng, 40, 80)}[b.rng.IntN(5)] * math.Pi / 180
	h, pa, pb := b.mm(5, 9), b.mm(9, 13), b.mm(9.5, 14)
	cos, sin := math.Cos(angle), math.Sin(angle)
	d := plate.Vec{cos, sin, 0} // along the ribs that cross
	wide := b.crossing(angle)
	// Crossing i, k of rib i of the first with k of the others: pa apart up, pb along.
	la, lb := float64(nb+1)*pb, float64(na+1)*pa/sin
	floor := b.fillsZ("floor", -t, -4*t, -4*t, la+lb*cos+4*t, lb*sin+4*t)
	feet := []float64{b.mm(2.6, 3.1), b.mm(3.5, 4)}
	var first, other []*slab
	for i := range na {
		y := float64(i+1) * pa
		r := b.slabAt("rib", plate.Vec{y * cos / sin, y + t/2, 0}, alongX, alongZ, rect{0, 0, la, h})
		b.foot(r, floor, 0.5*pb, feet[0])
		b.foot(r, floor, la-0.5*pb, feet[0])
		first = append(first, r)
	}
	for k := range nb {
		x := float64(k+1) * pb
		n := plate.Vec{sin, -cos, 0}
		r := b.slabAt("cross rib", plate.Vec{x, 0, 0}.Sub(n.Mul(t/2)), d, alongZ, rect{0, 0, lb, h})
		b.foot(r, floor, 0.5*pa/sin, feet[1])
		b.foot(r, floor, lb-0.5*pa/sin, feet[1])
		other = append(other, r)
	}
	for i, p := range first {
		for k, q := range other {
			x, y := float64(k+1)*pb, float64(i+1)*pa/sin
			p.cut = append(p.cut, rect{x - wide/2, h / 2, x + wide/2, h})
			q.cut = append(q.cut, rect{y - wide/2, 0, y + wide/2, h / 2})
			m := d.Mul(y).Add(plate.Vec{x, 0, 0})
			b.joint("lap", p, q, m.Add(alongZ.Mul(0.75*h)), m.Add(alongZ.Mul(0.25*h)))
		}
	}
}

// crown is four slanted shelves about a middle, each on two posts across it: slanted plates
// of four directions on one floor.
func (b *stander) crown(int) {
	t := b.t
	x, y := b.mm(30, 44), b.mm(30, 44)
	slope := uniform(b.rng, 15, 40) * math.Pi / 180
	out := b.mm(7, 10)
	floor := b.fillsZ("floor", -t, -x/2-out-5*t, -y/2-out-5*t, x/2+out+5*t, y/2+out+5*t)
	for i := range 4 {
		side := []float64{y, x}[i%2] / 2
		long := []float64{x, y}[i%2] - 9*t
		a := float64(i) * math.Pi / 2
		n := plate.Vec{math.Round(math.Sin(a)), -math.Round(math.Cos(a)), 0} // outward
		u := alongZ.Cross(n)                                                 // along the wall
		feet, tabs := make([]float64, 2), make([]float64, 2)
		for k := range 2 { // each of its own, or another post would do as well
			feet[k] = (2.6 + 0.5*float64(2*i+k)) * t
			tabs[k] = feet[k] + 0.25*t
		}
		at := func(d, z float64) plate.Vec { return n.Mul(d).Add(alongZ.Mul(z)) }
		var posts []*slab
		cos, sin := math.Cos(slope), math.Sin(slope)
		base := 5 * t
		for k, d := range []float64{side, side + out} {
			p := b.slabAt("post", at(d, 0).Sub(u.Mul(long/2)), u, alongZ, rect{0, 0, long, base + (d-side)*sin/cos})
			// u x up: outward again.
			b.foot(p, floor, long*(0.25+0.1*float64(k)), feet[k])
			b.foot(p, floor, long*0.75, feet[k])
			posts = append(posts, p)
		}
		v := n.Mul(cos).Add(alongZ.Mul(sin))
		// The lower face touches the inner corner of each post.
		o := at(side, base).Sub(v.Mul(3 * t)).Sub(u.Mul(long / 2))
		s := b.slabAt("shelf", o, v, u, rect{0, 0, out/cos + 7*t, long})
		if s.n()[2] < 0 {
			s.o = o.Add(u.Mul(long))
			s.v = u.Mul(-1)
		}
		for k, p := range posts {
			top := p.add[0].y1
			for _, f := range []float64{0.25, 0.7 + 0.05*float64(k)} {
				m := long * f
				p.add = append(p.add, rect{m - tabs[k]/2, top, m + tabs[k]/2, top + t/cos})
				c := p.o.Add(u.Mul(m)).Add(n.Mul(t / 2)).Add(alongZ.Mul(top + t/2*sin/cos + t/2/cos))
				b.slotAt(s, c, u, tabs[k], b.crossing(math.Pi/2-slope))
				b.joint("slot", s, p, c, c)
			}
		}
	}
}
