package outline

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

// lattice draws pieces between points of a small grid, so that ends meet, pieces
// repeat, cross and touch in every way there is.
func lattice(rng *rand.Rand, n, side int, arcs bool) []drawing.Stroke {
	at := func() geom.Point { return geom.Pt(float64(rng.IntN(side))*10, float64(rng.IntN(side))*10) }
	var out []drawing.Stroke
	for i := range n {
		a, b := at(), at()
		var p geom.Piece
		switch k := rng.IntN(10); {
		case a == b && k < 5:
			p = geom.Circle(a, float64(1+rng.IntN(3))*5)
		case arcs && k < 3:
			p = geom.Bulge(a, b, []float64{1, -1, math.Sqrt2 - 1, 1 - math.Sqrt2, 2}[rng.IntN(5)])
		default:
			p = geom.Line(a, b)
		}
		out = append(out, drawing.Stroke{Piece: p, Entity: int32(i)})
	}
	return out
}

// sound checks what must hold of any sheet.
func sound(t *testing.T, s *Sheet) {
	t.Helper()
	for i := range s.Outlines {
		o := &s.Outlines[i]
		if len(o.Pieces) == 0 || len(o.Src) != len(o.Pieces) || len(o.Flags) != len(o.Pieces) {
			t.Fatalf("outline %d has no shape", i)
		}
		for k := range o.Pieces {
			if d := o.Pieces[k].B.Dist(o.Pieces[(k+1)%len(o.Pieces)].A); d > 0.02 {
				t.Fatalf("outline %d does not hang together at piece %d: %g", i, k, d)
			}
		}
		if a := o.Pieces.Area(); (a < 0) != o.Hole() || math.Abs(math.Abs(a)-o.Area) > 1e-6*o.Area {
			t.Fatalf("outline %d: area %g, told %g, hole %v", i, a, o.Area, o.Hole())
		}
		if p := o.Parent; p >= 0 && s.Outlines[p].Depth != o.Depth-1 {
			t.Fatalf("outline %d: depth %d in one of depth %d", i, o.Depth, s.Outlines[p].Depth)
		}
	}
	for k := range s.Parts {
		if s.Outlines[s.Parts[k].Outer].Part != int32(k) {
			t.Fatalf("part %d does not own its outside", k)
		}
	}
}

// TestLattice builds tangled drawings: none may fail, and where nothing crosses
// the order of the strokes must not matter.
func TestLattice(t *testing.T) {
	rng := rand.New(rand.NewPCG(77, 1))
	for round := range 1500 {
		strokes := lattice(rng, 2+rng.IntN(40), 2+rng.IntN(5), round%2 == 1)
		s := build(t, strokes)
		sound(t, s)
		rng.Shuffle(len(strokes), func(i, j int) { strokes[i], strokes[j] = strokes[j], strokes[i] })
		r := build(t, strokes)
		sound(t, r)
		a, b := count(s), count(r)
		// Which branch of a tree of loose lines is told as the longer path, and so
		// how many paths there are, may differ.
		for _, c := range []*tally{&a, &b} {
			c.Open, c.Loose, c.Gaps = 0, 0, 0
		}
		if d := cmp.Diff(a, b); d != "" && a.Crossings == 0 {
			t.Errorf("round %d: shuffled (-want +got):\n%s", round, d)
		}
	}
}

// TestWorkers checks that the number of cores does not show.
func TestWorkers(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		strokes := lattice(rng, 60, 6, true)
		var sheets []*Sheet
		for _, n := range []int{1, 2, 7} {
			o := testOptions
			o.Workers = n
			s, err := Build(context.Background(), strokes, cutAll, o)
			if err != nil {
				t.Fatal(err)
			}
			sheets = append(sheets, s)
		}
		if d := cmp.Diff(sheets[0], sheets[1]); d != "" {
			t.Fatal(d)
		}
		if d := cmp.Diff(sheets[0], sheets[2]); d != "" {
			t.Fatal(d)
		}
	}
}
