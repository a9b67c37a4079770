package outline

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

// leastByTrial is the least cost of pairing by trying everything.
func leastByTrial(edges []edge, free map[endID]bool) float64 {
	for i := range endID(64) {
		if !free[i] {
			continue
		}
		delete(free, i)
		best := alone + leastByTrial(edges, free)
		for _, e := range edges {
			j := e.a + e.b - i
			if (e.a == i || e.b == i) && free[j] {
				delete(free, j)
				best = min(best, e.cost+leastByTrial(edges, free))
				free[j] = true
			}
		}
		free[i] = true
		return best
	}
	return 0
}

func costOf(edges []edge, ends int) float64 {
	c := alone * float64(ends-2*len(edges))
	for _, e := range edges {
		c += e.cost
	}
	return c
}

// TestLeastCost compares the exact pairing with a search through all, and the
// improved greedy one with the exact.
func TestLeastCost(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	var greedy, exact float64
	for range 300 {
		n := 3 + rng.IntN(7)
		var edges []edge
		for i := range endID(n) {
			for j := range i {
				if j == i-1 || rng.IntN(2) == 0 {
					edges = append(edges, edge{j, i, 1.4 * rng.Float64()})
				}
			}
		}
		index, free := map[endID]int{}, map[endID]bool{}
		for i := range endID(n) {
			index[i], free[i] = int(i), true
		}
		want := leastByTrial(edges, free)
		got := costOf(exactPairs(edges, index), n)
		if math.Abs(got-want) > 1e-9 {
			t.Fatalf("cost %g, want %g", got, want)
		}
		used := map[endID]bool{}
		near := improvedPairs(edges, index)
		for _, e := range near {
			if used[e.a] || used[e.b] {
				t.Fatal("an end has two mates")
			}
			used[e.a], used[e.b] = true, true
		}
		exact += want
		greedy += costOf(near, n)
	}
	if greedy > 1.05*exact {
		t.Errorf("the improved pairing costs %.3f times the least", greedy/exact)
	}
	t.Logf("improved / least = %.4f", greedy/exact)
}

// TestNeighboursKeepApart puts two squares side by side, nearer to each other
// than their gaps are wide: each must be closed on itself.
func TestNeighboursKeepApart(t *testing.T) {
	for _, apart := range []float64{0.15, 0.25, 0.4} {
		var s sketch
		// Left square, its right side broken by 0.45 mm; the right one alike.
		s.line(0, 0, 20, 0).line(20, 0, 20, 9.8).line(20, 10.25, 20, 20).line(20, 20, 0, 20).line(0, 20, 0, 0)
		x := 20 + apart
		s.line(x, 0, 40, 0).line(40, 0, 40, 20).line(40, 20, x, 20).line(x, 20, x, 10.25).line(x, 9.8, x, 0)
		sheet := build(t, s.strokes)
		if len(sheet.Outlines) != 2 || len(sheet.Gaps) != 2 {
			t.Fatalf("apart %g: %d outlines, %d gaps", apart, len(sheet.Outlines), len(sheet.Gaps))
		}
		for _, g := range sheet.Gaps {
			if math.Abs(g.Width-0.45) > 1e-9 {
				t.Errorf("apart %g: gap of %g mm, want 0.45", apart, g.Width)
			}
		}
	}
}

// TestStraightOnFirst lets one end choose between a nearer end beside it and one
// that carries its line on.
func TestStraightOnFirst(t *testing.T) {
	var s sketch
	// Two plates whose upper edges run on one above the other.
	s.line(0, 0, 10, 0).line(10.4, 0, 20, 0).line(20, 0, 20, -9).line(20, -9, 0, -9).line(0, -9, 0, 0)
	s.line(0, 0.3, 10.05, 0.3).line(10.45, 0.3, 20, 0.3).line(20, 0.3, 20, 9).line(20, 9, 0, 9).line(0, 9, 0, 0.3)
	sheet := build(t, s.strokes)
	if len(sheet.Outlines) != 2 {
		t.Fatalf("%d outlines", len(sheet.Outlines))
	}
	for _, g := range sheet.Gaps {
		if math.Abs(g.A.Y-g.B.Y) > 1e-9 || !g.Bridged {
			t.Errorf("gap from %v to %v", g.A, g.B)
		}
	}
}

