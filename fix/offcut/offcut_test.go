package offcut

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

func at(x, y, w, h float64) geom.Box { return geom.Box{Min: geom.Pt(x, y), Max: geom.Pt(x+w, y+h)} }

// What is left of a sheet is the largest rectangle free of parts, or an L where that is a
// good deal more; nothing where no side is wide enough for its margins.
func TestOffcut(t *testing.T) {
	for name, c := range map[string]struct {
		parts []geom.Box
		shape geom.Path // of the stock; nil: all of it
		want  geom.Box  // around what is kept
		area  float64
		bends int // corners
	}{
		"nothing cut":   {nil, nil, at(0, 0, 1000, 500), 500_000, 4},
		"a strip":       {[]geom.Box{at(10, 10, 385, 480)}, nil, at(400, 0, 600, 500), 300_000, 4},
		"above a row":   {[]geom.Box{at(10, 10, 980, 85)}, nil, at(0, 100, 1000, 400), 400_000, 4},
		"one corner":    {[]geom.Box{at(10, 10, 485, 285)}, nil, at(0, 0, 1000, 500), 500_000 - 500*300, 6},
		"other corner":  {[]geom.Box{at(505, 10, 485, 285)}, nil, at(0, 0, 1000, 500), 500_000 - 500*300, 6},
		"upper corner":  {[]geom.Box{at(10, 205, 485, 285)}, nil, at(0, 0, 1000, 500), 500_000 - 500*300, 6},
		"full":          {[]geom.Box{at(10, 10, 980, 480)}, nil, geom.NoBox(), 0, 0},
		"thin rest":     {[]geom.Box{at(10, 10, 930, 480)}, nil, geom.NoBox(), 0, 0},
		"in the middle": {[]geom.Box{at(305, 5, 190, 490)}, nil, at(500, 0, 500, 500), 250_000, 4},
		"stock that is an L": {[]geom.Box{at(10, 10, 285, 85)}, polygon(geom.Pt(0, 0), geom.Pt(1000, 0), geom.Pt(1000, 200), geom.Pt(600, 200), geom.Pt(600, 500), geom.Pt(0, 500)),
			at(0, 100, 600, 400), 240_000, 4},
	} {
		got := Of(&Sheet{Width: 1000, Height: 500, Margin: 10, Outline: c.shape}, c.parts, 5)
		if got == nil {
			if c.bends > 0 {
				t.Errorf("%s: nothing is kept", name)
			}
			continue
		}
		b := got.Box()
		if b.Min.Dist(c.want.Min) > 1e-6 || b.Max.Dist(c.want.Max) > 1e-6 || math.Abs(got.Area()-c.area) > 1e-6 || len(got) != c.bends {
			t.Errorf("%s: %v of %g mm2, %d corners", name, b, got.Area(), len(got))
		}
	}
}

// What is left of random sheets is free of parts by the gap, within the sheet, and no
// smaller than the best of a thousand rectangles tried at random.
func TestOffcutIsFree(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 200 {
		s := Sheet{Width: 300 + 700*r.Float64(), Height: 200 + 400*r.Float64(), Margin: 5}
		var parts []geom.Box
		for range 1 + r.IntN(12) {
			parts = append(parts, at(r.Float64()*s.Width*0.8, r.Float64()*s.Height*0.8, 10+100*r.Float64(), 10+80*r.Float64()))
		}
		got := Of(&s, parts, 3)
		free := func(b geom.Box) bool {
			for _, p := range parts {
				if b.Inflate(-1e-9).Overlaps(p.Inflate(3)) {
					return false
				}
			}
			return true
		}
		if got != nil {
			if b := got.Box(); b.Min.X < -1e-9 || b.Min.Y < -1e-9 || b.Max.X > s.Width+1e-9 || b.Max.Y > s.Height+1e-9 {
				t.Fatalf("%d: %v is beyond the sheet", n, b)
			}
			for range 300 {
				q := geom.Pt(r.Float64()*s.Width, r.Float64()*s.Height)
				if got.Contains(q) && !free(geom.BoxOf(q)) {
					t.Fatalf("%d: a part lies at %v", n, q)
				}
			}
		}
		for range 1000 {
			b := at(r.Float64()*s.Width, r.Float64()*s.Height, 50+300*r.Float64(), 50+300*r.Float64())
			if b.Max.X <= s.Width && b.Max.Y <= s.Height && free(b) && (got == nil || got.Area() < b.W()*b.H()-1e-6) {
				t.Fatalf("%d: %v is free, and larger", n, b)
			}
		}
	}
}
