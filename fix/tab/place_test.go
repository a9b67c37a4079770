package tab

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/outline"
)

var usual = Params{Width: 0.8, Kerf: 1, Support: Support{Pitch: 50, Along: AlongX}}

// Place is NewPlacer(sheet).Place for a single part.
func Place(sheet *outline.Sheet, part int, p Params, avoid ...[4]geom.Point) ([]Tab, string) {
	return NewPlacer(sheet).Place(part, p, avoid...)
}

// PlaceSlug is NewPlacer(sheet).PlaceSlug for a single hole.
func PlaceSlug(sheet *outline.Sheet, hole int, p Params, avoid ...[4]geom.Point) ([]Tab, string) {
	return NewPlacer(sheet).PlaceSlug(hole, p, avoid...)
}

func gear(n int, r0, r1 float64) geom.Path {
	var xy []float64
	for i := range n {
		for _, v := range [4][2]float64{{0, r0}, {0.45, r0}, {0.55, r1}, {0.9, r1}} {
			q := geom.Polar(geom.Point{}, v[1], 2*math.Pi*(float64(i)+v[0])/float64(n))
			xy = append(xy, q.X, q.Y)
		}
	}
	return sheettest.Poly(xy...)
}

// plate with a tab on the right, a notch on the top and rounded corners on the
// left.
func panel() geom.Path {
	q := math.Tan(math.Pi / 8)
	p := sheettest.Poly(5, 0, 60, 0, 60, 15, 66, 15, 66, 25, 60, 25, 60, 40, 40, 40, 40, 34, 30, 34, 30, 40, 5, 40)
	p[len(p)-1] = geom.Line(geom.Pt(0, 35), geom.Pt(0, 5))
	return append(append(p[:len(p)-1:len(p)-1], geom.Bulge(geom.Pt(5, 40), geom.Pt(0, 35), q), p[len(p)-1]), geom.Bulge(geom.Pt(0, 5), geom.Pt(5, 0), q))
}

func shapes() map[string]geom.Path {
	return map[string]geom.Path{
		"strip": sheettest.Rect(0, 0, 60, 20), "square": sheettest.Rect(0, 0, 40, 40), "disc": sheettest.Disc(0, 0, 15),
		"ell":      sheettest.Poly(0, 0, 60, 0, 60, 15, 15, 15, 15, 60, 0, 60),
		"triangle": sheettest.Poly(0, 0, 60, 0, 30, 50), "gear": gear(12, 20, 16), "panel": panel(),
		"slim": sheettest.Rect(0, 0, 90, 3), "tiny": sheettest.Rect(0, 0, 6, 6),
		"big": sheettest.Rect(0, 0, 300, 200), "bigdisc": sheettest.Disc(0, 0, 120),
	}
}

func TestPlaceHolds(t *testing.T) {
	for name, p := range shapes() {
		s := sheettest.Of(p)
		tabs, reason := Place(s, 0, usual)
		part := &s.Parts[0]
		if want := Count(part.Area, part.Box.W(), part.Box.H()); len(tabs) != want || reason != "" {
			t.Errorf("%s: %d tabs (%q), want %d", name, len(tabs), reason, want)
		}
		var at []geom.Point
		for _, tb := range tabs {
			if math.Abs(tb.Gap()-1.8) > 1e-9 {
				t.Errorf("%s: gap %g", name, tb.Gap())
			}
			mid := newCutter(s.Outlines[0].Path, p.Length()).pointAt((tb.S0 + tb.S1) / 2)
			if d := mid.Dist(tb.At); d > 1e-9 {
				t.Errorf("%s: the middle of the gap lies at %v, not at %v", name, mid, tb.At)
			}
			if d, _ := p.Dist(tb.At); d > 1e-9 {
				t.Errorf("%s: tab %g off the outline", name, d)
			}
			if tb.Given != "" && name != "tiny" && name != "gear" && name != "slim" {
				t.Errorf("%s: gave up %q at %v", name, tb.Given, tb.At)
			}
			at = append(at, tb.At)
		}
		// Independent of the score: the centre lies between two tabs or in
		// the triangles of more.
		size := part.Box.Diagonal()
		switch {
		case len(at) == 2:
			if d := geom.Line(at[0], at[1]).Dist(part.Centroid); d > 0.12*size {
				t.Errorf("%s: centre %g from the line between the tabs %v", name, d, at)
			}
			if at[0].Dist(at[1]) < 0.3*size {
				t.Errorf("%s: tabs %v close together", name, at)
			}
		case len(at) > 2 && !around(at, part.Centroid):
			t.Errorf("%s: centre not among the tabs %v", name, at)
		}
	}
}

