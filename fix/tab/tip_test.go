package tab

import (
	"math"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
)

func TestTipShare(t *testing.T) {
	along := func(p float64) Support { return Support{Pitch: p, Along: AlongX} }
	for _, tt := range []struct {
		name  string
		outer geom.Path
		holes []geom.Path
		s     Support
		want  float64
	}{
		// Symmetric width W at pitch p: held in 0, W/p-1 or 1 of the offsets.
		{"strip 75", sheettest.Rect(3, 7, 200, 75), nil, along(50), 0.5},
		{"strip 60", sheettest.Rect(3, 7, 200, 60), nil, along(50), 0.8},
		{"strip 100 at 60", sheettest.Rect(3, 7, 200, 100), nil, along(60), 1.0 / 3},
		{"strip 100 at 50, just held", sheettest.Rect(3, 7, 10, 100), nil, along(50), 0},
		{"strip 49", sheettest.Rect(3, 7, 200, 49), nil, along(50), 1},
		{"strip 30 by 200 along the slats", sheettest.Rect(0, 0, 200, 30), nil, along(50), 1},
		{"the same across them", sheettest.Rect(0, 0, 30, 200), nil, along(50), 0},
		{"the same with slats along y", sheettest.Rect(0, 0, 200, 30), nil, Support{Pitch: 50}, 0},
		{"disc 75", sheettest.Disc(11, -3, 37.5), nil, along(50), 0.5},
		{"disc 100", sheettest.Disc(11, -3, 50), nil, along(50), 0},
		{"disc 200", sheettest.Disc(11, -3, 100), nil, along(50), 0},
		{"ring 75", sheettest.Disc(11, -3, 37.5), []geom.Path{sheettest.Disc(11, -3, 30)}, along(50), 0.5},
		{"no slats", sheettest.Rect(0, 0, 10, 10), nil, Support{}, 0},
		// Triangle 0,0 90,0 0,90: centre at a third, so a = 30 below and 60
		// above it: (30 + 50 - 50)/50 held.
		{"triangle", sheettest.Poly(0, 0, 90, 0, 0, 90), nil, along(50), 0.4},
	} {
		got := TipShare(tt.outer, tt.holes, tt.s)
		if math.Abs(got-tt.want) > 1e-6 {
			t.Errorf("%s: share %.9f, want %.9f", tt.name, got, tt.want)
		}
		if rev := TipShare(tt.outer.Reverse(), tt.holes, tt.s); math.Abs(rev-got) > 1e-9 {
			t.Errorf("%s: share %.9f run the other way, want %.9f", tt.name, rev, got)
		}
		// A shift along the slats or by whole pitches changes nothing.
		if d := geom.Pt(1234.5, tt.s.Pitch*7); tt.s.Along == AlongX {
			var holes []geom.Path
			for _, h := range tt.holes {
				holes = append(holes, h.Transform(geom.Shift(d)))
			}
			if sh := TipShare(tt.outer.Transform(geom.Shift(d)), holes, tt.s); math.Abs(sh-got) > 1e-6 {
				t.Errorf("%s: share %.9f when shifted, want %.9f", tt.name, sh, got)
			}
		}
	}
}

// A hole moves the centre of mass: a plate 100 high and 60 wide with a hole of
// 40 by 30 over the upper middle has its centre below 50, at
// (6000*50 - 1200*75) / 4800 = 43.75, so 43.75 and 56.25 lie on its two sides.
func TestTipShareHole(t *testing.T) {
	got := TipShare(sheettest.Rect(0, 0, 60, 100), []geom.Path{sheettest.Rect(10, 60, 40, 30)}, Support{Pitch: 50, Along: AlongX})
	if want := 1 - (43.75+50-50)/50; math.Abs(got-want) > 1e-6 {
		t.Errorf("share %.9f, want %.9f", got, want)
	}
}

// heldSlow decides one offset from scratch: all crossings on a flattened
// outline, and the centre tested against the triangles they span.
func heldSlow(outer geom.Path, ctr geom.Point, s Support, o float64) bool {
	pts := outer.Flatten(1e-3)
	var on []geom.Point
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		if s.Along != AlongX {
			a, b = geom.Pt(a.Y, a.X), geom.Pt(b.Y, b.X)
		}
		for k := math.Ceil((min(a.Y, b.Y) - o) / s.Pitch); o+k*s.Pitch <= max(a.Y, b.Y); k++ {
			if v := o + k*s.Pitch; a.Y != b.Y {
				on = append(on, geom.Pt(a.X+(b.X-a.X)*(v-a.Y)/(b.Y-a.Y), v))
			}
		}
	}
	c := ctr
	if s.Along != AlongX {
		c = geom.Pt(c.Y, c.X)
	}
	// Inside the hull means: no half plane through the centre holds all points.
	for i := range on {
		u := on[i].Sub(c)
		left, right := false, false
		for j := range on {
			x := u.Cross(on[j].Sub(c))
			left, right = left || x > 1e-9, right || x < -1e-9
		}
		if !left || !right {
			return false
		}
	}
	return len(on) > 0
}

