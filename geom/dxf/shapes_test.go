package dxf

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sluice/geom"
	"sluice/geom/curve"
)

var pt = geom.Pt

func TestShapes(t *testing.T) {
	line := func(x1, y1, x2, y2 float64) geom.Piece { return geom.Line(pt(x1, y1), pt(x2, y2)) }
	rad := math.Pi / 180
	for _, c := range []struct {
		name, body string
		want       []geom.Piece
		told       []string
	}{
		{"line", "0 LINE 5 2F 8 A 10 1 20 2 11 3 21 4", []geom.Piece{line(1, 2, 3, 4)}, nil},
		{"line, groups in another order", "0 LINE 8 A 10 1 11 3 20 2 21 4", []geom.Piece{line(1, 2, 3, 4)}, nil},
		{"line of no length", "0 LINE 8 A 10 1 20 2 11 1 21 2", []geom.Piece{line(1, 2, 1, 2)}, nil},
		{"line with z", "0 LINE 8 A 10 1 20 2 30 3 11 3 21 4 31 3", []geom.Piece{line(1, 2, 3, 4)}, []string{"flat: z = 3"}},
		{"sloping line", "0 LINE 8 A 10 1 20 2 30 0 11 3 21 4 31 5", []geom.Piece{line(1, 2, 3, 4)}, []string{"flat: z from 0 to 5"}},
		{"z is noise", "0 LINE 8 A 10 1 20 2 30 1e-13 11 3 21 4 31 -1e-13", []geom.Piece{line(1, 2, 3, 4)}, nil},
		{"line with thickness", "0 LINE 8 A 39 2 10 1 20 2 11 3 21 4", []geom.Piece{line(1, 2, 3, 4)}, []string{"flat: thickness 2"}},
		{"circle", "0 CIRCLE 8 A 10 1 20 2 40 3", []geom.Piece{geom.Circle(pt(1, 2), 3)}, nil},
		{"circle from below", "0 CIRCLE 8 A 10 1 20 2 40 3 210 0 220 0 230 -1",
			[]geom.Piece{geom.Arc(pt(-1, 2), 3, math.Pi, -2*math.Pi)}, []string{"flat: extrusion 0,0,-1"}},
		{"extrusion +Z with noise", "0 CIRCLE 8 A 10 1 20 2 40 3 210 1e-16 220 0 230 1", []geom.Piece{geom.Circle(pt(1, 2), 3)}, nil},
		{"arc", "0 ARC 8 A 10 1 20 2 40 3 50 30 51 100", []geom.Piece{geom.Arc(pt(1, 2), 3, 30*rad, 70*rad)}, nil},
		{"arc over 0", "0 ARC 8 A 10 1 20 2 40 3 50 350 51 20", []geom.Piece{geom.Arc(pt(1, 2), 3, -10*rad, 30*rad)}, nil},
		{"arc with negative angles", "0 ARC 8 A 10 0 20 0 40 1 50 -90 51 -45", []geom.Piece{geom.Arc(pt(0, 0), 1, -90*rad, 45*rad)}, nil},
		{"arc from 0 to 360 is a circle", "0 ARC 8 A 10 0 20 0 40 1 50 0 51 360", []geom.Piece{geom.Circle(pt(0, 0), 1)}, nil},
		// TRADE 6.1: seen from below, angles a..b become 180-b..180-a; the
		// direction from start to end turns over.
		{"arc from below", "0 ARC 8 A 10 1 20 2 40 3 50 30 51 100 210 0 220 0 230 -1",
			[]geom.Piece{geom.Arc(pt(-1, 2), 3, 150*rad, -70*rad)}, []string{"flat: extrusion 0,0,-1"}},
		{"lwpolyline", "0 LWPOLYLINE 8 A 90 3 70 1 10 0 20 0 10 4 20 0 10 4 20 3",
			[]geom.Piece{line(0, 0, 4, 0), line(4, 0, 4, 3), line(4, 3, 0, 0)}, nil},
		{"lwpolyline, open, closing bulge without meaning", "0 LWPOLYLINE 8 A 90 2 70 0 10 0 20 0 10 4 20 0 42 1",
			[]geom.Piece{line(0, 0, 4, 0)}, nil},
		// Bulge 1 from (0,0) to (1,0): radius 0.5 about (0.5,0) (ezdxf's
		// test_601_bulge.py); two of them make a circle.
		{"lwpolyline of two half circles", "0 LWPOLYLINE 8 A 90 2 70 1 10 0 20 0 42 1 10 1 20 0 42 1", []geom.Piece{
			{A: pt(0, 0), B: pt(1, 0), C: pt(0.5, 0), R: 0.5, Sweep: math.Pi}, {A: pt(1, 0), B: pt(0, 0), C: pt(0.5, 0), R: 0.5, Sweep: math.Pi}}, nil},
		// R = 6.25 and chord 10 give bulge 0.5, angle 106.26020471 (same source).
		{"bulge 0.5", "0 LWPOLYLINE 8 A 90 2 70 0 10 0 20 0 42 0.5 10 10 20 0",
			[]geom.Piece{{A: pt(0, 0), B: pt(10, 0), C: pt(5, 3.75), R: 6.25, Sweep: 106.26020470831196 * rad}}, nil},
		{"bulge from below", "0 LWPOLYLINE 8 A 90 2 70 0 10 0 20 0 42 0.5 10 10 20 0 210 0 220 0 230 -1",
			[]geom.Piece{{A: pt(0, 0), B: pt(-10, 0), C: pt(-5, 3.75), R: 6.25, Sweep: -106.26020470831196 * rad}}, []string{"flat: extrusion 0,0,-1"}},
		{"repeated vertices", "0 LWPOLYLINE 8 A 90 5 70 1 10 0 20 0 10 4 20 0 10 4 20 0 10 4 20 3 10 0 20 0",
			[]geom.Piece{line(0, 0, 4, 0), line(4, 0, 4, 3), line(4, 3, 0, 0)}, nil},
		{"polyline of one place", "0 LWPOLYLINE 8 A 90 2 70 1 10 1 20 1 10 1 20 1", []geom.Piece{line(1, 1, 1, 1)}, nil},
		{"lwpolyline with width and elevation", "0 LWPOLYLINE 8 A 90 2 70 0 43 0.5 38 7 10 0 20 0 10 4 20 0",
			[]geom.Piece{line(0, 0, 4, 0)}, []string{"flat: z = 7", "wide: width 0.5"}},
		{"polyline", "0 POLYLINE 8 A 66 1 70 1 10 0 20 0 30 0 0 VERTEX 8 A 10 0 20 0 42 1 0 VERTEX 8 A 10 1 20 0 0 SEQEND 8 A",
			[]geom.Piece{{A: pt(0, 0), B: pt(1, 0), C: pt(0.5, 0), R: 0.5, Sweep: math.Pi}, line(1, 0, 0, 0)}, nil},
		{"spatial polyline lying flat", "0 POLYLINE 8 A 66 1 70 8 0 VERTEX 8 A 10 0 20 0 30 2 70 32 0 VERTEX 8 A 10 1 20 0 30 2 70 32 0 SEQEND 8 A",
			[]geom.Piece{line(0, 0, 1, 0)}, []string{"flat: z = 2"}},
		{"splined polyline", "0 POLYLINE 8 A 66 1 70 4 0 VERTEX 10 0 20 0 70 16 0 VERTEX 10 0 20 0 70 8 0 VERTEX 10 5 20 9 70 16 0 VERTEX 10 1 20 1 70 8 0 SEQEND",
			[]geom.Piece{line(0, 0, 1, 1)}, nil},
		{"mesh", "0 POLYLINE 8 A 66 1 70 16 71 2 72 2 0 VERTEX 10 0 20 0 70 64 0 VERTEX 10 1 20 0 70 64 0 SEQEND",
			nil, []string{"unread: POLYLINE, a mesh in space"}},
		{"solid", "0 SOLID 8 A 10 0 20 0 11 2 21 0 12 0 22 1 13 2 23 1", nil, []string{"unread: SOLID, a filled area, not cut"}},
		{"trace", "0 TRACE 8 A 10 0 20 0 11 2 21 0 12 0 22 1 13 0 23 1", nil, []string{"unread: TRACE, a filled area, not cut"}},
		{"face", "0 3DFACE 8 A 10 0 20 0 11 2 21 0 12 2 22 1 13 0 23 1 70 2", nil, []string{"unread: 3DFACE, a filled area, not cut"}},
		{"spline without a degree", "0 SPLINE 8 A 40 0 40 0 40 1 40 1 10 0 20 0 10 4 20 3", nil, nil},
		{"mline, mitred", "0 MLINE 8 A 71 1 72 3 73 2 11 0 21 0 12 1 22 0 13 0 23 1 74 2 41 0 41 0 74 2 41 -1 41 0 11 9 21 0 12 0 22 1 13 -1 23 1 74 2 41 0 41 0 74 2 41 -1 41 0 11 9 21 9 12 0 22 1 13 -1 23 0 74 2 41 0 41 0 74 2 41 -1 41 0",
			[]geom.Piece{line(0, 0, 9, 0), line(9, 0, 9, 9), line(0, -1, 10, -1), line(10, -1, 10, 9)}, nil},
		{"line in space of R10", "0 3DLINE 8 A 10 1 20 2 30 0 11 3 21 4 31 0", []geom.Piece{line(1, 2, 3, 4)}, nil},
		{"elevation of R10", "0 LINE 8 A 38 2 10 1 20 2 11 3 21 4", []geom.Piece{line(1, 2, 3, 4)}, []string{"flat: z = 2"}},
		{"lwpolyline with y first", "0 LWPOLYLINE 8 A 90 2 70 0 20 0 10 0 42 1 20 0 10 1",
			[]geom.Piece{{A: pt(0, 0), B: pt(1, 0), C: pt(0.5, 0), R: 0.5, Sweep: math.Pi}}, nil},
		{"nearly straight arc", "0 LWPOLYLINE 8 A 90 2 70 0 10 0 20 0 42 1e-100 10 10 20 0", []geom.Piece{line(0, 0, 10, 0)}, nil},
		{"dimension", "0 DIMENSION 8 A 2 *D1 10 1 20 2", nil, []string{"unread: DIMENSION, not cut"}},
		{"unknown", "0 HELIX 8 A 10 1 20 2", nil, []string{"unread: HELIX"}},
		{"hatch", "0 HATCH 8 A 10 0 20 0 30 0 91 1 92 3 72 0 73 1 93 2 10 5 20 6 10 7 20 8 97 0 75 0", nil, []string{"unread: HATCH, not cut"}},
		{"invisible", "0 LINE 8 A 60 1 10 1 20 2 11 3 21 4", nil, []string{"hidden: invisible"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := read1(t, file("", "", c.body))
			samePieces(t, c.want, pieces(d))
			if diff := cmp.Diff(c.told, noticeTexts(d)); diff != "" {
				t.Errorf("notices (-want +got):\n%s", diff)
			}
			if len(d.Problems) > 0 {
				t.Errorf("problems %v", d.Problems)
			}
			if len(d.Entities) != 1 {
				t.Errorf("%d entities", len(d.Entities))
			}
		})
	}
}

