package geomtest

import (
	"fmt"
	"math"
	"math/rand/v2"

	"sluice/geom"
	"sluice/geom/plate"
)

// families makes one kit of each family; size is about how many parts are wanted.
var families = []struct {
	name string
	make func(b *stander, size int)
}{
	{"box", (*stander).fingerBox},
	{"case", (*stander).throughCase},
	{"ribs", (*stander).ribsOnSpines},
	{"crate", (*stander).eggCrate},
	{"keel", (*stander).keel},
	{"tower", (*stander).tower},
	{"truss", (*stander).truss},
	{"drawers", (*stander).drawers},
	{"shelf", (*stander).shelf},
	{"ring", (*stander).ring},
	{"decks", (*stander).decks},
}

// Families lists the families of RandomStand.
func Families() (names []string) {
	for _, f := range families {
		names = append(names, f.name)
	}
	return names
}

// RandomStand returns a kit of a family with about as many parts as size says, turned and
// shuffled. The same rng state gives the same kit.
func RandomStand(rng *rand.Rand, family string, size int) *Stand {
	t := []float64{2, 3, 3, 3.175, 4, 5, 6}[rng.IntN(7)]
	b := &stander{rng: rng, t: t, play: []float64{0, 0.05, 0.1, 0.2}[rng.IntN(4)], long: []float64{0, 0, 0.2, 0.4}[rng.IntN(4)]}
	b.kit = &Stand{Family: family, Thickness: t, Play: b.play}
	for _, f := range families {
		if f.name == family {
			f.make(b, size)
		}
	}
	if rng.IntN(3) == 0 {
		b.strays()
	}
	b.layOut()
	return b.kit
}

// Twins returns a kit of a family twice over in one drawing, and parts that look as if they
// belonged to it: each has one tab of a length that is in use.
func Twins(rng *rand.Rand, family string, size int) *Stand {
	b := &stander{rng: rng, t: 3, play: 0.1}
	b.kit = &Stand{Family: family, Thickness: 3, Play: b.play}
	for _, f := range families {
		if f.name == family {
			f.make(b, size)
		}
	}
	b.twice()
	b.decoys()
	b.layOut()
	return b.kit
}

// twice repeats all plates and joints far off.
func (b *stander) twice() {
	n, groups := len(b.slabs), b.group+1
	for _, s := range b.slabs[:n] {
		c := *s
		c.o = c.o.Add(plate.Vec{0, 5000, 0})
		c.group += groups
		b.slabs = append(b.slabs, &c)
	}
	for _, j := range b.kit.Joints {
		j.A, j.B = j.A+n, j.B+n
		b.kit.Joints = append(b.kit.Joints, j)
	}
}

// decoys adds plates with one tab as long as one of the kit, and slots nowhere else.
func (b *stander) decoys() {
	t := b.t
	for i := range 2 {
		w, h := b.mm(8, 14), b.mm(6, 9)
		long := b.mm(2.5, 5)
		m := w / 2
		s := &slab{name: fmt.Sprintf("decoy %d", i+1), t: t, u: alongX, v: alongY, group: -1, add: []rect{{0, 0, w, h}, {m - long/2, -t, m + long/2, 0}}}
		b.slabs = append(b.slabs, s)
	}
}

func (b *stander) mm(lo, hi float64) float64 { return round1(uniform(b.rng, lo*b.t, hi*b.t)) }

// strays adds parts that have no joints.
func (b *stander) strays() {
	for i := range 1 + b.rng.IntN(3) {
		w, h := b.mm(6, 20), b.mm(5, 12)
		s := &slab{name: fmt.Sprintf("stray %d", i+1), t: b.t, u: alongX, v: alongY, group: -1, add: []rect{{0, 0, w, h}}}
		if b.rng.IntN(2) == 0 {
			s.holes = append(s.holes, geom.Path{geom.Circle(geom.Pt(w/2, h/2), h/5).Reverse()})
		}
		b.slabs = append(b.slabs, s)
	}
}