// around reports whether c lies inside the hull of ps: no half plane through c
// holds them all.
func around(ps []geom.Point, c geom.Point) bool {
	for _, p := range ps {
		left, right := false, false
		for _, q := range ps {
			x := p.Sub(c).Cross(q.Sub(c))
			left, right = left || x > 1e-9, right || x < -1e-9
		}
		if !left || !right {
			return false
		}
	}
	return true
}

func TestPlaceWhere(t *testing.T) {
	for _, tt := range []struct {
		name string
		p    geom.Path
		want []string // x,y rounded
	}{
		{"strip", sheettest.Rect(0, 0, 60, 20), []string{"60,10", "0,10"}},
		{"square, across the slats", sheettest.Rect(0, 0, 40, 40), []string{"20,0", "20,40"}},
		{"disc", sheettest.Disc(0, 0, 15), []string{"0,15", "0,-15"}},
		{"disc that starts at the top", geom.Path{geom.Arc(geom.Pt(0, 0), 15, math.Pi/2, 2*math.Pi)}, []string{"0,-15", "0,15"}},
		{"disc of three arcs", geom.Path{geom.Arc(geom.Pt(0, 0), 15, 1.5, 2), geom.Arc(geom.Pt(0, 0), 15, 3.5, 2), geom.Arc(geom.Pt(0, 0), 15, 5.5, 2*math.Pi-4)}, []string{"0,15", "0,-15"}},
	} {
		tabs, _ := Place(sheettest.Of(tt.p), 0, usual)
		var got []string
		for _, tb := range tabs {
			got = append(got, fmt.Sprintf("%.0f,%.0f", tb.At.X, tb.At.Y+0.0))
		}
		for i := range got {
			got[i] = strings.ReplaceAll(got[i], "-0,", "0,")
		}
		if d := cmp.Diff(tt.want, got); d != "" {
			t.Errorf("%s: %s", tt.name, d)
		}
	}
}

// Joint edges, corners, neighbours and numbers are kept clear of where there is
// room elsewhere.
func TestPlaceKeepsClear(t *testing.T) {
	// The panel's tab lies right of x = 60, its notch between x 30 and 40.
	tabs, _ := Place(sheettest.Of(panel()), 0, usual)
	for _, tb := range tabs {
		if tb.At.X > 60.5 || tb.At.X > 28 && tb.At.X < 42 && tb.At.Y > 30 {
			t.Errorf("tab on a joint edge at %v", tb.At)
		}
	}
	// Neighbours 2 mm off on the left and right of the strip.
	tabs, _ = Place(sheettest.Of(sheettest.Rect(0, 0, 60, 20), sheettest.Rect(62, -10, 30, 40), sheettest.Rect(-32, -10, 30, 40)), 0, usual)
	for _, tb := range tabs {
		if tb.At.X < 1 || tb.At.X > 59 || tb.Given != "" {
			t.Errorf("tab beside a neighbour at %v (%s)", tb.At, tb.Given)
		}
	}
	// A number at the left end.
	tabs, _ = Place(sheettest.Of(sheettest.Rect(0, 0, 60, 20)), 0, usual, [4]geom.Point{{X: 1, Y: 5}, {X: 9, Y: 5}, {X: 9, Y: 15}, {X: 1, Y: 15}})
	for _, tb := range tabs {
		if tb.At.X < 1 || tb.Given != "" {
			t.Errorf("tab at a number: %v (%s)", tb.At, tb.Given)
		}
	}
	// A hole close behind the right end.
	tabs, _ = Place(sheettest.Of(sheettest.Rect(0, 0, 60, 20), sheettest.Rect(55, 5, 4, 10)), 0, usual)
	for _, tb := range tabs {
		if tb.At.X > 58 && tb.At.Y > 4 && tb.At.Y < 16 || tb.Given != "" {
			t.Errorf("tab over a thin web at %v (%s)", tb.At, tb.Given)
		}
	}
}

// TestPlaceBesideScrap: on a plate with round ends the straight sides are the better
// place, until neighbours leave no scrap beside them.
func TestPlaceBesideScrap(t *testing.T) {
	for _, r := range []float64{8, 10, 15} {
		plate := geom.Path{
			geom.Line(geom.Pt(r, 0), geom.Pt(60-r, 0)), geom.Bulge(geom.Pt(60-r, 0), geom.Pt(60-r, 2*r), 1),
			geom.Line(geom.Pt(60-r, 2*r), geom.Pt(r, 2*r)), geom.Bulge(geom.Pt(r, 2*r), geom.Pt(r, 0), 1),
		}
		for _, tt := range []struct {
			off float64 // of the neighbours, mm; three kerfs of scrap are wished for
			end bool    // the tabs lie on the round ends
		}{{1, true}, {2, true}, {2.9, true}, {3.5, false}, {7, false}} {
			s := sheettest.Of(plate, sheettest.Rect(-10, -tt.off-30, 80, 30), sheettest.Rect(-10, 2*r+tt.off, 80, 30))
			tabs, _ := Place(s, 0, usual)
			if len(tabs) != 2 {
				t.Errorf("radius %g, neighbours %g off: %d tabs", r, tt.off, len(tabs))
			}
			for _, tb := range tabs {
				if end := tb.At.X < r-1 || tb.At.X > 61-r; end != tt.end || tb.Given != "" {
					t.Errorf("radius %g, neighbours %g off: a tab at %v, given up: %q", r, tt.off, tb.At, tb.Given)
				}
			}
		}
	}
}

