package paths

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// keeps tells whether an order keeps the stages and what must come before what.
func keeps(stops []Stop, order []int32) bool {
	pos := make([]int, len(stops))
	for i, k := range order {
		pos[k] = i
		if i > 0 && stops[order[i-1]].Stage > stops[k].Stage {
			return false
		}
	}
	for i := range stops {
		for k := range stops {
			if mustFollow(stops, k, i) && pos[i] > pos[k] {
				return false
			}
		}
	}
	return true
}

// mustFollow tells whether stop k must come after stop i, by definition.
func mustFollow(stops []Stop, k, i int) bool {
	b := stops[i].Before
	if b < 0 || stops[k].Group != b || stops[i].Group == b {
		return false
	}
	for m := range stops {
		if stops[m].Group == b && stops[m].Stage < stops[i].Stage {
			return false
		}
	}
	return true
}

// reference is a plain and thorough search on its own: from many random orders,
// every relocation of one to three stops and every reversal is tried, all
// against all, until none helps. The shortest is returned.
func reference(stops []Stop, starts int, rng *rand.Rand) float64 {
	n := len(stops)
	best := math.Inf(1)
	for range starts {
		order := make([]int32, n)
		for i := range order {
			order[i] = int32(i)
		}
		rng.Shuffle(n, func(i, j int) { order[i], order[j] = order[j], order[i] })
		// Depth in the chains of Before, so that random orders are allowed ones. All
		// stops of a group have the same.
		of := map[int32]int32{}
		for i := range stops {
			of[stops[i].Group] = stops[i].Before
		}
		depth := func(k int32) (d int) {
			for b := stops[k].Before; b >= 0; b = of[b] {
				d++
			}
			return -d
		}
		slices.SortStableFunc(order, func(a, b int32) int {
			if c := stops[a].Stage - stops[b].Stage; c != 0 {
				return c
			}
			return depth(a) - depth(b)
		})
		r := searched{stops: stops, order: order}
		r.measure()
		for r.sweep() {
		}
		best = min(best, TravelOf(stops, order))
	}
	return best
}

// searched is an order with its ways summed up forwards and backwards.
type searched struct {
	stops     []Stop
	order     []int32
	fore, aft []float64 // up to each position, run as they stand and the other way
}

func (r *searched) way(i, j int) float64 {
	if i < 0 || j < 0 || i >= len(r.order) || j >= len(r.order) {
		return 0
	}
	return r.stops[r.order[i]].End.Dist(r.stops[r.order[j]].Start)
}

func (r *searched) measure() {
	r.fore, r.aft = make([]float64, len(r.order)), make([]float64, len(r.order))
	for i := 1; i < len(r.order); i++ {
		r.fore[i] = r.fore[i-1] + r.way(i-1, i)
		r.aft[i] = r.aft[i-1] + r.way(i, i-1)
	}
}

// sweep tries every reversal of [i, j) and every exchange of its first or last m
// stops with the rest of it, and reports whether any helped.
func (r *searched) sweep() bool {
	better := false
	n := len(r.order)
	for i := range n {
		for j := i + 2; j <= n; j++ {
			now := r.way(i-1, i) + r.way(j-1, j)
			if r.way(i-1, j-1)+r.way(i, j)+r.aft[j-1]-r.aft[i] < now+r.fore[j-1]-r.fore[i]-1e-9 {
				try := slices.Clone(r.order[i:j])
				slices.Reverse(try)
				better = r.put(i, j, try) || better
			}
			for m := 1; m <= 3 && i+m < j; m++ {
				for _, k := range [2]int{i + m, j - m} {
					if r.way(i-1, k)+r.way(j-1, i)+r.way(k-1, j) < r.way(i-1, i)+r.way(j-1, j)+r.way(k-1, k)-1e-9 {
						better = r.put(i, j, append(slices.Clone(r.order[k:j]), r.order[i:k]...)) || better
					}
				}
			}
		}
	}
	return better
}

func (r *searched) put(i, j int, with []int32) bool {
	if !allowed(r.stops, with) {
		return false
	}
	copy(r.order[i:j], with)
	r.measure()
	return true
}

func allowed(stops []Stop, with []int32) bool {
	for k := 1; k < len(with); k++ {
		if stops[with[k-1]].Stage > stops[with[k]].Stage {
			return false
		}
	}
	seen := map[int32]bool{} // groups
	for _, x := range with {
		if b := stops[x].Before; b >= 0 && seen[b] {
			return false
		}
		if g := stops[x].Group; g >= 0 {
			seen[g] = true
		}
	}
	return true
}