// Whole quarter turns are exact, so that arcs meet lines that end there.
func TestArcEndsExact(t *testing.T) {
	d := read1(t, file("", "", "0 ARC 8 A 10 10 20 20 40 5 50 90 51 180 0 ARC 8 A 10 10 20 20 40 5 50 270 51 360"))
	want := []geom.Point{pt(10, 25), pt(5, 20), pt(10, 15), pt(15, 20)}
	got := []geom.Point{d.Strokes[0].A, d.Strokes[0].B, d.Strokes[1].A, d.Strokes[1].B}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestBadShapes(t *testing.T) {
	for body, want := range map[string]string{
		"0 ARC 8 A 10 0 20 0 40 0 50 0 51 9":                                  "bad-radius:5:lost",
		"0 CIRCLE 8 A 10 0 20 0 40 -1":                                        "bad-radius:5:lost",
		"0 CIRCLE 8 A 10 0 20 x 40 1":                                         "bad-number:12:lost",
		"0 CIRCLE 8 A 10 0 20 nan 40 1":                                       "bad-number:12:lost",
		"0 LWPOLYLINE 8 A 90 0 70 0":                                          "no-vertices:5:lost",
		"0 LWPOLYLINE 8 A 90 1000000000 70 0 10 0 20 0 10 1 20 0":             "vertex-count:5:lost",
		"0 ELLIPSE 8 A 10 0 20 0 11 0 21 0 40 0.5":                            "bad-curve:5:lost",
		"0 SPLINE 8 A 70 8 71 3 72 4 73 2 40 0 40 0 40 1 10 0 20 0":           "bad-curve:5:lost",
		"0 SPLINE 8 A 71 1 40 0 40 0 40 0 40 0 10 0 20 0 10 1 20 1":           "bad-curve:5:lost",
		"0 LINE 8 A 10 1e300 20 0 11 1 21 1":                                  "out-of-range:5:lost",
		"0 INSERT 8 A 2 NONE 10 0 20 0":                                       "missing-block:5:lost",
		"0 LINE 8 A 10 0 20 0 11 1":                                           "missing-group:5:lost",
		"0 ARC 8 A 10 0 20 0 40 1 50 10":                                      "missing-group:5:lost",
		"0 LWPOLYLINE 8 A 90 2 70 0 10 0 20 0 10 1":                           "missing-group:5:lost",
		"0 POLYLINE 8 A 66 1 0 VERTEX 10 0 20 0 0 VERTEX 10 1 0 SEQEND":       "missing-group:5:lost",
		"0 MLINE 8 A 72 2 73 1 11 0 21 0 13 0 23 1 74 2 41 1 41 0":            "no-vertices:5:lost",
		"0 SPLINE 8 A 71 1 72 4 73 9 40 0 40 0 40 1 40 1 10 0 20 0 10 1 20 1": "vertex-count:5:lost",
		"0 POLYLINE 8 A 66 1 0 VERTEX 10 0 20 0 0 VERTEX 10 1 20 x 0 SEQEND":  "bad-number:22:lost",
	} {
		d := read1(t, file("", "", body+" 0 LINE 8 A 10 0 20 0 11 1 21 1"))
		if diff := cmp.Diff([]string{want}, problemCodes(d)); diff != "" {
			t.Errorf("%s:\n%s", body, diff)
		}
		if !d.Entities[len(d.Entities)-1].Kept {
			t.Errorf("%s: the entity after it is lost too", body)
		}
	}
}

func TestCurves(t *testing.T) {
	d := read1(t, file("", "", `0 SPLINE 8 A 70 8 71 2 72 6 73 3 74 0 42 1e-7 40 0 40 0 40 0 40 1 40 1 40 1
		41 1 41 0.5 41 1 10 0 20 0 30 0 10 1 20 1 30 0 10 2 20 0 30 0
		0 SPLINE 8 A 70 1 71 3 72 0 73 0 74 3 11 0 21 0 11 1 21 1 11 2 21 0 12 1 22 2
		0 ELLIPSE 8 A 10 1 20 2 11 3 21 0 40 0.5 41 0 42 6.283185307179586
		0 ELLIPSE 8 A 10 1 20 2 11 3 21 0 40 0.5 41 1 42 2 210 0 220 0 230 -1
		0 POLYLINE 8 A 66 1 70 2 0 VERTEX 10 0 20 0 70 0 42 1 0 VERTEX 10 1 20 0 70 1 0 VERTEX 10 2 20 0 0 SEQEND`))
	type view struct {
		Kind         string
		First, Count int32
		S            *curve.Spline
		E            *curve.Ellipse
	}
	var got []view
	for _, c := range d.Curves {
		got = append(got, view{c.Kind, c.First, c.Count, c.Spline, c.Ellipse})
	}
	want := []view{
		{Kind: "SPLINE", S: &curve.Spline{Degree: 2, Knots: []float64{0, 0, 0, 1, 1, 1}, Weights: []float64{1, 0.5, 1}, Ctrl: []geom.Point{{}, {X: 1, Y: 1}, {X: 2}}}},
		{Kind: "SPLINE", S: &curve.Spline{Degree: 3, Closed: true, Fit: []geom.Point{{}, {X: 1, Y: 1}, {X: 2}}, StartTan: pt(1, 2)}},
		{Kind: "ELLIPSE", E: &curve.Ellipse{Center: pt(1, 2), Major: pt(3, 0), Ratio: 0.5, End: 2 * math.Pi}},
		{Kind: "ELLIPSE", E: &curve.Ellipse{Center: pt(1, 2), Major: pt(3, 0), Ratio: 0.5, Start: 1, End: 2, Mirrored: true}},
		{Kind: "POLYLINE", First: 0, Count: 2},
	}
	if diff := cmp.Diff(want, got, near, cmpopts.EquateEmpty()); diff != "" {
		t.Error(diff)
	}
}

// Arbitrary axis algorithm: the vectors of ezdxf's test_610_ocs.py, made in a
// CAD program, and those of TRADE 6.1.
func TestObjectFrame(t *testing.T) {
	n, _ := point3{0.7081979129501316, 0.0754851955385861, 0.7019670229772758}.unit()
	f := objectFrame(n)
	for _, c := range [][2]point3{
		{{9.41378764657076, 13.15481838975576, 0.8689258932616031}, {-9.56460754, 8.44764172, 9.97894327}},
		{{9.41378764657076, 1.745643639268379, 0.8689258932616031}, {-1.60085321, 9.29648008, 1.85322122}},
	} {
		got := f.apply(c[0])
		if d := abs(got.x-c[1].x) + abs(got.y-c[1].y) + abs(got.z-c[1].z); d > 1e-6 {
			t.Errorf("%v -> %v, want %v", c[0], got, c[1])
		}
	}
	for n, want := range map[point3][2]point3{
		{0, 0, 1}:  {{1, 0, 0}, {0, 1, 0}},
		{0, 0, -1}: {{-1, 0, 0}, {0, 1, 0}},
		{1, 0, 0}:  {{0, 1, 0}, {0, 0, 1}},
		{0, 1, 0}:  {{-1, 0, 0}, {0, 0, 1}},
	} {
		f := objectFrame(n)
		for i, g := range []point3{f.ax, f.ay} {
			if d := abs(g.x-want[i].x) + abs(g.y-want[i].y) + abs(g.z-want[i].z); d > 1e-15 {
				t.Errorf("normal %v axis %d: %v, want %v", n, i, g, want[i])
			}
		}
	}
}

// Fills have outlines where the options ask for them.
func TestFillOutlines(t *testing.T) {
	line := func(x, y, x2, y2 float64) geom.Piece { return geom.Line(pt(x, y), pt(x2, y2)) }
	for body, want := range map[string][]geom.Piece{
		// Third and fourth corner are swapped.
		"0 SOLID 8 A 10 0 20 0 11 2 21 0 12 0 22 1 13 2 23 1": {line(0, 0, 2, 0), line(2, 0, 2, 1), line(2, 1, 0, 1), line(0, 1, 0, 0)},
		"0 TRACE 8 A 10 0 20 0 11 2 21 0 12 0 22 1 13 0 23 1": {line(0, 0, 2, 0), line(2, 0, 0, 1), line(0, 1, 0, 0)},
		// One edge is hidden.
		"0 3DFACE 8 A 10 0 20 0 11 2 21 0 12 2 22 1 13 0 23 1 70 2": {line(0, 0, 2, 0), line(2, 1, 0, 1), line(0, 1, 0, 0)},
	} {
		d, err := Read(t.Context(), stringsReader(file("", "", body)), Options{HatchOutlines: true})
		if err != nil {
			t.Fatal(err)
		}
		checkDrawing(t, d)
		samePieces(t, want, pieces(d))
		if len(d.Notices) > 0 {
			t.Errorf("%s: %v", body, noticeTexts(d))
		}
	}
}

// A circle lying in a tilted plane is seen as an ellipse whose minor axis is
// shortened by the cosine of the tilt; seen from the side it is a line.
func TestTilted(t *testing.T) {
	d := read1(t, file("", "", "0 CIRCLE 8 A 10 0 20 0 40 2 210 0 220 0.8660254037844386 230 0.5 0 CIRCLE 8 A 10 0 20 0 40 2 210 1 220 0 230 0"))
	if len(d.Curves) != 1 || len(d.Strokes) != 1 {
		t.Fatalf("%d curves, %d strokes", len(d.Curves), len(d.Strokes))
	}
	e := d.Curves[0].Ellipse
	if abs(e.Major.Norm()-2) > 1e-12 || abs(e.Ratio-0.5) > 1e-12 || abs(e.Major.Y) > 1e-12 {
		t.Errorf("ellipse %+v", e)
	}
	p := d.Strokes[0].Piece
	if abs(p.Length()-4) > 1e-12 || abs(p.A.X) > 1e-12 || abs(p.B.X) > 1e-12 {
		t.Errorf("line %+v", p)
	}
	want := []string{"flat: extrusion 0,0.866025,0.5", "flat: extrusion 1,0,0"}
	if diff := cmp.Diff(want, noticeTexts(d)); diff != "" {
		t.Error(diff)
	}
}

func TestHatchOutlines(t *testing.T) {
	f := file("", "", `0 HATCH 8 A 10 0 20 0 30 0 210 0 220 0 230 1 2 SOLID 70 1 71 0 91 2
		92 3 72 1 73 1 93 3 10 0 20 0 42 0 10 4 20 0 42 1 10 4 20 4 42 0 97 0
		92 1 93 3 72 1 10 1 20 1 11 2 21 1 72 2 10 2 20 2 40 1 50 270 51 360 73 1 72 2 10 5 20 5 40 1 50 0 51 90 73 0 97 0
		75 0 76 1 98 1 10 3 20 3`)
	d, err := Read(t.Context(), stringsReader(f), Options{HatchOutlines: true})
	if err != nil {
		t.Fatal(err)
	}
	checkDrawing(t, d)
	samePieces(t, []geom.Piece{
		geom.Line(pt(0, 0), pt(4, 0)), geom.Bulge(pt(4, 0), pt(4, 4), 1), geom.Line(pt(4, 4), pt(0, 0)),
		geom.Line(pt(1, 1), pt(2, 1)), geom.Arc(pt(2, 2), 1, -math.Pi/2, math.Pi/2), geom.Arc(pt(5, 5), 1, -math.Pi/2, math.Pi/2),
	}, pieces(d))
}
