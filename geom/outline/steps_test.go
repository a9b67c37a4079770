package outline_test

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// built finds the outlines of what is drawn, all of it to be cut or all of it etched.
func built(t *testing.T, role outline.Role, strokes ...drawing.Stroke) *outline.Sheet {
	t.Helper()
	s, err := outline.Build(context.Background(), strokes, func(*drawing.Stroke) outline.Role { return role },
		outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func strokesOf(paths ...geom.Path) (out []drawing.Stroke) {
	for _, p := range paths {
		for _, q := range p {
			out = append(out, drawing.Stroke{Piece: q, Entity: int32(len(out))})
		}
	}
	return out
}

func polygon(pts ...geom.Point) (p geom.Path) {
	for i := range pts {
		p = append(p, geom.Line(pts[i], pts[(i+1)%len(pts)]))
	}
	return p
}

// about returns a rectangle about the origin.
func about(w, h float64) geom.Path {
	return polygon(geom.Pt(-w/2, -h/2), geom.Pt(w/2, -h/2), geom.Pt(w/2, h/2), geom.Pt(-w/2, h/2))
}

func round(d float64) geom.Path { return geom.Path{geom.Circle(geom.Point{}, d/2)} }

func hexagon(flats float64) geom.Path {
	var pts []geom.Point
	for k := range 6 {
		pts = append(pts, geom.Polar(geom.Point{}, flats/math.Sqrt(3), float64(k)*math.Pi/3))
	}
	return polygon(pts...)
}

// obround is a long hole along x, l by w mm.
func obround(l, w float64) geom.Path {
	a, r := (l-w)/2, w/2
	return geom.Path{
		geom.Line(geom.Pt(-a, -r), geom.Pt(a, -r)), geom.Bulge(geom.Pt(a, -r), geom.Pt(a, r), 1),
		geom.Line(geom.Pt(a, r), geom.Pt(-a, r)), geom.Bulge(geom.Pt(-a, r), geom.Pt(-a, -r), 1)}
}

// TestStepsOrParts: what lies in a hole about the same centre is a step of it where
// screws and nuts have such, and a part where it could be one. The kerf is 1 mm.
func TestStepsOrParts(t *testing.T) {
	quarter := geom.Turn(geom.Point{}, math.Pi/2)
	for _, tt := range []struct {
		name  string
		paths []geom.Path // in a plate
		steps int
		parts int // besides the plate
	}{
		{"countersink", []geom.Path{round(10), round(5)}, 1, 0},
		{"off its centre by 0.05 mm", []geom.Path{round(10), round(5).Transform(geom.Shift(geom.Pt(0.05, 0)))}, 1, 0},
		{"off its centre by 0.5 mm", []geom.Path{round(10), round(5).Transform(geom.Shift(geom.Pt(0.5, 0)))}, 0, 1},
		{"bore of a large screw", []geom.Path{round(34), round(17.5)}, 1, 0},
		{"bore too wide for a screw", []geom.Path{round(34), round(19)}, 0, 1},
		{"wider than countersinks are", []geom.Path{round(38), round(17.5)}, 0, 1},
		{"so small a disc is no part, however wide the hole", []geom.Path{round(60), round(13)}, 1, 0},
		{"the same in a wide square", []geom.Path{about(60, 60), round(13)}, 0, 1},
		{"nothing can be cut free between them", []geom.Path{round(60), round(57)}, 1, 0},
		{"something can", []geom.Path{round(60), round(54)}, 0, 1},
		{"nothing can in a window either", []geom.Path{about(60, 40), about(57, 37)}, 1, 0},
		{"a window in a window", []geom.Path{about(60, 40), about(50, 30)}, 0, 1},
		{"a narrow window around a round hole", []geom.Path{about(30, 12), round(8)}, 0, 1},
		{"nut around a hole", []geom.Path{hexagon(13), round(8.4)}, 1, 0},
		{"square nut around a hole", []geom.Path{about(13, 13), round(8.4)}, 1, 0},
		{"wider than a square nut", []geom.Path{about(17, 17), round(8.4)}, 0, 1},
		{"long hole in its offset", []geom.Path{obround(30, 14), obround(22, 6)}, 1, 0},
		{"long hole that is no offset", []geom.Path{obround(30, 14), obround(14, 6)}, 0, 1},
		{"long hole across another", []geom.Path{obround(30, 20), obround(14, 6).Transform(quarter)}, 0, 1},
		{"drawn again within 0.05 mm", []geom.Path{round(20), round(19.9)}, 0, 1},
		{"three steps", []geom.Path{round(20), round(12), round(6)}, 2, 0},
	} {
		s := built(t, outline.Cut, strokesOf(append([]geom.Path{about(120, 90)}, tt.paths...)...)...)
		steps := 0
		for i := range s.Aside {
			if s.Aside[i].Kind == outline.Step {
				steps++
			}
		}
		if steps != tt.steps || len(s.Parts)-1 != tt.parts || len(s.Aside) != steps {
			t.Errorf("%s: %d steps, %d parts, %d aside; want %d and %d", tt.name, steps, len(s.Parts)-1, len(s.Aside), tt.steps, tt.parts)
		}
	}
}

// TestReadingOrder: parts come row by row from the top, from left to right in a row,
// in whatever order they are drawn; a row is what has its middle above the lower edge
// of its topmost part.
func TestReadingOrder(t *testing.T) {
	type rect [4]float64 // x, y, w, h
	for name, want := range map[string][]rect{
		"a grid":                 {{0, 40, 20, 20}, {30, 40, 20, 20}, {60, 40, 20, 20}, {0, 10, 20, 20}, {30, 10, 20, 20}},
		"a row not quite even":   {{0, 40, 20, 20}, {30, 45, 20, 20}, {60, 38, 20, 20}, {0, 10, 20, 20}},
		"one row by a high part": {{0, 0, 20, 60}, {30, 40, 20, 20}, {30, 10, 20, 20}},
		"a low part in a row":    {{0, 40, 20, 20}, {30, 41, 20, 5}, {60, 40, 20, 20}},
		"half way down":          {{0, 40, 20, 20}, {60, 40, 20, 20}, {30, 29, 20, 20}},
		"not half way down":      {{0, 40, 20, 20}, {30, 31, 20, 20}, {60, 40, 20, 20}},
		"a column":               {{5, 60, 20, 20}, {0, 30, 20, 20}, {10, 0, 20, 20}},
	} {
		rng := rand.New(rand.NewPCG(1, 2))
		for range 5 {
			drawn := slices.Clone(want)
			rng.Shuffle(len(drawn), func(i, k int) { drawn[i], drawn[k] = drawn[k], drawn[i] })
			var paths []geom.Path
			for _, r := range drawn {
				paths = append(paths, about(r[2], r[3]).Transform(geom.Shift(geom.Pt(r[0]+r[2]/2, r[1]+r[3]/2))))
			}
			s := built(t, outline.Cut, strokesOf(paths...)...)
			var got []rect
			for _, p := range s.Parts {
				got = append(got, rect{p.Box.Min.X, p.Box.Min.Y, p.Box.W(), p.Box.H()})
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s: %v, want %v", name, got, want)
			}
		}
	}
}

// TestEtchPaths: etched lines that follow on from each other on one layer are one path.
func TestEtchPaths(t *testing.T) {
	line := func(x0, y0, x1, y1 float64, layer int32) drawing.Stroke {
		return drawing.Stroke{Piece: geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)), Layer: layer}
	}
	for _, tt := range []struct {
		name    string
		strokes []drawing.Stroke
		want    []int // pieces of each path
	}{
		{"a letter", []drawing.Stroke{line(0, 0, 0, 5, 0), line(0, 5, 3, 5, 0), line(3, 5, 3, 0, 0)}, []int{3}},
		{"two letters", []drawing.Stroke{line(0, 0, 0, 5, 0), line(0, 5, 3, 5, 0), line(4, 0, 4, 5, 0)}, []int{2, 1}},
		{"two layers", []drawing.Stroke{line(0, 0, 0, 5, 0), line(0, 5, 3, 5, 1)}, []int{1, 1}},
		{"a ring and what begins on it", []drawing.Stroke{{Piece: geom.Circle(geom.Pt(0, 0), 5)}, line(5, 0, 9, 0, 0)}, []int{1, 1}},
		{"a speck between", []drawing.Stroke{line(0, 0, 0, 5, 0), line(0, 5, 0, 5.0005, 0), line(0, 5, 3, 5, 0)}, []int{2}},
	} {
		var got []int
		for _, e := range built(t, outline.Etch, tt.strokes...).Etch {
			got = append(got, len(e.Pieces))
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: paths of %v pieces, want %v", tt.name, got, tt.want)
		}
	}
}