func TestTipShareAgainstSampling(t *testing.T) {
	star := func(n int, r0, r1 float64) geom.Path {
		var xy []float64
		for i := range 2 * n {
			r := r0
			if i%2 == 1 {
				r = r1
			}
			q := geom.Polar(geom.Pt(17, 23), r, 0.3+math.Pi*float64(i)/float64(n))
			xy = append(xy, q.X, q.Y)
		}
		return sheettest.Poly(xy...)
	}
	ell := sheettest.Poly(0, 0, 120, 0, 120, 15, 15, 15, 15, 90, 0, 90)
	bow := geom.Path{ // a crescent: its centre lies outside its material
		geom.Bulge(geom.Pt(0, 0), geom.Pt(100, 0), 0.9),
		geom.Bulge(geom.Pt(100, 0), geom.Pt(0, 0), -0.6),
	}
	for name, p := range map[string]geom.Path{"star": star(7, 60, 20), "ell": ell, "crescent": bow} {
		for turn := range 4 {
			q := p.Transform(geom.Turn(geom.Pt(5, 6), 0.4*float64(turn)))
			for _, s := range []Support{{Pitch: 50, Along: AlongX}, {Pitch: 33}} {
				got := TipShare(q, nil, s)
				const n = 1000
				loose := 0
				for k := range n {
					if !heldSlow(q, q.Centroid(), s, s.Pitch*(float64(k)+0.5)/n) {
						loose++
					}
				}
				if want := float64(loose) / n; math.Abs(got-want) > 0.006 {
					t.Errorf("%s turned %d, %+v: share %.4f, sampled %.4f", name, turn, s, got, want)
				}
			}
		}
	}
}

// A part of twice the pitch is just held everywhere. With a margin m it is not
// where a slat passes within m of its centre: then the next ones on one side
// are out of reach.
func TestTipShareMargin(t *testing.T) {
	got := TipShare(sheettest.Rect(0, 0, 200, 100), nil, Support{Pitch: 50, Along: AlongX, Margin: 2})
	if want := 4.0 / 50; math.Abs(got-want) > 1e-6 {
		t.Errorf("share %.9f, want %.9f", got, want)
	}
}

// Slats that run either way count as the worse of the two.
func TestTipShareEitherWay(t *testing.T) {
	strip := sheettest.Rect(0, 0, 200, 75)
	for way, want := range map[Way]float64{AlongX: 0.5, AlongY: 0, EitherWay: 0.5} {
		if got := TipShare(strip, nil, Support{Pitch: 50, Along: way}); math.Abs(got-want) > 1e-6 {
			t.Errorf("way %d: share %.9f, want %.9f", way, got, want)
		}
	}
}

// A strip H high across the slats lies on slats up to o and the rest to a whole
// number of pitches off its two ends. A force of f weights on the end that hangs out
// by o tips it where f o > H/2 - o, so with o > H / (2 (1 + f)); of all positions
// that is the share of o beyond that, at either end.
func TestTipSharePush(t *testing.T) {
	const high, pitch = 400.0, 50.0
	for _, f := range []float64{0, 3, 5, 9, 100} {
		s := Support{Pitch: pitch, Along: AlongX, Push: f}
		want := 0.0
		if o := high / (2 * (1 + f)); f > 0 && o < pitch {
			want = 1 // both ends hang out by o and pitch - o
			if lo := pitch - o; o > lo {
				want = 2 * (pitch - o) / pitch
			}
		}
		if got := TipShare(sheettest.Rect(3, 7, 100, high), nil, s); math.Abs(got-want) > 1e-3 {
			t.Errorf("%g weights: share %.6f, want %.6f", f, got, want)
		}
		if turned := TipShare(sheettest.Rect(7, 3, high, 100), nil, s.Turned()); math.Abs(turned-want) > 1e-3 {
			t.Errorf("%g weights: share %.6f when turned, want %.6f", f, turned, want)
		}
	}
}

func TestTipShareBad(t *testing.T) {
	nan := math.NaN()
	for _, p := range []geom.Path{
		nil, {geom.Line(geom.Pt(0, 0), geom.Pt(0, 0))}, sheettest.Poly(0, 0, nan, 1, 2, 2), sheettest.Poly(0, 0, 1e300, 0, 0, 1e300),
		sheettest.Poly(0, 0, 10, 0, 20, 0),
	} {
		if got := TipShare(p, nil, Support{Pitch: 50}); !(got >= 0 && got <= 1) {
			t.Errorf("%v: share %g", p, got)
		}
	}
}

func BenchmarkTipShare(b *testing.B) {
	for _, bb := range []struct {
		name string
		p    geom.Path
	}{
		{"rect", sheettest.Rect(3, 7, 60, 75)},
		{"large", sheettest.Rect(3, 7, 600, 750)},
		{"disc", sheettest.Disc(0, 0, 40)},
		{"polygon1000", func() geom.Path {
			var xy []float64
			for i := range 1000 {
				q := geom.Polar(geom.Pt(0, 0), 45+float64(i%2), 2*math.Pi*float64(i)/1000)
				xy = append(xy, q.X, q.Y)
			}
			return sheettest.Poly(xy...)
		}()},
	} {
		b.Run(bb.name, func(b *testing.B) {
			for b.Loop() {
				TipShare(bb.p, nil, Support{Pitch: 50, Along: AlongX})
			}
		})
	}
}
