package fit_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/fix/fit"
	"sluice/fix/fit/side"
	"sluice/geom"
	"sluice/geom/geomtest"
)

func closed(p geom.Path) bool {
	for i := range p {
		if p[i].B.Dist(p[(i+1)%len(p)].A) > 1e-6 {
			return false
		}
	}
	return len(p) > 0
}

// slot is a clockwise slot 20 by 3 about 5, 7 with corner radius r (0: sharp).
func slot(r float64) geom.Path {
	ps := []geom.Point{{X: -5, Y: 5.5}, {X: -5, Y: 8.5}, {X: 15, Y: 8.5}, {X: 15, Y: 5.5}}
	var path geom.Path
	for i := range 4 {
		a, b, c := ps[i], ps[(i+1)%4], ps[(i+2)%4]
		u, v := b.Sub(a).Unit(), c.Sub(b).Unit()
		path = append(path, geom.Line(a.Add(u.Mul(r)), b.Sub(u.Mul(r))))
		if r > 0 {
			path = append(path, geom.Bulge(b.Sub(u.Mul(r)), b.Add(v.Mul(r)), math.Tan(geom.TurnTo(u, v)/4)))
		}
	}
	return path
}

// A slot grows about its centre line, and keeps its length and its corners.
func TestMoveSlot(t *testing.T) {
	for _, r := range []float64{0, 0.4} {
		path := slot(r)
		sides := side.Of(path, side.DefaultLimits())
		by := make([]float64, 4)
		for i := range sides {
			if sides[i].Len() > 10 {
				by[i] = -0.8
			}
		}
		got, src, err := fit.Move(path, sides, by)
		if err != nil || len(src) != len(got) || !closed(got) {
			t.Fatal(err, got)
		}
		b := got.Box()
		if math.Abs(b.W()-20) > 1e-9 || math.Abs(b.H()-4.6) > 1e-9 || b.Center().Dist(geom.Pt(5, 7)) > 1e-9 {
			t.Errorf("radius %g: %v", r, b)
		}
		for _, p := range got {
			if p.R > 0 && math.Abs(p.R-r) > 1e-12 {
				t.Errorf("radius %g became %g", r, p.R)
			}
		}
		want := 20*4.6 - (4-math.Pi)*r*r
		if math.Abs(-got.Area()-want) > 1e-9 {
			t.Errorf("area %g, want %g", -got.Area(), want)
		}
	}
}

// Not moved, a path stays; moved there and back it is what it was; moving commutes
// with turning, shifting and mirroring.
func TestMoveProperties(t *testing.T) {
	moved, failed := 0, 0
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 9))
		outer, holes := geomtest.RandomPart(rng)
		for _, path := range append(holes, outer) {
			sides := side.Of(path, side.DefaultLimits())
			by := make([]float64, len(sides))
			same, _, err := fit.Move(path, sides, by)
			if err != nil || math.Abs(same.Area()-path.Area()) > 1e-9 || !closed(same) {
				t.Fatalf("seed %d: stayed: %v, area %g of %g", seed, err, same.Area(), path.Area())
			}
			for i := range by {
				if sides[i].Linked && sides[(i+len(by)-1)%len(by)].Linked && sides[i].Len() > 1 {
					by[i] = 0.1 * (rng.Float64() - 0.5)
				}
			}
			got, _, err := fit.Move(path, sides, by)
			if err != nil {
				failed++
				continue
			}
			moved++
			if !closed(got) {
				t.Fatalf("seed %d: not closed", seed)
			}
			tr := geom.Turn(geom.Pt(3, 4), 6*rng.Float64()).Then(geom.Shift(geom.Pt(7, -2)))
			turned := path.Transform(tr)
			again, _, err := fit.Move(turned, side.Of(turned, side.DefaultLimits()), by)
			if err != nil || math.Abs(again.Area()-got.Area()) > 1e-6 || again[0].A.Dist(tr.Apply(got[0].A)) > 1e-6 {
				t.Fatalf("seed %d: turned: %v, area %g, want %g", seed, err, again.Area(), got.Area())
			}
		}
	}
	t.Logf("%d paths moved, %d refused", moved, failed)
	if moved < 50*failed {
		t.Error("too many refused")
	}
}

func TestMoveRefuses(t *testing.T) {
	path := slot(0)
	sides := side.Of(path, side.DefaultLimits())
	by := make([]float64, 4)
	for i := range sides {
		if sides[i].Len() > 10 {
			by[i] = 2 // walls cross
		}
	}
	if _, _, err := fit.Move(path, sides, by); err != fit.ErrNoRoom {
		t.Errorf("error %v, want %v", err, fit.ErrNoRoom)
	}
}

// TRADE values: a jet of radius 0.5 leaves 0.2071 mm at a right angle (r times
// sqrt 2 minus 1, derived). Opened with a relief the corner of the drawing lies
// on or outside the new outline, so that a square tab seats.
func TestRelief(t *testing.T) {
	path := slot(0)
	sides := side.Of(path, side.DefaultLimits())
	cs := fit.Corners(path, sides, 1)
	if len(cs) != 4 {
		t.Fatalf("%d corners, want 4", len(cs))
	}
	for _, c := range cs {
		if math.Abs(c.Left-0.2071067812) > 1e-9 || math.Abs(c.Angle-math.Pi/2) > 1e-9 {
			t.Errorf("%+v", c)
		}
	}
	got, src, _ := fit.Open(path, sides, cs, fit.DogBone, 0.6)
	if !closed(got) || len(src) != len(got) {
		t.Fatal(got)
	}
	arcs := 0
	for _, p := range got {
		if p.R > 0 {
			arcs++
			if math.Abs(p.R-0.6) > 1e-9 {
				t.Errorf("relief of radius %g", p.R)
			}
		}
	}
	if arcs != 4 {
		t.Errorf("%d reliefs", arcs)
	}
	// Each relief adds a half disc less the triangle of the corner it spans.
	leg := 0.6 * math.Sqrt2
	want := 60 + 4*(math.Pi*0.36/2-leg*leg/2)
	if math.Abs(-got.Area()-want) > 1e-9 {
		t.Errorf("area %.9f, want %.9f", -got.Area(), want)
	}
	for _, c := range cs {
		// The jet's centre may come within its radius of the corner.
		d, _ := got.Dist(c.At)
		if d > 1e-9 {
			t.Errorf("corner %v lies %g from the outline", c.At, d)
		}
	}
	if again := fit.Corners(got, side.Of(got, side.DefaultLimits()), 1); len(again) != 0 {
		t.Errorf("%d corners left", len(again))
	}
	// A slot too short for two reliefs is left.
	small, _, _ := fit.Open(path, sides, cs, fit.DogBone, 2)
	if math.Abs(small.Area()-path.Area()) > 1e-12 {
		t.Error("relieved without room")
	}
}

// A rounded corner of 0.4 mm is sharper than a jet of 1 mm cuts; one of 0.6 is
// left with what its own rounding leaves.
func TestCornersRounded(t *testing.T) {
	path := slot(0.4)
	cs := fit.Corners(path, side.Of(path, side.DefaultLimits()), 1)
	if len(cs) != 4 || math.Abs(cs[0].Left-0.5*(math.Sqrt2-1)) > 1e-9 {
		t.Errorf("%+v", cs)
	}
	path = slot(0.6)
	cs = fit.Corners(path, side.Of(path, side.DefaultLimits()), 1)
	if len(cs) != 4 || math.Abs(cs[0].Left-0.6*(math.Sqrt2-1)) > 1e-9 {
		t.Errorf("%+v", cs)
	}
}