// fingerBoxAt is a box of six plates whose edges have fingers.
func (b *stander) fingerBoxAt(o plate.Vec, x, y, z float64, lid bool) {
	t := b.t
	at := func(x0, y0, z0, x1, y1, z1 float64) box3 {
		return box3{o.Add(plate.Vec{x0, y0, z0}), o.Add(plate.Vec{x1, y1, z1})}
	}
	front, back := b.plateAt("front", at(0, 0, 0, x, t, z)), b.plateAt("back", at(0, y-t, 0, x, y, z))
	left, right := b.plateAt("left", at(0, 0, 0, t, y, z)), b.plateAt("right", at(x-t, 0, 0, x, y, z))
	bottom := b.plateAt("bottom", at(0, 0, 0, x, y, t))
	odd := func(l float64) int { return max(3, min(15, 2*int(l/(2*b.mm(2.5, 6)))+1)) }
	nx, ny, nz := odd(x), odd(y), odd(z)
	b.fingers(front, left, at(0, 0, t, t, t, z-t), 2, nz)
	b.fingers(front, right, at(x-t, 0, t, x, t, z-t), 2, nz)
	b.fingers(back, left, at(0, y-t, t, t, y, z-t), 2, nz)
	b.fingers(back, right, at(x-t, y-t, t, x, y, z-t), 2, nz)
	b.fingers(bottom, front, at(t, 0, 0, x-t, t, t), 0, nx)
	b.fingers(bottom, back, at(t, y-t, 0, x-t, y, t), 0, nx)
	b.fingers(bottom, left, at(0, t, 0, t, y-t, t), 1, ny)
	b.fingers(bottom, right, at(x-t, t, 0, x, y-t, t), 1, ny)
	sides := []*slab{front, back, left, right, bottom}
	if lid {
		top := b.plateAt("top", at(0, 0, z-t, x, y, z))
		b.fingers(top, front, at(t, 0, z-t, x-t, t, z), 0, nx)
		b.fingers(top, back, at(t, y-t, z-t, x-t, y, z), 0, nx)
		b.fingers(top, left, at(0, t, z-t, t, y-t, z), 1, ny)
		b.fingers(top, right, at(x-t, t, z-t, x, y-t, z), 1, ny)
		sides = append(sides, top)
	}
	// Corners and open rims belong to the first plate that fills them.
	for _, c := range []float64{0, x - t} {
		for _, d := range []float64{0, y - t} {
			for _, e := range []float64{0, z - t} {
				owned := false
				for _, s := range sides {
					box := at(c, d, e, c+t, d+t, e+t)
					if !b.fills(s, box) {
						continue
					}
					if owned {
						s.cut = append(s.cut, s.local(box))
					}
					owned = true
				}
			}
		}
	}
}

// fills reports whether a plate reaches into a box.
func (b *stander) fills(s *slab, box box3) bool {
	r := s.local(box)
	d := box.mid().Sub(s.o).Dot(s.n())
	return d > 0 && d < b.t && s.add[0].x0 < (r.x0+r.x1)/2 && s.add[0].x1 > (r.x0+r.x1)/2 && s.add[0].y0 < (r.y0+r.y1)/2 && s.add[0].y1 > (r.y0+r.y1)/2
}

func (b *stander) fingerBox(int) {
	b.fingerBoxAt(plate.Vec{}, b.mm(22, 50), b.mm(18, 40), b.mm(14, 30), b.rng.IntN(3) > 0)
}

// throughCase is a floor, a lid, two long walls between them and cross walls between
// those, with tabs that go through or stand out.
func (b *stander) throughCase(size int) {
	t := b.t
	x, y, z := b.mm(30, 70), b.mm(24, 40), b.mm(12, 24)
	out := []float64{0, 0, 0.5, 1}[b.rng.IntN(4)] * t
	e := b.mm(3, 5) // by which floor and lid stand out
	floor := b.fillsZ("floor", 0, 0, 0, x, y)
	lid := b.fillsZ("lid", z+t, 0, 0, x, y)
	w1, w2, w3, w4 := b.mm(3, 4), b.mm(4.5, 5.5), b.mm(3, 4), b.mm(4.5, 6)
	n := 1 + b.rng.IntN(3)
	cross := max(2, min(size-4, int((x-2*e)/(7*t))))
	walls := []*slab{b.fillsY("wall", e, e, t, x-e, t+z), b.fillsY("wall", y-e-t, e, t, x-e, t+z)}
	for i, w := range walls {
		y0 := []float64{e, y - e - t}[i]
		n := max(1, min(n+1, int((x-2*e)/(w1+w2))))
		b.tabsFrom(w, floor, box3{plate.Vec{e, y0, 0}, plate.Vec{x - e, y0 + t, t}}, 0, n, w1, plate.Vec{0, 0, -out})
		b.tabsFrom(w, lid, box3{plate.Vec{e, y0, z + t}, plate.Vec{x - e, y0 + t, z + 2*t}}, 0, n, w2, plate.Vec{0, 0, out})
	}
	gap := (x - 2*e - 4*t) / float64(cross)
	for i := range cross {
		x0 := e + 2*t + (float64(i)+0.5)*gap - t/2
		c := b.fillsX("cross", x0, e+t, t, y-e-t, t+z)
		b.tabsFrom(c, walls[0], box3{plate.Vec{x0, e, t}, plate.Vec{x0 + t, e + t, t + z}}, 2, 1, w3, plate.Vec{})
		b.tabsFrom(c, walls[1], box3{plate.Vec{x0, y - e - t, t}, plate.Vec{x0 + t, y - e, t + z}}, 2, 1, w3, plate.Vec{})
		if b.rng.IntN(2) == 0 {
			b.tabsFrom(c, floor, box3{plate.Vec{x0, e + t, 0}, plate.Vec{x0 + t, y - e - t, t}}, 1, 1, w4, plate.Vec{})
		}
	}
}

