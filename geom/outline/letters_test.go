package outline_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
)

// lettered builds a sheet of paths.
func lettered(t *testing.T, paths []geom.Path, change func(*outline.Options)) *outline.Sheet {
	t.Helper()
	var strokes []drawing.Stroke
	for i, p := range paths {
		for _, q := range p {
			strokes = append(strokes, drawing.Stroke{Piece: q, Entity: int32(i)})
		}
	}
	rand.New(rand.NewPCG(1, uint64(len(strokes)))).Shuffle(len(strokes), func(i, j int) { strokes[i], strokes[j] = strokes[j], strokes[i] })
	o := outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1}
	if change != nil {
		change(&o)
	}
	s, err := outline.Build(context.Background(), strokes, func(*drawing.Stroke) outline.Role { return outline.Cut }, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// at moves paths.
func at(paths []geom.Path, x, y float64) []geom.Path { return moved(paths, geom.Shift(geom.Pt(x, y))) }

func moved(paths []geom.Path, m geom.Transform) []geom.Path {
	var out []geom.Path
	for _, p := range paths {
		out = append(out, p.Transform(m))
	}
	return out
}

func plateOf(w, h float64) geom.Path {
	return geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(w, 0)), geom.Line(geom.Pt(w, 0), geom.Pt(w, h)),
		geom.Line(geom.Pt(w, h), geom.Pt(0, h)), geom.Line(geom.Pt(0, h), geom.Pt(0, 0))}
}

func circleAt(x, y, r float64) geom.Path { return geom.Path{geom.Circle(geom.Pt(x, y), r)} }

// onPlate puts lettering on a plate with four screw holes.
func onPlate(paths ...[]geom.Path) []geom.Path {
	all := []geom.Path{plateOf(400, 250), circleAt(10, 10, 2), circleAt(390, 10, 2), circleAt(10, 240, 2), circleAt(390, 240, 2)}
	for _, p := range paths {
		all = append(all, p...)
	}
	return all
}

// told sums up the lettering found: outlines of each group.
func told(s *outline.Sheet) []int {
	var n []int
	for i := range s.Lettering {
		n = append(n, s.Lettering[i].Outlines)
	}
	return n
}

// TestLetteringFound draws lettering in many ways: its outlines are set aside, and
// the plate and its holes are left.
func TestLetteringFound(t *testing.T) {
	word := geomtest.Letters("HARBOUR 468", 12) // 10 letters with 9 counters, a space
	n := len(word)
	for name, c := range map[string]struct {
		paths []geom.Path
		want  []int
	}{
		"a word":              {onPlate(at(word, 40, 100)), []int{n}},
		"three letters":       {onPlate(at(geomtest.Letters("CNB", 20), 40, 100)), []int{5}},
		"a number":            {onPlate(at(geomtest.Letters("8046", 5), 40, 100)), []int{9}},
		"small":               {onPlate(at(geomtest.Letters("DOCS", 2.5), 40, 100)), []int{6}},
		"large":               {onPlate(at(geomtest.Letters("DOCS", 55), 40, 100)), []int{6}},
		"two lines":           {onPlate(at(word, 40, 100), at(geomtest.Letters("CRANE 9", 12), 40, 80)), []int{n + 7 + 2}},
		"two sizes":           {onPlate(at(word, 40, 100), at(geomtest.Letters("CRANE", 30), 40, 150)), []int{7, n}},
		"I among them":        {onPlate(at(geomtest.Letters("TIDE LINE", 12), 40, 100)), []int{4 + 1 + 4}},
		"scale":               {onPlate(at(geomtest.Letters("4", 5), 40, 100), at(geomtest.Letters("6", 5), 48, 100), at(geomtest.Letters("8", 5), 56, 100), at(geomtest.Letters("0", 5), 64, 100)), []int{9}},
		"points, hyphens":     {onPlate(at(geomtest.Letters("4.6 A-8 0", 12), 40, 100)), []int{2 + 1 + 2 + 2 + 1 + 3 + 2}},
		"beside the plate":    {append(onPlate(), at(word, 0, -40)...), []int{n}},
		"among the holes":     {onPlate(at(word, 40, 100), []geom.Path{circleAt(35, 106, 2), circleAt(160, 106, 2), circleAt(100, 90, 1)}), []int{n}},
		"on a part in a hole": {append(onPlate([]geom.Path{plateOf(200, 60).Transform(geom.Shift(geom.Pt(60, 60)))}, []geom.Path{plateOf(180, 40).Transform(geom.Shift(geom.Pt(70, 70)))}), at(word, 80, 80)...), []int{n}},
	} {
		for _, turn := range []float64{0, 90, 180, 23, -61.7} {
			for _, mirror := range []bool{false, true} {
				m := geom.Turn(geom.Pt(3, 7), turn*math.Pi/180)
				paths := c.paths
				if mirror {
					paths = mirrored(paths)
				}
				s := lettered(t, moved(paths, m), nil)
				if diff := cmp.Diff(c.want, told(s)); diff != "" && !sameSet(c.want, told(s)) {
					t.Errorf("%s, turned by %g, mirrored %v: %s", name, turn, mirror, diff)
				}
				parts, holes := 1, 4
				switch name {
				case "among the holes":
					holes = 7
				case "on a part in a hole":
					parts, holes = 2, 5
				}
				if len(s.Parts) != parts || len(s.Outlines) != parts+holes {
					t.Errorf("%s, turned by %g, mirrored %v: %d parts, %d outlines, want %d and %d", name, turn, mirror, len(s.Parts), len(s.Outlines), parts, parts+holes)
				}
			}
		}
	}
}

