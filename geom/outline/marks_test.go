package outline

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

// open adds an open polyline as one entity.
func (s *sketch) open(xy ...float64) *sketch {
	var ps []geom.Piece
	for i := 0; i+3 < len(xy); i += 2 {
		ps = append(ps, geom.Line(geom.Pt(xy[i], xy[i+1]), geom.Pt(xy[i+2], xy[i+3])))
	}
	return s.add(ps...)
}

// lines adds a closed polygon of single lines.
func (s *sketch) lines(xy ...float64) *sketch {
	for i := 0; i < len(xy); i += 2 {
		j := (i + 2) % len(xy)
		s.line(xy[i], xy[i+1], xy[j], xy[j+1])
	}
	return s
}

// color gives the last entity a colour.
func (s *sketch) color(c int16) *sketch {
	for i := range s.strokes {
		if s.strokes[i].Entity == s.entity-1 {
			s.strokes[i].Color = c
		}
	}
	return s
}

func (s *sketch) arc(cx, cy, r, a0, sweep float64) *sketch {
	return s.add(geom.Arc(geom.Pt(cx, cy), r, a0*math.Pi/180, sweep*math.Pi/180))
}

func spiral(cx, cy, r float64) *sketch {
	s := new(sketch).rect(-100, -100, 100, 100)
	var xy []float64
	for k := range 73 {
		a := float64(k) * math.Pi / 12
		d := r * (0.2 + 0.8*float64(k)/72)
		xy = append(xy, cx+d*math.Cos(a), cy+d*math.Sin(a))
	}
	return s.open(xy...)
}

func zigzag(h float64) *sketch {
	s := new(sketch).rect(-100, -100, 100, 100)
	var xy []float64
	for k := range 9 {
		xy = append(xy, float64(k), h*float64(k%2))
	}
	return s.open(xy...)
}

