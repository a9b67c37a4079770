package raster

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/fix/layout/region"
	"sluice/geom"
)

// blob is a random convex ring about the origin.
func blob(rng *rand.Rand) region.Ring {
	var pts []geom.Point
	for range 12 {
		pts = append(pts, geom.Pt(20*rng.Float64()-10, 30*rng.Float64()-15))
	}
	return geom.Hull(pts)
}

// apart is the distance of two convex rings, 0 where they overlap: by the sides
// of both as lines of separation, and by corners against sides.
func apart(a, b region.Ring) float64 {
	separate := false
	least := math.Inf(1)
	for _, r := range [2][2]region.Ring{{a, b}, {b, a}} {
		for i, p := range r[0] {
			q := r[0][(i+1)%len(r[0])]
			side := true
			for _, v := range r[1] {
				side = side && q.Sub(p).Cross(v.Sub(p)) <= 0
				t := min(1, max(0, v.Sub(p).Dot(q.Sub(p))/q.Sub(p).Dot(q.Sub(p))))
				least = min(least, v.Dist(p.Lerp(q, t)))
			}
			separate = separate || side
		}
	}
	if !separate {
		return 0
	}
	return least
}

func shifted(r region.Ring, by geom.Point) region.Ring {
	out := make(region.Ring, len(r))
	for i, p := range r {
		out[i] = p.Add(by)
	}
	return out
}

// What a board gives room to keeps the sum of the clearances, whether it was put
// as a mask or covered where it lay, and no room is told where there is some.
func TestFindKeepsClear(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 1))
		cell := 0.3 + rng.Float64()
		const clear = 1.5
		b := NewBoard(150, 100, cell, 4)
		var lain []region.Ring
		free := shifted(blob(rng), geom.Pt(70+0.1*rng.Float64(), 50))
		b.Cover(Grow([]region.Ring{free}, clear), geom.Point{})
		lain = append(lain, free)
		var work int64
		for range 40 {
			r := blob(rng)
			box := r.Box()
			r = shifted(r, box.Min.Mul(-1))
			m := NewMask(Grow([]region.Ring{r}, clear), cell)
			x, y, ok := b.Find(m, 0, int((150-box.W())/cell), 0, int((100-box.H())/cell), &work)
			if !ok {
				continue
			}
			b.Put(m, x, y)
			at := shifted(r, geom.Pt(float64(x)*cell, float64(y)*cell))
			for _, o := range lain {
				if d := apart(at, o); d < 2*clear {
					t.Fatalf("seed %d: %g mm apart", seed, d)
				}
			}
			lain = append(lain, at)
		}
		if len(lain) < 15 || work == 0 {
			t.Errorf("seed %d: %d lain", seed, len(lain))
		}
	}
}

// A place is found where one cell to any side there is none.
func TestFindTight(t *testing.T) {
	square := func(x, y, w, h float64) region.Ring {
		return region.Ring{geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)}
	}
	b := NewBoard(20, 200, 1, 1)
	b.Cover([]region.Ring{square(0, 0, 20, 99.5), square(0, 110.5, 20, 89.5), square(12.5, 99, 7.5, 12)}, geom.Point{})
	var work int64
	for _, c := range []struct {
		w, h float64
		ok   bool
	}{{11.5, 9.5, true}, {11.5, 10.5, false}, {12.5, 9.5, false}} {
		m := NewMask([]region.Ring{square(0.1, 0.1, c.w, c.h)}, 1)
		x, y, ok := b.Find(m, 0, 19, 0, 199, &work)
		if ok != c.ok || ok && (x != 0 || y != 100) {
			t.Errorf("%g x %g: %d, %d, %v", c.w, c.h, x, y, ok)
		}
	}
}

func BenchmarkFind(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	board := NewBoard(2000, 1000, 1.2, 4)
	var work int64
	for b.Loop() {
		r := blob(rng)
		box := r.Box()
		m := NewMask([]region.Ring{shifted(r, box.Min.Mul(-1))}, board.Cell)
		if x, y, ok := board.Find(m, 0, 1600, 0, 800, &work); ok {
			board.Put(m, x, y)
		}
	}
}
