package geomtest

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

func TestRandomPart(t *testing.T) {
	a, b := rand.New(rand.NewPCG(1, 1)), rand.New(rand.NewPCG(1, 1))
	arcs, count := 0, 0
	for range 20 {
		outer, holes := RandomPart(a)
		outer2, holes2 := RandomPart(b)
		if diff := cmp.Diff(outer, outer2) + cmp.Diff(holes, holes2); diff != "" {
			t.Fatalf("the same seed gives another part: %s", diff)
		}
		if outer.Area() <= 0 || !Simple(outer, 0.02) {
			t.Errorf("bad outer outline %v", outer)
		}
		for _, p := range append([]geom.Path{outer}, holes...) {
			for i := range p {
				if p[i].B.Dist(p[(i+1)%len(p)].A) > 1e-9 {
					t.Errorf("piece %d of %v does not reach the next", i, p)
				}
				if p[i].R > 0 {
					arcs++
				}
			}
		}
		for i, h := range holes {
			if h.Area() >= 0 || !outer.Contains(h[0].A) {
				t.Errorf("hole %d runs the wrong way or lies outside", i)
			}
		}
		count += len(holes)
	}
	if arcs < 50 || count < 40 {
		t.Errorf("%d arcs and %d holes in 20 parts: too plain", arcs, count)
	}
}

func TestSimple(t *testing.T) {
	bow := geom.Path{
		geom.Line(geom.Pt(0, 0), geom.Pt(10, 10)), geom.Line(geom.Pt(10, 10), geom.Pt(10, 0)),
		geom.Line(geom.Pt(10, 0), geom.Pt(0, 10)), geom.Line(geom.Pt(0, 10), geom.Pt(0, 0)),
	}
	if Simple(bow, 0.01) {
		t.Error("a bow tie is told to be simple")
	}
	if !Simple(roundedRect(10, 5, 1), 0.01) {
		t.Error("a rounded rectangle is told not to be simple")
	}
}
