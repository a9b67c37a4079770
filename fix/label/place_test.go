package label

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/outline"
)

var usual = Request{Height: 6, MinHeight: 3, Clear: 1}

// Place is NewPlacer(sheet, r.Clear).Place for a single part; taken holds the
// corners of rectangles to keep clear of.
func Place(sheet *outline.Sheet, part int, r Request, taken ...[4]geom.Point) (Label, bool) {
	pl := NewPlacer(sheet, r.Clear)
	for _, q := range taken {
		pl.Take(q)
	}
	return pl.Place(part, r)
}

func request(text string) Request {
	r := usual
	r.Text = text
	return r
}

// checkClear measures, by sampling strokes and cuts and comparing points, that
// every stroke of a label is at least clear from every cut and on material (or
// in waste, beside). It shares no code with the search.
func checkClear(t *testing.T, name string, s *outline.Sheet, part int, l Label, clear float64) {
	t.Helper()
	sample := func(p geom.Path, step float64) []geom.Point {
		var pts []geom.Point
		for i := range p {
			n := int(p[i].Length()/step) + 1
			for k := range n + 1 {
				pts = append(pts, p[i].At(float64(k)/float64(n)))
			}
		}
		return pts
	}
	strokes := append([]geom.Path{}, l.Paths...)
	for i := range l.Box {
		strokes = append(strokes, geom.Path{geom.Line(l.Box[i], l.Box[(i+1)%4])})
	}
	var ink []geom.Point
	for _, p := range strokes {
		ink = append(ink, sample(p, 0.25)...)
	}
	near := geom.BoxOf(ink...).Inflate(clear + 0.1)
	for i := range s.Outlines {
		if !s.Outlines[i].Box.Overlaps(near) {
			continue
		}
		for _, c := range sample(s.Outlines[i].Pieces, 0.02) {
			if !near.Contains(c) {
				continue
			}
			for _, q := range ink {
				if d := c.Dist(q); d < clear-1e-6 {
					t.Errorf("%s: label %q at %v is %.4f from a cut at %v", name, l.Text, l.At, d, c)
					return
				}
			}
		}
	}
	for _, q := range ink {
		depth := 0
		for i := range s.Outlines {
			if s.Outlines[i].Pieces.Contains(q) {
				depth++
			}
		}
		own := s.Outlines[s.Parts[part].Outer].Pieces.Contains(q)
		switch {
		case l.Where == Inside && (!own || depth%2 != 1):
			t.Fatalf("%s: label %q not in the material at %v", name, l.Text, q)
		case l.Where == Beside && (own || depth%2 != 0):
			t.Fatalf("%s: label %q not in the waste at %v", name, l.Text, q)
		}
	}
	box := geom.BoxOf(l.Box[:]...)
	for i, p := range l.Paths {
		if l.Where == Beside && i == len(l.Paths)-1 {
			continue
		}
		if !box.Inflate(1e-6).ContainsBox(p.Box()) {
			t.Errorf("%s: stroke %v outside the box %v", name, p.Box(), box)
		}
	}
	if m := l.Box[0].Mid(l.Box[2]); m.Dist(l.At) > 1e-9 {
		t.Errorf("%s: At %v is not the middle %v", name, l.At, m)
	}
}

func TestPlaceWhere(t *testing.T) {
	slanted := sheettest.Rect(0, 0, 60, 9).Transform(geom.Turn(geom.Point{}, 30*math.Pi/180))
	for _, tt := range []struct {
		name  string
		paths []geom.Path
		text  string
		want  string
	}{
		{"plate", []geom.Path{sheettest.Rect(0, 0, 60, 40)}, "3", "inside 6.0 at 0"},
		{"disc", []geom.Path{sheettest.Disc(0, 0, 12)}, "12", "inside 6.0 at 0"},
		{"upright bar", []geom.Path{sheettest.Rect(0, 0, 9, 60)}, "128", "inside 6.0 at 90"},
		{"slanted bar", []geom.Path{slanted}, "12", "inside 6.0 at 30"},
		{"low bar", []geom.Path{sheettest.Rect(0, 0, 60, 6)}, "128", "inside 3.6 at 0"},
		{"lower bar", []geom.Path{sheettest.Rect(0, 0, 60, 5.02)}, "128", "inside 3.0 at 0"},
		{"turned rather than lower", []geom.Path{sheettest.Rect(0, 0, 60, 6)}, "3", "inside 6.0 at 90"},
		{"too low", []geom.Path{sheettest.Rect(0, 0, 60, 4.98)}, "3", "beside 6.0 at 0"},
		{"small", []geom.Path{sheettest.Rect(0, 0, 5, 5)}, "12", "beside 6.0 at 0"},
		{"washer", []geom.Path{sheettest.Disc(0, 0, 12), sheettest.Disc(0, 0, 9)}, "3", "beside 6.0 at 0"},
		{"ring", []geom.Path{sheettest.Disc(0, 0, 40), sheettest.Disc(0, 0, 20)}, "3", "inside 6.0 at 0"},
		{"nested", []geom.Path{sheettest.Disc(0, 0, 40), sheettest.Disc(0, 0, 25), sheettest.Disc(0, 0, 12)}, "3", "inside 6.0 at 0"},
	} {
		for part := range sheettest.Of(tt.paths...).Parts {
			s := sheettest.Of(tt.paths...)
			l, ok := Place(s, part, request(tt.text))
			if !ok {
				t.Errorf("%s: no place", tt.name)
				continue
			}
			if got := fmt.Sprintf("%s %.1f at %.0f", l.Where, l.Height, l.Angle); got != tt.want {
				t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
			}
			checkClear(t, tt.name, s, part, l, 1)
		}
	}
}

