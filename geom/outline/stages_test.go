package outline

import (
	"context"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

// nodedOf takes strokes as far as noding.
func nodedOf(t *testing.T, s *sketch) *noding {
	t.Helper()
	o := testOptions
	o.Workers = 1
	o.Layer = func(s *drawing.Stroke) int32 { return s.Layer }
	n, err := choose(s.strokes, cutAll, o).place().node(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestNoding holds what stays of strokes that meet: the stretch of each seg and
// how many segs end at each node, most first.
func TestNoding(t *testing.T) {
	type part struct {
		Piece  pieceID
		T0, T1 float64
	}
	for _, tt := range []struct {
		name    string
		draw    func(s *sketch)
		segs    []part
		degrees []int
		crosses int
	}{
		{"a free end on the inside of a line", func(s *sketch) { s.line(0, 0, 10, 0).line(4, 5, 4, 0) },
			[]part{{0, 0, 0.4}, {0, 0.4, 1}, {1, 0, 1}}, []int{3, 1, 1, 1}, 0},
		{"a free end near a free end", func(s *sketch) { s.line(0, 0, 10, 0).line(9.6, 5, 9.6, 0) },
			[]part{{0, 0, 1}, {1, 0, 1}}, []int{1, 1, 1, 1}, 0},
		{"a corner on the inside of a line", func(s *sketch) { s.line(0, 0, 10, 0).line(2, 5, 4, 0).line(4, 0, 6, 5) },
			[]part{{0, 0, 1}, {1, 0, 1}, {2, 0, 1}}, []int{2, 1, 1, 1, 1}, 0},
		{"lines that cross", func(s *sketch) { s.line(0, 0, 10, 0).line(5, -5, 5, 5) },
			[]part{{0, 0, 1}, {1, 0, 1}}, []int{1, 1, 1, 1}, 1},
		{"one drawn twice", func(s *sketch) { s.line(0, 0, 10, 0).line(10, 0, 0, 0) },
			[]part{{0, 0, 1}}, []int{1, 1}, 0},
		{"one drawn over part of another", func(s *sketch) { s.line(0, 0, 8, 0).line(6, 0, 10, 0) },
			[]part{{0, 0, 1}, {1, 0.5, 1}}, []int{2, 1, 1}, 0},
		{"an end on a circle", func(s *sketch) { s.circle(0, 0, 5).line(0, 5, 0, 9) },
			[]part{{0, 0.25, 1.25}, {1, 0, 1}}, []int{3, 1}, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var s sketch
			tt.draw(&s)
			n := nodedOf(t, &s)
			var got []part
			deg := map[nodeID]int{}
			for k := range n.segs {
				x := n.segs[k]
				x.whole()
				got = append(got, part{x.piece, x.t0, x.t1})
				deg[x.n0]++
				deg[x.n1]++
			}
			slices.SortFunc(got, func(a, b part) int {
				return slices.Compare([]float64{float64(a.Piece), a.T0}, []float64{float64(b.Piece), b.T0})
			})
			near := cmp.Comparer(func(x, y float64) bool { return x-y < 1e-9 && y-x < 1e-9 })
			if d := cmp.Diff(tt.segs, got, near); d != "" {
				t.Errorf("segs (-want +got):\n%s", d)
			}
			var degrees []int
			for _, d := range deg {
				degrees = append(degrees, d)
			}
			slices.Sort(degrees)
			slices.Reverse(degrees)
			if d := cmp.Diff(tt.degrees, degrees); d != "" {
				t.Errorf("degrees (-want +got):\n%s", d)
			}
			if len(n.crosses) != tt.crosses {
				t.Errorf("%d crossings, want %d", len(n.crosses), tt.crosses)
			}
		})
	}
}

// TestAroundJunction puts half-edges at a junction in order: by direction, and by
// how they curve where they leave in one.
func TestAroundJunction(t *testing.T) {
	s := new(sketch).line(0, 0, 5, 0).line(0, 5, 0, 0).line(-5, 0, 0, 0).line(0, 0, 3, -3)
	s.add(geom.Arc(geom.Pt(0, 4), 4, -1.5707963267948966, 1)) // leaves to the right, curving left
	n := nodedOf(t, s)
	hs := n.halfsAt([]segID{0, 1, 2, 3, 4})[n.segs[0].n0]
	n.sortAround(hs)
	if d := cmp.Diff([]halfID{segID(2).back(), segID(3).ahead(), segID(0).ahead(), segID(4).ahead(), segID(1).back()}, hs); d != "" {
		t.Errorf("order (-want +got):\n%s", d)
	}
}

// TestFaces counts the faces of a net and the half-edges round each.
func TestFaces(t *testing.T) {
	// A square parted by a line from the middle of its lower to that of its upper side.
	s := new(sketch).line(0, 0, 10, 0).line(10, 0, 10, 10).line(10, 10, 0, 10).line(0, 10, 0, 0).line(5, 0, 5, 10)
	n := nodedOf(t, s)
	segs := make([]segID, len(n.segs))
	for k := range segs {
		segs[k] = segID(k)
	}
	f := n.planar(segs)
	var sizes []int
	for i, cycle := range f.faces {
		sizes = append(sizes, len(cycle))
		if want := map[bool]float64{true: -100, false: 50}[faceID(i) == f.outer]; f.areas[i] != want {
			t.Errorf("face %d: area %g, want %g", i, f.areas[i], want)
		}
	}
	slices.Sort(sizes)
	if d := cmp.Diff([]int{4, 4, 6}, sizes); d != "" || f.even {
		t.Errorf("even %v, sizes of faces (-want +got):\n%s", f.even, d)
	}
}

// TestDangles takes away what hangs free of a ring: a tail of two edges, and a
// tree of its own; an edge between two rings stays.
func TestDangles(t *testing.T) {
	edges := [][2]nodeID{{0, 1}, {1, 2}, {2, 0}, {2, 3}, {3, 4}, {5, 6}, {6, 7}, {0, 8}, {8, 9}, {9, 8}}
	gone, deg := dangles(10, edges)
	if d := cmp.Diff([]bool{false, false, false, true, true, true, true, false, false, false}, gone); d != "" {
		t.Errorf("gone (-want +got):\n%s", d)
	}
	if d := cmp.Diff([]int32{3, 2, 2, 0, 0, 0, 0, 0, 3, 2}, deg); d != "" {
		t.Errorf("degrees (-want +got):\n%s", d)
	}
}

// TestBridgeChoice lets the weights choose between an end straight on and others,
// nearer or as near: what is bridged goes from 10, 0 to the end named.
func TestBridgeChoice(t *testing.T) {
	for _, tt := range []struct {
		name string
		draw func(s *sketch)
		want geom.Point
	}{
		{"straight on before one beside it, though further", func(s *sketch) { s.line(10.3, 0, 20, 0).line(10, 0.25, 0, 0.25) }, geom.Pt(10.3, 0)},
		{"to a common corner before side by side", func(s *sketch) { s.line(10.2, 0.2, 10.2, 9).line(10, -0.28, 0, -0.28) }, geom.Pt(10.2, 0.2)},
		{"on the same layer", func(s *sketch) { s.line(10.3, 0.01, 20, 0.01).layer(2).line(10.3, -0.01, 20, -0.01) }, geom.Pt(10.3, -0.01)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var s sketch
			s.line(0, 0, 10, 0)
			tt.draw(&s)
			g := nodedOf(t, &s).pairGaps()
			var got []geom.Point
			for _, x := range g.bridges {
				switch geom.Pt(10, 0) {
				case x.A:
					got = append(got, x.B)
				case x.B:
					got = append(got, x.A)
				}
			}
			if d := cmp.Diff([]geom.Point{tt.want}, got); d != "" {
				t.Errorf("bridged from 10, 0 (-want +got):\n%s", d)
			}
		})
	}
}

// TestStageStays makes rings of one stage twice: it is not changed by that.
func TestStageStays(t *testing.T) {
	s := new(sketch).rect(0, 0, 40, 40).line(5, 5, 20, 5).line(20, 5, 20, 19.7).line(20, 20, 5, 20).line(5, 20, 5, 5.2).line(-10, 10, 50, 10)
	g := nodedOf(t, s).pairGaps()
	first, second := g.rings(), g.rings()
	if d := cmp.Diff(first.outlines, second.outlines); d != "" || len(first.outlines) == 0 {
		t.Errorf("outlines (-first +second):\n%s", d)
	}
	if d := cmp.Diff(first.open, second.open); d != "" {
		t.Errorf("open paths (-first +second):\n%s", d)
	}
}