func stopsOf(s *outline.Sheet, p Params) []Stop {
	f := NewFinder(s, p)
	pl := &Plan{}
	for i := range s.Outlines {
		cuts, _ := f.Cuts(i)
		pl.Cuts = append(pl.Cuts, cuts...)
	}
	return pl.stops(s, p)
}

// The way is at most a tenth longer than that of the reference on the same
// stops under the same rules.
func TestTravelAgainstReference(t *testing.T) {
	if testing.Short() {
		t.Skip("the reference takes seconds")
	}
	p := Params{Kerf: 1, Lead: 3, Margin: 0.5}
	for _, tt := range []struct {
		path   string
		starts int
	}{
		{demo, 8},
		{filepath.Join(samples(), "slot-chute-eight-parts.dxf"), 30},
		{filepath.Join(samples(), "plate-203-holes.dxf"), 8},
		{filepath.Join(samples(), "kit-cut-holes-engrave-layers.dxf"), 30},
	} {
		t.Run(filepath.Base(tt.path), func(t *testing.T) {
			stops := stopsOf(drawn(t, tt.path), p)
			got := TravelOf(stops, Order(stops))
			want := reference(stops, tt.starts, rand.New(rand.NewPCG(8, 5)))
			t.Logf("%d stops: %.0f mm, reference %.0f mm, ratio %.3f", len(stops), got, want, got/want)
			if got > 1.10*want {
				t.Errorf("travel %.0f mm is over 1.10 times the reference's %.0f mm", got, want)
			}
		})
	}
}

func randomStops(rng *rand.Rand, n int) []Stop {
	stops := make([]Stop, n)
	for i := range stops {
		at := geom.Pt(rng.Float64()*1000, rng.Float64()*600)
		stops[i] = Stop{Start: at, End: at.Add(geom.Pt(rng.Float64()*8, rng.Float64()*8)), Stage: rng.IntN(3), Group: int32(i / 3), Before: -1}
		if j := int32(rng.IntN(n) / 3); j < stops[i].Group && rng.IntN(3) > 0 { // only earlier groups, so that none run in a circle
			stops[i].Before = j
		}
	}
	return stops
}

func TestOrderKeepsItsRules(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 6))
	for _, n := range []int{0, 1, 2, 3, 8, 50, 300} {
		stops := randomStops(rng, n)
		order := Order(stops)
		sorted := slices.Clone(order)
		slices.Sort(sorted)
		for i, k := range sorted {
			if int(k) != i {
				t.Fatalf("%d stops: %v is no order", n, order)
			}
		}
		if !keeps(stops, order) {
			t.Errorf("%d stops: a rule is broken", n)
		}
		if d := cmp.Diff(order, Order(stops)); d != "" {
			t.Errorf("%d stops: not the same again\n%s", n, d)
		}
	}
	bad := randomStops(rng, 20)
	bad[3].Start.X, bad[7].End.Y = math.NaN(), math.Inf(1)
	if got := Order(bad); len(got) != 20 || !keeps(bad, got) {
		t.Errorf("places that are none give %v", got)
	}
	// Stops that must come before each other give some order all the same.
	round := []Stop{{Group: 0, Before: 1}, {Group: 1, Before: 0}}
	if got := Order(round); len(got) != 2 {
		t.Errorf("a circle gives %v", got)
	}
}

func TestPlanOrder(t *testing.T) {
	for name, s := range testSheets(t) {
		s.Etch = append(s.Etch, outline.Open{Path: outline.Path{Pieces: geom.Path{geom.Line(geom.Pt(5, 5), geom.Pt(9, 5))}}, Part: -1})
		pl := New(s, Params{Kerf: 1, Margin: 0.5, Small: 60})
		first, last := map[int32]int{}, map[int32]int{}
		kind := Etch
		for i := range pl.Cuts {
			c := &pl.Cuts[i]
			if c.Kind == Etch && kind != Etch {
				t.Errorf("%s: a mark comes after a cut", name)
			}
			kind = c.Kind
			if _, ok := first[c.Outline]; !ok {
				first[c.Outline] = i
			}
			last[c.Outline] = i
		}
		for k := range s.Outlines {
			a, ok := last[int32(k)]
			if p := s.Outlines[k].Parent; p >= 0 && ok {
				if b, ok := first[p]; ok && b < a {
					t.Errorf("%s: outline %d is cut after %d around it", name, k, p)
				}
			}
		}
		s.Etch = nil
	}
}

