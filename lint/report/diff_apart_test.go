package report

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// holesOnLayer draws a plate with holes on a layer of their own.
func holesOnLayer(t testing.TB, name string, lay geom.Transform, hide func(l *drawing.Layer)) *lint.Result {
	s := newSketchpad("mm")
	s.d.Layers = append(s.d.Layers, drawing.Layer{Name: "HOLES"})
	s.draw(0, lay, roundedPlate(0, 0, 200, 100, 6))
	s.draw(0, lay, roundedPlate(0, 120, 150, 40, 5))
	s.draw(0, lay, roundedPlate(220, 0, 60, 50, 5), round(250, 25, 5))
	holes := len(s.d.Strokes)
	for k := range 12 {
		s.draw(2, lay, round(20+float64(k)*14, 50, 3))
	}
	if hide != nil {
		hide(&s.d.Layers[2])
		for i := range s.d.Strokes[holes:] {
			e := s.d.Strokes[holes+i].Entity
			s.d.Entities[e].Kept = false
			s.d.Notices = append(s.d.Notices, drawing.Notice{Kind: drawing.Hidden, Entity: e, Layer: 2, Text: "layer off or frozen"})
		}
		s.d.Strokes = s.d.Strokes[:holes]
	}
	return s.judge(t, name)
}

