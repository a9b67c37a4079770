package index_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sluice/geom"
	"sluice/geom/index"
)

// points draws places on a coarse lattice, so that ties and places on the edges of
// cells come often, with a few far off.
func points(t *rapid.T, most int) []geom.Point {
	at := rapid.Custom(func(t *rapid.T) float64 {
		v := float64(rapid.IntRange(-40, 40).Draw(t, "v")) / 4
		if rapid.IntRange(0, 30).Draw(t, "far") == 0 {
			v *= 1e9
		}
		return v
	})
	p := rapid.Custom(func(t *rapid.T) geom.Point { return geom.Pt(at.Draw(t, "x"), at.Draw(t, "y")) })
	return rapid.SliceOfN(p, 0, most).Draw(t, "points")
}

func boxesOf(ps []geom.Point) []geom.Box {
	var out []geom.Box
	for i := 0; i+1 < len(ps); i += 2 {
		out = append(out, geom.BoxOf(ps[i], ps[i+1]))
	}
	return out
}

func piecesOf(t *rapid.T, ps []geom.Point) []geom.Piece {
	var out []geom.Piece
	for i := 0; i+1 < len(ps); i += 2 {
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			out = append(out, geom.Bulge(ps[i], ps[i+1], 0.7))
		case 1:
			out = append(out, geom.Circle(ps[i], 1+math.Mod(math.Abs(ps[i+1].X), 8)))
		default:
			out = append(out, geom.Line(ps[i], ps[i+1]))
		}
	}
	return out
}

func TestSets(t *testing.T) {
	for _, c := range []struct {
		name   string
		n      int
		unions [][2]int32
		want   [][]int32
	}{
		{"none", 0, nil, [][]int32{}},
		{"apart", 3, nil, [][]int32{{0}, {1}, {2}}},
		{"twice", 3, [][2]int32{{2, 1}, {1, 2}}, [][]int32{{0}, {1, 2}}},
		{"a chain from behind", 5, [][2]int32{{4, 3}, {3, 2}, {2, 0}}, [][]int32{{0, 2, 3, 4}, {1}}},
		{"two made one", 6, [][2]int32{{5, 1}, {4, 2}, {5, 4}}, [][]int32{{0}, {1, 2, 4, 5}, {3}}},
	} {
		s := index.NewSets[int32](c.n)
		for _, u := range c.unions {
			s.Union(u[0], u[1])
		}
		if d := cmp.Diff(c.want, s.Groups()); d != "" {
			t.Errorf("%s: %s", c.name, d)
		}
	}
	s := index.NewSets[int32](2)
	if k := s.Add(); k != 2 || !s.Union(2, 0) || s.Union(0, 2) || !s.Same(0, 2) || s.Same(1, 2) || s.Find(2) != 0 {
		t.Error("a number added later is no number like others")
	}
}

// Sets against colouring everything anew at each union.
func TestSetsAgainstColours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		s := index.NewSets[int32](n)
		colour := make([]int, n)
		for i := range colour {
			colour[i] = i
		}
		for range rapid.IntRange(0, 60).Draw(t, "unions") {
			i, j := rapid.IntRange(0, n-1).Draw(t, "i"), rapid.IntRange(0, n-1).Draw(t, "j")
			a, b := colour[i], colour[j]
			if s.Union(int32(i), int32(j)) != (a != b) {
				t.Fatalf("union of %d and %d told wrongly", i, j)
			}
			for k := range colour {
				if colour[k] == max(a, b) {
					colour[k] = min(a, b)
				}
			}
		}
		var groups [][]int32
		for c := range n {
			var g []int32
			for i := range colour {
				if colour[i] == c {
					g = append(g, int32(i))
				}
			}
			if g != nil {
				groups = append(groups, g)
			}
		}
		if d := cmp.Diff(groups, s.Groups()); d != "" {
			t.Fatal(d)
		}
		for i := range colour {
			if int(s.Find(int32(i))) != colour[i] {
				t.Fatalf("%d is in %d, want %d", i, s.Find(int32(i)), colour[i])
			}
		}
	})
}

func TestTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := index.NewTable(0)
		want := map[int64][]int32{}
		for i := range int32(rapid.IntRange(0, 400).Draw(t, "n")) {
			k := int64(rapid.IntRange(-60, 60).Draw(t, "key"))
			if rapid.Bool().Draw(t, "front") {
				table.Push(index.Mix(k, 7), i)
				want[k] = append([]int32{i}, want[k]...)
			} else {
				table.Append(index.Mix(k, 7), i)
				want[k] = append(want[k], i)
			}
		}
		for k := int64(-61); k <= 61; k++ {
			if d := cmp.Diff(want[k], slices.Collect(table.All(index.Mix(k, 7)))); d != "" {
				t.Fatalf("key %d: %s", k, d)
			}
			for i := range table.All(index.Mix(k, 7)) {
				if i != want[k][0] {
					t.Fatal("went on after a stop, or began elsewhere")
				}
				break
			}
		}
	})
}

// Points against joining whatever is near, one by one.
func TestPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const tol = 0.5
		ps := points(t, 80)
		s := index.NewPoints[int32](tol, 0)
		var at []geom.Point
		sets := index.NewSets[int32](0)
		of := make([]int32, len(ps))
		got := make([]int32, len(ps))
		for i, p := range ps {
			of[i] = -1
			for k, q := range at {
				if q.Dist2(p) <= tol*tol {
					if of[i] >= 0 {
						sets.Union(of[i], int32(k))
					}
					of[i] = int32(k)
				}
			}
			if of[i] < 0 {
				at, of[i] = append(at, p), sets.Add()
			}
			got[i] = s.Place(p)
			if d := s.At[got[i]].Dist(p); d > tol {
				t.Fatalf("%v is named after a place %g mm off", p, d)
			}
		}
		s.Settle()
		if !slices.Equal(at, s.At) {
			t.Fatalf("places are %v, want %v", s.At, at)
		}
		for i := range ps {
			if sets.Find(of[i]) != s.Find(got[i]) {
				t.Fatalf("%v is in %d, want %d", ps[i], s.Find(got[i]), sets.Find(of[i]))
			}
		}
	})
}

// PlaceNearest against looking at all places.
func TestPointsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const tol = 0.5
		s := index.NewPoints[int32](tol, 0)
		var at []geom.Point
		for _, p := range points(t, 80) {
			want, best := int32(len(at)), tol*tol
			for k, q := range at {
				if d := q.Dist2(p); d < best || d == best && want == int32(len(at)) {
					want, best = int32(k), d
				}
			}
			if int(want) == len(at) {
				at = append(at, p)
			}
			if got := s.PlaceNearest(p); got != want || s.Find(got) != got {
				t.Fatalf("%v is in %d, want %d of %v", p, got, want, at)
			}
		}
	})
}

// Shuffled places make the same sets where sets are clearly apart.
func TestPointsInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ps []geom.Point
		n := rapid.IntRange(1, 40).Draw(t, "n")
		for i := range n {
			for range rapid.IntRange(1, 4).Draw(t, "copies") {
				d := geom.Polar(geom.Point{}, 0.04, rapid.Float64Range(0, 6).Draw(t, "turn"))
				ps = append(ps, geom.Pt(float64(i%7)*0.3, float64(i/7)*0.3).Add(d))
			}
		}
		rand.New(rand.NewPCG(1, uint64(n))).Shuffle(len(ps), func(i, j int) { ps[i], ps[j] = ps[j], ps[i] })
		s := index.NewPoints[int32](0.1, 0)
		for _, p := range ps {
			s.Place(p)
		}
		if k := len(s.Groups()); k != n {
			t.Fatalf("%d places, want %d", k, n)
		}
	})
}