// TestPlaceScrapGrowsWithKerf: what is wished for is three kerfs, whatever the kerf.
func TestPlaceScrapGrowsWithKerf(t *testing.T) {
	for _, kerf := range []float64{0.5, 1, 2, 4} {
		for _, walled := range []bool{false, true} {
			off := 3.3 * kerf
			if walled {
				off = 2.7 * kerf
			}
			s := sheettest.Of(sheettest.Rect(0, 0, 60, 40), sheettest.Rect(-20, -off-30, 100, 30), sheettest.Rect(-20, 40+off, 100, 30),
				sheettest.Rect(-off-30, 0, 30, 40), sheettest.Rect(60+off, 0, 30, 40),
				gear(100, 20, 19).Transform(geom.Shift(geom.Pt(30, 150)))) // so much detail makes the grid fine
			tabs, _ := Place(s, 0, Params{Width: 0.8, Kerf: kerf, Support: usual.Support})
			for _, tb := range tabs {
				if got := strings.Contains(tb.Given, "beside scrap"); got != walled {
					t.Errorf("kerf %g, neighbours %g off: given up at %v: %q", kerf, off, tb.At, tb.Given)
				}
			}
		}
	}
}

// TestHit: the ray from the centre of mass meets the outline on the ray, and nothing
// of the outline lies further out on it.
func TestHit(t *testing.T) {
	for name, p := range shapes() {
		l := p.Length()
		c := &score{t: newTrack(newCutter(outline.Path{Pieces: p}, l), usual.Gap(), 18), gap: usual.Gap(), mass: p.Centroid()}
		for k := range 90 {
			d := geom.Polar(geom.Point{}, 1, 0.01+float64(k)*math.Pi/45)
			s, ok := c.hit(d)
			if !ok {
				if p.Contains(c.mass) {
					t.Errorf("%s: nothing in direction %v", name, d)
				}
				continue
			}
			at := c.t.pointAt(s).Sub(c.mass)
			if off := math.Abs(d.Cross(at)); off > 1e-6 || at.Dot(d) < 0 {
				t.Errorf("%s: %v is %g mm off the ray %v", name, at, off, d)
			}
			if out := c.mass.Add(d.Mul(at.Dot(d) + 0.01)); p.Contains(out) {
				t.Errorf("%s: beyond %v in direction %v it goes on", name, at, d)
			}
		}
	}
}

// TestPlaceWholeGapBesideScrap: a spike beside one end of a gap is as bad as one
// beside its middle.
func TestPlaceWholeGapBesideScrap(t *testing.T) {
	strip := sheettest.Rect(0, 0, 60, 20)
	for y := 4.0; y <= 16; y += 0.25 {
		right := sheettest.Poly(62.6, y, 90, y-5, 90, y+5)
		left := right.Transform(geom.Turn(geom.Pt(30, 10), math.Pi))
		tabs, _ := Place(sheettest.Of(strip, right, left), 0, usual)
		for _, tb := range tabs {
			if tb.Given != "" {
				t.Errorf("spikes at %g: gave up %q at %v", y, tb.Given, tb.At)
			}
			for _, s := range [3]float64{tb.S0, (tb.S0 + tb.S1) / 2, tb.S1} {
				p, _ := strip.Along(math.Mod(s, strip.Length()))
				a, _ := right.Dist(p)
				b, _ := left.Dist(p)
				if d := min(a, b); d < 3-1e-9 {
					t.Errorf("spikes at %g: a gap at %v, %g mm from one", y, tb.At, d)
				}
			}
		}
	}
}