// On a plain plate the number sits on the centre of mass.
func TestPlaceCentred(t *testing.T) {
	l, _ := Place(sheettest.Of(sheettest.Rect(10, 20, 60, 40)), 0, request("6"))
	if l.At.Dist(geom.Pt(40, 40)) > 1e-9 {
		t.Errorf("at %v", l.At)
	}
	if n := len(l.Paths); n != 2 {
		t.Errorf("%d strokes, want the digit and its bar", n)
	}
}

// Random plates with random holes, turned: every label is clear by an
// independent measure, and does not depend on where outlines start.
func TestPlaceRandom(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for n := range 40 {
		turn := geom.Turn(geom.Pt(3, 4), rng.Float64()*3)
		w, h := 8+rng.Float64()*50, 8+rng.Float64()*30
		paths := []geom.Path{sheettest.Rect(0, 0, w, h).Transform(turn)}
		if n%3 == 0 {
			paths[0] = geom.Path{
				geom.Bulge(turn.Apply(geom.Pt(0, 0)), turn.Apply(geom.Pt(w, 0)), 0.5),
				geom.Bulge(turn.Apply(geom.Pt(w, 0)), turn.Apply(geom.Pt(0, 0)), 0.8),
			}
		}
		for range n % 4 {
			c := geom.Pt(w*(0.2+0.6*rng.Float64()), h*(0.2+0.6*rng.Float64()))
			d := sheettest.Disc(c.X, c.Y, 1+rng.Float64()*2).Transform(turn)
			if gap, _ := paths[0].Dist(d[0].C); paths[0].Contains(d[0].C) && gap > d[0].R+0.1 && len(paths) < 3 {
				paths = append(paths, d)
			}
		}
		s := sheettest.Of(paths...)
		name := fmt.Sprintf("plate %d", n)
		r := request(fmt.Sprint(n))
		l, ok := Place(s, 0, r)
		if !ok {
			t.Errorf("%s: no place", name)
			continue
		}
		checkClear(t, name, s, 0, l, 1)
		paths[0] = sheettest.Turned(paths[0], 1).Reverse()
		again, _ := Place(sheettest.Of(paths...), 0, r)
		if l.At.Dist(again.At) > 1e-6 || l.Angle != again.Angle || l.Height != again.Height {
			t.Errorf("%s: %v %v from another start, %v %v before", name, again.At, again.Angle, l.At, l.Angle)
		}
	}
}

// Numbers beside small parts of a crowded sheet keep clear of each other.
func TestPlaceCrowd(t *testing.T) {
	var paths []geom.Path
	for i := range 48 {
		paths = append(paths, sheettest.Rect(float64(i%8)*15, float64(i/8)*14, 5, 4))
	}
	s := sheettest.Of(paths...)
	pl := NewPlacer(s, 1)
	var labels []Label
	for i := range s.Parts {
		l, ok := pl.Place(i, request(fmt.Sprint(i+1)))
		if !ok {
			continue
		}
		checkClear(t, "crowd", s, i, l, 1)
		labels = append(labels, l)
		pl.TakeLabel(l)
		end := l.Pointer[0].B
		if d, _ := s.Outlines[i].Pieces.Dist(end); d > 1.2 || d < 1 {
			t.Errorf("part %d: pointer ends %g from its part", i, d)
		}
	}
	if len(labels) < 40 {
		t.Errorf("only %d of 48 placed", len(labels))
	}
	for i := range labels {
		for j := range i {
			for _, p := range labels[i].Box {
				for k := range labels[j].Box {
					if d := geom.Line(labels[j].Box[k], labels[j].Box[(k+1)%4]).Dist(p); d < 1-1e-9 {
						t.Errorf("labels %d and %d are %g apart", i, j, d)
					}
				}
			}
		}
	}
	var again []Label
	pl = NewPlacer(s, 1)
	for i := range s.Parts {
		if l, ok := pl.Place(i, request(fmt.Sprint(i+1))); ok {
			again = append(again, l)
			pl.TakeLabel(l)
		}
	}
	if d := cmp.Diff(labels, again); d != "" {
		t.Errorf("second run differs: %s", d)
	}
}

