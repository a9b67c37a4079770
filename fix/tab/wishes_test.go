package tab

import (
	"math"
	"strings"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/outline"
)

// ringOf returns a regular polygon of n sides, mm long.
func ringOf(n int, side float64) geom.Path {
	var xy []float64
	for k := range n {
		q := geom.Polar(geom.Point{}, side/2/math.Sin(math.Pi/float64(n)), 2*math.Pi*float64(k)/float64(n))
		xy = append(xy, q.X, q.Y)
	}
	return sheettest.Poly(xy...)
}

// TestPlaceTellsGivenUp: what a tab cannot have anywhere on a part is told of each
// tab, and only that. The gap is 1.8 mm.
func TestPlaceTellsGivenUp(t *testing.T) {
	const corners, curve, joint = "away from corners", "on a straight or gentle edge", "clear of joint edges"
	for _, tt := range []struct {
		name string
		p    geom.Path
		want string
	}{
		// A gap between its middle and a corner, and half the gap itself: 2.7 mm.
		{"square with no place a gap off its corners", sheettest.Rect(0, 0, 5.3, 5.3), corners},
		{"square with just that", sheettest.Rect(0, 0, 5.5, 5.5), ""},
		{"all sides shorter than a gap", ringOf(12, 1.7), corners + ", " + curve},
		// Gentle is a radius of three gaps: 5.4 mm.
		{"tight disc", sheettest.Disc(0, 0, 5.3), curve},
		{"gentle disc", sheettest.Disc(0, 0, 5.5), ""},
		// A plus whose arms are all joints and whose shoulders are too short.
		{"nothing but joints", sheettest.Poly(6, 0, 16, 0, 16, 6, 22, 6, 22, 16, 16, 16, 16, 22, 6, 22, 6, 16, 0, 16, 0, 6, 6, 6), joint},
	} {
		tabs, _ := Place(sheettest.Of(tt.p), 0, usual)
		if len(tabs) != 2 {
			t.Errorf("%s: %d tabs", tt.name, len(tabs))
		}
		for _, tb := range tabs {
			if tb.Given != tt.want {
				t.Errorf("%s: given up at %v: %q, want %q", tt.name, tb.At, tb.Given, tt.want)
			}
		}
	}
}

// TestPlaceOffJoints: tabs keep off the edges of joints that lie where tabs would
// hold best, in the middle of the sides.
func TestPlaceOffJoints(t *testing.T) {
	for _, out := range []float64{5, -5} { // tabs, notches
		p := sheettest.Poly(0, 0, 20, 0, 20, -out, 40, -out, 40, 0, 60, 0, 60, 60, 40, 60, 40, 60+out, 20, 60+out, 20, 60, 0, 60)
		for _, along := range []Way{AlongX, AlongY, EitherWay} {
			params := usual
			params.Support.Along = along
			tabs, _ := Place(sheettest.Of(p), 0, params)
			if len(tabs) != 2 {
				t.Errorf("%g: %d tabs", out, len(tabs))
			}
			for _, tb := range tabs {
				if tb.At.X >= 20-1e-9 && tb.At.X <= 40+1e-9 || tb.Given != "" {
					t.Errorf("joints %g mm out: a tab at %v, given up: %q", out, tb.At, tb.Given)
				}
			}
		}
	}
}

// TestSpread: two tabs hold where the line between them passes near the centre of
// mass, and that lies between them; more where no half of the part is without.
func TestSpread(t *testing.T) {
	p := sheettest.Disc(0, 0, 20)
	c := &score{t: newTrack(newCutter(outline.Path{Pieces: p}, p.Length()), 1.8, 18), gap: 1.8, reach: 20}
	for _, tt := range []struct {
		name string
		mass geom.Point
		at   []float64 // angles, degrees
		bad  bool
	}{
		{"across the centre", geom.Pt(0, 0), []float64{0, 180}, false},
		{"near the centre", geom.Pt(0, 0), []float64{0, 150}, false}, // 5.2 mm off
		{"beside the centre", geom.Pt(0, 0), []float64{0, 120}, true},
		{"nearer one than the other", geom.Pt(12, 0), []float64{0, 180}, false},
		{"by one of the two", geom.Pt(16, 0), []float64{0, 180}, true},
		{"by the other", geom.Pt(-16, 0), []float64{0, 180}, true},
		{"three around", geom.Pt(0, 0), []float64{0, 110, 240}, false},
		{"three on one side", geom.Pt(0, 0), []float64{0, 60, 130}, true},
	} {
		c.mass = tt.mass
		var set []spot
		for _, a := range tt.at {
			s := c.t.length * a / 360
			set = append(set, spot{s: s, at: c.t.pointAt(s)})
		}
		cost, w := c.of(set)
		if (w == spread) != tt.bad || tt.bad != (cost > costOf(spread)) {
			t.Errorf("%s: given up %q at a cost of %g", tt.name, w, cost)
		}
	}
}