// ribsOnSpines is ribs with notches across two or three spines.
func (b *stander) ribsOnSpines(size int) {
	t := b.t
	spines := 2 + b.rng.IntN(2)
	ribs := max(3, size-spines)
	h := b.mm(6, 12)
	step := b.mm(4, 7)
	x := float64(ribs+1) * step
	share := []float64{0.5, 0.5, 0.4, 0.65}[b.rng.IntN(4)]
	gap := b.mm(8, 16)
	var along, across []*slab
	ys := make([]float64, spines)
	at := 0.0
	for i := range ys {
		at += gap + uniform(b.rng, 0, 4)*t
		ys[i] = round1(at)
	}
	y := ys[spines-1] + gap
	for i := range spines {
		along = append(along, b.fillsY("spine", ys[i], 0, 0, x, h))
	}
	for i := range ribs {
		x0 := float64(i+1)*step - t/2
		grow := float64(b.rng.IntN(3)) * 2 * t
		across = append(across, b.fillsX("rib", x0, -grow, 0, y+grow, h))
	}
	for i, s := range along {
		for k, r := range across {
			x0 := float64(k+1)*step - t/2
			b.lap(s, r, box3{plate.Vec{x0, ys[i], 0}, plate.Vec{x0 + t, ys[i] + t, h}}, 2, share)
		}
	}
}

// eggCrate is plates across each other, all notched.
func (b *stander) eggCrate(size int) {
	t := b.t
	nx := max(2, min(size-2, size/2+b.rng.IntN(3)-1))
	ny := max(2, size-nx)
	h, step := b.mm(5, 14), b.mm(4, 8)
	other := step
	if b.rng.IntN(2) == 0 {
		other = b.mm(4, 8)
	}
	x, y := float64(nx+1)*step, float64(ny+1)*other
	var px, py []*slab
	for i := range nx {
		px = append(px, b.fillsX("across", float64(i+1)*step-t/2, 0, 0, y, h))
	}
	for i := range ny {
		py = append(py, b.fillsY("along", float64(i+1)*other-t/2, 0, 0, x, h))
	}
	for i, p := range px {
		for k, q := range py {
			x0, y0 := float64(i+1)*step-t/2, float64(k+1)*other-t/2
			b.lap(p, q, box3{plate.Vec{x0, y0, 0}, plate.Vec{x0 + t, y0 + t, h}}, 2, 0.5)
		}
	}
}

// keel is bulkheads of different heights across a keel, with a deck on their tabs.
func (b *stander) keel(size int) {
	t := b.t
	n := max(3, min(size-2, 30))
	step := b.mm(6, 10)
	x, h := float64(n+1)*step, b.mm(12, 20)
	depth := b.mm(5, 8)
	wide := b.mm(20, 40)
	keel := b.fillsY("keel", -t/2, 0, -depth, x, h-2*t)
	deck := b.fillsZ("deck", h, 0, -wide/2-3*t, x, wide/2+3*t)
	tab := b.mm(3, 5)
	for i := range n {
		x0 := float64(i+1)*step - t/2
		f := math.Sin(math.Pi * (float64(i) + 1) / (float64(n) + 1))
		w := round1(wide * (0.6 + 0.4*f))
		bulk := b.fillsX("bulkhead", x0, -w/2, 0, w/2, h)
		b.lap(keel, bulk, box3{plate.Vec{x0, -t / 2, 0}, plate.Vec{x0 + t, t / 2, h - 2*t}}, 2, 0.5)
		b.tabsFrom(bulk, deck, box3{plate.Vec{x0, -w / 2, h}, plate.Vec{x0 + t, w / 2, h + t}}, 1, 2, tab, plate.Vec{})
	}
}