// sameSet reports whether two lists hold the same numbers in any order.
func sameSet(a, b []int) bool {
	count := map[int]int{}
	for _, v := range a {
		count[v]++
	}
	for _, v := range b {
		count[v]--
	}
	for _, n := range count {
		if n != 0 {
			return false
		}
	}
	return true
}

// mirrored turns paths over.
func mirrored(paths []geom.Path) []geom.Path {
	var out []geom.Path
	for _, p := range paths {
		var q geom.Path
		for _, x := range p {
			flip := func(p geom.Point) geom.Point { return geom.Pt(-p.X, p.Y) }
			x.A, x.B, x.C, x.Sweep = flip(x.A), flip(x.B), flip(x.C), -x.Sweep
			if x.R == 0 {
				x.C, x.Sweep = geom.Point{}, 0
			}
			q = append(q, x)
		}
		out = append(out, q)
	}
	return out
}

// TestNoLettering draws what looks a little like lettering and is none.
func TestNoLettering(t *testing.T) {
	row := func(n int, pitch float64, f func(k int) []geom.Path) (all []geom.Path) {
		for k := range n {
			all = append(all, at(f(k), 40+pitch*float64(k), 100)...)
		}
		return all
	}
	ell := func(w, h, s float64) geom.Path {
		c := []geom.Point{{}, {X: w}, {X: w, Y: s}, {X: s, Y: s}, {X: s, Y: h}, {Y: h}}
		var p geom.Path
		for i := range c {
			p = append(p, geom.Line(c[i], c[(i+1)%len(c)]))
		}
		return p
	}
	for name, paths := range map[string][]geom.Path{
		"slots":             onPlate(row(12, 8, func(int) []geom.Path { return []geom.Path{plateOf(3, 20)} })),
		"slots of lengths":  onPlate(row(12, 8, func(k int) []geom.Path { return []geom.Path{plateOf(3, 10+float64(k))} })),
		"windows":           onPlate(row(8, 20, func(int) []geom.Path { return []geom.Path{plateOf(14, 14)} })),
		"windows of widths": onPlate(row(8, 40, func(k int) []geom.Path { return []geom.Path{plateOf(14+3*float64(k), 14)} })),
		"holes":             onPlate(row(12, 10, func(k int) []geom.Path { return []geom.Path{circleAt(0, 0, 1+0.2*float64(k))} })),
		"stepped holes":     onPlate(row(8, 25, func(int) []geom.Path { return []geom.Path{circleAt(0, 0, 10), circleAt(0, 0, 8)} })),
		"angles alike":      onPlate(row(8, 25, func(int) []geom.Path { return []geom.Path{ell(15, 20, 3)} })),
		"angles in pairs": onPlate(row(8, 25, func(k int) []geom.Path {
			if k%2 == 1 {
				return mirrored([]geom.Path{ell(15, 20, 3)})
			}
			return []geom.Path{ell(15, 20, 3)}
		})),
		"angles of all sizes": onPlate(row(8, 25, func(k int) []geom.Path { return []geom.Path{ell(15, 12+3*float64(k), 3)} })),
		"two letters":         onPlate(at(geomtest.Letters("AB", 20), 40, 100)),
		"sign letters":        at(geomtest.Letters("HARBOUR", 120), 0, 0),
		"four small parts":    {ell(15, 20, 3), plateOf(12, 20).Transform(geom.Shift(geom.Pt(20, 0))), ell(10, 20, 3).Transform(geom.Shift(geom.Pt(40, 0))), circleAt(70, 10, 10)},
		"frames": row(6, 60, func(k int) []geom.Path {
			return []geom.Path{plateOf(40, 50), plateOf(32, 42).Transform(geom.Shift(geom.Pt(4, 4)))}
		}),
	} {
		if s := lettered(t, paths, nil); len(s.Lettering) != 0 {
			t.Errorf("%s: %d outlines taken for lettering", name, s.Lettering[0].Outlines)
		}
	}
}