// hook is a part whose centre of mass lies outside its two best tabs.
func hook() geom.Path {
	return sheettest.Poly(0, 0, 82, 0, 82, 14, 19, 14, 19, 33, 51, 33, 51, 49, 0, 49)
}

// TestPlaceOneMore: a part that two tabs would not hold, since its weight lies beside
// both, gets a third; one that they do hold gets none.
func TestPlaceOneMore(t *testing.T) {
	for name, p := range map[string]geom.Path{"hook": hook(), "strip": shapes()["strip"], "ell": shapes()["ell"], "triangle": shapes()["triangle"]} {
		s := sheettest.Of(p)
		want := 2
		if name == "hook" {
			want = 3
		}
		tabs, _ := Place(s, 0, usual)
		if len(tabs) != want {
			t.Errorf("%s: %d tabs, want %d", name, len(tabs), want)
		}
		var ends []geom.Point
		reach := 0.0
		for _, tb := range tabs {
			for _, at := range [2]float64{tb.S0, tb.S1} {
				q, _ := p.Along(math.Mod(at, p.Length()))
				ends = append(ends, q)
			}
		}
		for _, q := range p {
			reach = max(reach, q.A.Dist(s.Parts[0].Centroid))
		}
		if lean := geom.HullDist(geom.Hull(ends), s.Parts[0].Centroid); lean > reach/50 {
			t.Errorf("%s: the centre of mass lies %g mm outside its tabs", name, lean)
		}
	}
}

// TestPlaceOneMoreOnlyWhereGood: a tab that is one more spoils nothing: where it would
// lie without scrap beside it, the part is left to two good ones.
func TestPlaceOneMoreOnlyWhereGood(t *testing.T) {
	walls := []geom.Path{
		sheettest.Rect(-7, -1, 5, 51), sheettest.Rect(-7, 51, 58, 5), // on the left and above
		sheettest.Rect(21, 16, 28, 15),                                // in the bay
		sheettest.Rect(-7, -7, 47, 5), sheettest.Rect(52, -7, 100, 5), // below, but for one place
	}
	tabs, _ := Place(sheettest.Of(append(walls, hook())...), len(walls), usual)
	if len(tabs) != 2 {
		t.Errorf("%d tabs", len(tabs))
	}
	for _, tb := range tabs {
		if tb.Given != "" {
			t.Errorf("given up at %v: %q", tb.At, tb.Given)
		}
	}
}

// TestPlaceBacked: a tab has a gap of material behind it or tells that it has not,
// however wide the gap is beside the scrap that is wished for.
func TestPlaceBacked(t *testing.T) {
	fine := gear(100, 20, 19).Transform(geom.Shift(geom.Pt(30, 90))) // so much detail makes the grid fine
	for _, kerf := range []float64{0.2, 1} {
		p := Params{Width: 3, Kerf: kerf, Support: usual.Support}
		for _, thin := range []bool{true, false} {
			web := p.Gap() + 0.3
			if thin {
				web = p.Gap() - 0.3
			}
			tabs, _ := Place(sheettest.Of(sheettest.Rect(0, 0, 60, 40), sheettest.Rect(web, web, 60-2*web, 40-2*web), fine), 0, p)
			for _, tb := range tabs {
				if want := map[bool]string{true: "solid material behind"}[thin]; tb.Given != want {
					t.Errorf("kerf %g, webs of %g mm: given up at %v: %q, want %q", kerf, web, tb.At, tb.Given, want)
				}
			}
		}
	}
}

