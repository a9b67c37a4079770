package near

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/outline"
)

func randomPiece(rng *rand.Rand, span float64) geom.Piece {
	pt := func() geom.Point { return geom.Pt((rng.Float64()-0.5)*span, (rng.Float64()-0.5)*span) }
	switch rng.IntN(4) {
	case 0:
		return geom.Circle(pt(), 0.1+rng.Float64()*span/2)
	case 1:
		return geom.Line(pt(), pt())
	}
	return geom.Bulge(pt(), pt(), (rng.Float64()-0.5)*6)
}

// The distance to a turned rectangle against dense sampling of the piece.
func TestRectDist(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		r := RectAt(geom.Pt(rng.Float64(), rng.Float64()), rng.Float64()*6, rng.Float64()*3, rng.Float64()*6)
		p := randomPiece(rng, 12)
		got, want := r.Dist(p), math.Inf(1)
		const n = 4000
		for k := range n + 1 {
			want = min(want, r.ToPoint(p.At(float64(k)/n)))
		}
		if step := p.Length() / n; got > want+1e-9 || got < want-step {
			t.Fatalf("%+v to %+v: %.9f, sampled %.9f", r, p, got, want)
		}
	}
}

func TestRectShapes(t *testing.T) {
	r := RectAt(geom.Pt(1, 2), 6, 2, 0.3)
	if d := Quad(r.Corners()); d.Mid.Dist(r.Mid) > 1e-12 || math.Abs(d.W-6) > 1e-12 || math.Abs(d.H-2) > 1e-12 {
		t.Errorf("%+v from the corners of %+v", d, r)
	}
	for _, c := range r.Corners() {
		if d := r.ToPoint(c); d > 1e-12 {
			t.Errorf("corner %v is %g off", c, d)
		}
	}
	q := geom.Pt(9, -4)
	if d := r.Nearest(q).Dist(q) - r.ToPoint(q); math.Abs(d) > 1e-12 {
		t.Errorf("nearest point differs from the distance by %g", d)
	}
	for _, tt := range []struct {
		a, b Rect
		want float64
	}{
		{RectAt(geom.Pt(0, 0), 4, 2, 0), RectAt(geom.Pt(5, 0), 4, 2, 0), 1},
		{RectAt(geom.Pt(0, 0), 4, 2, 0), RectAt(geom.Pt(3, 0), 4, 2, 0), 0},
		{RectAt(geom.Pt(0, 0), 40, 20, 0), RectAt(geom.Pt(3, 0), 4, 2, 1), 0}, // one in the other
		{RectAt(geom.Pt(0, 0), 40, 1, 0), RectAt(geom.Pt(0, 0), 1, 40, 0), 0}, // a cross
		{Span(geom.Pt(0, 0), geom.Pt(0, 5)), Span(geom.Pt(3, 1), geom.Pt(3, 9)), 3},
		{Span(geom.Pt(1, 1), geom.Pt(1, 1)), Span(geom.Pt(4, 5), geom.Pt(4, 5)), 5},
	} {
		if got := tt.a.ToRect(tt.b); math.Abs(got-tt.want) > 1e-9 || math.Abs(tt.b.ToRect(tt.a)-got) > 1e-9 {
			t.Errorf("%+v to %+v: %g, want %g", tt.a, tt.b, got, tt.want)
		}
	}
}

// Every item that reaches into a box is visited, and none twice.
func TestIndexIn(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{0, 1, 7, 300} {
		items := make([]Item, n)
		for i := range items {
			items[i].Piece = randomPiece(rng, 200).Transform(geom.Shift(geom.Pt(1000, -500)))
			if i%3 == 0 {
				items[i].Piece = geom.Line(items[i].A, items[i].A.Add(geom.Pt(rng.Float64(), rng.Float64())))
			}
		}
		x := New(items)
		for range 100 {
			c := geom.Pt(1000+(rng.Float64()-0.5)*250, -500+(rng.Float64()-0.5)*250)
			b := geom.BoxOf(c).Inflate(rng.Float64() * 20)
			count := make([]int, n)
			x.In(b, func(i int32) bool { count[i]++; return true })
			r := RectAt(b.Center(), b.W(), b.H(), 0)
			for i := range items {
				if count[i] > 1 || count[i] == 0 && r.Dist(items[i].Piece) == 0 {
					t.Fatalf("item %d of %d visited %d times in %v", i, n, count[i], b)
				}
			}
			seen := 0
			x.In(b, func(int32) bool { seen++; return false })
			if seen > 1 {
				t.Fatalf("visited %d after being told to stop", seen)
			}
		}
	}
}

func TestSheet(t *testing.T) {
	line := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(1, 0)), geom.Line(geom.Pt(1, 0), geom.Pt(1, 1))}
	s := &outline.Sheet{
		Outlines: []outline.Outline{{Path: outline.Path{Pieces: line}}},
		Open:     []outline.Open{{Path: outline.Path{Pieces: line[:1]}}},
		Etch:     []outline.Open{{Path: outline.Path{Pieces: line[1:]}}},
	}
	type short struct {
		Outline int32
		At      float64
		Etch    bool
	}
	var got []short
	x := Sheet(s)
	for _, it := range x.Items {
		got = append(got, short{it.Outline, it.At, it.Etch})
	}
	if d := cmp.Diff([]short{{0, 0, false}, {0, 1, false}, {-1, 0, false}, {-1, 0, true}}, got); d != "" {
		t.Error(d)
	}
	rect := RectAt(geom.Pt(3, 0.5), 1, 1, 0)
	if !x.Clear(rect, 1.5, nil) || x.Clear(rect, 1.6, nil) || !x.Clear(rect, 1.6, func(it *Item) bool { return it.Outline == 7 }) {
		t.Error("clear distance from the right edge is 1.5")
	}
}

func TestIndexBad(t *testing.T) {
	nan := math.NaN()
	x := New([]Item{{Piece: geom.Line(geom.Pt(0, nan), geom.Pt(1, 1))}, {Piece: geom.Line(geom.Pt(0, 0), geom.Pt(math.Inf(1), 1))}})
	var got []int32
	x.In(geom.BoxOf(geom.Pt(0, 0), geom.Pt(1, 1)), func(i int32) bool { got = append(got, i); return true })
	if slices.Contains(got, 2) {
		t.Error("unknown item")
	}
}

func BenchmarkSheet(b *testing.B) {
	rng := rand.New(rand.NewPCG(5, 6))
	items := make([]Item, 100_000)
	for i := range items {
		c := geom.Pt(rng.Float64()*3000, rng.Float64()*1500)
		items[i].Piece = geom.Line(c, c.Add(geom.Pt(rng.Float64()*10, rng.Float64()*10)))
	}
	for b.Loop() {
		New(items)
	}
}
