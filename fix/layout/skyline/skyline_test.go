package skyline

import (
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

// Boxes lie in the room, apart by the gap and off what is barred.
func TestBoxesApart(t *testing.T) {
	barred := []geom.Box{{Min: geom.Pt(0, 20), Max: geom.Pt(30, 45)}, {Min: geom.Pt(150, 0), Max: geom.Pt(170, 12)}}
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 1))
		r := New(300, 120, 3, barred)
		var lain []geom.Box
		area := 0.0
		for range 200 {
			w, h := 4+40*rng.Float64(), 4+40*rng.Float64()
			at, ok := r.Find(w, h)
			if !ok {
				continue
			}
			r.Put(at, w, h)
			b := geom.Box{Min: at, Max: at.Add(geom.Pt(w, h))}
			if b.Min.X < 0 || b.Min.Y < 0 || b.Max.X > 300+1e-6 || b.Max.Y > 120+1e-6 {
				t.Fatalf("seed %d: %v reaches out of the room", seed, b)
			}
			for _, z := range barred {
				if z.Inflate(-1e-6).Overlaps(b) {
					t.Fatalf("seed %d: %v meets what is barred", seed, b)
				}
			}
			for _, o := range lain {
				// In one direction at least they must be apart by the gap.
				dx, dy := max(o.Min.X-b.Max.X, b.Min.X-o.Max.X), max(o.Min.Y-b.Max.Y, b.Min.Y-o.Max.Y)
				if max(dx, dy) < 3-1e-6 {
					t.Fatalf("seed %d: %v and %v are %g mm apart", seed, b, o, max(dx, dy))
				}
			}
			lain = append(lain, b)
			area += (w + 3) * (h + 3)
		}
		if area < 0.6*300*120 {
			t.Errorf("seed %d: only %.0f %% of the room is taken", seed, area/300/1.2)
		}
	}
}

// Boxes that fill a room to the last fit it.
func TestPerfect(t *testing.T) {
	r := New(4*30+3*2, 3*20+2*2, 2, nil)
	for k := range 12 {
		at, ok := r.Find(30, 20)
		if !ok {
			t.Fatalf("box %d has no room", k)
		}
		r.Put(at, 30, 20)
	}
	if at, ok := r.Find(1, 1); ok {
		t.Errorf("room at %v", at)
	}
}