// TestEndsThatLand closes partitions that stop short of an edge or run past it.
func TestEndsThatLand(t *testing.T) {
	for _, tt := range []struct {
		name string
		end  geom.Point
	}{
		{"short", geom.Pt(10, 19.7)}, {"past", geom.Pt(10, 20.3)}, {"at a slant", geom.Pt(13, 19.8)},
	} {
		var s sketch
		// The lower edge is parted where the partition stands.
		s.line(0, 0, 10, 0).line(10, 0, 20, 0).line(20, 0, 20, 20).line(20, 20, 0, 20).line(0, 20, 0, 0)
		s.add(geom.Line(geom.Pt(10, 0), tt.end))
		sheet := build(t, s.strokes)
		if len(sheet.Outlines) != 2 || len(sheet.Gaps) != 1 || !sheet.Gaps[0].Inside {
			t.Errorf("%s: %d outlines, gaps %+v", tt.name, len(sheet.Outlines), sheet.Gaps)
		}
	}
	// A mark that is free at both ends stays one.
	var s sketch
	s.rect(0, 0, 20, 20).line(10, 0.3, 10, 19.7)
	if sheet := build(t, s.strokes); len(sheet.Outlines) != 1 || len(sheet.Open) != 1 || !sheet.Open[0].Loose {
		t.Errorf("mark: %d outlines, %d open", len(sheet.Outlines), len(sheet.Open))
	}
}

// TestTails tells what hangs on a closed outline: short of the kerf a stray,
// else an open end.
func TestTails(t *testing.T) {
	for _, tt := range []struct {
		length       float64
		strays, gaps int
	}{{0.6, 1, 0}, {0.95, 1, 0}, {1.5, 0, 1}, {8, 0, 1}} {
		var s sketch
		s.rect(0, 0, 20, 20).line(20, 10, 20+tt.length, 10)
		sheet := build(t, s.strokes)
		if len(sheet.Strays) != tt.strays || len(sheet.Gaps) != tt.gaps || len(sheet.Outlines) != 1 {
			t.Errorf("%g mm: %d strays, %d gaps, %d outlines", tt.length, len(sheet.Strays), len(sheet.Gaps), len(sheet.Outlines))
		}
	}
	// An edge that runs past its corner by more than a gap: only that stretch.
	var s sketch
	s.line(0, 0, 20.8, 0).line(20, 0, 20, 20).line(20, 20, 0, 20).line(0, 20, 0, 0)
	sheet := build(t, s.strokes)
	if len(sheet.Strays) != 1 || !sheet.Strays[0].Part || math.Abs(sheet.Strays[0].Length-0.8) > 1e-9 {
		t.Errorf("overshoot: strays %+v, gaps %+v", sheet.Strays, sheet.Gaps)
	}
	// The bar of a letter is no tail: it hangs on nothing closed.
	s = sketch{}
	s.rect(0, 0, 20, 20).line(5, 5, 5, 9).line(5, 7, 5.8, 7)
	if sheet := build(t, s.strokes); len(sheet.Strays) != 0 {
		t.Errorf("letter: strays %+v", sheet.Strays)
	}
}

// TestNearestTold checks that a gap too wide to close names the ends near it.
func TestNearestTold(t *testing.T) {
	var s sketch
	s.line(0, 0, 20, 0).line(20, 0, 20, 20).line(20, 20, 0, 20)
	s.line(50, 0, 60, 0).line(60, 0, 60, 10).line(60, 10, 50, 10)
	for _, g := range build(t, s.strokes).Gaps {
		if len(g.Near) != 3 {
			t.Fatalf("gap at %v names %d ends", g.At, len(g.Near))
		}
		for i, n := range g.Near {
			if math.Abs(n.Dist-n.At.Dist(g.A)) > 1e-9 || i > 0 && n.Dist < g.Near[i-1].Dist {
				t.Errorf("gap at %v: %+v", g.At, g.Near)
			}
		}
	}
}

// TestPairsKeepToTheirLayer: of two ends about as near, the one on the same layer
// is the partner, be it a hair further away.
func TestPairsKeepToTheirLayer(t *testing.T) {
	for _, tt := range []struct {
		name      string
		near, far int32 // layers of the ends to choose from
		want      geom.Point
	}{
		{"all on one layer", 0, 0, geom.Pt(0.3, 0.28)},
		{"the nearer on another", 1, 0, geom.Pt(0.3, -0.281)},
		{"the further on another", 0, 1, geom.Pt(0.3, 0.28)},
		{"both on another", 1, 1, geom.Pt(0.3, 0.28)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := new(sketch)
			s.open(0, -30, -30, -30, -30, 0, 0, 0)
			s.open(0.3, -0.281, 30, -0.281, 30, -30, 1, -30).layer(tt.far)
			s.open(0.3, 0.28, 30, 0.28, 30, 30, -20, 30).layer(tt.near)
			found := false
			for _, g := range build(t, s.strokes).Gaps {
				from, to := g.A, g.B
				if to == (geom.Point{}) {
					from, to = to, from
				}
				if from == (geom.Point{}) && g.Partner {
					found = true
					if to != tt.want {
						t.Errorf("paired with %v, want %v", to, tt.want)
					}
				}
			}
			if !found {
				t.Error("the end has no partner")
			}
		})
	}
}