// markCases are drawings with marks, and with what only looks like marks.
func markCases() []struct {
	name string
	s    *sketch
	want tally
} {
	plate := func() *sketch { return new(sketch).rect(0, 0, 120, 80) }
	lined := func() *sketch { return new(sketch).lines(0, 0, 120, 0, 120, 80, 0, 80) }
	marks := func(n int) tally { return tally{Parts: 1, Open: n, Loose: n} }
	return []struct {
		name string
		s    *sketch
		want tally
	}{
		{"X", plate().line(30, 30, 36, 36).line(30, 36, 36, 30), marks(2)},
		{"tall X", plate().line(30, 30, 32, 50).line(30, 50, 32, 30), marks(2)},
		{"plus", plate().line(47, 33, 53, 33).line(50, 30, 50, 36), marks(2)},
		{"centre mark of a hole", plate().circle(60, 40, 10).line(45, 40, 75, 40).line(60, 25, 60, 55), tally{Parts: 1, Holes: 1, Open: 2, Loose: 2}},
		{"U", plate().open(30, 37, 30, 30, 35, 30, 35, 37), marks(1)},
		{"C of arcs", plate().arc(60, 40, 5, 45, 270), marks(1)},
		{"C of lines", plate().open(64, 36, 60, 36, 58, 38, 58, 44, 60, 46, 64, 46), marks(1)},
		{"U of two lines and an arc", plate().line(30, 40, 30, 30).arc(33, 30, 3, 180, 180).line(36, 30, 36, 40), marks(1)},
		{"spiral", spiral(0, 0, 10), marks(1)},
		{"zigzag", zigzag(8), marks(1)},
		{"curl that crosses itself", plate().open(30, 30, 40, 30, 40, 40, 35, 25), marks(1)},
		{"two parallel lines", plate().line(30, 30, 50, 30).line(30, 35, 50, 35), marks(2)},
		{"mark that touches the edge", plate().line(120, 40, 80, 40), marks(1)},
		{"mark across a corner of the plate", plate().line(0, 0, 50, 40), marks(1)},

		{"fold", plate().line(60, 0, 60, 80), marks(1)},
		{"fold of an outline of lines", lined().line(60, 0, 60, 80), marks(1)},
		{"three folds", plate().line(30, 0, 30, 80).line(60, 0, 60, 80).line(90, 80, 90, 0), marks(3)},
		{"fold in two pieces", plate().line(60, 0, 60, 30).line(60, 30, 60, 80), marks(1)},
		{"fold drawn twice", plate().line(60, 0, 60, 80).line(60, 80, 60, 0), tally{Parts: 1, Open: 1, Loose: 1, Overlaps: 1}},
		{"fold a little too long", plate().line(60, -0.2, 60, 80.2), marks(1)},
		{"fold too long at one end", plate().line(60, 0, 60, 80.2), marks(1)},
		{"fold a little short", plate().line(60, 0.3, 60, 79.8), marks(1)},
		{"fold short at one end", plate().line(60, 0, 60, 79.8), marks(1)},
		{"fold through a hole", plate().circle(60, 40, 10).line(60, 0, 60, 80), tally{Parts: 1, Holes: 1, Open: 1, Loose: 1}},
		{"fold that stops at a hole", plate().circle(60, 40, 10).line(60, 0, 60, 30).line(60, 50, 60, 80), tally{Parts: 1, Holes: 1, Open: 2, Loose: 2}},
		{"fold between notches", new(sketch).poly(0, 0, 58, 0, 58, 3, 62, 3, 62, 0, 120, 0, 120, 80, 62, 80, 62, 77, 58, 77, 58, 80, 0, 80).line(58, 3, 58, 77), marks(1)},
		{"diagonal of a plate", plate().line(0, 0, 120, 80), marks(1)},
		{"box unfolded", new(sketch).poly(20, 0, 60, 0, 60, 20, 80, 20, 80, 60, 60, 60, 60, 80, 20, 80, 20, 60, 0, 60, 0, 20, 20, 20).
			line(20, 20, 60, 20).line(60, 20, 60, 60).line(60, 60, 20, 60).line(20, 60, 20, 20), marks(4)},
		{"folds that cross, by colour", plate().line(60, 0, 60, 80).color(3).line(0, 40, 120, 40).color(3), marks(2)},
		{"frame by layer, standing on the edge", plate().open(30, 0, 30, 20, 50, 20, 50, 0).layer(1), marks(1)},
		{"fold of a round plate", new(sketch).circle(0, 0, 50).line(-30, -40, -30, 40), marks(1)},

		{"hole with a gap of 2", plate().open(32, 30, 54, 30, 54, 68, 30, 68, 30, 30), tally{Parts: 1, Holes: 1, Gaps: 1, Bridged: 1}},
		{"hole with its corners missing", plate().line(42, 30, 58, 30).line(60, 32, 60, 48).line(58, 50, 42, 50).line(40, 48, 40, 32), tally{Parts: 1, Open: 4, Gaps: 4}},
		{"panels: a grid", plate().line(60, 0, 60, 80).line(0, 40, 120, 40), tally{Parts: 4, Shared: 4}},
		{"panels drawn for two parts", new(sketch).lines(0, 0, 60, 0, 60, 80, 0, 80).line(60, 0, 120, 0).line(120, 0, 120, 80).line(120, 80, 60, 80), tally{Parts: 2, Shared: 1}},
		{"square cut into two gussets", new(sketch).lines(0, 0, 20, 0, 20, 20, 0, 20).line(0, 0, 20, 20), tally{Parts: 2, Shared: 1}},
		{"two hexagons", new(sketch).poly(10, 0, 20, 0, 25, 8.66, 20, 17.32, 10, 17.32, 5, 8.66).line(25, 8.66, 35, 8.66).line(35, 8.66, 40, 17.32).line(40, 17.32, 35, 25.98).line(35, 25.98, 25, 25.98).line(25, 25.98, 20, 17.32), tally{Parts: 2, Shared: 1}},
		{"chamfer not trimmed", plate().line(110, 0, 120, 10), tally{Parts: 2, Shared: 1}},
		{"notch whose edge was left", plate().open(30, 0, 30, 20, 50, 20, 50, 0), tally{Parts: 2, Shared: 1}},
		{"neighbour on another layer", new(sketch).rect(0, 0, 60, 80).open(60, 0, 120, 0, 120, 80, 60, 80).layer(1), tally{Parts: 2, Shared: 1}},
		{"windows half over each other at an edge", plate().rect(40, 50, 80, 80).rect(30, 50, 70, 70), tally{Parts: 1, Crossings: 1, Overlaps: 2}},
		{"line from part to part", plate().rect(130, 0, 200, 80).line(100, 40, 150, 40), tally{Parts: 2, Open: 1, Gaps: 2, Crossings: 2}},
		{"line beyond the edge", plate().line(100, 40, 125, 40), tally{Parts: 1, Open: 1, Gaps: 2, Crossings: 1}},
	}
}