// TestPlaceSlugLikePart: a slug in a wide plate is held where a part of its shape would
// be, although a hole runs the other way round.
func TestPlaceSlugLikePart(t *testing.T) {
	all := shapes()
	all["hook"] = hook()
	// A slit of 2 mm is too little scrap for a tab.
	all["slit"] = sheettest.Poly(0, 0, 60, 0, 60, 11, 10, 11, 10, 13, 60, 13, 60, 40, 0, 40)
	for name, p := range all {
		want, _ := Place(sheettest.Of(p), 0, usual)
		b := p.Box().Inflate(50)
		got, _ := PlaceSlug(sheettest.Of(sheettest.Rect(b.Min.X, b.Min.Y, b.W(), b.H()), p), 1, usual)
		if len(got) != len(want) {
			t.Errorf("%s: %d tabs, want %d", name, len(got), len(want))
			continue
		}
		for _, w := range want {
			near := math.Inf(1)
			for _, g := range got {
				if d := g.At.Dist(w.At); d < near && g.Given == w.Given {
					near = d
				}
			}
			if near > 1e-6 {
				t.Errorf("%s: no tab at %v like that of a part (%s), but %v", name, w.At, w.Given, got)
			}
		}
	}
}

// TestPlaceRefuses: what has no length or no place gets no tab, and a reason.
func TestPlaceRefuses(t *testing.T) {
	for name, change := range map[string]func(*outline.Sheet, *Params){
		"no gap":       func(_ *outline.Sheet, p *Params) { p.Width, p.Kerf = 0, 0 },
		"gap unknown":  func(_ *outline.Sheet, p *Params) { p.Width = math.NaN() },
		"no centre":    func(s *outline.Sheet, _ *Params) { s.Parts[0].Centroid.X = math.NaN() },
		"no length":    func(s *outline.Sheet, _ *Params) { s.Outlines[0].Pieces = s.Outlines[0].Pieces[:0] },
		"endless":      func(s *outline.Sheet, _ *Params) { s.Outlines[0].Pieces[0].B.X = math.Inf(1) },
		"gap too long": func(_ *outline.Sheet, p *Params) { p.Width = 90 },
	} {
		s, p := sheettest.Of(sheettest.Rect(0, 0, 60, 20)), usual
		change(s, &p)
		if tabs, reason := NewPlacer(s).Place(0, p); len(tabs) > 0 || reason == "" || strings.Contains(reason, "NaN") {
			t.Errorf("%s: %v, %q", name, tabs, reason)
		}
	}
}

// TestPlaceNoSlivers: no gap ends so near an end of a line that a speck of it would be
// cut; one a good way off stays.
func TestPlaceNoSlivers(t *testing.T) {
	for _, tt := range []struct{ end, off float64 }{
		// How far past an end of the gap the side is drawn in two.
		{9.1, 0}, {9.1, 0.01}, {9.1, -0.01}, {9.1, 0.04}, {9.1, -0.04}, {10.9, 0.03}, {10.9, -0.03}, {9.1, 0.2}, {9.1, -0.2}, {10.9, 0.2}, {10.9, -0.2},
	} {
		split := tt.end + tt.off
		s := sheettest.Of(sheettest.Poly(0, 0, 60, 0, 60, split, 60, 20, 0, 20))
		tabs, _ := Place(s, 0, usual)
		if len(tabs) != 2 {
			t.Fatalf("%d tabs", len(tabs))
		}
		for _, tb := range tabs {
			if tb.At.X < 1 {
				continue // the other one
			}
			for _, y := range [2]float64{tb.At.Y - 0.9, tb.At.Y + 0.9} {
				if d := math.Abs(y - split); d > 1e-9 && d < 0.05 {
					t.Errorf("split at %g: a gap ends %g mm beside it", split, d)
				}
			}
			if want := 10.0; math.Abs(tt.off) > 0.05 && math.Abs(tb.At.Y-want) > 1e-6 {
				t.Errorf("split at %g: a tab at %v, want %g", split, tb.At, want)
			}
			if math.Abs(tb.At.Y-10) > 0.05 {
				t.Errorf("split at %g: a tab at %v", split, tb.At)
			}
		}
	}
}
