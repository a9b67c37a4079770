package outline

import (
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
)

// strokesOf returns closed paths as strokes, an entity each.
func strokesOf(paths ...geom.Path) []drawing.Stroke {
	var out []drawing.Stroke
	for i, p := range paths {
		for _, q := range p {
			out = append(out, drawing.Stroke{Piece: q, Entity: int32(i)})
		}
	}
	return out
}

func rectPath(b geom.Box) geom.Path {
	c := [4]geom.Point{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)}
	return geom.Path{geom.Line(c[0], c[1]), geom.Line(c[1], c[2]), geom.Line(c[2], c[3]), geom.Line(c[3], c[0])}
}

// TestBorderRoundKits draws a border round random kits.
func TestBorderRoundKits(t *testing.T) {
	seen := 0
	const n = 300
	for seed := range n {
		rng := rand.New(rand.NewPCG(uint64(seed), 11))
		k := geomtest.RandomKit(rng)
		var paths []geom.Path
		box := geom.NoBox()
		for i := range k.Parts {
			paths = append(paths, k.Parts[i].Outer)
			box = box.Union(k.Parts[i].Outer.Box())
			paths = append(paths, k.Parts[i].Holes...)
		}
		s := build(t, strokesOf(paths...))
		if len(s.Parts) != len(k.Parts) || len(s.Aside) > 0 {
			t.Errorf("seed %d, %s: %d parts, want %d; %d set aside", seed, k.Name, len(s.Parts), len(k.Parts), len(s.Aside))
		}
		paths = append(paths, rectPath(box.Inflate(3+20*rng.Float64())))
		s = build(t, strokesOf(paths...))
		if len(s.Parts) == len(k.Parts) && len(s.Aside) == 1 && s.Aside[0].Kind == Border {
			seen++
		} else {
			t.Logf("seed %d, %s: %d parts, want %d; %d set aside", seed, k.Name, len(s.Parts), len(k.Parts), len(s.Aside))
		}
	}
	// Parts that are all of one form, with few notches and no holes, may be windows.
	if seen < n*98/100 {
		t.Errorf("%d of %d borders seen", seen, n)
	}
}

// TestPlatesAreNoBorders draws plates with random holes, and frames with random
// parts nested in their windows.
func TestPlatesAreNoBorders(t *testing.T) {
	for seed := range 300 {
		rng := rand.New(rand.NewPCG(uint64(seed), 12))
		outer, holes := geomtest.RandomPart(rng)
		box := outer.Box()
		border := func(s *Sheet) bool {
			for i := range s.Aside {
				if s.Aside[i].Kind != Step {
					return true
				}
			}
			return false
		}
		plate := append([]geom.Path{rectPath(box.Inflate(5 * rng.Float64()))}, holes...)
		if s := build(t, strokesOf(plate...)); border(s) || len(s.Outlines) != len(plate) {
			t.Errorf("seed %d: a plate with %d holes is taken for a border", seed, len(holes))
		}
		// One part, or two side by side, in the window of a frame.
		nested := append([]geom.Path{outer}, holes...)
		if seed%2 == 1 {
			for _, p := range nested[:len(holes)+1] {
				nested = append(nested, p.Transform(geom.Shift(geom.Pt(box.W()+10, 0))))
			}
			box = box.Union(geom.Box{Min: box.Min.Add(geom.Pt(box.W()+10, 0)), Max: box.Max.Add(geom.Pt(box.W()+10, 0))})
		}
		window := box.Inflate(4)
		frame := append([]geom.Path{rectPath(window.Inflate(0.1 * max(window.W(), window.H()))), rectPath(window)}, nested...)
		if s := build(t, strokesOf(frame...)); border(s) || len(s.Parts) != 1+seed%2+1 {
			t.Errorf("seed %d: a frame with a part nested in it is taken for a border: %d parts", seed, len(s.Parts))
		}
	}
}