func TestMorton(t *testing.T) {
	for _, c := range []struct {
		x, y uint32
		want uint64
	}{{0, 0, 0}, {1, 0, 1}, {0, 1, 2}, {3, 1, 7}, {5, 2, 0b011001}, {1<<32 - 1, 1<<32 - 1, 1<<64 - 1}} {
		if got := index.Morton(c.x, c.y); got != c.want {
			t.Errorf("Morton(%d, %d) = %b, want %b", c.x, c.y, got, c.want)
		}
	}
	// The four quarters of a square come one after the other.
	var boxes []geom.Box
	for i := range 64 {
		boxes = append(boxes, geom.BoxOf(geom.Pt(float64(i%8), float64(i/8))))
	}
	for n, i := range index.ZOrder(boxes, geom.Pt(3.5, 3.5), 4) {
		if want := n / 16; int(i%8/4+2*(i/32)) != want {
			t.Fatalf("place %d holds %d, not of quarter %d", n, i, want)
		}
	}
}

// unique returns ids ascending, each once.
func unique(ids []int32) []int32 {
	slices.Sort(ids)
	return slices.Compact(ids)
}

// Cells visit whatever touches the box asked for.
func TestCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := points(t, 60)
		side := rapid.Float64Range(0.3, 5).Draw(t, "side")
		pts, boxes := index.NewCells[int32](side, 0), index.NewCells[int32](side, 0)
		var bs []geom.Box
		for i, p := range ps {
			pts.Add(p, int32(i))
			bs = append(bs, geom.BoxOf(p).Inflate(rapid.SampledFrom([]float64{0.7, 0.7, 0.7, 300}).Draw(t, "half")))
			boxes.AddBox(bs[i], int32(i))
		}
		for _, q := range points(t, 20) {
			reach := rapid.Float64Range(0, 30).Draw(t, "reach")
			ask := geom.BoxOf(q).Inflate(reach)
			met := map[int32]bool{}
			pts.Around(q, reach, func(i int32) bool { met[i] = true; return true })
			in := map[int32]bool{}
			boxes.In(ask, func(i int32) bool { in[i] = true; return true })
			for i := range ps {
				if ask.Contains(ps[i]) && !met[int32(i)] {
					t.Fatalf("point %v within %g of %v is not found", ps[i], reach, q)
				}
				if ask.Overlaps(bs[i]) && !in[int32(i)] {
					t.Fatalf("box %v within %g of %v is not found", bs[i], reach, q)
				}
			}
			if len(met) > 0 {
				n := 0
				if pts.Around(q, reach, func(int32) bool { n++; return false }) || n != 1 {
					t.Fatal("went on after a false return, or hid it")
				}
			}
		}
	})
}

// Along a piece come all pieces within the distance, and a piece is in a cell once.
func TestCellsAlong(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := piecesOf(t, points(t, 40))
		if geom.Path(ps).Box().Diagonal() > 1e4 {
			return // more cells than a test should walk
		}
		c := index.NewCells[int](rapid.Float64Range(0.5, 5).Draw(t, "side"), 0)
		for i := range ps {
			c.AddPiece(&ps[i], i)
		}
		for _, q := range points(t, 6) {
			l := geom.Bulge(q, geom.Pt(1, 2), 0.3)
			met := map[int]bool{}
			if l.Length() < 1e4 {
				c.Along(&l, 0.7, func(i int) bool { met[i] = true; return true })
				for i := range ps {
					if !met[i] && near(&ps[i], &l, 0.7) {
						t.Fatalf("%v near %v is not found", ps[i], l)
					}
				}
			}
			once := map[int]int{}
			c.In(geom.BoxOf(q), func(i int) bool { once[i]++; return true })
			if q.Norm() < 1e4 && geom.BoxOf(q).Overlaps(geom.Path(ps).Box()) {
				for i, n := range once {
					if n > 1 {
						t.Fatalf("%v is in one cell %d times", ps[i], n)
					}
				}
			}
		}
	})
}

