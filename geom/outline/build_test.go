package outline

import (
	"context"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

var testOptions = Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1}

// sketch is a list of strokes made by hand.
type sketch struct {
	strokes []drawing.Stroke
	entity  int32
}

func (s *sketch) add(ps ...geom.Piece) *sketch {
	for _, p := range ps {
		s.strokes = append(s.strokes, drawing.Stroke{Piece: p, Entity: s.entity})
	}
	s.entity++
	return s
}

// poly adds a closed polygon as one entity.
func (s *sketch) poly(xy ...float64) *sketch {
	var ps []geom.Piece
	for i := 0; i < len(xy); i += 2 {
		j := (i + 2) % len(xy)
		ps = append(ps, geom.Line(geom.Pt(xy[i], xy[i+1]), geom.Pt(xy[j], xy[j+1])))
	}
	return s.add(ps...)
}

func (s *sketch) rect(x0, y0, x1, y1 float64) *sketch { return s.poly(x0, y0, x1, y0, x1, y1, x0, y1) }

func (s *sketch) line(x0, y0, x1, y1 float64) *sketch {
	return s.add(geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)))
}

func (s *sketch) circle(x, y, r float64) *sketch { return s.add(geom.Circle(geom.Pt(x, y), r)) }

// layer puts the last entity on a layer.
func (s *sketch) layer(l int32) *sketch {
	for i := range s.strokes {
		if s.strokes[i].Entity == s.entity-1 {
			s.strokes[i].Layer = l
		}
	}
	return s
}

func cutAll(*drawing.Stroke) Role { return Cut }

