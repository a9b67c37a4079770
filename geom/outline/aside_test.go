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

// relative draws the same another way.
type relative struct {
	name  string
	place geom.Transform
	draw  func(rng *rand.Rand, s drawing.Stroke) []drawing.Stroke
}

func relatives() []relative {
	same := func(_ *rand.Rand, s drawing.Stroke) []drawing.Stroke { return []drawing.Stroke{s} }
	pieces := func(s drawing.Stroke, ps ...geom.Piece) []drawing.Stroke {
		var out []drawing.Stroke
		for _, p := range ps {
			q := s
			q.Piece = p
			out = append(out, q)
		}
		return out
	}
	return []relative{
		{"as drawn", geom.Identity(), same},
		{"turned", geom.Turn(geom.Pt(30, 40), 0.6), same},
		{"turned by a quarter", geom.Turn(geom.Pt(30, 40), math.Pi/2), same},
		{"mirrored", geom.MirrorX(17), same},
		{"far off", geom.Shift(geom.Pt(-4e4, 9e4)), same},
		{"split and reversed", geom.Identity(), func(rng *rand.Rand, s drawing.Stroke) []drawing.Stroke {
			t := 0.3 + 0.4*rng.Float64()
			return pieces(s, s.Sub(t, 1).Reverse(), s.Sub(0, t))
		}},
		{"curves as lines", geom.Identity(), func(_ *rand.Rand, s drawing.Stroke) []drawing.Stroke {
			if s.R == 0 {
				return []drawing.Stroke{s}
			}
			n := int(math.Ceil(math.Abs(s.Sweep) / (2 * math.Pi) * 48))
			var ps []geom.Piece
			for k := range n {
				q := s.Sub(float64(k)/float64(n), float64(k+1)/float64(n))
				ps = append(ps, geom.Line(q.A, q.B))
			}
			if s.IsCircle() {
				ps[n-1].B = ps[0].A
			}
			return pieces(s, ps...)
		}},
	}
}