// What lies in one cell comes in the order in which it was added.
func TestCellsKeepOrder(t *testing.T) {
	c := index.NewCells[int32](10, 0)
	want := []int32{7, 3, 9, 1}
	for _, i := range want {
		c.Add(geom.Pt(1, 1), i)
		c.Add(geom.Pt(11, 1), i+100)
	}
	var got []int32
	c.In(geom.BoxOf(geom.Pt(0, 0), geom.Pt(9, 9)), func(i int32) bool { got = append(got, i); return true })
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// A grid's searches visit each piece once, and all that come within the pad.
func TestGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := piecesOf(t, points(t, 60))
		side := rapid.SampledFrom([]float64{0, 1.5}).Draw(t, "side")
		if geom.Path(ps).Box().Diagonal() > 1e4 {
			side = 0
		}
		const pad = 0.1
		g := index.NewGrid(len(ps), func(i int) *geom.Piece { return &ps[i] }, pad, side)
		s := g.Search()
		for _, q := range points(t, 12) {
			ask := geom.BoxOf(q, q.Add(geom.Pt(3, 1)))
			l := geom.Line(ask.Min, ask.Max)
			var in, by []int32
			s.In(ask, func(i int32) bool { in = append(in, i); return true })
			s.Along(&l, 1, func(i int32) bool { by = append(by, i); return true })
			if n := len(in); len(unique(in)) != n {
				t.Fatal("a piece is visited twice")
			}
			if n := len(by); len(unique(by)) != n {
				t.Fatal("a piece is visited twice along a line")
			}
			for i := range ps {
				if near(&ps[i], &l, 1) && !slices.Contains(by, int32(i)) {
					t.Fatalf("%v near %v is not found along it", ps[i], l)
				}
				if near(&ps[i], &l, pad) && !slices.Contains(in, int32(i)) {
					t.Fatalf("%v near %v is not found in its box", ps[i], l)
				}
			}
			if len(in) > 0 {
				n := 0
				if s.In(ask, func(int32) bool { n++; return false }) || n != 1 {
					t.Fatal("went on after a false return, or hid it")
				}
			}
		}
		for r := range g.Rows {
			for c := range g.Cols {
				if g.Rows*g.Cols > 10_000 {
					return
				}
				if !slices.IsSorted(g.At(r, c)) {
					t.Fatal("a cell is not ascending")
				}
				if m := g.Cell(r, c).Center(); g.Row(m.Y) != r || g.Col(m.X) != c {
					t.Fatalf("the middle of cell %d, %d is in another", r, c)
				}
			}
		}
	})
}

// near reports whether some of many places on p come within d of q.
func near(p, q *geom.Piece, d float64) bool {
	for k := range 65 {
		if q.Dist(p.At(float64(k)/64)) <= d || p.Dist(q.At(float64(k)/64)) <= d {
			return true
		}
	}
	return false
}

// Coordinates that are no numbers, or too far off for whole numbers, break nothing.
func TestOddCoordinates(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	odd := []geom.Point{{X: nan}, {Y: nan}, {X: inf, Y: 1}, {X: -inf, Y: -inf}, {X: 1e300, Y: 1}, {X: 1, Y: -1e300}, {X: 1, Y: 1}}
	all := func(int32) bool { return true }
	s, c := index.NewPoints[int32](0.1, 0), index.NewCells[int32](1, 0)
	var boxes []geom.Box
	var ps []geom.Piece
	for i, p := range odd {
		s.Place(p)
		c.Add(p, int32(i))
		boxes = append(boxes, geom.Box{Min: p, Max: p})
		ps = append(ps, geom.Line(p, geom.Pt(2, 2)))
	}
	found := int32(-1)
	index.NewTree(boxes).In(geom.BoxOf(geom.Pt(0, 0), geom.Pt(5, 5)), func(i int32) bool { found = i; return true })
	if found != 6 {
		t.Errorf("box %d is found, want 6", found)
	}
	for _, p := range odd {
		c.Around(p, 1, all)
		index.NewTree(boxes).In(geom.Box{Min: p, Max: p}, all)
		index.NewTree(boxes).ByDistance(p, func(int32, float64) bool { return true })
	}
	if g := index.NewGrid(len(ps), func(i int) *geom.Piece { return &ps[i] }, 0.1, 0); g.Cols < 1 || g.Rows < 1 {
		t.Error("a grid without cells")
	}
	if g := index.NewGrid(0, nil, 0.1, 0); !g.Search().In(geom.Box{}, func(int32) bool { return false }) {
		t.Error("an empty grid has found something")
	}
}
