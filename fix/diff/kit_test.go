package diff

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
)

// item is a part of a trial kit: its outside and its holes.
type item struct{ rings []geom.Path }

func (m item) transform(t geom.Transform) item {
	var out item
	for _, r := range m.rings {
		out.rings = append(out.rings, r.Transform(t))
	}
	return out
}

func (m item) shift(x, y float64) item { return m.transform(geom.Shift(geom.Pt(x, y))) }

// randomKit is a sheet of random parts in rows, 200 mm apart.
func randomKit(seed uint64, n int) []item {
	rng := rand.New(rand.NewPCG(seed, 7))
	var kit []item
	for k := range n {
		outer, holes := geomtest.RandomPart(rng)
		m := item{append([]geom.Path{outer}, holes...)}
		kit = append(kit, m.shift(float64(k%6)*200, float64(k/6)*-200))
	}
	return kit
}

// strokesOf draws a kit piece by piece.
func strokesOf(kit []item) []drawing.Stroke {
	var out []drawing.Stroke
	for _, m := range kit {
		for _, r := range m.rings {
			for _, p := range r {
				out = append(out, drawing.Stroke{Piece: p})
			}
		}
	}
	return out
}

var buildOptions = outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 0.3, Workers: 1}

// Layers of trial strokes.
const (
	onCut = iota
	onTab
	onEtch
)

func sheetOf(t testing.TB, strokes []drawing.Stroke) *outline.Sheet {
	t.Helper()
	role := func(s *drawing.Stroke) outline.Role {
		return [...]outline.Role{outline.Cut, outline.Tab, outline.Etch}[s.Layer]
	}
	for i := range strokes {
		strokes[i].Entity = int32(i)
	}
	s, err := outline.Build(context.Background(), strokes, role, buildOptions)
	if err != nil {
		t.Fatal(err)
	}
	s.Number(0.02)
	return s
}

func sideOf(t testing.TB, kit []item) *Side { return &Side{Sheet: sheetOf(t, strokesOf(kit))} }

// rect is a counter-clockwise rectangle.
func rect(x0, y0, x1, y1 float64) geom.Path {
	c := []geom.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	var p geom.Path
	for i := range c {
		p = append(p, geom.Line(c[i], c[(i+1)%4]))
	}
	return p
}

func circle(x, y, r float64) geom.Path { return geom.Path{geom.Circle(geom.Pt(x, y), r)} }

// bracket is a part without any symmetry, 40 by 20 mm, with a bolt hole.
func bracket() item {
	return item{[]geom.Path{
		{
			geom.Line(geom.Pt(0, 0), geom.Pt(40, 0)), geom.Line(geom.Pt(40, 0), geom.Pt(40, 8)),
			geom.Bulge(geom.Pt(40, 8), geom.Pt(10, 20), 0.2), geom.Line(geom.Pt(10, 20), geom.Pt(0, 20)), geom.Line(geom.Pt(0, 20), geom.Pt(0, 0)),
		},
		circle(8, 8, 3),
	}}
}

// gear is a wheel with n square teeth and a bore.
func gear(n int) item {
	var p geom.Path
	for i := range n {
		at := func(r, k float64) geom.Point {
			return geom.Polar(geom.Point{}, r, 2*3.141592653589793*(float64(i)+k)/float64(n))
		}
		p = append(p, geom.Line(at(20, 0), at(24, 0)), geom.Line(at(24, 0), at(24, 0.5)), geom.Line(at(24, 0.5), at(20, 0.5)), geom.Line(at(20, 0.5), at(20, 1)))
	}
	return item{[]geom.Path{p, circle(0, 0, 4)}}
}

func shuffled(rng *rand.Rand, s []drawing.Stroke) []drawing.Stroke {
	s = slices.Clone(s)
	rng.Shuffle(len(s), func(i, j int) { s[i], s[j] = s[j], s[i] })
	return s
}
