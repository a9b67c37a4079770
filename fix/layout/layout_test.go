package layout

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/geomtest"
)

func rect(x, y, w, h float64) geom.Path {
	a, b, c, d := geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)
	return geom.Path{geom.Line(a, b), geom.Line(b, c), geom.Line(c, d), geom.Line(d, a)}
}

func disc(x, y, r float64) geom.Path { return geom.Path{geom.Circle(geom.Pt(x, y), r)} }

// randomItems are n kinds of part with lines, arcs and holes, drawn far apart.
func randomItems(seed uint64, n, count int) []Item {
	rng := rand.New(rand.NewPCG(seed, 7))
	var items []Item
	for k := range n {
		outer, holes := geomtest.RandomPart(rng)
		to := geom.Shift(geom.Pt(1000*rng.Float64(), 1000*rng.Float64()))
		it := Item{Name: fmt.Sprint(k + 1), Outer: outer.Transform(to), Count: count}
		for _, h := range holes {
			it.Holes = append(it.Holes, h.Transform(to))
		}
		items = append(items, it)
	}
	return items
}

func frame(size, inner float64) Item {
	m := (size - inner) / 2
	return Item{Name: "frame", Outer: rect(0, 0, size, size), Holes: []geom.Path{rect(m, m, inner, inner).Reverse()}, Count: 1}
}

// brute measures a layout on fine chords, with code of its own: the places of
// all points against the sheet, and every two parts against each other.
func brute(t *testing.T, items []Item, sheets []Sheet, r *Result, gap float64) {
	t.Helper()
	chord := 0.02
	if len(items) > 50 {
		chord = 0.1
	}
	for _, l := range r.Sheets {
		s := &sheets[l.Sheet]
		var parts [][][]geom.Point
		for _, p := range l.Placed {
			it := &items[p.Item]
			c, sn := math.Cos(p.Turn*math.Pi/180), math.Sin(p.Turn*math.Pi/180)
			var rings [][]geom.Point
			for _, path := range append([]geom.Path{it.Outer}, it.Holes...) {
				pts := path.Flatten(chord)
				for i, q := range pts {
					pts[i] = geom.Pt(q.X*c-q.Y*sn+p.Shift.X, q.X*sn+q.Y*c+p.Shift.Y)
				}
				rings = append(rings, pts)
			}
			for _, q := range rings[0] {
				if q.X < s.Margin-1e-6 || q.Y < s.Margin-1e-6 || q.X > s.Width-s.Margin+1e-6 || q.Y > s.Height-s.Margin+1e-6 {
					t.Fatalf("part %d reaches %v", p.Item, q)
				}
				for _, z := range s.Clamps {
					if z.Inflate(-1e-6).Contains(q) {
						t.Fatalf("part %d reaches into a clamp at %v", p.Item, q)
					}
				}
				for _, h := range s.Holes {
					if d, _ := h.Dist(q); d < s.Margin-1e-6 || h.Contains(q) {
						t.Fatalf("part %d comes within %g mm of a hole of the stock", p.Item, d)
					}
				}
				if len(s.Outline) > 0 {
					if d, _ := s.Outline.Dist(q); d < s.Margin-1e-6 || !s.Outline.Contains(q) {
						t.Fatalf("part %d comes within %g mm of the edge of the stock", p.Item, d)
					}
				}
			}
			parts = append(parts, rings)
		}
		for i := range parts {
			for j := range i {
				if d := between(parts[i], parts[j]); d < gap-2*chord {
					t.Fatalf("parts %d and %d are %g mm apart", i, j, d)
				}
			}
		}
	}
}

// between is the distance of two parts in chords, 0 where they overlap.
func between(a, b [][]geom.Point) float64 {
	ba, bb := geom.BoxOf(a[0]...), geom.BoxOf(b[0]...)
	if ba.Dist(bb) > 10 {
		return 10
	}
	if odd(a, b[0][0]) || odd(b, a[0][0]) {
		return 0
	}
	least := math.Inf(1)
	for _, r := range a {
		for i := 0; i+1 < len(r); i++ {
			s := geom.Line(r[i], r[i+1])
			if s.Box().Dist(bb) >= least {
				continue
			}
			for _, q := range b {
				for j := 0; j+1 < len(q); j++ {
					u := geom.Line(q[j], q[j+1])
					if len(geom.Crossings(nil, &s, &u, 0)) > 0 {
						return 0
					}
					least = min(least, s.Dist(u.A), u.Dist(s.A))
				}
			}
		}
	}
	return least
}

func odd(rings [][]geom.Point, p geom.Point) bool {
	in := false
	for _, r := range rings {
		for i := 0; i+1 < len(r); i++ {
			u, v := r[i], r[i+1]
			if (u.Y > p.Y) != (v.Y > p.Y) && p.X < u.X+(v.X-u.X)*(p.Y-u.Y)/(v.Y-u.Y) {
				in = !in
			}
		}
	}
	return in
}

