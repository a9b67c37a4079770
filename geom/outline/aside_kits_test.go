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
