package geomtest

import (
	"math/rand/v2"

	"sluice/geom/plate"
)

// mixed makes one kit of each family of plates of two thicknesses.
var mixed = []struct {
	name string
	make func(b *stander, size int)
}{
	{"thick floor", (*stander).thickFloor},
	{"mixed crate", (*stander).mixedCrate},
	{"rack", (*stander).rack},
}

// MixedFamilies lists the families of MixedStand.
func MixedFamilies() (names []string) {
	for _, f := range mixed {
		names = append(names, f.name)
	}
	return names
}

// MixedStand returns a kit of plates of two thicknesses with about as many parts as size
// says, turned and shuffled.
func MixedStand(rng *rand.Rand, family string, size int) *Stand {
	t := []float64{2, 3, 4}[rng.IntN(3)]
	b := &stander{
		rng: rng, t: t, thick: t * []float64{1.5, 5.0 / 3, 2}[rng.IntN(3)],
		play: []float64{0, 0.05, 0.1, 0.2}[rng.IntN(4)], long: []float64{0, 0.2}[rng.IntN(2)],
	}
	b.kit = &Stand{Family: family, Thickness: t, Play: b.play}
	for _, f := range mixed {
		if f.name == family {
			f.make(b, size)
		}
	}
	b.layOut()
	return b.kit
}

// as makes plates of another thickness while f runs.
func (b *stander) as(t float64, f func()) {
	was := b.t
	b.t = t
	f()
	b.t = was
}

// thickFloor is a floor and a lid of thick plate, and walls between them whose corners are
// fingers.
func (b *stander) thickFloor(int) {
	t, d := b.t, b.thick
	x, y, z := b.mm(30, 50), b.mm(24, 40), b.mm(12, 20)
	e := b.mm(4, 6)
	var floor, lid *slab
	b.as(d, func() {
		floor = b.fillsZ("floor", 0, 0, 0, x, y)
		lid = b.fillsZ("lid", d+z, 0, 0, x, y)
	})
	w := []float64{b.mm(3, 3.5), b.mm(4, 4.5), b.mm(5, 5.5)}
	fr, bk := b.fillsY("front", e, e, d, x-e, d+z), b.fillsY("back", y-e-t, e, d, x-e, d+z)
	le, ri := b.fillsX("left", e, e, d, y-e, d+z), b.fillsX("right", x-e-t, e, d, y-e, d+z)
	n := 2*int(z/(8*t)) + 3
	for _, s := range []*slab{fr, bk} {
		y0 := e
		if s == bk {
			y0 = y - e - t
		}
		b.fingers(s, le, box3{plate.Vec{e, y0, d}, plate.Vec{e + t, y0 + t, d + z}}, 2, n)
		b.fingers(s, ri, box3{plate.Vec{x - e - t, y0, d}, plate.Vec{x - e, y0 + t, d + z}}, 2, n)
		b.tabsFrom(s, floor, box3{plate.Vec{e, y0, 0}, plate.Vec{x - e, y0 + t, d}}, 0, 2, w[0], plate.Vec{})
		b.tabsFrom(s, lid, box3{plate.Vec{e, y0, d + z}, plate.Vec{x - e, y0 + t, 2*d + z}}, 0, 3, w[1], plate.Vec{})
	}
	for _, s := range []*slab{le, ri} {
		x0 := e
		if s == ri {
			x0 = x - e - t
		}
		b.tabsFrom(s, floor, box3{plate.Vec{x0, e, 0}, plate.Vec{x0 + t, y - e, d}}, 1, 1, w[2], plate.Vec{})
		b.tabsFrom(s, lid, box3{plate.Vec{x0, e, d + z}, plate.Vec{x0 + t, y - e, 2*d + z}}, 1, 1, w[2], plate.Vec{})
	}
}

// mixedCrate is thin plates across thick ones, all notched.
func (b *stander) mixedCrate(size int) {
	t, d := b.t, b.thick
	nx := max(2, size/2)
	ny := max(2, size-nx)
	h, step, other := b.mm(8, 14), b.mm(5, 8), b.mm(6, 9)
	x, y := float64(nx+1)*step, float64(ny+1)*other
	for k := range ny {
		b.as(d, func() { b.fillsY("along", float64(k+1)*other-d/2, 0, 0, x, h) })
	}
	along := b.slabs
	for i := range nx {
		x0 := float64(i+1)*step - t/2
		p := b.fillsX("across", x0, 0, 0, y, h)
		for k, q := range along {
			y0 := float64(k+1)*other - d/2
			b.lap(p, q, box3{plate.Vec{x0, y0, 0}, plate.Vec{x0 + t, y0 + d, h}}, 2, 0.5)
		}
	}
}

// rack is thick sides, thin shelves between them, and a thin back into which the sides have
// tabs.
func (b *stander) rack(size int) {
	t, d := b.t, b.thick
	n := max(2, size-3)
	x, y, step := b.mm(30, 50), b.mm(16, 26), b.mm(8, 12)
	z := float64(n+1) * step
	w := []float64{b.mm(3, 3.5), b.mm(4, 4.6), b.mm(5.2, 5.8)}
	back := b.fillsY("back", 0, 0, 0, x, z)
	var sides []*slab
	b.as(d, func() {
		for _, x0 := range []float64{3 * t, x - 3*t - d} {
			s := b.fillsX("side", x0, t, 0, t+y, z)
			b.tabsFrom(s, back, box3{plate.Vec{x0, 0, 0}, plate.Vec{x0 + d, t, z}}, 2, 3, w[0], plate.Vec{})
			sides = append(sides, s)
		}
	})
	for i := range n {
		z0 := float64(i+1)*step - t/2
		s := b.fillsZ("shelf", z0, 3*t+d, t, x-3*t-d, t+y)
		b.tabsFrom(s, sides[0], box3{plate.Vec{3 * t, t, z0}, plate.Vec{3*t + d, t + y, z0 + t}}, 1, 2, w[1], plate.Vec{})
		b.tabsFrom(s, sides[1], box3{plate.Vec{x - 3*t - d, t, z0}, plate.Vec{x - 3*t, t + y, z0 + t}}, 1, 2, w[1], plate.Vec{})
		b.tabsFrom(s, back, box3{plate.Vec{3*t + d, 0, z0}, plate.Vec{x - 3*t - d, t, z0 + t}}, 0, 1, w[2], plate.Vec{})
	}
}