// draw returns the strokes of a relative, in an order of chance.
func (r *relative) strokes(in []drawing.Stroke, seed uint64) []drawing.Stroke {
	rng := rand.New(rand.NewPCG(seed, 3))
	var out []drawing.Stroke
	for _, s := range in {
		for _, q := range r.draw(rng, s) {
			q.Piece = q.Piece.Transform(r.place)
			out = append(out, q)
		}
	}
	rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// kinds counts what is set aside.
type kinds struct{ Parts, Holes, Border, Frame, Step, Groups, Open, Gaps int }

func kindsOf(s *Sheet) kinds {
	k := kinds{Parts: len(s.Parts), Open: len(s.Open), Gaps: len(s.Gaps)}
	for i := range s.Outlines {
		if s.Outlines[i].Hole() {
			k.Holes++
		}
	}
	groups := map[int]bool{}
	for i := range s.Aside {
		groups[s.Aside[i].Group] = true
		switch s.Aside[i].Kind {
		case Border:
			k.Border++
		case Frame:
			k.Frame++
		case Step:
			k.Step++
		}
	}
	k.Groups = len(groups)
	return k
}

// plate adds a plate with holes of 8 mm near its ends.
func (s *sketch) plate(x, y, w, h float64) *sketch {
	return s.rect(x, y, x+w, y+h).circle(x+10, y+10, 4).circle(x+w-12, y+h-10, 4)
}

// obround adds a slot with round ends along x.
func (s *sketch) obround(x, y, l, w float64) *sketch {
	a, r := (l-w)/2, w/2
	return s.add(
		geom.Line(geom.Pt(x-a, y-r), geom.Pt(x+a, y-r)), geom.Arc(geom.Pt(x+a, y), r, -math.Pi/2, math.Pi),
		geom.Line(geom.Pt(x+a, y+r), geom.Pt(x-a, y+r)), geom.Arc(geom.Pt(x-a, y), r, math.Pi/2, math.Pi))
}

func (s *sketch) hexagon(x, y, flats float64) *sketch {
	var xy []float64
	for k := range 6 {
		p := geom.Polar(geom.Pt(x, y), flats/math.Sqrt(3), float64(k)*math.Pi/3)
		xy = append(xy, p.X, p.Y)
	}
	return s.poly(xy...)
}

// six adds six plates.
func six() *sketch {
	s := new(sketch)
	for i := range 3 {
		s.plate(float64(20+100*i), 20, 80, 60).plate(float64(20+100*i), 100, 80, 60)
	}
	return s
}

// ticks adds marks across the edges of the frame: centre lines and corner marks.
func (s *sketch) ticks(x0, y0, x1, y1 float64) *sketch {
	mx, my := (x0+x1)/2, (y0+y1)/2
	return s.line(mx, y0-6, mx, y0+3).line(mx, y1+6, mx, y1-3).line(x0-6, my, x0+3, my).line(x1+6, my, x1-3, my).
		line(x0-8, y0-4, x0-3, y0-4).line(x0-4, y0-8, x0-4, y0-3)
}

var asideCases = []struct {
	name string
	s    *sketch
	text []TextAt
	want kinds
}{
	{"border round six plates", six().rect(0, 0, 320, 180), nil, kinds{Parts: 6, Holes: 12, Border: 1, Groups: 1}},
	{"border of single lines", six().line(0, 0, 320, 0).line(320, 0, 320, 180).line(320, 180, 0, 180).line(0, 180, 0, 0), nil,
		kinds{Parts: 6, Holes: 12, Border: 1, Groups: 1}},
	{"border of lines that run over at the corners", six().line(-5, 0, 325, 0).line(320, -5, 320, 185).line(325, 180, -5, 180).line(0, 185, 0, -5), nil,
		kinds{Parts: 6, Holes: 12, Border: 1, Groups: 1}},
	{"long marks across the border", six().rect(0, 0, 320, 180).line(100, -10, 100, 10).line(-10, 90, 10, 90).line(-5, -5, 5, 5), nil,
		kinds{Parts: 6, Holes: 12, Border: 1, Frame: 3, Groups: 1}},
	{"border with a small gap", six().line(0.3, 0, 320, 0).line(320, 0, 320, 180).line(320, 180, 0, 180).line(0, 180, 0, 0), nil,
		kinds{Parts: 6, Holes: 12, Border: 1, Groups: 1}},
	{"border with rounded corners", six().add(
		geom.Line(geom.Pt(8, 0), geom.Pt(312, 0)), geom.Arc(geom.Pt(312, 8), 8, -math.Pi/2, math.Pi/2),
		geom.Line(geom.Pt(320, 8), geom.Pt(320, 172)), geom.Arc(geom.Pt(312, 172), 8, 0, math.Pi/2),
		geom.Line(geom.Pt(312, 180), geom.Pt(8, 180)), geom.Arc(geom.Pt(8, 172), 8, math.Pi/2, math.Pi/2),
		geom.Line(geom.Pt(0, 172), geom.Pt(0, 8)), geom.Arc(geom.Pt(8, 8), 8, math.Pi, math.Pi/2)), nil,
		kinds{Parts: 6, Holes: 12, Border: 1, Groups: 1}},
	{"double frame", six().rect(0, 0, 320, 180).rect(-5, -5, 325, 185), nil, kinds{Parts: 6, Holes: 12, Border: 2, Groups: 1}},
	{"three frames", six().rect(0, 0, 320, 180).rect(-5, -5, 325, 185).rect(-20, -20, 340, 200), nil,
		kinds{Parts: 6, Holes: 12, Border: 3, Groups: 1}},
	{"marks at the border", six().rect(0, 0, 320, 180).ticks(0, 0, 320, 180), nil,
		kinds{Parts: 6, Holes: 12, Border: 1, Frame: 6, Groups: 1}},
	{"title block in the corner", six().rect(0, 0, 420, 180).line(340, 0, 340, 40).line(340, 40, 420, 40).line(340, 20, 420, 20),
		[]TextAt{{geom.Pt(345, 5), 5}, {geom.Pt(345, 25), 5}}, kinds{Parts: 6, Holes: 12, Border: 1, Frame: 2, Groups: 1}},
	{"corner marks off a title block", six().rect(0, 0, 420, 180).line(340, 0, 340, 40).line(340, 40, 420, 40).
		line(428, -4, 436, -4).line(432, -8, 432, 0), []TextAt{{geom.Pt(345, 5), 8}}, kinds{Parts: 6, Holes: 12, Border: 1, Frame: 3, Groups: 1}},
	{"title block round plates without a hole", new(sketch).rect(20, 20, 100, 80).rect(20, 100, 100, 160).rect(0, 0, 420, 180).
		line(340, 0, 340, 40).line(340, 40, 420, 40).line(340, 20, 420, 20),
		[]TextAt{{geom.Pt(345, 5), 5}, {geom.Pt(345, 25), 5}}, kinds{Parts: 2, Border: 1, Frame: 2, Groups: 1}},
	{"box of text in the corner", six().rect(0, 0, 420, 180).rect(338, 2, 418, 32),
		[]TextAt{{geom.Pt(345, 5), 5}, {geom.Pt(345, 20), 5}}, kinds{Parts: 6, Holes: 12, Border: 1, Frame: 1, Groups: 1}},
	{"table of text beside parts", six().rect(330, 0, 390, 20).line(330, 10, 350, 10).line(350, 10, 390, 10).line(350, 0, 350, 10).line(350, 10, 350, 20),
		[]TextAt{{geom.Pt(332, 2), 4}, {geom.Pt(352, 2), 4}, {geom.Pt(332, 12), 4}, {geom.Pt(352, 12), 4}},
		kinds{Parts: 6, Holes: 12, Frame: 4, Groups: 1}},
	{"parts up to the edge of the sheet", six().rect(0, 0, 420, 180).line(320, 0, 320, 80).line(320, 80, 420, 80).circle(370, 40, 8), nil,
		kinds{Parts: 7, Holes: 13, Border: 1, Groups: 1}},
	{"two sheets side by side", six().rect(0, 0, 320, 180).plate(420, 20, 80, 60).plate(520, 20, 80, 60).rect(400, 0, 620, 100), nil,
		kinds{Parts: 8, Holes: 16, Border: 2, Groups: 2}},
	{"one part in a frame", new(sketch).plate(40, 40, 120, 80).circle(70, 100, 3).obround(100, 80, 30, 5).rect(0, 0, 210, 160), nil,
		kinds{Parts: 1, Holes: 4, Border: 1, Groups: 1}},
	{"one part with a hole on paper", new(sketch).plate(40, 40, 120, 80).rect(0, 0, 297, 210), nil,
		kinds{Parts: 1, Holes: 2, Border: 1, Groups: 1}},
	{"one part with a hole in the frame of a sheet of paper", new(sketch).plate(40, 40, 120, 80).rect(0, 0, 210, 297).rect(20, 10, 200, 287), nil,
		kinds{Parts: 1, Holes: 2, Border: 2, Groups: 1}},
	{"double frame about three parts", new(sketch).plate(20, 20, 60, 50).plate(90, 20, 60, 50).plate(160, 20, 60, 50).
		rect(10, 5, 230, 85).rect(2, -3, 238, 93), nil, kinds{Parts: 3, Holes: 6, Border: 2, Groups: 1}},
	{"double frame about two parts", new(sketch).plate(20, 20, 60, 50).plate(90, 20, 60, 40).
		rect(10, 5, 160, 85).rect(4, -1, 166, 91), nil, kinds{Parts: 2, Holes: 4, Border: 2, Groups: 1}},
	{"title block whose text is gone", six().rect(0, 0, 420, 180).line(340, 0, 340, 40).line(340, 40, 420, 40).line(340, 20, 420, 20),
		nil, kinds{Parts: 6, Holes: 12, Border: 1, Frame: 2, Groups: 1}},
	{"title block of rectangles", six().rect(0, 0, 420, 180).rect(340, 0, 420, 20).rect(340, 20, 420, 40),
		nil, kinds{Parts: 6, Holes: 12, Border: 1, Frame: 2, Groups: 1}},
	{"wheels in a border", new(sketch).circle(30, 30, 25).circle(30, 30, 3).circle(90, 30, 25).circle(90, 30, 3).
		circle(30, 90, 25).circle(30, 90, 3).rect(0, 0, 120, 120), nil, kinds{Parts: 3, Holes: 3, Border: 1, Groups: 1}},
	{"tabbed walls in a border", new(sketch).
		poly(10, 10, 30, 10, 30, 7, 50, 7, 50, 10, 90, 10, 90, 50, 50, 50, 50, 47, 30, 47, 30, 50, 10, 50).
		poly(10, 70, 30, 70, 30, 67, 50, 67, 50, 70, 60, 70, 60, 120, 50, 120, 50, 117, 30, 117, 30, 120, 10, 120).
		rect(0, 0, 100, 130), nil, kinds{Parts: 2, Border: 1, Groups: 1}},

	{"plate with windows and holes", new(sketch).rect(0, 0, 200, 120).circle(8, 8, 3).circle(192, 8, 3).circle(8, 112, 3).circle(192, 112, 3).
		rect(20, 20, 90, 100).rect(100, 20, 180, 60).obround(140, 90, 60, 12), nil, kinds{Parts: 1, Holes: 7}},
	{"picture frame with a part nested in it", new(sketch).rect(0, 0, 200, 160).rect(25, 25, 175, 135).plate(40, 40, 100, 70), nil,
		kinds{Parts: 2, Holes: 3}},
	{"picture frame with two parts nested in it", new(sketch).rect(0, 0, 220, 120).rect(12, 12, 208, 108).plate(20, 20, 80, 70).plate(110, 20, 80, 70), nil,
		kinds{Parts: 3, Holes: 5}},
	{"plate with a part nested in its window", new(sketch).rect(0, 0, 200, 200).rect(50, 50, 120, 120).rect(70, 70, 90, 90), nil,
		kinds{Parts: 2, Holes: 1}},
	{"plate with parts nested in two windows", new(sketch).rect(0, 0, 220, 120).rect(10, 10, 100, 110).rect(120, 10, 210, 110).
		plate(20, 20, 60, 40).plate(130, 20, 60, 40).circle(110, 60, 3), nil, kinds{Parts: 3, Holes: 7}},
	{"plate with round parts nested in its window", new(sketch).rect(0, 0, 220, 120).rect(10, 10, 130, 110).circle(40, 40, 22).circle(90, 70, 25).
		circle(180, 60, 3), nil, kinds{Parts: 3, Holes: 2}},
	{"plate with a pocket and holes in it", new(sketch).rect(0, 0, 200, 120).circle(8, 8, 3).circle(192, 8, 3).circle(8, 112, 3).circle(192, 112, 3).
		rect(50, 30, 150, 90).circle(58, 38, 2).circle(142, 38, 2).circle(58, 82, 2).circle(142, 82, 2), nil, kinds{Parts: 5, Holes: 5}},
	{"name plate", new(sketch).rect(0, 0, 200, 60).circle(8, 30, 3).circle(192, 30, 3).
		poly(30, 10, 60, 10, 60, 18, 38, 18, 38, 26, 55, 26, 55, 34, 38, 34, 38, 42, 60, 42, 60, 50, 30, 50).
		poly(70, 10, 78, 10, 78, 26, 92, 26, 92, 10, 100, 10, 100, 50, 92, 50, 92, 34, 78, 34, 78, 50, 70, 50), nil, kinds{Parts: 1, Holes: 4}},
	{"name plate without holes", new(sketch).rect(0, 0, 200, 60).
		poly(30, 10, 60, 10, 60, 18, 38, 18, 38, 26, 55, 26, 55, 34, 38, 34, 38, 42, 60, 42, 60, 50, 30, 50).
		poly(70, 10, 78, 10, 78, 26, 92, 26, 92, 10, 100, 10, 100, 50, 92, 50, 92, 34, 78, 34, 78, 50, 70, 50), nil, kinds{Parts: 1, Holes: 2}},
	{"plate with windows relieved at their corners", new(sketch).rect(0, 0, 200, 100).relieved(20, 20, 80, 80).relieved(100, 20, 180, 80), nil,
		kinds{Parts: 1, Holes: 2}},
	{"plate beside a kit", six().rect(0, 0, 320, 180).rect(0, 300, 400, 700), nil, kinds{Parts: 14, Holes: 6}},

	{"countersink", new(sketch).rect(0, 0, 60, 40).circle(20, 20, 5).circle(20, 20, 2.5), nil, kinds{Parts: 1, Holes: 1, Step: 1, Groups: 1}},
	{"three steps", new(sketch).rect(0, 0, 60, 40).circle(20, 20, 10).circle(20, 20, 6).circle(20, 20, 3), nil,
		kinds{Parts: 1, Holes: 1, Step: 2, Groups: 1}},
	{"two countersinks", new(sketch).rect(0, 0, 60, 40).circle(15, 20, 5).circle(15, 20, 2.5).circle(45, 20, 6).circle(45, 20, 3.3), nil,
		kinds{Parts: 1, Holes: 2, Step: 2, Groups: 2}},
	{"nut around a hole", new(sketch).rect(0, 0, 60, 40).hexagon(20, 20, 10).circle(20, 20, 3.3), nil, kinds{Parts: 1, Holes: 1, Step: 1, Groups: 1}},
	{"square nut around a hole", new(sketch).rect(0, 0, 60, 40).rect(16.5, 16.5, 23.5, 23.5).circle(20, 20, 2.15), nil,
		kinds{Parts: 1, Holes: 1, Step: 1, Groups: 1}},
	{"slot in its offset", new(sketch).rect(0, 0, 80, 40).obround(40, 20, 30, 10).obround(40, 20, 25, 5), nil,
		kinds{Parts: 1, Holes: 1, Step: 1, Groups: 1}},
	{"outline nearer to a hole than the kerf", new(sketch).rect(0, 0, 120, 120).circle(60, 60, 45).circle(60, 60, 44.6), nil,
		kinds{Parts: 1, Holes: 1, Step: 1, Groups: 1}},
	{"wheel with a countersunk bore", new(sketch).circle(0, 0, 30).circle(0, 0, 6).circle(0, 0, 3), nil,
		kinds{Parts: 1, Holes: 1, Step: 1, Groups: 1}},
	{"bush with a counterbore", new(sketch).circle(0, 0, 10).circle(0, 0, 6).circle(0, 0, 3), nil, kinds{Parts: 1, Holes: 1, Step: 1, Groups: 1}},

	{"wheel with a bore", new(sketch).circle(0, 0, 30).circle(0, 0, 4), nil, kinds{Parts: 1, Holes: 1}},
	{"wheel nested in a hole", new(sketch).rect(0, 0, 120, 120).circle(60, 60, 40).circle(60, 60, 34).circle(60, 60, 4), nil, kinds{Parts: 2, Holes: 2}},
	{"washer nested in a hole", new(sketch).rect(0, 0, 80, 80).circle(40, 40, 17).circle(40, 40, 12).circle(40, 40, 6.5), nil, kinds{Parts: 2, Holes: 2}},
	{"disc nested off the middle", new(sketch).rect(0, 0, 80, 80).circle(40, 40, 15).circle(41, 40, 9), nil, kinds{Parts: 2, Holes: 1}},
	{"large disc nested in a hole", new(sketch).rect(0, 0, 120, 120).circle(60, 60, 40).circle(60, 60, 36), nil, kinds{Parts: 2, Holes: 1}},
	{"squares in each other", new(sketch).rect(0, 0, 42, 42).rect(6, 6, 36, 36).rect(12, 12, 30, 30), nil, kinds{Parts: 2, Holes: 1}},
	{"rings in each other", new(sketch).circle(0, 0, 21).circle(0, 0, 15).circle(0, 0, 9), nil, kinds{Parts: 2, Holes: 1}},
	{"two parts in a hole", new(sketch).rect(0, 0, 80, 80).circle(40, 40, 18).circle(33, 40, 5).circle(47, 40, 5), nil, kinds{Parts: 3, Holes: 1}},
}

// relieved adds a window with round reliefs at its corners.
func (s *sketch) relieved(x0, y0, x1, y1 float64) *sketch {
	const r, d = 2.0, 2.0 // each arc runs over three quarters of a circle about each corner
	corner := func(x, y, start float64) geom.Piece { return geom.Arc(geom.Pt(x, y), r, start, 1.5*math.Pi) }
	return s.add(
		corner(x0, y0, math.Pi/2), geom.Line(geom.Pt(x0+d, y0), geom.Pt(x1-d, y0)),
		corner(x1, y0, math.Pi), geom.Line(geom.Pt(x1, y0+d), geom.Pt(x1, y1-d)),
		corner(x1, y1, -math.Pi/2), geom.Line(geom.Pt(x1-d, y1), geom.Pt(x0+d, y1)),
		corner(x0, y1, 0), geom.Line(geom.Pt(x0, y1-d), geom.Pt(x0, y0+d)))
}

func TestAside(t *testing.T) {
	for _, c := range asideCases {
		t.Run(c.name, func(t *testing.T) {
			for i, r := range relatives() {
				o := testOptions
				for _, x := range c.text {
					o.Texts = append(o.Texts, TextAt{r.place.Apply(x.At), x.Height})
				}
				s, err := Build(context.Background(), r.strokes(c.s.strokes, uint64(i)), cutAll, o)
				if err != nil {
					t.Fatal(err)
				}
				if d := cmp.Diff(c.want, kindsOf(s)); d != "" {
					t.Errorf("%s (-want +got):\n%s", r.name, d)
				}
			}
		})
	}
}
