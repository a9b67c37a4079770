package rules

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// drawingOf makes a drawing of closed paths.
func drawingOf(tr geom.Transform, paths ...geom.Path) *drawing.Drawing {
	d := &drawing.Drawing{Layers: []drawing.Layer{{Name: "0"}}}
	for _, path := range paths {
		for _, p := range path.Transform(tr) {
			d.Entities = append(d.Entities, drawing.Entity{Type: "LINE", Kept: true})
			d.Strokes = append(d.Strokes, drawing.Stroke{Piece: p, Entity: int32(len(d.Entities) - 1)})
		}
	}
	return d
}

func poly(xy ...float64) geom.Path {
	var path geom.Path
	n := len(xy) / 2
	for i := range n {
		k := (i + 1) % n
		path = append(path, geom.Line(geom.Pt(xy[2*i], xy[2*i+1]), geom.Pt(xy[2*k], xy[2*k+1])))
	}
	return path
}

// slotAt is a slot l long and w wide about a place. Its corners have reliefs of
// size s: "notch", square ones in the long walls; "tee", half circles there;
// "none".
func slotAt(x, y, l, w, s float64, how string) geom.Path {
	l, w = l/2, w/2
	switch how {
	case "notch":
		return poly(x-l, y-w, x-l, y-w-s, x-l+s, y-w-s, x-l+s, y-w, x+l-s, y-w, x+l-s, y-w-s, x+l, y-w-s, x+l, y-w,
			x+l, y+w, x+l, y+w+s, x+l-s, y+w+s, x+l-s, y+w, x-l+s, y+w, x-l+s, y+w+s, x-l, y+w+s, x-l, y+w)
	case "tee":
		p := func(dx, dy float64) geom.Point { return geom.Pt(x+dx, y+dy) }
		return geom.Path{
			geom.Bulge(p(-l, -w), p(-l+2*s, -w), 1), geom.Line(p(-l+2*s, -w), p(l-2*s, -w)), geom.Bulge(p(l-2*s, -w), p(l, -w), 1),
			geom.Line(p(l, -w), p(l, w)),
			geom.Bulge(p(l, w), p(l-2*s, w), 1), geom.Line(p(l-2*s, w), p(-l+2*s, w)), geom.Bulge(p(-l+2*s, w), p(-l, w), 1),
			geom.Line(p(-l, w), p(-l, -w)),
		}
	}
	return poly(x-l, y-w, x+l, y-w, x+l, y+w, x-l, y+w)
}

// Reliefs in the corners of slots are one finding a size for the whole drawing,
// and no narrow slots or small holes; real slots are told as before.
func TestReliefs(t *testing.T) {
	plate := poly(0, 0, 200, 0, 200, 80, 0, 80)
	second := poly(0, 100, 200, 100, 200, 180, 0, 180)
	slots := func(how string, s float64) (ps []geom.Path) {
		for i := range 4 {
			ps = append(ps, slotAt(25+45*float64(i), 40, 18, 3.2, s, how), slotAt(25+45*float64(i), 140, 18, 3.2, s, how))
		}
		return append(ps, plate, second)
	}
	rules := []*lint.Rule{narrowSlot, smallHole, fineDetail, crossingOutlines}
	j := job.Default()
	for name, c := range map[string]struct {
		paths []geom.Path
		want  map[string]int
		say   string
	}{
		"square notches": {slots("notch", 0.5), map[string]int{"fine-detail": 1}, "32 corner reliefs 0.5 mm wide"},
		"half circles":   {slots("tee", 0.4), map[string]int{"fine-detail": 1}, "32 corner reliefs of radius 0.4 mm"},
		"two sizes":      {append(slots("notch", 0.5), slotAt(100, 60, 18, 3.2, 0.7, "notch")), map[string]int{"fine-detail": 2}, "4 corner reliefs 0.7 mm wide"},
		"wide enough":    {slots("notch", 1.2), nil, ""},
		"no reliefs":     {slots("none", 0), nil, ""},
		"a narrow slot with reliefs": {[]geom.Path{plate, slotAt(100, 40, 18, 0.8, 0.5, "notch")}, map[string]int{"narrow-slot": 1, "fine-detail": 1},
			"slot 0.8 mm wide"},
		"circles over corners": {[]geom.Path{plate, slotAt(100, 40, 18, 3.2, 0, "none"), {geom.Circle(geom.Pt(91, 38.4), 0.5)}, {geom.Circle(geom.Pt(109, 41.6), 0.5)}},
			map[string]int{"crossing-outlines": 4}, ""},
	} {
		for way, tr := range map[string]geom.Transform{
			"as drawn": geom.Identity(), "turned": geom.Turn(geom.Pt(3, 4), 0.7), "mirrored": geom.MirrorX(10).Then(geom.Turn(geom.Point{}, -2)),
		} {
			res, err := lint.Judge(context.Background(), "x", drawingOf(tr, c.paths...), j, lint.Options{Rules: rules})
			if err != nil {
				t.Fatal(err)
			}
			got := map[string]int{}
			said := c.say == ""
			for _, f := range res.Findings {
				got[f.Rule]++
				said = said || strings.Contains(f.Message, c.say)
			}
			if fmt.Sprint(got) != fmt.Sprint(c.want) && len(got)+len(c.want) > 0 || !said {
				t.Errorf("%s, %s: %v, want %v %q: %v", name, way, got, c.want, c.say, res.Findings)
			}
		}
	}
}

// Details of one kind and size are one finding for each part, at the topmost.
func TestDetailsBySize(t *testing.T) {
	rounded := func(x, y, r float64) geom.Path { // a window whose corners are round
		l := 8.0
		q := math.Tan(math.Pi / 8)
		p := func(dx, dy float64) geom.Point { return geom.Pt(x+dx, y+dy) }
		return geom.Path{
			geom.Line(p(-l+r, -l), p(l-r, -l)), geom.Bulge(p(l-r, -l), p(l, -l+r), q), geom.Line(p(l, -l+r), p(l, l-r)), geom.Bulge(p(l, l-r), p(l-r, l), q),
			geom.Line(p(l-r, l), p(-l+r, l)), geom.Bulge(p(-l+r, l), p(-l, l-r), q), geom.Line(p(-l, l-r), p(-l, -l+r)), geom.Bulge(p(-l, -l+r), p(-l+r, -l), q),
		}
	}
	d := drawingOf(geom.Identity(), poly(0, 0, 200, 0, 200, 80, 0, 80), poly(0, 100, 200, 100, 200, 180, 0, 180),
		rounded(30, 40, 0.2), rounded(70, 40, 0.2), rounded(110, 50, 0.3), rounded(30, 140, 0.2), rounded(150, 140, 2))
	res, err := lint.Judge(context.Background(), "x", d, job.Default(), lint.Options{Rules: []*lint.Rule{fineDetail}})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range res.Findings {
		got = append(got, fmt.Sprintf("%.0f %.0f part %s: %s", f.At.X, f.At.Y, f.Part, f.Message))
	}
	want := []string{
		"22 148 part 1: 4 inside radii of 0.2 mm; the stream leaves at least 0.5 mm",
		"102 58 part 2: 4 inside radii of 0.3 mm; the stream leaves at least 0.5 mm",
		"22 48 part 2: 8 inside radii of 0.2 mm; the stream leaves at least 0.5 mm",
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %q\nwant %q", got, want)
	}
}