// Layouts of random parts on sheets of all kinds pass both checks.
func TestLayoutKinds(t *testing.T) {
	remnant := geom.Path{
		geom.Line(geom.Pt(0, 0), geom.Pt(700, 0)), geom.Bulge(geom.Pt(700, 0), geom.Pt(700, 500), 0.1),
		geom.Line(geom.Pt(700, 500), geom.Pt(300, 500)), geom.Line(geom.Pt(300, 500), geom.Pt(300, 300)),
		geom.Line(geom.Pt(300, 300), geom.Pt(0, 300)), geom.Line(geom.Pt(0, 300), geom.Pt(0, 0)),
	}
	for _, c := range []struct {
		name   string
		sheets []Sheet
		along  Along
	}{
		{"one", []Sheet{{Width: 900, Height: 500, Margin: 10}}, LongSide},
		{"upright", []Sheet{{Width: 500, Height: 900, Margin: 10}}, LongSide},
		{"across", []Sheet{{Width: 900, Height: 500, Margin: 10}}, Y},
		{"several", []Sheet{{Width: 300, Height: 320, Margin: 5, Count: 9}}, X},
		{"clamps and holes", []Sheet{{Width: 900, Height: 500, Margin: 10, Holes: []geom.Path{disc(400, 250, 60), rect(100, 50, 80, 40)},
			Clamps: []geom.Box{{Min: geom.Pt(0, 200), Max: geom.Pt(60, 280)}, {Min: geom.Pt(840, 200), Max: geom.Pt(900, 280)}}}}, LongSide},
		{"remnant, then new", []Sheet{{Width: 760, Height: 500, Margin: 8, Outline: remnant}, {Width: 900, Height: 500, Margin: 10, Count: 2}}, LongSide},
	} {
		t.Run(c.name, func(t *testing.T) {
			items := append(randomItems(5, 6, 3), frame(180, 150))
			r, err := Layout(t.Context(), items, c.sheets, Options{Gap: 3, Seconds: 0.5, Seed: 1, Along: c.along})
			if err != nil {
				t.Fatal(err)
			}
			brute(t, items, c.sheets, r, 3)
			if len(r.Left) > 0 {
				t.Errorf("left: %v", r.Left)
			}
			for _, l := range r.Sheets {
				s := c.sheets[l.Sheet]
				side, across := s.Width, s.Height
				if l.AlongY {
					side, across = across, side
				}
				if l.Used <= 0 || l.Used > side || l.Density <= 0 || l.Density > 1 || l.Share <= 0 || l.Share > 1 {
					t.Errorf("used %g, density %g, share %g", l.Used, l.Density, l.Share)
				}
				if !l.Cutoff.Empty() && math.Abs(l.Cutoff.W()*l.Cutoff.H()-(side-l.Used-3)*across) > 1e-6 {
					t.Errorf("cut-off %v after %g", l.Cutoff, l.Used)
				}
			}
		})
	}
}