// tower is floors one over another, on walls whose tabs go into the floor below and above.
func (b *stander) tower(size int) {
	t := b.t
	levels := max(1, (size-1)/5)
	x, y, z := b.mm(30, 44), b.mm(30, 44), b.mm(9, 16)
	tabs := [2][2]float64{{b.mm(2.5, 3), b.mm(4, 4.5)}, {b.mm(3.3, 3.7), b.mm(4.8, 5.2)}} // or a storey's walls would fit another
	inset := b.mm(2.5, 3.5)
	// Odd storeys are higher, or the walls of two could stand in one.
	var feet []float64
	var floors []*slab
	high := 0.0
	for l := range levels + 1 {
		floors = append(floors, b.fillsZ("floor", high, 0, 0, x, y))
		feet = append(feet, high+t)
		high += z + t + 2*t*float64(l%2)
	}
	for l := range levels {
		z := z + 2*t*float64(l%2)
		in := inset + 2.5*t*float64(l%2) // or slots of two levels would be one
		z0 := feet[l]
		tab := tabs[l%2]
		for k := range 4 {
			var w *slab
			var foot, head box3
			switch k {
			case 0, 1:
				y0 := []float64{in, y - in - t}[k]
				w = b.fillsY("wall", y0, in+2*t, z0, x-in-2*t, z0+z)
				foot = box3{plate.Vec{in + 2*t, y0, z0 - t}, plate.Vec{x - in - 2*t, y0 + t, z0}}
			default:
				x0 := []float64{in, x - in - t}[k-2]
				w = b.fillsX("wall", x0, in+2*t, z0, y-in-2*t, z0+z)
				foot = box3{plate.Vec{x0, in + 2*t, z0 - t}, plate.Vec{x0 + t, y - in - 2*t, z0}}
			}
			head = foot
			head.lo[2], head.hi[2] = z0+z, z0+z+t
			axis := k / 2
			b.tabsFrom(w, floors[l], foot, axis, 1, tab[0], plate.Vec{})
			b.tabsFrom(w, floors[l+1], head, axis, 2, tab[1], plate.Vec{})
		}
	}
}

// truss is two sides held apart by spacers that stand at any angle.
func (b *stander) truss(size int) {
	t := b.t
	n := max(2, size-2)
	step := b.mm(7, 12)
	cols := int(math.Ceil(math.Sqrt(float64(n) * 2)))
	rows := (n + cols - 1) / cols
	x, z, wide := float64(cols+1)*step, float64(rows+1)*step, b.mm(8, 30)
	one, two := b.fillsY("side", 0, 0, 0, x, z), b.fillsY("side", wide+t, 0, 0, x, z)
	tab := b.mm(2.5, 3.5)
	kinds := []float64{b.mm(4.5, 5.5), b.mm(4.5, 5.5)}
	for i := range n {
		cx, cz := float64(i%cols+1)*step, float64(i/cols+1)*step
		w := kinds[b.rng.IntN(2)]
		turn := uniform(b.rng, 0, math.Pi)
		if b.rng.IntN(2) == 0 {
			turn = float64(b.rng.IntN(4)) * math.Pi / 4
		}
		d := plate.Vec{math.Cos(turn), 0, math.Sin(turn)}
		// The spacer's own plane: across, and along d.
		s := &slab{name: "spacer", t: t, u: alongY, v: d, group: b.group}
		m := plate.Vec{cx, t, cz}
		s.o = m.Sub(d.Mul(w / 2)).Sub(s.n().Mul(t / 2))
		s.add = []rect{{0, 0, wide, w}, {-t, w/2 - tab/2, wide + t, w/2 + tab/2}}
		b.slabs = append(b.slabs, s)
		for k, side := range []*slab{one, two} {
			y0 := []float64{0, wide + t}[k]
			at := plate.Vec{cx, y0 + t/2, cz}
			c := side.place(at)
			dir := side.place(at.Add(d)).Sub(c)
			p, q := dir.Mul((tab+b.long)/2), dir.Left().Mul((t+b.play)/2)
			a, e, f, g := c.Sub(p).Sub(q), c.Sub(p).Add(q), c.Add(p).Add(q), c.Add(p).Sub(q)
			side.holes = append(side.holes, geom.Path{geom.Line(a, e), geom.Line(e, f), geom.Line(f, g), geom.Line(g, a)})
			b.joint("slot", side, s, at, at)
		}
	}
}

