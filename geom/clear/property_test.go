package clear

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
)

// change is a way to draw the same part differently.
type change struct {
	name string
	ring func(geom.Path) geom.Path
	t    geom.Transform
}

func changes() []change {
	same := func(p geom.Path) geom.Path { return p }
	cs := []change{
		{"shift", same, geom.Shift(geom.Pt(1e5, -1e5))},
		{"mirror", same, geom.MirrorX(3)},
		{"start elsewhere", func(p geom.Path) geom.Path {
			k := len(p) / 2
			return append(append(geom.Path{}, p[k:]...), p[:k]...)
		}, geom.Identity()},
		{"split", func(p geom.Path) geom.Path {
			var q geom.Path
			for _, s := range p {
				q = append(q, s.Sub(0, 0.5), s.Sub(0.5, 1))
			}
			return q
		}, geom.Identity()},
		{"with points of no length", func(p geom.Path) geom.Path {
			var q geom.Path
			for _, s := range p {
				q = append(q, s, geom.Line(s.B, s.B))
			}
			return q
		}, geom.Identity()},
	}
	for _, a := range []float64{0.3, 1.1, math.Pi / 2, 2.7} {
		cs = append(cs, change{fmt.Sprintf("turn %.1f", a), same, geom.Turn(geom.Pt(5, 5), a)})
	}
	return cs
}

func (c change) apply(rings []Ring) []Ring {
	var out []Ring
	for i := range rings {
		p := c.ring(rings[i].Path).Transform(c.t)
		if c.t.Mirrors() {
			p = p.Reverse()
		}
		out = append(out, Ring{Path: p, Box: p.Box()})
	}
	return out
}

// match pairs runs that are the same under t; it returns what has no partner.
func match(before, after []Narrow, t geom.Transform) (missing, extra []Narrow) {
	used := make([]bool, len(after))
next:
	for _, b := range before {
		for i, a := range after {
			// Which of three touching points are told may change; that they touch
			// the disc about At may not.
			ends := math.Abs(a.A.Dist(a.At)-b.B.Dist(b.At)) < 1e-4 && math.Abs(a.B.Dist(a.At)-b.A.Dist(b.At)) < 1e-4
			if !used[i] && math.Abs(a.Width-b.Width) < 1e-6 && math.Abs(a.Length-b.Length) < 1e-3+1e-3*b.Length &&
				a.Whole == b.Whole && ends && (a.At.Dist(t.Apply(b.At)) < 1e-3 || ring(b)) {
				used[i] = true
				continue next
			}
		}
		missing = append(missing, b)
	}
	for i := range after {
		if !used[i] {
			extra = append(extra, after[i])
		}
	}
	return missing, extra
}

// ring reports whether a run may go all round a hole.
func ring(n Narrow) bool { return n.RingA != n.RingB && n.Whole }

func TestNarrowsAreTheSameHoweverDrawn(t *testing.T) {
	type input struct {
		name  string
		rings []Ring
		side  Side
		limit float64
	}
	var inputs []input
	for _, c := range narrowCases {
		inputs = append(inputs, input{c.name, c.rings, c.side, c.limit})
	}
	rng := rand.New(rand.NewPCG(7, 7))
	for i := range partCount(t, 40) {
		rings := partRings(geomtest.RandomPart(rng))
		inputs = append(inputs, input{fmt.Sprintf("random %d waste", i), rings, Waste, 1}, input{fmt.Sprintf("random %d material", i), rings, Material, 1.5})
	}
	for _, in := range inputs {
		before, err := Narrows(context.Background(), in.rings, in.side, in.limit)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range changes() {
			after, err := Narrows(context.Background(), c.apply(in.rings), in.side, in.limit)
			if err != nil {
				t.Fatal(err)
			}
			if missing, extra := match(before, after, c.t); len(missing)+len(extra) > 0 {
				t.Errorf("%s, %s:\nmissing %+v\nextra %+v", in.name, c.name, missing, extra)
			}
		}
	}
}

// explode replaces arcs by chords within 0.0005 mm.
func explode(rings []Ring) []Ring {
	var out []Ring
	for i := range rings {
		pts := rings[i].Flatten(5e-4)
		var p geom.Path
		for k := range len(pts) - 1 {
			p = append(p, geom.Line(pts[k], pts[k+1]))
		}
		out = append(out, Ring{p, p.Box()})
	}
	return out
}

func TestNarrowsOfExplodedArcs(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for i := range partCount(t, 40) {
		rings := partRings(geomtest.RandomPart(rng))
		for side, limit := range []float64{Waste: 1, Material: 1.5} {
			exact, err := Narrows(context.Background(), rings, Side(side), limit)
			if err != nil {
				t.Fatal(err)
			}
			lines, err := Narrows(context.Background(), explode(rings), Side(side), limit)
			if err != nil {
				t.Fatal(err)
			}
			for k, pair := range [2][2][]Narrow{{exact, lines}, {lines, exact}} {
				for _, a := range pair[0] {
					// What only just counts may fall on the other side.
					if a.Width > limit-0.002 || a.Length < a.Width+0.05 || Side(side) == Material && a.RingA == a.RingB && a.Length < limit+0.05 {
						continue
					}
					if !slices.ContainsFunc(pair[1], func(b Narrow) bool {
						return math.Abs(a.Width-b.Width) < 0.003 && a.Box.Inflate(0.05).Contains(b.At)
					}) {
						t.Errorf("random %d side %d limit %g, way %d: no partner for %+v", i, side, limit, k, a)
					}
				}
			}
		}
	}
}

func TestDetailsAreTheSameHoweverDrawn(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	inputs := [][]Ring{
		ringsOf(poly(0, 0, 50, 0, 50, 30, 25.2, 30, 25.2, 30.3, 24.8, 30.3, 24.8, 30, 0, 30), rounded(5, 5, 20, 10, 0.3)),
		ringsOf(poly(0, 0, 50, 0, 50, 30, 25, 30, 25, 29.7, 0, 29.7)),
	}
	for range 40 {
		inputs = append(inputs, partRings(geomtest.RandomPart(rng)))
	}
	seen := 0
	for i, rings := range inputs {
		before := Details(context.Background(), rings, 1)
		seen += len(before)
		for _, c := range changes() {
			after := Details(context.Background(), c.apply(rings), 1)
			if len(after) != len(before) {
				t.Errorf("part %d, %s: %+v, before %+v", i, c.name, after, before)
				continue
			}
			for _, b := range before {
				if !slices.ContainsFunc(after, func(a Detail) bool {
					return a.Kind == b.Kind && math.Abs(a.Size-b.Size) < 1e-6 && a.At.Dist(c.t.Apply(b.At)) < 1e-6
				}) {
					t.Errorf("part %d, %s: %+v is missing", i, c.name, b)
				}
			}
		}
	}
	if seen < 10 {
		t.Errorf("only %d details seen", seen)
	}
}
