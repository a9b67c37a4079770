package geomtest

import "sluice/geom/plate"

// decks is walls on two floors that lie on each other, through both of which their tabs go,
// and ribs across the walls.
func (b *stander) decks(size int) {
	t := b.t
	n := max(2, size/2-1)
	step := b.mm(8, 12)
	x, y, z := float64(n+1)*step, b.mm(26, 40), b.mm(10, 16)
	low, high := b.fillsZ("lower floor", 0, 0, 0, x, y), b.fillsZ("upper floor", t, 0.5*t, 0, x, y-t)
	w := []float64{b.mm(3, 3.6), b.mm(4.2, 5)}
	for i := range n {
		x0 := float64(i+1)*step - t/2
		wall := b.fillsX("wall", x0, 3*t, 2*t, y-3*t, 2*t+z)
		for k := range 2 {
			y0 := 3*t + (float64(k)+0.5)*(y-6*t)/2
			box := box3{plate.Vec{x0, y0 - w[k]/2, t}, plate.Vec{x0 + t, y0 + w[k]/2, 2 * t}}
			b.tab(wall, high, box, plate.Vec{0, 0, -t})
			under := box
			under.lo[2], under.hi[2] = 0, t
			b.tab(wall, low, under, plate.Vec{})
		}
	}
}