// No move passes over a piece that is loose by then, unless it says so; pieces
// around its ends are left or entered.
func TestMovesGoAroundLoosePieces(t *testing.T) {
	around := 0
	for name, s := range testSheets(t) {
		pl := New(s, Params{Kerf: 1, Margin: 0.5})
		whole := map[int32]int{}
		var travel float64
		for i := range pl.Cuts {
			c := &pl.Cuts[i]
			m := &pl.Moves[i]
			travel += m.Length()
			if i > 0 {
				if m.Way[0] != pl.Cuts[i-1].End() || m.Way[len(m.Way)-1] != c.Start() {
					t.Fatalf("%s: move %d does not join its cuts", name, i)
				}
				if len(m.Way) > 2 {
					around++
				}
				for o, since := range whole {
					h := geom.Hull(s.Outlines[o].Pieces.Flatten(0.1))
					hp := sheetPoly(h)
					if since >= i || m.Over > 0 || nearHull(hp, m.Way[0]) || nearHull(hp, m.Way[len(m.Way)-1]) {
						continue
					}
					for k := 1; k < len(m.Way); k++ {
						for f := range 101 {
							if q := m.Way[k-1].Lerp(m.Way[k], float64(f)/100); s.Outlines[o].Pieces.Contains(q) {
								t.Fatalf("%s: move %d passes over outline %d at %v", name, i, o, q)
							}
						}
					}
				}
			}
			if c.Closed {
				whole[c.Outline] = i
			}
		}
		if math.Abs(travel-pl.Travel) > 1e-6 {
			t.Errorf("%s: moves of %g mm, travel told as %g", name, travel, pl.Travel)
		}
	}
	if around == 0 {
		t.Error("nothing had to be gone around")
	}
}

func sheetPoly(pts []geom.Point) geom.Path {
	var p geom.Path
	for i := range pts {
		p = append(p, geom.Line(pts[i], pts[(i+1)%len(pts)]))
	}
	return p
}

// nearHull tells whether a way's end lies in the hull or in the strip around it.
func nearHull(h geom.Path, q geom.Point) bool {
	d, _ := h.Dist(q)
	return d < 1.2 || h.Contains(q)
}

func BenchmarkOrder(b *testing.B) {
	for _, n := range []int{100, 1000, 10000, 100000} {
		stops := randomStops(rand.New(rand.NewPCG(8, 7)), n)
		b.Run(string(rune('0'+int(math.Log10(float64(n))))), func(b *testing.B) {
			for b.Loop() {
				Order(stops)
			}
		})
	}
}

// A chamber of a part's outside behind a mouth too narrow for the stream is cut
// while the part still hangs on the sheet.
func TestChamberFirst(t *testing.T) {
	for name, turn := range map[string]geom.Transform{
		"upright": geom.Identity(), "turned": geom.Turn(geom.Pt(50, 50), 1), "mirrored": {XX: -1, YY: 1},
	} {
		corners := []geom.Point{{X: 0, Y: 0}, {X: 200, Y: 0}, {X: 200, Y: 150}, {X: 110.25, Y: 150}, {X: 110.25, Y: 130}, {X: 120, Y: 130},
			{X: 120, Y: 110}, {X: 100, Y: 110}, {X: 100, Y: 130}, {X: 109.75, Y: 130}, {X: 109.75, Y: 150}, {X: 0, Y: 150}}
		var strokes []drawing.Stroke
		for i := range corners {
			strokes = append(strokes, drawing.Stroke{Piece: geom.Line(turn.Apply(corners[i]), turn.Apply(corners[(i+1)%len(corners)]))})
		}
		s, err := outline.Build(t.Context(), strokes, func(*drawing.Stroke) outline.Role { return outline.Cut }, outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 0.9})
		if err != nil {
			t.Fatal(err)
		}
		pl := New(s, Params{Kerf: 0.9})
		if len(pl.Cuts) != 2 || !pl.Cuts[0].Chamber || pl.Cuts[1].Chamber {
			t.Errorf("%s: %d cuts, chambers %v", name, len(pl.Cuts), func() (c []bool) {
				for i := range pl.Cuts {
					c = append(c, pl.Cuts[i].Chamber)
				}
				return
			}())
		}
	}
}
