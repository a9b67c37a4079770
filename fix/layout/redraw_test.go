package layout

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
)

func build(t *testing.T, d *drawing.Drawing) *outline.Sheet {
	t.Helper()
	role := func(s *drawing.Stroke) outline.Role {
		if d.LayerName(s.Layer) == "ETCH" {
			return outline.Etch
		}
		return outline.Cut
	}
	s, err := outline.Build(t.Context(), d.Strokes, role, outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// twins draws two plates of 40 x 30 with one edge in common, drawn once, a hole
// and a number etched on the right one, texts on both and a note far off.
func twins() *drawing.Drawing {
	d := &drawing.Drawing{Layers: []drawing.Layer{{Name: "CUT"}, {Name: "ETCH"}}}
	line := func(layer int32, x0, y0, x1, y1 float64) {
		d.Entities = append(d.Entities, drawing.Entity{Type: "LINE", Kept: true, Layer: layer})
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)), Entity: int32(len(d.Entities) - 1), Layer: layer})
	}
	line(0, 0, 0, 40, 0)
	line(0, 40, 0, 80, 0)
	line(0, 80, 0, 80, 30)
	line(0, 80, 30, 40, 30)
	line(0, 40, 30, 0, 30)
	line(0, 0, 30, 0, 0)
	line(0, 40, 0, 40, 30)
	d.Entities = append(d.Entities, drawing.Entity{Type: "CIRCLE", Kept: true})
	d.Strokes = append(d.Strokes, drawing.Stroke{Piece: geom.Circle(geom.Pt(60, 15), 5), Entity: 7})
	line(1, 70, 5, 70, 11)
	d.Texts = []drawing.Text{{At: geom.Pt(5, 5), Value: "left"}, {At: geom.Pt(70, 5), Value: "right"}, {At: geom.Pt(500, 5), Value: "note", Entity: 9}}
	d.Entities = append(d.Entities, drawing.Entity{Type: "TEXT", Kept: true})
	d.Points = []drawing.Mark{{At: geom.Pt(60, 28)}}
	return d
}

// redrawn makes the changes that move parts.
func redrawn(t *testing.T, d *drawing.Drawing, s *outline.Sheet, moves []Move, rest bool) *drawing.Drawing {
	t.Helper()
	edits := Edits(d, s, moves, 20, rest, func(*Move) fix.Edit { return fix.Edit{Kind: "move"} })
	out, _, skipped := fix.Apply(d, []fix.Fix{{Edits: edits}})
	if len(skipped) > 0 {
		t.Fatal(skipped[0].Why)
	}
	return out
}

func TestRedrawSpread(t *testing.T) {
	d := twins()
	s := build(t, d)
	if len(s.Parts) != 2 || len(s.Shared) != 1 {
		t.Fatalf("%d parts, %d common edges", len(s.Parts), len(s.Shared))
	}
	m, err := Spread(t.Context(), s, SpreadOptions{Gap: 3})
	if err != nil {
		t.Fatal(err)
	}
	out := redrawn(t, d, s, m.Moves(), true)
	after := build(t, out)
	if len(after.Parts) != 2 || len(after.Shared) != 0 || len(after.Gaps) != 0 || len(after.Open) != 0 || len(after.Etch) != 1 {
		t.Errorf("after: %d parts, %d common edges, %d gaps, %d etched", len(after.Parts), len(after.Shared), len(after.Gaps), len(after.Etch))
	}
	if len(out.Strokes) != len(d.Strokes)+1 {
		t.Errorf("%d strokes became %d; the common edge is now drawn twice", len(d.Strokes), len(out.Strokes))
	}
	right := 1
	if s.Parts[0].Box.Min.X > 30 {
		right = 0
	}
	to := map[string]geom.Point{}
	for _, x := range out.Texts {
		to[x.Value] = x.At
	}
	want := map[string]geom.Point{"left": geom.Pt(5, 5).Add(m.Shift[1-right]), "right": geom.Pt(70, 5).Add(m.Shift[right]), "note": geom.Pt(500, 5)}
	if diff := cmp.Diff(want, to); diff != "" {
		t.Error(diff)
	}
	if got := after.Etch[0].Pieces[0].A.X; math.Abs(got-70-m.Shift[right].X) > 1e-9 {
		t.Errorf("the number etched at 70 lies at %g", got)
	}
	if out.Points[0].At != geom.Pt(60, 28).Add(m.Shift[right]) {
		t.Errorf("the point lies at %v", out.Points[0].At)
	}
	if diff := cmp.Diff([]int32{9}, Loose(d, s, 20)); diff != "" {
		t.Errorf("belonging to no part: %s", diff)
	}
	if diff := cmp.Diff(twins(), d); diff != "" {
		t.Errorf("the drawing read has been changed: %s", diff)
	}
}

func TestRedrawLayout(t *testing.T) {
	d := twins()
	s := build(t, d)
	items := Items(s, func(int) string { return "" })
	items[0].Count = 2
	r, err := Layout(t.Context(), items, []Sheet{{Width: 150, Height: 120, Margin: 10}}, Options{Gap: 3, Seconds: 0.1, Seed: 2})
	if err != nil || len(r.Left) > 0 {
		t.Fatal(err, r.Left)
	}
	after := build(t, redrawn(t, d, s, r.Sheets[0].Moves(), false))
	if len(after.Parts) != 3 || len(after.Shared) != 0 || len(after.Gaps) != 0 {
		t.Errorf("after: %d parts, %d common edges, %d gaps", len(after.Parts), len(after.Shared), len(after.Gaps))
	}
	var before, now float64
	for _, p := range s.Parts {
		before += p.Area
	}
	for _, p := range after.Parts {
		now += p.Area
	}
	if math.Abs(now-before-s.Parts[0].Area) > 1e-6 {
		t.Errorf("area %g, then %g", before, now)
	}
}

// On real drawings a spread sheet has the same parts as before, none too near
// another, and so has a layout.
func TestSamples(t *testing.T) {
	dir := os.Getenv("SLUICE_SAMPLES")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "samples")
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.dxf"))
	files = append(files, filepath.Join("..", "..", "fixtures", "harbour-crane.dxf"))
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			f, err := os.Open(file)
			if err != nil {
				t.Skip(err)
			}
			defer f.Close()
			d, err := dxf.Read(t.Context(), f, dxf.Options{})
			if err != nil {
				t.Skip(err)
			}
			if err := d.Resolve("", "", drawing.UnitHints{}, 0.02); err != nil {
				t.Fatal(err)
			}
			s := build(t, d)
			m, err := Spread(t.Context(), s, SpreadOptions{Gap: 3})
			if err != nil {
				t.Fatal(err)
			}
			after := build(t, redrawn(t, d, s, m.Moves(), true))
			if len(after.Parts) != len(s.Parts) {
				t.Errorf("%d parts became %d", len(s.Parts), len(after.Parts))
			}
			if len(s.Parts) == 0 || len(s.Parts) > 40 {
				return
			}
			items := Items(s, func(int) string { return "" })
			sheets := []Sheet{{Width: 1300, Height: 1300, Margin: 10, Count: 2}}
			r, err := Layout(t.Context(), items, sheets, Options{Gap: 3, Seconds: 0.1, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			if len(r.Left) > 0 {
				t.Errorf("left: %v", r.Left)
			}
			brute(t, items, sheets, r, 3)
		})
	}
}