// TestTabsRead: stretches left uncut belong to their outline; each run of them is one
// tab, over a corner and over the start of the outline too.
func TestTabsRead(t *testing.T) {
	whole := about(60, 20)
	for _, tt := range []struct {
		name string
		gaps [][2]float64 // mm along the outline
		want int32
	}{
		{"none", nil, 0},
		{"two", [][2]float64{{20, 22}, {100, 102}}, 2},
		{"over a corner", [][2]float64{{59, 61}}, 1},
		{"over the start", [][2]float64{{0, 1}, {159, 160}}, 1},
		{"of two stretches", [][2]float64{{20, 21}, {21, 22}, {100, 102}}, 2},
		{"nothing but tab", [][2]float64{{0, 160}}, 1},
	} {
		cuts := []float64{0, 60, 80, 140, 160}
		for _, g := range tt.gaps {
			cuts = append(cuts, g[:]...)
		}
		slices.Sort(cuts)
		cuts = slices.Compact(cuts)
		var strokes []drawing.Stroke
		tab := 0.0 // mm
		for i := range cuts[1:] {
			a, _ := whole.Along(cuts[i])
			b, _ := whole.Along(math.Mod(cuts[i+1], 160))
			s := drawing.Stroke{Piece: geom.Line(a, b)}
			for _, g := range tt.gaps {
				if cuts[i] >= g[0] && cuts[i+1] <= g[1] {
					s.Layer = 1
					tab += cuts[i+1] - cuts[i]
				}
			}
			strokes = append(strokes, s)
		}
		s, err := outline.Build(context.Background(), strokes, func(s *drawing.Stroke) outline.Role {
			return map[int32]outline.Role{0: outline.Cut, 1: outline.Tab}[s.Layer]
		}, outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1})
		if err != nil || len(s.Outlines) != 1 {
			t.Fatalf("%s: %d outlines, %v", tt.name, len(s.Outlines), err)
		}
		o := &s.Outlines[0]
		for k, f := range o.Flags {
			if f&outline.IsTab != 0 {
				tab -= o.Pieces[k].Length()
			}
		}
		if int32(o.Tabs) != tt.want || math.Abs(tab) > 1e-9 || math.Abs(o.Area-1200) > 1e-9 {
			t.Errorf("%s: %d tabs, %g mm of them missing, %g mm2", tt.name, o.Tabs, tab, o.Area)
		}
	}
}