// TestNoLetteringInKits looks for lettering in random kits and parts.
func TestNoLetteringInKits(t *testing.T) {
	n := 60
	if v, err := strconv.Atoi(os.Getenv("SLUICE_KITS")); err == nil {
		n = v
	}
	for seed := range n {
		rng := rand.New(rand.NewPCG(uint64(seed), 77))
		k := geomtest.RandomKit(rng)
		var paths []geom.Path
		for _, p := range k.Parts {
			paths = append(append(paths, p.Outer), p.Holes...)
		}
		x := 2000.0
		for range 12 {
			outer, holes := geomtest.RandomPart(rng)
			paths = append(paths, at(append([]geom.Path{outer}, holes...), x-outer.Box().Min.X, 0)...)
			x += outer.Box().W() + 5
		}
		if s := lettered(t, paths, nil); len(s.Lettering) != 0 {
			t.Errorf("kit %d (%s): %d outlines taken for lettering", seed, k.Name, s.Lettering[0].Outlines)
		}
	}
}

// TestLetteringCut cuts lettering as drawn: its counters bound no part.
func TestLetteringCut(t *testing.T) {
	paths := onPlate(at(geomtest.Letters("BRAD 8", 12), 40, 100)) // 5 letters, 7 counters
	s := lettered(t, paths, func(o *outline.Options) { o.Aside[outline.Letter] = outline.Keep })
	if len(s.Parts) != 1 || len(s.Parts[0].Holes) != 4+5 || len(s.Open) != 7 || len(s.Aside) != 0 {
		t.Errorf("%d parts, %d holes, %d open paths, %d set aside; want 1, 9, 7, 0", len(s.Parts), len(s.Parts[0].Holes), len(s.Open), len(s.Aside))
	}
	for i := range s.Open {
		if o := &s.Open[i]; o.Part != 0 || o.Loose || o.Pieces[0].A.Dist(o.Pieces[len(o.Pieces)-1].B) > 1e-9 {
			t.Errorf("counter %d: %+v", i, o)
		}
	}
	if len(s.Lettering) != 1 || !s.Lettering[0].Cut || s.Lettering[0].Islands != 7 || s.Lettering[0].Part != 0 {
		t.Errorf("%+v", s.Lettering)
	}
	s = lettered(t, paths, func(o *outline.Options) { o.Aside[outline.Letter] = outline.Settle })
	if len(s.Parts) != 1 || len(s.Aside) != 12 || !s.Lettering[0].Settled || !s.Aside[0].Settled {
		t.Errorf("left: %d parts, %d set aside: %+v", len(s.Parts), len(s.Aside), s.Lettering)
	}
}

// TestLetteringManyTimes checks that the time goes with the number of letters: a
// page of text, and as many slots.
func TestLetteringManyTimes(t *testing.T) {
	var paths []geom.Path
	for i := range 60 {
		line := fmt.Sprintf("HARBOUR CRANE %d", 468+i%2*421)
		paths = append(paths, at(geomtest.Letters(line, 4), 20, 10+7*float64(i))...)
	}
	n := len(paths)
	s := lettered(t, append(paths, plateOf(600, 500)), nil)
	if len(s.Lettering) != 1 || s.Lettering[0].Outlines != n || len(s.Parts) != 1 {
		t.Errorf("%v of %d outlines in %d parts", told(s), n, len(s.Parts))
	}
}