func TestMarks(t *testing.T) {
	for _, c := range markCases() {
		t.Run(c.name, func(t *testing.T) {
			if d := cmp.Diff(c.want, count(build(t, c.s.strokes))); d != "" {
				t.Errorf("counts (-want +got):\n%s", d)
			}
		})
	}
}

// TestMarksHoweverDrawn turns, mirrors, reverses and shuffles the drawings.
func TestMarksHoweverDrawn(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, c := range markCases() {
		for range 8 {
			m := geom.Turn(geom.Pt(7, -3), rng.Float64()*2*math.Pi).Then(geom.Shift(geom.Pt(1000*rng.Float64(), -500)))
			if rng.IntN(2) == 0 {
				m = geom.MirrorX(0).Then(m)
			}
			strokes := shuffled(rng, c.s.strokes, m)
			if d := cmp.Diff(c.want, count(build(t, strokes))); d != "" {
				t.Errorf("%s: counts (-want +got):\n%s", c.name, d)
			}
		}
	}
}

// shuffled moves strokes by m, reverses entities and puts them in another order.
func shuffled(rng *rand.Rand, strokes []drawing.Stroke, m geom.Transform) []drawing.Stroke {
	var groups [][]drawing.Stroke
	for i, s := range strokes {
		s.Piece = s.Piece.Transform(m)
		if i == 0 || strokes[i-1].Entity != s.Entity {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], s)
	}
	rng.Shuffle(len(groups), func(i, j int) { groups[i], groups[j] = groups[j], groups[i] })
	var out []drawing.Stroke
	for _, g := range groups {
		if rng.IntN(2) == 0 {
			for i := range g {
				out = append(out, g[len(g)-1-i])
				out[len(out)-1].Piece = out[len(out)-1].Piece.Reverse()
			}
			continue
		}
		out = append(out, g...)
	}
	return out
}

// TestNoted joins what is put aside into paths of its own.
func TestNoted(t *testing.T) {
	var s sketch
	s.rect(0, 0, 100, 100).line(0, 50, 20, 50).line(30, 60, 20, 50).circle(50, 50, 5).line(70, 70, 80, 70).line(80, 70, 70, 70)
	sheet, err := Build(context.Background(), s.strokes, func(st *drawing.Stroke) Role {
		if st.Entity > 0 {
			return Noted
		}
		return Cut
	}, testOptions)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(tally{Parts: 1}, count(sheet)); d != "" {
		t.Errorf("counts (-want +got):\n%s", d)
	}
	var got []int
	for _, n := range sheet.Noted {
		got = append(got, len(n.Pieces))
		if n.Part != 0 {
			t.Errorf("path at %v lies in part %d", n.Pieces[0].A, n.Part)
		}
	}
	if d := cmp.Diff([]int{2, 1, 1}, got); d != "" {
		t.Errorf("pieces of the paths (-want +got):\n%s", d)
	}
}