// Parts go into the holes of others where that is the only room.
func TestLayoutUsesHoles(t *testing.T) {
	items := []Item{frame(280, 240), {Name: "disc", Outer: disc(0, 0, 50), Count: 4}}
	sheets := []Sheet{{Width: 300, Height: 300, Margin: 10}}
	r, err := Layout(t.Context(), items, sheets, Options{Gap: 3, Seconds: 1, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Left) > 0 {
		t.Errorf("left: %v", r.Left)
	}
	brute(t, items, sheets, r, 3)
}

func TestLayoutGrain(t *testing.T) {
	strip := func(grained bool, turns []float64) []Item {
		return []Item{{Name: "plank", Outer: rect(0, 0, 200, 20), Count: 5, Grain: 0, Grained: grained, Turns: turns}}
	}
	for _, c := range []struct {
		name  string
		items []Item
		grain float64
		left  string
		turns []float64 // the only ones that may come out
	}{
		{"along x", strip(true, nil), 0, "", []float64{0, 180}},
		{"along y", strip(true, nil), 90, "", []float64{90, 270}},
		{"askew", strip(true, nil), 30, "", []float64{30, 210}},
		{"one turn allowed", strip(true, []float64{0, 90, 270}), 90, "", []float64{90, 270}},
		{"none allowed along it", strip(true, []float64{0, 180}), 90, "none of its allowed turns", nil},
		{"no grain in the part", strip(false, []float64{0, 180}), 90, "", []float64{0, 180}},
	} {
		t.Run(c.name, func(t *testing.T) {
			sheets := []Sheet{{Width: 400, Height: 400, Margin: 10, Grain: c.grain, Grained: true}}
			r, err := Layout(t.Context(), c.items, sheets, Options{Gap: 3, Seconds: 0.2, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			brute(t, c.items, sheets, r, 3)
			if c.left != "" {
				if len(r.Left) != 1 || r.Left[0].Count != 5 || !strings.HasPrefix(r.Left[0].Why, c.left) {
					t.Errorf("left: %v", r.Left)
				}
				return
			}
			if len(r.Left) > 0 || len(r.Sheets) != 1 {
				t.Fatalf("%d sheets, left: %v", len(r.Sheets), r.Left)
			}
			for _, p := range r.Sheets[0].Placed {
				if !slices.Contains(c.turns, p.Turn) {
					t.Errorf("turn %g", p.Turn)
				}
			}
		})
	}
}

func TestLayoutLeft(t *testing.T) {
	items := []Item{{Outer: rect(0, 0, 500, 10), Count: 1}, {Outer: rect(0, 0, 90, 90), Count: 6}}
	sheets := []Sheet{{Width: 210, Height: 210, Margin: 10}}
	r, err := Layout(t.Context(), items, sheets, Options{Gap: 3, Seconds: 0.2, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	want := []Left{{0, 1, "larger than every sheet less its margin"}, {1, 2, "no room is left on the sheets"}}
	if diff := cmp.Diff(want, r.Left); diff != "" {
		t.Error(diff)
	}
}

// The same seed gives the same layout; a halt gives the best so far, which
// passes the check and says that it was cut short.
func TestLayoutRepeats(t *testing.T) {
	items := randomItems(9, 5, 3)
	sheets := []Sheet{{Width: 600, Height: 400, Margin: 10, Count: 2}}
	o := Options{Gap: 3, Seconds: 0.3, Seed: 11}
	a, err := Layout(t.Context(), items, sheets, o)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := Layout(t.Context(), items, sheets, o)
	if diff := cmp.Diff(a, b); diff != "" {
		t.Error(diff)
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	o.Seconds = 1e6
	o.Progress = func(Progress) { cancel() }
	c, err := Layout(ctx, items, sheets, o)
	if err != nil {
		t.Fatal(err)
	}
	if !c.Cut || len(c.Sheets) == 0 {
		t.Errorf("cut %v, %d sheets", c.Cut, len(c.Sheets))
	}
	brute(t, items, sheets, c, 3)
}

func TestLayoutBad(t *testing.T) {
	good, sheet := []Item{{Outer: rect(0, 0, 9, 9), Count: 1}}, []Sheet{{Width: 100, Height: 100, Margin: 5}}
	nan := rect(0, 0, 9, 9)
	nan[1].B.X = math.NaN()
	for _, c := range []struct {
		name   string
		items  []Item
		sheets []Sheet
		o      Options
	}{
		{"no parts", nil, sheet, Options{Gap: 3, Seconds: 1}},
		{"no sheets", good, nil, Options{Gap: 3, Seconds: 1}},
		{"no gap", good, sheet, Options{Seconds: 1}},
		{"no time", good, sheet, Options{Gap: 3}},
		{"all margin", good, []Sheet{{Width: 100, Height: 100, Margin: 50}}, Options{Gap: 3, Seconds: 1}},
		{"no outline", []Item{{Count: 1}}, sheet, Options{Gap: 3, Seconds: 1}},
		{"flat", []Item{{Outer: geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(9, 0)), geom.Line(geom.Pt(9, 0), geom.Pt(0, 0))}, Count: 1}}, sheet, Options{Gap: 3, Seconds: 1}},
		{"a turn that is not a number", []Item{{Outer: rect(0, 0, 9, 9), Count: 1, Turns: []float64{math.NaN()}}}, sheet, Options{Gap: 3, Seconds: 1}},
		{"not a number", []Item{{Outer: nan, Count: 1}}, sheet, Options{Gap: 3, Seconds: 1}},
	} {
		if _, err := Layout(t.Context(), c.items, c.sheets, c.o); err == nil {
			t.Errorf("%s: no error", c.name)
		}
	}
	if _, err := Layout(t.Context(), nil, nil, Options{}); !errors.Is(err, ErrNothing) {
		t.Errorf("got %v", err)
	}
}

func BenchmarkLayout(b *testing.B) {
	items := randomItems(5, 10, 3)
	for b.Loop() {
		if _, err := Layout(b.Context(), items, []Sheet{{Width: 1200, Height: 600, Margin: 10}}, Options{Gap: 3, Seconds: 0.2, Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}

// More parts than one search takes are offered by size, largest first, and
// nothing is lost.
func TestLayoutMany(t *testing.T) {
	items := []Item{{Name: "tile", Outer: rect(0, 0, 4, 4), Count: 2300, Turns: []float64{0}}, {Name: "plate", Outer: rect(0, 0, 100, 100), Count: 2, Turns: []float64{0}}}
	sheets := []Sheet{{Width: 220, Height: 130, Margin: 5, Count: 2}}
	r, err := Layout(t.Context(), items, sheets, Options{Gap: 1, Seconds: 0.01, Seed: 1, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	plates := 0
	for _, l := range r.Sheets {
		for _, p := range l.Placed {
			plates += p.Item
		}
	}
	if plates != 2 {
		t.Errorf("%d of 2 plates are placed", plates)
	}
}