// drawers is a carcass and, each a group of its own, boxes that go into it.
func (b *stander) drawers(size int) {
	n := max(1, min(4, (size-4)/5))
	t := b.t
	x, y, z := b.mm(24, 36), b.mm(20, 30), b.mm(10, 16)
	tab := b.mm(3, 4)
	high := float64(n) * (z + t)
	left, right := b.fillsX("side", 0, 0, -3*t, y, high+3*t), b.fillsX("side", x+t, 0, -3*t, y, high+3*t)
	for i := range n + 1 {
		z0 := float64(i) * (z + t)
		s := b.fillsZ("shelf", z0-t, t, 0, x+t, y)
		b.tabsFrom(s, left, box3{plate.Vec{0, 0, z0 - t}, plate.Vec{t, y, z0}}, 1, 2, tab, plate.Vec{})
		b.tabsFrom(s, right, box3{plate.Vec{x + t, 0, z0 - t}, plate.Vec{x + 2*t, y, z0}}, 1, 2, tab, plate.Vec{})
	}
	for i := range n {
		b.group++
		b.fingerBoxAt(plate.Vec{2000 * float64(i+1), 0, 0}, x-1, y-1, z-1, false)
	}
}

// shelf is a back with shelves and uprights that lap them.
func (b *stander) shelf(size int) {
	t := b.t
	up := 2 + b.rng.IntN(2)
	n := max(2, size-1-up)
	sx, sz, deep := b.mm(14, 22), b.mm(7, 10), b.mm(8, 14)
	x, z := float64(up+1)*sx, float64(n+1)*sz
	back := b.fillsY("back", 0, 0, 0, x, z)
	tab := [2]float64{b.mm(2.5, 3), b.mm(3.5, 4.5)}
	var ups []*slab
	for i := range up {
		x0 := float64(i+1)*sx - t/2
		u := b.fillsX("upright", x0, t, 0, t+deep, z)
		ups = append(ups, u)
		b.tabsFrom(u, back, box3{plate.Vec{x0, 0, 0}, plate.Vec{x0 + t, t, sz}}, 2, 1, tab[0], plate.Vec{})
		b.tabsFrom(u, back, box3{plate.Vec{x0, 0, z - sz}, plate.Vec{x0 + t, t, z}}, 2, 1, tab[0], plate.Vec{})
	}
	for k := range n {
		z0 := float64(k+1)*sz - t/2
		s := b.fillsZ("shelf", z0, 0.4*sx, t, x-0.4*sx, t+deep)
		for i, u := range ups {
			x0 := float64(i+1)*sx - t/2
			b.lap(u, s, box3{plate.Vec{x0, t, z0}, plate.Vec{x0 + t, t + deep, z0 + t}}, 1, 0.5)
		}
		b.tabsFrom(s, back, box3{plate.Vec{sx + 3*t, 0, z0}, plate.Vec{2*sx - 3*t, t, z0 + t}}, 0, 1, tab[1], plate.Vec{})
	}
}

// ring is three plates each of which goes into the next along another axis: no two of
// them can be joined without the third, and the third cannot be put in.
func (b *stander) ring(int) {
	t := b.t
	b.kit.Trapped = true
	a := b.mm(14, 24)
	tab := []float64{b.mm(3, 3.6), b.mm(4.2, 4.8), b.mm(5.4, 6)}
	// Across x, y and z, about one corner of a cube; each ends on the face of the next.
	e := 4 * t
	px := b.fillsX("first", 0, t, -e, a, a)
	py := b.fillsY("second", 0, -e, -0, a, a)
	pz := b.fillsZ("third", -t, t, -e, a, a)
	b.tabsFrom(px, py, box3{plate.Vec{0, 0, 2 * t}, plate.Vec{t, t, a}}, 2, 2, tab[0], plate.Vec{})
	b.tabsFrom(py, pz, box3{plate.Vec{2 * t, 0, -t}, plate.Vec{a, t, 0}}, 0, 2, tab[1], plate.Vec{})
	b.tabsFrom(pz, px, box3{plate.Vec{0, 2 * t, -t}, plate.Vec{t, a, 0}}, 1, 2, tab[2], plate.Vec{})
}
