package index_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/index"
)

// sheet returns n pieces of 5 to 20 mm, about one in each square of 30 mm.
func sheet(n int) []geom.Piece {
	r := rand.New(rand.NewPCG(1, 2))
	side := 30 * math.Sqrt(float64(n))
	ps := make([]geom.Piece, n)
	for i := range ps {
		a := geom.Pt(r.Float64()*side, r.Float64()*side)
		ps[i] = geom.Bulge(a, geom.Polar(a, 5+15*r.Float64(), r.Float64()*6), float64(i%2)*0.4)
	}
	return ps
}

const many = 100_000

func BenchmarkPoints(b *testing.B) {
	ps := sheet(many)
	for b.Loop() {
		s := index.NewPoints[int32](0.02, 2*len(ps))
		for i := range ps {
			s.Place(ps[i].A)
			s.Place(ps[i].B)
		}
	}
}

func BenchmarkCells(b *testing.B) {
	ps := sheet(many)
	n := 0
	for b.Loop() {
		c := index.NewCells[int32](10, len(ps))
		for i := range ps {
			c.Add(ps[i].A, int32(i))
		}
		for i := range ps {
			c.Around(ps[i].B, 5, func(int32) bool { n++; return true })
		}
	}
}

func BenchmarkGridBuild(b *testing.B) {
	ps := sheet(many)
	for b.Loop() {
		index.NewGrid(len(ps), func(i int) *geom.Piece { return &ps[i] }, 0.02, 0)
	}
}

func BenchmarkGridIn(b *testing.B) {
	ps := sheet(many)
	s := index.NewGrid(len(ps), func(i int) *geom.Piece { return &ps[i] }, 0.02, 0).Search()
	n := 0
	for b.Loop() {
		for i := range ps {
			s.In(ps[i].Box(), func(int32) bool { n++; return true })
		}
	}
}

func BenchmarkTreeBuild(b *testing.B) {
	boxes := make([]geom.Box, 0, many)
	for _, p := range sheet(many) {
		boxes = append(boxes, p.Box())
	}
	for b.Loop() {
		index.NewTree(boxes)
	}
}

func BenchmarkTreeIn(b *testing.B) {
	boxes := make([]geom.Box, 0, many)
	for _, p := range sheet(many) {
		boxes = append(boxes, p.Box())
	}
	t := index.NewTree(boxes)
	n := 0
	for b.Loop() {
		for i := range boxes {
			t.In(boxes[i], func(int32) bool { n++; return true })
		}
	}
}

func BenchmarkTreeByDistance(b *testing.B) {
	boxes := make([]geom.Box, 0, many)
	for _, p := range sheet(many) {
		boxes = append(boxes, geom.BoxOf(p.A))
	}
	t := index.NewTree(boxes)
	for b.Loop() {
		for i := range boxes {
			n := 0
			t.ByDistance(boxes[i].Min, func(int32, float64) bool { n++; return n < 6 })
		}
	}
}

func BenchmarkNearest(b *testing.B) {
	ps := sheet(many)
	t := index.Scattered(ps)
	for b.Loop() {
		for i := range ps {
			t.Nearest(ps[i].B.Add(geom.Pt(3, 3)), math.Inf(1))
		}
	}
}
