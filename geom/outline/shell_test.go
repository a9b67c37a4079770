package outline

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

// windows adds twelve windows to a plate of 200 by 140.
func (s *sketch) windows() *sketch {
	for i := range 4 {
		for j := range 3 {
			x, y := 20+44*float64(i), 20+36*float64(j)
			s.rect(x, y, x+20, y+20)
		}
	}
	return s
}

// held sums up what becomes of the windows.
type held struct{ Parts, Holes, Doubt int }

func heldIn(s *Sheet) held {
	h := held{Parts: len(s.Parts)}
	for i := range s.Parts {
		h.Holes += len(s.Parts[i].Holes)
		if s.Parts[i].Doubt {
			h.Doubt++
		}
	}
	return h
}

func shellCases() []struct {
	name string
	s    *sketch
	want held
} {
	plate := func(from, to float64) *sketch { // the lower edge is missing from..to
		return new(sketch).line(0, 0, from, 0).line(to, 0, 200, 0).line(200, 0, 200, 140).line(200, 140, 0, 140).line(0, 140, 0, 0)
	}
	whole, lost, doubt := held{Parts: 1, Holes: 12}, held{Parts: 12}, held{Parts: 12, Doubt: 12}
	return []struct {
		name string
		s    *sketch
		want held
	}{
		{"gap of 2", plate(50, 52), whole},
		{"gap of 12", plate(50, 62), whole},
		{"gap of 60", plate(50, 110), whole},
		{"gap of 60, one open polyline", new(sketch).open(110, 0, 200, 0, 200, 140, 0, 140, 0, 0, 50, 0), whole},
		{"gap of 80, more than an eighth", plate(50, 130), doubt},
		{"side missing", new(sketch).line(0, 0, 200, 0).line(200, 0, 200, 140).line(200, 140, 0, 140), doubt},
		{"two sides missing", new(sketch).line(0, 0, 200, 0).line(200, 0, 200, 140), lost},
		{"corner missing", new(sketch).line(30, 0, 200, 0).line(200, 0, 200, 140).line(200, 140, 0, 140).line(0, 140, 0, 30), whole},
		{"three gaps of 15", new(sketch).line(0, 0, 50, 0).line(65, 0, 200, 0).line(200, 0, 200, 50).line(200, 65, 200, 140).line(200, 140, 100, 140).line(85, 140, 0, 140).line(0, 140, 0, 0), whole},
		{"piece between two gaps", new(sketch).line(0, 0, 50, 0).line(58, 0, 61, 0).line(69, 0, 200, 0).line(200, 0, 200, 140).line(200, 140, 0, 140).line(0, 140, 0, 0), whole},
		{"mark near the gap", plate(50, 56).line(53, 2, 53, 15), whole},
		{"bend line on the edge", plate(50, 80).line(90, 0, 90, 140), whole},
		{"mark that stands on the edge", plate(50, 80).line(90, 0, 90, 10), whole},
		{"marks that stand on the edge side by side", plate(50, 80).line(90, 0, 90, 120).line(115, 0, 115, 120), whole},
		{"part in the gap", plate(50, 70).rect(55, -20, 65, -5), held{Parts: 2, Holes: 12}},
		{"end that runs off", new(sketch).line(0, 0, 200, 0).line(200, 0, 200, 140).line(200, 140, 0, 140).line(0, 140, 0, 5).line(0, 5, -15, 5), whole},
		{"round, a gap of 39", new(sketch).arc(100, 70, 130, 5, 343), whole},
	}
}

// TestShells keeps windows within outlines that are almost closed, and tells
// where it is not known what they are.
func TestShells(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, c := range shellCases() {
		c.s.windows()
		for k := range 6 {
			strokes := c.s.strokes
			if k > 0 {
				m := geom.Turn(geom.Pt(7, -3), rng.Float64()*2*math.Pi).Then(geom.Shift(geom.Pt(900*rng.Float64(), -500)))
				if k%2 == 0 {
					m = geom.MirrorX(4).Then(m)
				}
				strokes = shuffled(rng, strokes, m)
			}
			s := build(t, strokes)
			if d := cmp.Diff(c.want, heldIn(s)); d != "" {
				t.Errorf("%s: what the windows are (-want +got):\n%s", c.name, d)
			}
			told := 0
			for _, g := range s.Gaps {
				told += g.Within
			}
			if told != c.want.Doubt || len(s.Gaps) == 0 {
				t.Errorf("%s: %d gaps tell of %d outlines, want %d", c.name, len(s.Gaps), told, c.want.Doubt)
			}
		}
	}
}

// TestOpenInsideStaysMark leaves wide open paths inside a part what they are.
func TestOpenInsideStaysMark(t *testing.T) {
	s := new(sketch).rect(-200, -200, 200, 200).arc(0, 0, 100, 20, 320).add(geom.Arc(geom.Pt(0, 0), 60, 0.1, 6))
	got := build(t, s.strokes)
	if d := cmp.Diff(tally{Parts: 1, Open: 2, Loose: 2}, count(got)); d != "" {
		t.Errorf("counts (-want +got):\n%s", d)
	}
}

func TestHull(t *testing.T) {
	hull := hullOf(geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(10, 0)), geom.Line(geom.Pt(10, 0), geom.Pt(10, 10)), geom.Line(geom.Pt(10, 10), geom.Pt(0, 10)), geom.Line(geom.Pt(0, 10), geom.Pt(4, 5))})
	if len(hull) != 4 || math.Abs(hull.Length()-40) > 1e-9 || !inHull(hull, geom.Pt(1, 5)) || inHull(hull, geom.Pt(11, 5)) || hull.Area() != 100 {
		t.Errorf("hull %v", hull)
	}
	if hull := hullOf(geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(10, 0))}); len(hull) > 2 {
		t.Errorf("hull of a line: %v", hull)
	}
}