// A layer hidden on one side is named, and what lies on it is not told as holes
// that have gone.
func TestHiddenLayers(t *testing.T) {
	id, away := geom.Identity(), geom.Shift(geom.Pt(500, 30))
	frozen := func(l *drawing.Layer) { l.Frozen = true }
	off := func(l *drawing.Layer) { l.Off = true }
	tests := map[string]struct {
		before, after *lint.Result
		want          []string
		same          bool
	}{
		"frozen after":                    {holesOnLayer(t, "a", id, nil), holesOnLayer(t, "b", id, frozen), []string{"layer HOLES is frozen in the second drawing: 12 outlines not compared"}, false},
		"off before":                      {holesOnLayer(t, "a", id, off), holesOnLayer(t, "b", id, nil), []string{"layer HOLES is off in the first drawing: 12 outlines not compared"}, false},
		"frozen moved":                    {holesOnLayer(t, "a", id, nil), holesOnLayer(t, "b", away, frozen), []string{"layer HOLES is frozen in the second drawing: 12 outlines not compared"}, false},
		"frozen both":                     {holesOnLayer(t, "a", id, frozen), holesOnLayer(t, "b", id, frozen), nil, true},
		"off in one, frozen in the other": {holesOnLayer(t, "a", id, off), holesOnLayer(t, "b", id, frozen), nil, true},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			d := changes(tt.before, tt.after)
			if got := hiddenTexts(d.Diff); fmt.Sprint(got) != fmt.Sprint(tt.want) {
				t.Errorf("%q, want %q", got, tt.want)
			}
			if d.Count.Changed() != 0 || d.Same != tt.same {
				t.Errorf("%+v, same %v", d.Count, d.Same)
			}
			for _, format := range []string{"text", "json", "html", "svg"} {
				out := in(t, "diff", format, d)
				for _, w := range tt.want {
					if !bytes.Contains(bytes.ToLower(out), []byte(strings.ToLower(strings.TrimPrefix(w, "layer ")))) && format != "json" {
						t.Errorf("%s does not name the layer", format)
					}
				}
				if format == "json" {
					if err := validate(t, schema(t, "../../testdata/schema/diff.schema.json"), out); err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
}

// What a corrected drawing has set aside as notes, a mark or a border about the
// sheet, is told in a line and turns no part into a hole.
func TestSetAsideAsNotes(t *testing.T) {
	draw := func(own bool) *lint.Result {
		s := newSketchpad("mm")
		s.d.Layers = []drawing.Layer{{Name: "0"}, {Name: "etch"}}
		note := int32(0)
		if own {
			s.d.Layers = append(s.d.Layers, drawing.Layer{Name: lint.LayerOutside}, drawing.Layer{Name: lint.LayerInside}, drawing.Layer{Name: lint.LayerNote})
			note, s.d.Own = 4, true
		}
		id := geom.Identity()
		s.draw(0, id, roundedPlate(20, 20, 120, 80, 6), round(50, 60, 8))
		s.draw(0, id, roundedPlate(160, 20, 90, 80, 6), round(200, 60, 5))
		s.draw(note, id, roundedPlate(0, 0, 300, 130, 1))                         // a border
		s.draw(note, id, geom.Path{geom.Line(geom.Pt(70, 30), geom.Pt(120, 30))}) // a mark
		r, err := lint.Judge(context.Background(), map[bool]string{false: "kit.dxf", true: "out.dxf"}[own], &s.d, job.Default(), lint.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, sides := range [][2]*lint.Result{{draw(false), draw(true)}, {draw(true), draw(false)}} {
		d := changes(sides[0], sides[1])
		if !d.Same || d.Count.Same != 2 {
			t.Errorf("same %v, %+v", d.Same, d.Count)
		}
		if got := notedTexts(d.Diff); len(got) != 1 || !strings.HasPrefix(got[0], "2 paths of layer 0 on layer NOTE in the ") {
			t.Errorf("%q", got)
		}
		for _, format := range []string{"text", "json", "html", "svg"} {
			if out := in(t, "diff", format, d); format != "json" && !bytes.Contains(out, []byte("2 paths of layer 0 on layer NOTE")) {
				t.Errorf("%s does not tell it", format)
			}
		}
	}
}

// What a drawing has gone through as a whole is one line.
func TestWholeInWords(t *testing.T) {
	kit := func(lay geom.Transform, more bool) *lint.Result {
		s := newSketchpad("mm")
		s.draw(0, lay, gear(geom.Pt(50, 250), 16, 34, 40), round(50, 250, 6))
		s.draw(0, lay, roundedPlate(110, 210, 120, 80, 10), round(130, 250, 6))
		s.draw(0, geom.Shift(geom.Pt(10, 120)).Then(lay), hook(), round(6, 6, 3))
		if more {
			for k := range 4 {
				s.draw(0, lay, roundedPlate(400, float64(k)*60, 30, 40+float64(k), 3))
			}
		}
		return s.judge(t, map[bool]string{false: "a.dxf", true: "b.dxf"}[more])
	}
	tests := map[string]geom.Transform{
		"the drawing moved by 100, 50 mm; 4 parts added":                     geom.Shift(geom.Pt(100, 50)),
		"the drawing is 10 times larger; 4 parts added":                      geom.Scaling(10),
		"the drawing is 25.4 times smaller; 4 parts added":                   geom.Scaling(1 / 25.4),
		"the drawing is 0.5 % larger; 4 parts added":                         geom.Scaling(1.005),
		"the drawing turned by 90° about 0.00, 0.00; 4 parts added":          geom.Turn(geom.Point{}, 1.5707963267948966),
		"the drawing turned by -30° about 10.00, 20.00; 4 parts added":       geom.Turn(geom.Pt(10, 20), -0.5235987755982988),
		"the drawing mirrored left to right about x = 300; 4 parts added":    geom.MirrorX(300),
		"the drawing mirrored top to bottom about y = 40; 4 parts added":     geom.MirrorX(0).Then(geom.Turn(geom.Point{}, 3.141592653589793)).Then(geom.Shift(geom.Pt(0, 80))),
		"the drawing is 10 times larger and moved by 5, 0 mm; 4 parts added": geom.Scaling(10).Then(geom.Shift(geom.Pt(5, 0))),
	}
	for want, lay := range tests {
		d := changes(kit(geom.Identity(), false), kit(lay, true))
		if got := diffVerdict(d.Changes); !strings.HasPrefix(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
		text := string(in(t, "diff", "text", d))
		if strings.Contains(text, "Moved (") || strings.Contains(text, "Removed (") {
			t.Errorf("told part by part:\n%s", text)
		}
	}
}