func build(t *testing.T, strokes []drawing.Stroke) *Sheet {
	t.Helper()
	drawing.MarkRings(strokes)
	s, err := Build(context.Background(), strokes, cutAll, testOptions)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// tally sums a sheet up in figures that small drawings can be checked by.
type tally struct {
	Parts, Holes, Open, Loose, Gaps, Bridged, Overlaps, Shared, Crossings, Strays int
}

func count(s *Sheet) tally {
	c := tally{Parts: len(s.Parts), Open: len(s.Open), Gaps: len(s.Gaps), Overlaps: len(s.Overlaps), Shared: len(s.Shared), Crossings: len(s.Crossings), Strays: len(s.Strays)}
	for _, p := range s.Parts {
		c.Holes += len(p.Holes)
	}
	for _, o := range s.Open {
		if o.Loose {
			c.Loose++
		}
	}
	for _, g := range s.Gaps {
		if g.Bridged {
			c.Bridged++
		}
	}
	return c
}

func TestBuild(t *testing.T) {
	arc := func(cx, cy, r, a0, sweep float64) geom.Piece {
		return geom.Arc(geom.Pt(cx, cy), r, a0*math.Pi/180, sweep*math.Pi/180)
	}
	for _, c := range []struct {
		name string
		s    *sketch
		want tally
		area float64 // of the first part, 0: not checked
	}{
		{"square", new(sketch).rect(0, 0, 10, 10), tally{Parts: 1}, 100},
		{"square with hole", new(sketch).rect(0, 0, 10, 10).circle(5, 5, 2), tally{Parts: 1, Holes: 1}, 100 - 4*math.Pi},
		{"part in a hole", new(sketch).rect(0, 0, 30, 30).rect(5, 5, 25, 25).circle(15, 15, 5), tally{Parts: 2, Holes: 1}, 500},
		{"loose lines", new(sketch).line(0, 0, 10, 0).line(10, 10, 10, 0).line(0, 10, 10, 10).line(0, 10, 0, 0), tally{Parts: 1}, 100},
		{"two half circles", new(sketch).add(arc(0, 0, 5, 0, 180)).add(arc(0, 0, 5, 180, 180)), tally{Parts: 1}, 25 * math.Pi},
		{"arc over half a turn with chord", new(sketch).add(arc(0, 0, 5, 60, 300)).line(2.5, 5*math.Sqrt(3)/2, 5, 0), tally{Parts: 1}, 0},
		{"tiny gap", new(sketch).line(0, 0, 40, 0).line(40, 0, 40, 40).line(40, 40, 0, 40).line(0, 40, 0, 0.2), tally{Parts: 1, Gaps: 1, Bridged: 1}, 0},
		{"gap above tolerance", new(sketch).line(0, 0, 40, 0).line(40, 0, 40, 40).line(40, 40, 0, 40).line(0, 40, 0, 2), tally{Parts: 1, Gaps: 1, Bridged: 1}, 0},
		{"wide gap is no outline", new(sketch).line(0, 0, 9, 0).line(9, 0, 9, 9).line(9, 9, 0, 9), tally{Open: 1, Gaps: 1}, 0},
		{"drawn twice", new(sketch).rect(0, 0, 10, 10).rect(0, 0, 10, 10), tally{Parts: 1, Overlaps: 4}, 100},
		{"line again, reversed", new(sketch).rect(0, 0, 10, 10).line(10, 0, 0, 0), tally{Parts: 1, Overlaps: 1}, 100},
		{"partly again", new(sketch).rect(0, 0, 10, 10).line(2, 0, 6, 0), tally{Parts: 1, Overlaps: 1}, 100},
		{"longer on shorter", new(sketch).line(0, 0, 4, 0).line(0, 0, 10, 0).line(10, 0, 10, 10).line(10, 10, 0, 10).line(0, 10, 0, 0), tally{Parts: 1, Overlaps: 1}, 100},
		{"overlapping halves", new(sketch).line(0, 0, 6, 0).line(4, 0, 10, 0).line(10, 0, 10, 10).line(10, 10, 0, 10).line(0, 10, 0, 0), tally{Parts: 1, Overlaps: 1}, 100},
		{"circle and arc on it", new(sketch).circle(0, 0, 5).add(arc(0, 0, 5, 30, 80)), tally{Parts: 1, Overlaps: 1}, 25 * math.Pi},
		{"circle twice", new(sketch).circle(0, 0, 5).add(arc(0, 0, 5, 90, 360)), tally{Parts: 1, Overlaps: 1}, 25 * math.Pi},
		{"circle and two halves", new(sketch).circle(0, 0, 5).add(arc(0, 0, 5, 90, 180)).add(arc(0, 0, 5, 270, 180)), tally{Parts: 1, Overlaps: 2}, 25 * math.Pi},
		{"circle and its halves from its own start", new(sketch).circle(0, 0, 5).add(arc(0, 0, 5, 0, 180)).add(arc(0, 0, 5, 180, 180)), tally{Parts: 1, Overlaps: 2}, 25 * math.Pi},
		{"halves and their circle, in a part", new(sketch).rect(-20, -20, 20, 20).add(arc(0, 0, 5, 0, 180)).add(arc(0, 0, 5, 180, 180)).circle(0, 0, 5), tally{Parts: 1, Holes: 1, Overlaps: 2}, 1600 - 25*math.Pi},
		{"circle and its quarters", new(sketch).circle(0, 0, 5).add(arc(0, 0, 5, 0, 90), arc(0, 0, 5, 90, 90), arc(0, 0, 5, 180, 90), arc(0, 0, 5, 270, 90)), tally{Parts: 1, Overlaps: 4}, 25 * math.Pi},
		{"neighbours, edge drawn twice", new(sketch).rect(0, 0, 10, 10).rect(10, 0, 20, 10), tally{Parts: 2, Shared: 1}, 100},
		{"neighbours, edge drawn once", new(sketch).rect(0, 0, 10, 10).line(10, 0, 20, 0).line(20, 0, 20, 10).line(20, 10, 10, 10), tally{Parts: 2, Shared: 1}, 100},
		{"neighbours, part of an edge", new(sketch).rect(0, 0, 10, 10).rect(10, 2, 20, 7), tally{Parts: 2, Shared: 1}, 100},
		{"grid of four", new(sketch).rect(0, 0, 20, 20).line(10, 0, 10, 20).line(0, 10, 20, 10), tally{Parts: 4, Shared: 4}, 100},
		{"touching at a corner", new(sketch).rect(0, 0, 10, 10).rect(10, 10, 20, 20), tally{Parts: 2}, 100},
		{"corner touches edge", new(sketch).rect(0, 0, 10, 10).poly(10, 5, 15, 0, 20, 5, 15, 10), tally{Parts: 2}, 100},
		{"hole touches edge from inside", new(sketch).rect(0, 0, 10, 10).poly(0, 5, 3, 2, 6, 5, 3, 8), tally{Parts: 1, Holes: 1}, 82},
		{"crossing squares", new(sketch).rect(0, 0, 10, 10).rect(5, 5, 15, 15), tally{Parts: 2, Crossings: 2}, 0},
		{"corner pokes through an edge", new(sketch).rect(0, 0, 10, 10).poly(8, 5, 10, 4, 14, 5, 10, 6), tally{Parts: 2, Crossings: 2}, 0},
		{"bow tie", new(sketch).poly(0, 0, 10, 10, 10, 0, 0, 9), tally{Parts: 1, Crossings: 1}, 0},
		{"tangent circles", new(sketch).circle(0, 0, 5).circle(10, 0, 5), tally{Parts: 2}, 0},
		{"tail outside", new(sketch).rect(0, 0, 30, 30).line(30, 15, 45, 15), tally{Parts: 1, Open: 1, Gaps: 1}, 900},
		{"tail inside", new(sketch).rect(0, 0, 30, 30).line(30, 15, 12, 15), tally{Parts: 1, Open: 1, Loose: 1}, 900},
		{"mark", new(sketch).rect(0, 0, 60, 60).line(20, 30, 40, 30), tally{Parts: 1, Open: 1, Loose: 1}, 3600},
		{"bend line on its own layer", new(sketch).rect(0, 0, 60, 60).line(0, 30, 60, 30).layer(1), tally{Parts: 1, Open: 1, Loose: 1}, 3600},
		{"speck", new(sketch).rect(0, 0, 60, 60).line(80, 30, 80.3, 30), tally{Parts: 1, Strays: 1}, 3600},
		{"zero length", new(sketch).rect(0, 0, 60, 60).line(60, 60, 60, 60), tally{Parts: 1, Strays: 1}, 3600},
		{"speck inside a gap joins it", new(sketch).line(0, 0, 40, 0).line(40, 0, 40, 40).line(40, 40, 0, 40).line(0, 40, 0, 0.6).line(0, 0.4, 0, 0.2), tally{Parts: 1, Gaps: 2, Bridged: 2}, 1600},
		{"broken hole", new(sketch).rect(0, 0, 60, 60).add(arc(30, 30, 10, 5, 170)).add(arc(30, 30, 10, 185, 170)), tally{Parts: 1, Holes: 1, Gaps: 2, Bridged: 2}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := build(t, c.s.strokes)
			if d := cmp.Diff(c.want, count(s)); d != "" {
				t.Errorf("counts (-want +got):\n%s", d)
			}
			if c.area > 0 && math.Abs(s.Parts[0].Area-c.area) > 1e-9*c.area {
				t.Errorf("area %v, want %v", s.Parts[0].Area, c.area)
			}
			for i, o := range s.Outlines {
				a := o.Pieces.Area()
				if (a > 0) == o.Hole() {
					t.Errorf("outline %d runs the wrong way round", i)
				}
				for k := range o.Pieces {
					if d := o.Pieces[k].B.Dist(o.Pieces[(k+1)%len(o.Pieces)].A); d > 2*testOptions.Join {
						t.Errorf("outline %d: pieces %d and the next are %g apart", i, k, d)
					}
				}
			}
		})
	}
}
