package search

import (
	"context"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix/layout/region"
	"sluice/geom"
)

func rectangle(w, h float64) Shape {
	return Shape{Pieces: []region.Ring{{geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w, h), geom.Pt(0, h)}}, Area: w * h}
}

func triangle(w, h float64) Shape {
	return Shape{Pieces: []region.Ring{{geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(0, h)}}, Area: w * h / 2}
}

// mixed is a small problem of rectangles and triangles.
func mixed(n int) *Problem {
	p := &Problem{Shapes: []Shape{rectangle(40, 20), rectangle(15, 15), triangle(30, 50)}, Height: 100, Clear: 2}
	for i := range n {
		p.Items = append(p.Items, Item{Shape: i % 3, Turns: []float64{0, 90, 180, 270}})
	}
	return p
}

// apart checks, box by box for rectangles at right angles, that items keep
// clear; triangles are measured by their corners and sides.
func apart(t *testing.T, p *Problem, places []Place, placed []bool) {
	t.Helper()
	var paths []geom.Path
	for i, q := range places {
		if placed != nil && !placed[i] {
			paths = append(paths, nil)
			continue
		}
		c, s := CosSin(q.Turn)
		var path geom.Path
		for _, r := range p.Shapes[p.Items[i].Shape].Pieces {
			for k := range r {
				a, b := rotate(r[k], c, s).Add(q.At), rotate(r[(k+1)%len(r)], c, s).Add(q.At)
				path = append(path, geom.Line(a, b))
			}
		}
		b := path.Box()
		if b.Min.X < -1e-9 || b.Min.Y < -1e-9 || b.Max.Y > p.Height+1e-9 || p.Length > 0 && b.Max.X > p.Length+1e-9 {
			t.Errorf("item %d lies at %v, outside", i, b)
		}
		for j, other := range paths {
			for k := range path {
				if d, _ := other.Dist(path[k].A); len(other) > 0 && d < p.Clear {
					t.Errorf("items %d and %d are %g apart", i, j, d)
				}
			}
			for k := range other {
				if d, _ := path.Dist(other[k].A); d < p.Clear {
					t.Errorf("items %d and %d are %g apart", i, j, d)
				}
			}
			if len(other) > 0 && (other.Contains(path[0].A) || path.Contains(other[0].A)) {
				t.Errorf("items %d and %d overlap", i, j)
			}
		}
		paths = append(paths, path)
	}
}

// The same problem, seed and work give the same layout on one core and on two,
// and another seed another.
func TestSameSeedSameResult(t *testing.T) {
	o := Options{Seed: 3, Workers: 2, Work: 20e6}
	one := Strip(t.Context(), mixed(24), 0, o)
	apart(t, mixed(24), one.Places, nil)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if diff := cmp.Diff(one, Strip(t.Context(), mixed(24), 0, o)); diff != "" {
		t.Error(diff)
	}
	o.Seed = 4
	if two := Strip(t.Context(), mixed(24), 0, o); cmp.Equal(one.Places, two.Places) {
		t.Error("another seed gives the same places")
	}
}

// More work never gives a longer strip than the same search had found by then.
func TestProgressShortens(t *testing.T) {
	last := 0.0
	r := Strip(t.Context(), mixed(18), 0, Options{Seed: 1, Workers: 1, Work: 10e6, Progress: func(length, spent float64) {
		if last > 0 && length > last {
			t.Errorf("the best length rose from %g to %g", last, length)
		}
		if spent < 0 || spent > 1.1 {
			t.Errorf("%g of the budget is spent", spent)
		}
		last = length
	}})
	if r.Length != last || r.Length == 0 {
		t.Errorf("length %g, last told %g", r.Length, last)
	}
}

// A halt gives the best so far and says so.
func TestCut(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	found := 0
	r := Strip(ctx, mixed(24), 0, Options{Seed: 1, Workers: 2, Work: 1e15, Progress: func(float64, float64) {
		if found++; found == 5 {
			cancel()
		}
	}})
	if !r.Cut || r.Length == 0 {
		t.Fatalf("cut %v, length %g", r.Cut, r.Length)
	}
	apart(t, mixed(24), r.Places, nil)
}

// Six rectangles of 40 x 20 with no clearance fit a strip of 60 in a length of
// 80, and nothing shorter exists.
func TestPerfectFit(t *testing.T) {
	p := &Problem{Shapes: []Shape{rectangle(40, 20)}, Height: 60.001}
	for range 6 {
		p.Items = append(p.Items, Item{Shape: 0, Turns: []float64{0, 90}})
	}
	r := Strip(t.Context(), p, 0, Options{Seed: 1, Workers: 2, Work: 60e6})
	if r.Length < 80-1e-6 || r.Length > 80*1.01 {
		t.Errorf("length %g, want 80", r.Length)
	}
}

func TestStripTooShort(t *testing.T) {
	if r := Strip(t.Context(), mixed(24), 60, Options{Seed: 1, Workers: 1, Work: 5e6}); r.Length != 0 {
		t.Errorf("a layout of length %g was found in a room too small for the items", r.Length)
	}
}

// A room too small for all is filled with what goes in; fixed places are kept
// clear; an item that fits in no turn is left out.
func TestFill(t *testing.T) {
	p := mixed(40)
	p.Length = 180
	p.Shapes = append(p.Shapes, Shape{Pieces: []region.Ring{{geom.Pt(80, 30), geom.Pt(110, 30), geom.Pt(110, 60), geom.Pt(80, 60)}}, Area: 900}, rectangle(150, 120))
	p.Fixed = []Fixed{{Shape: 3, Clear: 5}}
	p.Items = append(p.Items, Item{Shape: 4, Turns: []float64{0}})
	f := Fill(t.Context(), p, Options{Seed: 1, Workers: 2, Work: 60e6})
	apart(t, p, f.Places, f.Placed)
	if f.Placed[len(p.Items)-1] {
		t.Error("an item higher than the room is placed")
	}
	if f.Area < 0.6*(180*100-900) {
		t.Errorf("only %.0f mm2 are filled", f.Area)
	}
	keep := geom.Box{Min: geom.Pt(80, 30), Max: geom.Pt(110, 60)}.Inflate(5 - 1e-9)
	for i, q := range f.Places {
		if !f.Placed[i] || p.Items[i].Shape == 2 {
			continue
		}
		c, s := CosSin(q.Turn)
		b := geom.NoBox()
		for _, v := range p.Shapes[p.Items[i].Shape].Pieces[0] {
			b = b.Add(rotate(v, c, s).Add(q.At))
		}
		if b.Dist(keep) == 0 && b.Dist(keep.Inflate(-5)) < 5-1e-6 {
			t.Errorf("item %d at %v comes too near the fixed place", i, b)
		}
	}
}

func BenchmarkStrip(b *testing.B) {
	for b.Loop() {
		Strip(b.Context(), mixed(24), 0, Options{Seed: 1, Workers: 1, Work: 10e6})
	}
}
