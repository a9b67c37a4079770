package plate

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

// faceArea checks that triangles run counter-clockwise and returns their area.
func faceArea(t *testing.T, corners []geom.Point, triangles [][3]int) (sum float64) {
	t.Helper()
	for _, k := range triangles {
		a, b, c := corners[k[0]], corners[k[1]], corners[k[2]]
		s := b.Sub(a).Cross(c.Sub(a)) / 2
		if s <= 0 {
			t.Errorf("triangle %v has the area %g", k, s)
		}
		sum += s
	}
	return sum
}

// TestFace counts the triangles of faces with holes and compares their area.
func TestFace(t *testing.T) {
	slots := []geom.Path{rect(0, 0, 100, 50)}
	for i := range 4 { // level with each other, so that seams run through one another's corners
		for k := range 3 {
			x, y := 10+20*float64(i), 10+12*float64(k)
			slots = append(slots, rect(x, y, x+10, y+3))
		}
	}
	for _, tt := range []struct {
		name  string
		paths []geom.Path
		area  float64
		count int
	}{
		{"rectangle", []geom.Path{rect(0, 0, 10, 5)}, 50, 2},
		{"clockwise", []geom.Path{rect(10, 0, 0, 5)}, 50, 2},
		{"corner on an edge", []geom.Path{poly(0, 0, 5, 0, 10, 0, 10, 5, 0, 5)}, 50, 3},
		{"notch", []geom.Path{poly(0, 0, 10, 0, 10, 5, 6, 5, 6, 2, 4, 2, 4, 5, 0, 5)}, 44, 6},
		{"hole", []geom.Path{rect(0, 0, 10, 10), rect(2, 2, 4, 4)}, 96, 8},
		{"slots", slots, 5000 - 12*30, 4 - 2 + 12*6},
		{"bow tie", []geom.Path{poly(0, 0, 10, 10, 10, 0, 0, 10)}, 50, -1},
		{"hole that sticks out", []geom.Path{rect(0, 0, 10, 10), rect(5, 5, 15, 6)}, 100, -1},
	} {
		corners, triangles := New(tt.paths, 3, 0.01).Face()
		got := faceArea(t, corners, triangles)
		if tt.count < 0 {
			if got <= 0 || got > 110 {
				t.Errorf("%s: area %g", tt.name, got)
			}
			continue
		}
		if math.Abs(got-tt.area) > 1e-9 || len(triangles) != tt.count {
			t.Errorf("%s: %d triangles of %g mm2, want %d of %g", tt.name, len(triangles), got, tt.count, tt.area)
		}
	}
	if _, triangles := (&Plate{}).Face(); triangles != nil {
		t.Error("a plate without rings has a face")
	}
}

// TestFaceRandom does so for stars with round holes, as they lie.
func TestFaceRandom(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		var star []float64
		n := 5 + rng.IntN(40)
		for i := range n {
			a, r := 2*math.Pi*float64(i)/float64(n), 60+40*rng.Float64()
			star = append(star, r*math.Cos(a), r*math.Sin(a))
		}
		paths := []geom.Path{poly(star...)}
		for x := -32.0; x <= 32; x += 16 {
			for y := -24.0; y <= 24; y += 16 {
				if rng.IntN(3) > 0 {
					paths = append(paths, geom.Path{geom.Circle(geom.Pt(x, y), 1+6*rng.Float64())})
				}
			}
		}
		p := New(paths, 3, 0.05)
		want, count := 0.0, -2
		for k, ring := range p.Rings {
			a := math.Abs(signedArea(ring))
			if count += len(ring); k > 0 {
				a, count = -a, count+2
			}
			want += a
		}
		corners, triangles := p.Face()
		if got := faceArea(t, corners, triangles); math.Abs(got-want) > 1e-6*want || len(triangles) != count {
			t.Fatalf("%d triangles of %g mm2, want %d of %g: %v", len(triangles), got, count, want, star)
		}
	}
}
