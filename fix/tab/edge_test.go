package tab

import (
	"math"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/outline"
)

// cornered returns a polygon of right corners with each rounded, or cut off, 1 mm
// from it.
func cornered(p geom.Path, rounded bool) geom.Path {
	var out geom.Path
	for i := range p {
		u, v := p[i].TangentAt(0), p[(i+1)%len(p)].TangentAt(0)
		a, b := p[i].B.Sub(u), p[i].B.Add(v)
		corner := geom.Line(a, b)
		if rounded {
			corner = geom.Bulge(a, b, math.Tan(geom.TurnTo(u, v)/4))
		}
		out = append(out, geom.Line(p[i].A.Add(u), a), corner)
	}
	return out
}

// Fingers along an edge, gears, and the shapes between: what is a joint by its
// outline alone.
func TestJointEdges(t *testing.T) {
	for _, tt := range []struct {
		name string
		p    geom.Path
		want int // joint edges
	}{
		{"plate", sheettest.Rect(0, 0, 60, 40), 0},
		{"ell", sheettest.Poly(0, 0, 60, 0, 60, 15, 15, 15, 15, 60, 0, 60), 0},
		{"tab", sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 46, 20, 46, 20, 40, 0, 40), 3},
		{"notch", sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 34, 20, 34, 20, 40, 0, 40), 3},
		{"tab with sides of nearly one length", sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 46, 20, 46, 20, 41, 0, 41), 3},
		{"step with sides of two lengths", sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 46, 20, 46, 20, 42, 0, 42), 0},
		{"tab near a corner", sheettest.Poly(0, 0, 60, 0, 60, 40, 57, 40, 57, 46, 37, 46, 37, 40, 0, 40), 3},
		{"tab near the other corner", sheettest.Poly(0, 0, 60, 0, 60, 40, 23, 40, 23, 46, 3, 46, 3, 40, 0, 40), 3},
		{"tab as wide as four times the depth of joints", sheettest.Poly(0, 0, 100, 0, 100, 40, 86, 40, 86, 46, 14, 46, 14, 40, 0, 40), 3},
		{"raised edge, too wide for a tab", sheettest.Poly(0, 0, 100, 0, 100, 40, 87, 40, 87, 46, 14, 46, 14, 40, 0, 40), 0},
		{"tab as deep as joints go", sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 58, 20, 58, 20, 40, 0, 40), 3},
		{"arm, too deep for a tab", sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 59, 20, 59, 20, 40, 0, 40), 0},
		{"tab with rounded corners", cornered(sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 46, 20, 46, 20, 40, 0, 40), true), 3},
		{"tab with its corners cut off", cornered(sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 46, 20, 46, 20, 40, 0, 40), false), 3},
		{"disc with a tab", geom.Path{geom.Line(geom.Pt(10, -5), geom.Pt(20, -5)), geom.Line(geom.Pt(20, -5), geom.Pt(20, 5)), geom.Line(geom.Pt(20, 5), geom.Pt(10, 5)),
			geom.ThroughPoint(geom.Pt(10, 5), geom.Pt(-40, 0), geom.Pt(10, -5))}, 3},
		{"deep bay", sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 10, 20, 10, 20, 40, 0, 40), 0},
		{"two tabs and the notch between", sheettest.Poly(0, 0, 60, 0, 60, 40,
			48, 40, 48, 44, 40, 44, 40, 40, 20, 40, 20, 44, 12, 44, 12, 40, 0, 40), 7},
		{"two tabs far apart", sheettest.Poly(0, 0, 160, 0, 160, 40,
			148, 40, 148, 44, 140, 44, 140, 40, 20, 40, 20, 44, 12, 44, 12, 40, 0, 40), 6},
		{"the end between two tabs is no tab itself", sheettest.Poly(0, 0, 120, 0, 120, -4, 128, -4, 128, 0, 140, 0, 140, 40,
			128, 40, 128, 44, 120, 44, 120, 40, 0, 40), 6},
		{"relieved notch", append(sheettest.Poly(0, 0, 60, 0, 60, 40, 40, 40, 40, 35)[:4],
			geom.Line(geom.Pt(40, 35), geom.Pt(40, 34.9)), geom.Bulge(geom.Pt(40, 34.9), geom.Pt(39.1, 34), 2),
			geom.Line(geom.Pt(39.1, 34), geom.Pt(20, 34)), geom.Line(geom.Pt(20, 34), geom.Pt(20, 40)),
			geom.Line(geom.Pt(20, 40), geom.Pt(0, 40)), geom.Line(geom.Pt(0, 40), geom.Pt(0, 0))), 3},
	} {
		if tt.name == "relieved notch" {
			tt.p[3] = geom.Line(geom.Pt(40, 40), geom.Pt(40, 35))
		}
		tr := newTrack(newCutter(outline.Path{Pieces: tt.p}, tt.p.Length()), 1.8, 18)
		got := 0
		for _, e := range tr.edges {
			if e.joint {
				got++
			}
		}
		if got != tt.want {
			t.Errorf("%s: %d joint edges, want %d", tt.name, got, tt.want)
		}
	}
}

// TestTurnOver: the turn over a stretch is that of the corners and arcs within it,
// also over the start of the outline and a rounding error beside it; a corner just
// at an end of the stretch may count or not.
func TestTurnOver(t *testing.T) {
	for name, p := range shapes() {
		l := p.Length()
		tr := newTrack(newCutter(outline.Path{Pieces: p}, l), 1.8, 18)
		for _, d := range []float64{0.7, 1.8, l / 7} {
			for _, s := range []float64{-1e-10, 0, 1e-10, d - 1e-10, d + 1e-10, l / 3, l - d - 1e-10, l - d + 1e-10, l - 0.3, l - 1e-10, l, l + 0.2} {
				lo, hi := s-d, s+d
				want, slack := 0.0, 1e-6
				for lap := -1; lap <= 1; lap++ {
					for i := range p {
						at := float64(lap)*l + tr.at[i]
						corner := geom.TurnTo(p[(i+len(p)-1)%len(p)].TangentAt(1), p[i].TangentAt(0))
						switch {
						case math.Abs(at-lo) < 1e-8 || math.Abs(at-hi) < 1e-8:
							slack += math.Abs(corner)
						case at > lo && at < hi:
							want += corner
						}
						length := tr.at[i+1] - tr.at[i]
						want += p[i].Sweep * max(0, min(hi, at+length)-max(lo, at)) / length
					}
				}
				if got := tr.turnOver(s, d); math.Abs(got-want) > slack {
					t.Errorf("%s: from %g to %g of %g it turns by %g, want %g", name, lo, hi, l, got, want)
				}
			}
		}
	}
}