func TestPlaceAvoidsMarksAndTaken(t *testing.T) {
	s := sheettest.Of(sheettest.Rect(0, 0, 60, 40))
	mark := outline.Open{Path: outline.Path{Pieces: geom.Path{geom.Line(geom.Pt(25, 20), geom.Pt(35, 20))}}}
	s.Etch = append(s.Etch, mark)
	l, ok := Place(s, 0, request("12"), [4]geom.Point{{X: 20, Y: 22}, {X: 40, Y: 22}, {X: 40, Y: 32}, {X: 20, Y: 32}})
	if !ok || l.Where != Inside {
		t.Fatalf("placed %v, %v", l, ok)
	}
	checkClear(t, "marked", s, 0, l, 1)
	box := geom.BoxOf(l.Box[:]...)
	for _, b := range []geom.Box{mark.Pieces.Box(), {Min: geom.Pt(20, 22), Max: geom.Pt(40, 32)}} {
		if d := box.Dist(b); d < 1 {
			t.Errorf("label %v is %g from %v", box, d, b)
		}
	}
}

func TestPlaceWithin(t *testing.T) {
	r := request("12")
	r.Within = geom.Box{Min: geom.Pt(-40, -40), Max: geom.Pt(8, 40)}
	l, ok := Place(sheettest.Of(sheettest.Rect(0, 0, 5, 5)), 0, r)
	if !ok || l.Where != Beside || !r.Within.ContainsBox(geom.BoxOf(l.Box[:]...)) {
		t.Errorf("label %+v, %v", l, ok)
	}
	r.Within = geom.Box{Min: geom.Pt(-1, -1), Max: geom.Pt(7, 7)}
	if l, ok := Place(sheettest.Of(sheettest.Rect(0, 0, 5, 5)), 0, r); ok {
		t.Errorf("label %+v where there is no room", l)
	}
}

func TestPlaceBad(t *testing.T) {
	s := sheettest.Of(sheettest.Rect(0, 0, 60, 40))
	for _, r := range []Request{{}, {Text: "1"}, {Text: "1", Height: math.NaN()}, {Text: "1", Height: math.Inf(1)}, {Text: "1", Height: 6, Clear: -1}} {
		if l, ok := Place(s, 0, r); ok {
			t.Errorf("%+v: %+v", r, l)
		}
	}
	if l, ok := Place(s, 0, Request{Text: "1", Height: 6}); !ok || l.Height != 6 {
		t.Errorf("no clear distance: %+v, %v", l, ok)
	}
}

func BenchmarkPlace(b *testing.B) {
	for _, n := range []int{300, 2500} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			s := kit(n)
			for b.Loop() {
				pl := NewPlacer(s, 1)
				for i := range s.Parts {
					if l, ok := pl.Place(i, request(fmt.Sprint(i+1))); ok {
						pl.TakeLabel(l)
					}
				}
			}
		})
	}
}

// kit returns a sheet of n parts of many kinds, 40 mm apart.
func kit(n int) *outline.Sheet {
	var gear []float64
	for i := range 24 {
		for _, v := range [4][2]float64{{0, 15}, {0.45, 15}, {0.55, 12}, {0.9, 12}} {
			q := geom.Polar(geom.Point{}, v[1], 2*math.Pi*(float64(i)+v[0])/24)
			gear = append(gear, q.X, q.Y)
		}
	}
	kinds := [][]geom.Path{
		{sheettest.Rect(-15, -10, 30, 20), sheettest.Disc(-9, 0, 3), sheettest.Disc(9, 0, 3)},
		{sheettest.Poly(gear...), sheettest.Disc(0, 0, 3)},
		{sheettest.Rect(-3, -3, 6, 6)},
		{sheettest.Rect(-15, -3, 30, 6).Transform(geom.Turn(geom.Point{}, 0.5))},
		{sheettest.Disc(0, 0, 10), sheettest.Disc(0, 0, 6)},
	}
	s := &outline.Sheet{}
	for i := range n {
		// One at a time: nesting them all would compare all with all.
		d := geom.Shift(geom.Pt(float64(i%50)*40, float64(i/50)*40))
		var paths []geom.Path
		for _, p := range kinds[i%len(kinds)] {
			paths = append(paths, p.Transform(d))
		}
		one := sheettest.Of(paths...)
		base := int32(len(s.Outlines))
		for _, o := range one.Outlines {
			o.Part = int32(len(s.Parts))
			if o.Parent >= 0 {
				o.Parent += base
			}
			s.Outlines = append(s.Outlines, o)
		}
		p := one.Parts[0]
		p.Outer += base
		for k := range p.Holes {
			p.Holes[k] += base
		}
		s.Parts = append(s.Parts, p)
	}
	return s
}