func TestPlaceGivesUp(t *testing.T) {
	// Walled in on all sides.
	s := sheettest.Of(sheettest.Rect(0, 0, 60, 20), sheettest.Rect(-30, -30, 120, 80), sheettest.Rect(-1, -1, 62, 22))
	tabs, _ := Place(s, 0, usual)
	if len(tabs) != 2 || !strings.Contains(tabs[0].Given, "beside scrap") {
		t.Errorf("walled in: %+v", tabs)
	}
	for _, tt := range []struct {
		side float64
		n    int
		told bool
	}{{0.5, 0, true}, {1, 1, true}, {1.7, 1, true}, {1.81, 2, false}, {6, 2, false}} {
		tabs, reason := Place(sheettest.Of(sheettest.Rect(0, 0, tt.side, tt.side)), 0, usual)
		if len(tabs) != tt.n || (reason != "") != tt.told {
			t.Errorf("side %g: %d tabs, %q", tt.side, len(tabs), reason)
		}
	}
}

// The start point, the direction and the order on the sheet change nothing.
func TestPlaceStartPoint(t *testing.T) {
	for name, p := range shapes() {
		want, _ := Place(sheettest.Of(p), 0, usual)
		for k := 1; k < min(len(p), 6); k++ {
			got, _ := Place(sheettest.Of(sheettest.Turned(p, k).Reverse()), 0, usual)
			if len(got) != len(want) {
				t.Fatalf("%s: %d tabs from start %d, want %d", name, len(got), k, len(want))
			}
			for _, g := range got {
				near := math.Inf(1)
				for _, w := range want {
					near = min(near, w.At.Dist(g.At))
				}
				if near > 1e-6 {
					t.Errorf("%s from start %d: tab at %v, want one of %v", name, k, g.At, want)
				}
			}
		}
	}
}

// A part turned or mirrored together with its slats has its tabs turned or
// mirrored.
func TestPlaceMoved(t *testing.T) {
	odd := sheettest.Poly(0, 0, 70, 5, 82, 31, 40, 44, 12, 37)
	across := usual
	across.Support.Along = AlongY
	for name, p := range map[string]geom.Path{"panel": panel(), "odd": odd} {
		want, _ := Place(sheettest.Of(p), 0, usual)
		for move, tr := range map[string]geom.Transform{
			"shifted": geom.Shift(geom.Pt(1000, -300)), "mirrored": geom.MirrorX(12),
			"turned": geom.Turn(geom.Pt(5, 5), math.Pi/2), "half turned": geom.Turn(geom.Pt(5, 5), math.Pi),
		} {
			params := usual
			if move == "turned" {
				params = across
			}
			got, _ := Place(sheettest.Of(p.Transform(tr)), 0, params)
			if len(got) != len(want) {
				t.Fatalf("%s %s: %d tabs, want %d", name, move, len(got), len(want))
			}
			for _, w := range want {
				off := math.Inf(1)
				for _, g := range got {
					off = min(off, g.At.Dist(tr.Apply(w.At)))
				}
				if off > 1e-5 {
					t.Errorf("%s %s: tab at %v has no match in %v", name, move, tr.Apply(w.At), got)
				}
			}
		}
	}
}

func TestPlaceSlug(t *testing.T) {
	s := sheettest.Of(sheettest.Rect(0, 0, 300, 200), sheettest.Rect(50, 50, 120, 80), sheettest.Rect(80, 70, 20, 20))
	tabs, reason := PlaceSlug(s, 1, usual)
	if len(tabs) != 3 || reason != "" {
		t.Fatalf("%d tabs, %q", len(tabs), reason)
	}
	for _, tb := range tabs {
		mid := newCutter(s.Outlines[1].Path, s.Outlines[1].Length).pointAt((tb.S0 + tb.S1) / 2)
		if d, _ := s.Outlines[1].Pieces.Dist(tb.At); d > 1e-9 || mid.Dist(tb.At) > 1e-9 || tb.Outline != 1 {
			t.Errorf("tab %+v: %g off, middle at %v", tb, d, mid)
		}
	}
}

func TestCount(t *testing.T) {
	for _, tt := range []struct {
		a, w, h float64
		want    int
	}{{0, 0, 0, 2}, {400, 20, 20, 2}, {10000, 100, 100, 3}, {2000, 400, 5, 4}, {1e6, 1000, 1000, 8}} {
		if got := Count(tt.a, tt.w, tt.h); got != tt.want {
			t.Errorf("Count(%g, %g, %g) = %d, want %d", tt.a, tt.w, tt.h, got, tt.want)
		}
	}
}

func BenchmarkPlace300(b *testing.B) {
	var paths []geom.Path
	kinds := []geom.Path{panel(), gear(24, 20, 16), sheettest.Rect(0, 0, 60, 20), sheettest.Disc(25, 20, 20)}
	for i := range 300 {
		paths = append(paths, kinds[i%4].Transform(geom.Shift(geom.Pt(float64(i%20)*72, float64(i/20)*45))))
	}
	s := sheettest.Of(paths...)
	for b.Loop() {
		pl := NewPlacer(s)
		for i := range s.Parts {
			pl.Place(i, usual)
		}
	}
}
