package clear

import (
	"context"
	"fmt"
	"math"
	"testing"

	"sluice/geom"
)

// lattice is a plate with n by n round holes of radius r at the given pitch.
func lattice(n int, pitch, r float64) []Ring {
	paths := []geom.Path{rect(-pitch, -pitch, float64(n)*pitch, float64(n)*pitch)}
	for i := range n {
		for j := range n {
			paths = append(paths, circle(float64(i)*pitch, float64(j)*pitch, r))
		}
	}
	return ringsOf(paths...)
}

// plainPart is an outline of about 40 lines and arcs, nothing of it narrow, with
// its lower left corner at x, y.
func plainPart(x, y float64) []Ring {
	xy := []float64{0, 0, 60, 0, 60, 30}
	for i := range 8 {
		a := 52 - 6*float64(i)
		xy = append(xy, a, 30, a, 26, a-3, 26, a-3, 30)
	}
	xy = append(xy, 0, 30)
	p := poly(xy...).Transform(geom.Shift(geom.Pt(x, y)))
	return ringsOf(p, circle(x+10, y+10, 3), circle(x+50, y+10, 3), obround(x+20, x+40, y+10, 3))
}

// wavy is one outline of n short lines on a wavy circle.
func wavy(n int) []Ring {
	xy := make([]float64, 0, 2*n)
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		s, c := math.Sincos(a)
		r := 100 + 10*math.Sin(20*a)
		xy = append(xy, r*c, r*s)
	}
	return ringsOf(poly(xy...))
}

func BenchmarkNarrows(b *testing.B) {
	for _, c := range []struct {
		name  string
		rings []Ring
	}{
		{"lattice10000", lattice(100, 6, 2)},
		{"lattice10000narrow", lattice(100, 6, 2.5)},
		{"outline100000", wavy(100000)},
		{"comb10000", ringsOf(comb(2500))},
	} {
		for side, limit := range []float64{Waste: 1, Material: 1.5} {
			b.Run(fmt.Sprintf("%s/%v", c.name, []string{"waste", "material"}[side]), func(b *testing.B) {
				found := 0
				for b.Loop() {
					got, err := Narrows(context.Background(), c.rings, Side(side), limit)
					if err != nil {
						b.Fatal(err)
					}
					found = len(got)
				}
				b.ReportMetric(float64(found), "runs")
			})
		}
	}
	b.Run("parts2500", func(b *testing.B) {
		var parts [][]Ring
		for i := range 50 {
			for j := range 50 {
				parts = append(parts, plainPart(70*float64(i), 40*float64(j)))
			}
		}
		for b.Loop() {
			for _, p := range parts {
				for side, limit := range []float64{Waste: 1, Material: 1.5} {
					if got, _ := Narrows(context.Background(), p, Side(side), limit); len(got) > 0 {
						b.Fatal(got)
					}
				}
			}
		}
	})
}

func BenchmarkCloseParts(b *testing.B) {
	grid := func(gap float64) (rings []Ring, part []int32) {
		for i := range 50 {
			for j := range 50 {
				for _, r := range plainPart((60+gap)*float64(i), (30+gap)*float64(j)) {
					rings, part = append(rings, r), append(part, int32(50*i+j))
				}
			}
		}
		return rings, part
	}
	nested := func(turned float64) (rings []Ring, part []int32) {
		for i := range 10000 {
			r := 10 + 0.1*float64(i)
			p := rect(-r, -r, r, r)
			if turned < 0 {
				p = circle(0, 0, r)
			} else if turned > 0 {
				p = p.Transform(geom.Turn(geom.Point{}, turned))
			}
			rings, part = append(rings, Ring{p, p.Box()}), append(part, int32(i/2))
		}
		return rings, part
	}
	for _, c := range []struct {
		name string
		make func() ([]Ring, []int32)
	}{
		{"apart", func() ([]Ring, []int32) { return grid(5) }},
		{"close", func() ([]Ring, []int32) { return grid(2) }},
		{"nestedSquares", func() ([]Ring, []int32) { return nested(0) }},
		{"nestedTurned", func() ([]Ring, []int32) { return nested(0.4) }},
		{"nestedCircles", func() ([]Ring, []int32) { return nested(-1) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			rings, part := c.make()
			found := 0
			for b.Loop() {
				found = len(CloseParts(context.Background(), rings, part, 3))
			}
			b.ReportMetric(float64(found), "pairs")
		})
	}
}

func BenchmarkLargestCircle(b *testing.B) {
	for _, c := range []struct {
		name string
		path geom.Path
	}{
		{"rounded", rounded(0, 0, 200, 10, 2)},
		{"L", poly(0, 0, 4, 0, 4, 2, 2, 2, 2, 4, 0, 4)},
		{"wavy1000", wavy(1000)[0].Path},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				LargestCircle(c.path, 0.01)
			}
		})
	}
}
