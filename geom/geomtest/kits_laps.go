package geomtest

import (
	"fmt"

	"sluice/geom"
)

// notched is a plate w by h with notches of the given depth cut from its top at
// xs; profile lifts the lower edge's corners for a shape of its own.
func (b *kitMaker) notched(name string, w, h float64, xs []float64, depth, profile float64) (part int, ids []int) {
	part = len(b.kit.Parts)
	vs := []vert{{geom.Pt(profile, 0), plain}, {geom.Pt(w-profile, 0), plain}, {geom.Pt(w, profile), plain}, {geom.Pt(w, h), plain}}
	for i := len(xs) - 1; i >= 0; i-- {
		x, half := xs[i], b.kit.Width/2
		vs = append(vs, vert{geom.Pt(x+half, h), plain}, vert{geom.Pt(x+half, h-depth), foot}, vert{geom.Pt(x-half, h-depth), foot}, vert{geom.Pt(x-half, h), plain})
	}
	vs = append(vs, vert{geom.Pt(0, h), plain}, vert{geom.Pt(0, profile), plain})
	for _, x := range xs {
		ids = append(ids, b.joint(KitJoint{Part: part, Kind: "notch", At: geom.Pt(x, h-depth/2), Dir: geom.Pt(0, 1), Out: geom.Pt(0, 1), Length: depth, Depth: depth}))
	}
	return b.add(name, vs), ids
}

// places spreads n places along a length.
func (b *kitMaker) places(n int, length float64) []float64 {
	even := b.rng.IntN(2) == 0
	var xs []float64
	for i := range n {
		x := length * (float64(i) + 0.5) / float64(n)
		if !even {
			x += uniform(b.rng, -0.12, 0.12) * length / float64(n)
		}
		xs = append(xs, round1(x))
	}
	return xs
}

// crate is an egg crate: plates both ways, notched half through.
func (b *kitMaker) crate() {
	b.kit.Name = "egg crate"
	r, t := b.rng, b.t
	nx, ny := 2+r.IntN(4), 2+r.IntN(4)
	h := round1(uniform(r, 8, 16) * t)
	lx, ly := round1(uniform(r, 6, 10)*t*float64(ny)), round1(uniform(r, 6, 10)*t*float64(nx))
	share := 0.5
	if r.IntN(2) == 0 {
		share = uniform(r, 0.35, 0.65)
	}
	px, py := b.places(ny, lx), b.places(nx, ly)
	deep := round1(h * share)
	var rows [][]int
	for i := range nx {
		part, ids := b.notched(fmt.Sprint("row ", i), lx, h, px, deep, 0)
		b.decoys(part, geom.Box{Min: geom.Pt(2*t, t), Max: geom.Pt(lx-2*t, h-deep-t)})
		rows = append(rows, ids)
	}
	for j := range ny {
		_, ids := b.notched(fmt.Sprint("column ", j), ly, h, py, h-deep, 0)
		for i := range nx {
			b.mate(rows[i][j], ids[i])
		}
	}
}

// spines is ribs of differing shape across two or three equal spines, flush
// below.
func (b *kitMaker) spines() {
	b.kit.Name = "spines"
	r, t := b.rng, b.t
	s, n := 2+r.IntN(2), 4+r.IntN(5)
	hs := round1(uniform(r, 8, 12) * t)
	l := round1(uniform(r, 6, 9) * t * float64(n))
	w := round1(uniform(r, 8, 12) * t * float64(s))
	at, across := b.places(n, l), b.places(s, w)
	deep := round1(hs * uniform(r, 0.4, 0.6))
	var ids [][]int
	for i := range s {
		part, js := b.notched(fmt.Sprint("spine ", i), l, hs, at, deep, 0)
		b.decoys(part, geom.Box{Min: geom.Pt(2*t, t), Max: geom.Pt(l-2*t, hs-deep-t)})
		ids = append(ids, js)
	}
	for j := range n {
		// The rib is higher than the spine; turned over, its notches sit on it.
		h := hs + round1(uniform(r, 0, 5)*t)
		_, js := b.notched(fmt.Sprint("rib ", j), w, h, across, hs-deep, round1(uniform(r, 0, 2)*t))
		for i := range s {
			b.mate(ids[i][j], js[i])
		}
	}
}
