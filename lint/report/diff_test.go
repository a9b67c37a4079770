package report

import (
	"bytes"
	"context"
	"math"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix/diff"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// sketchpad draws kits to compare.
type sketchpad struct{ d drawing.Drawing }

func newSketchpad(unit string) *sketchpad {
	s := &sketchpad{}
	s.d.Unit = drawing.Unit{Name: unit, Factor: 1, Basis: "header"}
	for _, n := range []string{"cut", "etch"} {
		s.d.Layers = append(s.d.Layers, drawing.Layer{Name: n})
	}
	return s
}

func (s *sketchpad) draw(layer int32, t geom.Transform, paths ...geom.Path) {
	for _, p := range paths {
		e := int32(len(s.d.Entities))
		s.d.Entities = append(s.d.Entities, drawing.Entity{Type: "LWPOLYLINE", Layer: layer, Place: e + 1, Kept: true})
		for _, q := range p {
			s.d.Strokes = append(s.d.Strokes, drawing.Stroke{Piece: q.Transform(t), Entity: e, Layer: layer})
		}
	}
}

func (s *sketchpad) text(x, y float64, value string) {
	s.d.Texts = append(s.d.Texts, drawing.Text{Entity: 0, At: geom.Pt(x, y), Height: 5, Value: value})
}

func (s *sketchpad) judge(t testing.TB, path string) *lint.Result {
	t.Helper()
	r, err := lint.Judge(context.Background(), path, &s.d, job.Default(), lint.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func round(x, y, r float64) geom.Path { return geom.Path{geom.Circle(geom.Pt(x, y), r)} }

// hook is a part without symmetry.
func hook() geom.Path {
	pt := geom.Pt
	return geom.Path{
		geom.Line(pt(0, 0), pt(30, 0)), geom.Bulge(pt(30, 0), pt(30, 20), 1), geom.Line(pt(30, 20), pt(22, 20)),
		geom.Line(pt(22, 20), pt(22, 10)), geom.Line(pt(22, 10), pt(8, 10)), geom.Line(pt(8, 10), pt(8, 50)), geom.Line(pt(8, 50), pt(0, 50)), geom.Line(pt(0, 50), pt(0, 0)),
	}
}

// kitBefore and kitAfter hold a part of every verdict.
func kitBefore(t testing.TB) *lint.Result {
	s := newSketchpad("in")
	id := geom.Identity()
	s.draw(0, id, gear(geom.Pt(50, 250), 16, 34, 40), round(50, 250, 6))      // stays
	s.draw(0, id, roundedPlate(110, 210, 120, 80, 10), round(130, 250, 6))    // reshaped
	s.draw(0, id, roundedPlate(250, 210, 60, 80, 4))                          // removed
	s.draw(0, geom.Shift(geom.Pt(10, 120)), hook(), round(6, 6, 3))           // moved
	s.draw(0, geom.Shift(geom.Pt(80, 120)), hook(), round(6, 40, 2))          // turned
	s.draw(0, geom.Shift(geom.Pt(150, 120)), hook())                          // mirrored
	s.draw(1, id, geom.Path{geom.Line(geom.Pt(120, 220), geom.Pt(180, 220))}) // etched, stays
	s.draw(1, id, geom.Path{geom.Line(geom.Pt(35, 232), geom.Pt(65, 232))})   // etched, goes
	s.text(20, 20, "kit 7")
	return s.judge(t, "kit-before.dxf")
}

func kitAfter(t testing.TB) *lint.Result {
	s := newSketchpad("mm")
	id := geom.Identity()
	s.draw(0, id, gear(geom.Pt(50, 250), 16, 34, 40), round(50, 250, 6))
	s.draw(0, id, roundedPlate(110, 210, 124, 80, 10), round(130, 252, 6), round(200, 250, 5))
	s.draw(0, geom.Shift(geom.Pt(10, 100)), hook(), round(6, 6, 3))
	s.draw(0, geom.Turn(geom.Pt(15, 25), math.Pi/6).Then(geom.Shift(geom.Pt(85, 120))), hook(), round(6, 40, 2))
	s.draw(0, geom.MirrorX(20).Then(geom.Shift(geom.Pt(150, 120))), hook())
	s.draw(0, id, roundedPlate(220, 110, 70, 50, 8), round(255, 135, 10))
	s.draw(1, id, geom.Path{geom.Line(geom.Pt(120, 220), geom.Pt(150, 220)), geom.Line(geom.Pt(150, 220), geom.Pt(180, 220))})
	s.draw(0, id, geom.Path{geom.Line(geom.Pt(20, 60), geom.Pt(120, 60))}) // an open cut in the scrap
	s.text(20, 20, "kit 8")
	return s.judge(t, "kit-after.dxf")
}

func TestDiffCounts(t *testing.T) {
	d := changes(kitBefore(t), kitAfter(t))
	want := diff.Count{Same: 1, Moved: 1, Turned: 1, Reshaped: 2, Added: 1, Removed: 1}
	if s := cmp.Diff(want, d.Count); s != "" {
		t.Errorf("(-want +got):\n%s", s)
	}
}

// Every pair of sides is written in every form, and told in JSON as its schema says.
func TestDiffOfAnySides(t *testing.T) {
	shape := schema(t, "../../testdata/schema/diff.schema.json")
	empty := newSketchpad("mm").judge(t, "empty.dxf")
	for _, sides := range [][2]*lint.Result{{kitBefore(t), kitAfter(t)}, {kitAfter(t), kitBefore(t)}, {empty, kitAfter(t)}, {kitBefore(t), empty}, {empty, empty}} {
		forms, _ := FormatsOf("diff")
		for _, f := range forms {
			got := in(t, "diff", f.Name, changes(sides[0], sides[1]))
			if len(got) == 0 || bytes.Contains(got, []byte("NaN")) || bytes.Contains(got, []byte("Inf")) {
				t.Errorf("%s: %q", f.Name, got)
			}
			if f.Name == "json" {
				if err := validate(t, shape, got); err != nil {
					t.Error(err)
				}
			}
		}
	}
}

// The demo kit repaired is the same shapes, with tabs and numbers listed.
func TestDiffOfRepairedDemo(t *testing.T) {
	b, err := os.ReadFile("../../fixtures/harbour-crane.dxf")
	if err != nil {
		t.Fatal(err)
	}
	j := job.Default()
	rep, out, err := mend.Fix(context.Background(), "harbour-crane.dxf", bytes.NewReader(b), j, mend.Options{Options: lint.Options{Rules: rules.All()}})
	if err != nil {
		t.Fatal(err)
	}
	read := func(name string, data []byte) *lint.Result {
		r := lint.Check(context.Background(), name, bytes.NewReader(data), j, lint.Options{})
		if r.Err != nil {
			t.Fatal(r.Err)
		}
		return r
	}
	d := changes(read("harbour-crane.dxf", b), read("out.dxf", out))
	if d.Count.Removed != 0 || d.Count.Added != 0 || d.Count.Moved != 0 || d.Count.Turned != 0 {
		t.Errorf("a repair neither loses nor moves parts: %+v", d.Count)
	}
	for i := range d.Parts {
		// A gap of up to 0.5 mm is closed by moving both ends to its middle.
		if p := &d.Parts[i]; p.Deviation > 0.25+1e-6 || len(p.Holes) > 0 {
			t.Errorf("%s: %s", whoIs(d.Diff, p.Before, p.After), partChange(d.Changes, i))
		}
	}
	tabs, numbers := 0, 0
	for i := range d.Tabs {
		if d.Tabs[i].Change == diff.Gained {
			tabs++
		}
	}
	for i := range d.Texts {
		if d.Texts[i].Number && d.Texts[i].Change == diff.Gained {
			numbers++
		}
	}
	if tabs != len(rep.Tabs) || numbers != len(rep.Labels) || tabs == 0 || numbers == 0 {
		t.Errorf("%d tabs and %d numbers listed, want %d and %d", tabs, numbers, len(rep.Tabs), len(rep.Labels))
	}
	if r := read("out.dxf", out); !changes(r, r).Same {
		t.Error("a drawing differs from itself")
	}
}
