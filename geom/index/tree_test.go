package index_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sluice/geom"
	"sluice/geom/index"
)

func trees(boxes []geom.Box) map[string]*index.Tree {
	var runs []index.Run
	for lo := int32(0); int(lo) < len(boxes); lo += 7 {
		runs = append(runs, index.Run{Lo: lo, Hi: min(lo+7, int32(len(boxes)))})
	}
	return map[string]*index.Tree{"scattered": index.NewTree(boxes), "runs": index.NewRunTree(boxes, runs)}
}

func TestTree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		boxes := boxesOf(points(t, 120))
		for name, tree := range trees(boxes) {
			for _, q := range points(t, 8) {
				ask := geom.BoxOf(q).Inflate(rapid.SampledFrom([]float64{0, 2, 9}).Draw(t, "reach"))
				var want, got []int32
				for i := range boxes {
					if boxes[i].Overlaps(ask) {
						want = append(want, int32(i))
					}
				}
				tree.In(ask, func(i int32) bool { got = append(got, i); return true })
				slices.Sort(got)
				if !slices.Equal(want, got) {
					t.Fatalf("%s in %v: %v, want %v", name, ask, got, want)
				}
				if n := 0; len(want) > 0 && (tree.In(ask, func(int32) bool { n++; return false }) || n != 1) {
					t.Fatal("went on after a false return, or hid it")
				}
				checkByDistance(t, tree, boxes, q)
				checkCloser(t, tree, boxes, ask)
			}
		}
	})
}

func checkByDistance(t *rapid.T, tree *index.Tree, boxes []geom.Box, q geom.Point) {
	dist2 := func(i int32) float64 {
		to := geom.Pt(min(max(q.X, boxes[i].Min.X), boxes[i].Max.X), min(max(q.Y, boxes[i].Min.Y), boxes[i].Max.Y))
		return to.Dist2(q)
	}
	met := make([]bool, len(boxes))
	last := 0.0
	tree.ByDistance(q, func(i int32, d float64) bool {
		if d != math.Sqrt(dist2(i)) || d < last || met[i] {
			t.Fatalf("box %d, %g away, is told to be %g away after one %g away", i, math.Sqrt(dist2(i)), d, last)
		}
		met[i], last = true, d
		return true
	})
	if slices.Contains(met, false) {
		t.Fatalf("not all boxes are visited: %v", met)
	}
	n := 0
	if len(boxes) > 0 && (tree.ByDistance(q, func(int32, float64) bool { n++; return false }) || n != 1) {
		t.Fatal("went on after a false return, or hid it")
	}
}

func checkCloser(t *rapid.T, tree *index.Tree, boxes []geom.Box, b geom.Box) {
	want, best := math.Inf(1), math.Inf(1)
	for i := range boxes {
		want = min(want, boxes[i].Dist(b))
	}
	tree.Closer(b, func() float64 { return best }, func(i int32) { best = min(best, boxes[i].Dist(b)) })
	if want != best {
		t.Fatalf("closest is %g, want %g", best, want)
	}
}

func TestTreePairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		boxes := boxesOf(points(t, 100))
		const d = 0.5
		for name, tree := range trees(boxes) {
			got := map[[2]int32]int{}
			tree.Pairs(d, func(_, _ int32) bool { return false }, func(i, j int32) bool {
				a, b := &tree.Nodes[i], &tree.Nodes[j]
				for x := a.Lo; x < a.Hi; x++ {
					y := b.Lo
					if i == j {
						y = x + 1
					}
					for ; y < b.Hi; y++ {
						p, q := tree.Number(x), tree.Number(y)
						got[[2]int32{min(p, q), max(p, q)}]++
					}
				}
				return true
			})
			for i := range boxes {
				for j := range i {
					k := [2]int32{int32(j), int32(i)}
					if got[k] > 1 || got[k] == 0 && boxes[i].Inflate(d).Overlaps(boxes[j]) {
						t.Fatalf("%s: pair %v is met %d times", name, k, got[k])
					}
				}
			}
		}
	})
}

func TestPieceTreeNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := piecesOf(t, points(t, 80))
		for name, tree := range map[string]*index.PieceTree{"path": index.PathTree(ps), "scattered": index.Scattered(ps)} {
			for _, q := range points(t, 8) {
				bound := rapid.SampledFrom([]float64{math.Inf(1), 3}).Draw(t, "bound")
				want := bound
				for i := range ps {
					want = min(want, ps[i].Dist(q))
				}
				got, at := tree.Nearest(q, bound)
				// The box of a piece far off is rounded more than distances to it.
				if math.Abs(got-want) > 1e-9*(1+want) && !math.IsInf(want, 1) {
					t.Fatalf("%s: nearest to %v is %g away, want %g", name, q, got, want)
				}
				if (at < 0) != (got == bound) || at >= 0 && (tree.Pieces[at] != ps[tree.Number(at)] || tree.Pieces[at].Dist(q) != got) {
					t.Fatalf("%s: place %d does not hold the piece told", name, at)
				}
			}
		}
	})
}