// TestCommonEdgesDrawnOnce: an edge that two outlines have in common is cut once where
// that is asked for, or one is a hole; else it is told and belongs to both.
func TestCommonEdgesDrawnOnce(t *testing.T) {
	at := func(x, y, w, h float64) geom.Path {
		return about(w, h).Transform(geom.Shift(geom.Pt(x+w/2, y+h/2)))
	}
	// Two plates with an edge of 20 mm in common, drawn once.
	pair := append(at(0, 0, 40, 20), at(40, 0, 30, 20)[:3]...)
	for _, once := range []bool{false, true} {
		s, err := outline.Build(context.Background(), strokesOf(pair), func(*drawing.Stroke) outline.Role { return outline.Cut },
			outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1, Once: once})
		if err != nil || len(s.Outlines) != 2 || len(s.Shared) != 1 {
			t.Fatalf("%d outlines, %d common edges, %v", len(s.Outlines), len(s.Shared), err)
		}
		var cut, twin float64 // mm
		for i := range s.Outlines {
			for k, f := range s.Outlines[i].Flags {
				if l := s.Outlines[i].Pieces[k].Length(); f&outline.IsTwin != 0 {
					twin += l
				} else {
					cut += l
				}
			}
		}
		want := 200.0
		if !once {
			want = 220
		}
		if math.Abs(cut-want) > 1e-9 || math.Abs(cut+twin-220) > 1e-9 {
			t.Errorf("once %t: %g mm cut, %g mm left to the other; want %g mm cut", once, cut, twin, want)
		}
	}
}

// TestFrameIsNotTold: a sheet's frame with its ticks is no part, and what crosses it is
// not told; a line that crosses a plate is.
func TestFrameIsNotTold(t *testing.T) {
	at := func(p geom.Path, x, y float64) geom.Path { return p.Transform(geom.Shift(geom.Pt(x, y))) }
	paths := []geom.Path{about(400, 280), about(380, 260)}
	for i := range 6 {
		x, y := float64(i%3-1)*110, float64(i/3)*100-50
		paths = append(paths, at(about(80, 60), x, y), at(round(8), x-25, y), at(round(8), x+25, y))
	}
	for _, y := range []float64{-1, 1} { // centre marks over both lines of the frame
		paths = append(paths, geom.Path{geom.Line(geom.Pt(0, y*125), geom.Pt(0, y*145))})
	}
	s := built(t, outline.Cut, strokesOf(paths...)...)
	if len(s.Parts) != 6 || len(s.Crossings) > 0 || len(s.Gaps) > 0 {
		t.Errorf("%d parts, %d crossings, %d gaps", len(s.Parts), len(s.Crossings), len(s.Gaps))
	}
	// A slit on over the edge of a plate.
	paths = append(paths, geom.Path{geom.Line(geom.Pt(-3, -60), geom.Pt(60, -60))})
	if s = built(t, outline.Cut, strokesOf(paths...)...); len(s.Crossings) != 1 {
		t.Errorf("%d crossings told of a line over the edge of a plate", len(s.Crossings))
	}
}
