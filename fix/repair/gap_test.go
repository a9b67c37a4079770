package repair_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

var options = outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1}

func sheetOf(t *testing.T, d *drawing.Drawing) *outline.Sheet {
	t.Helper()
	s, err := outline.Build(context.Background(), d.Strokes, func(*drawing.Stroke) outline.Role { return outline.Cut }, options)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func drawn(ps ...geom.Piece) *drawing.Drawing {
	d := &drawing.Drawing{Layers: []drawing.Layer{{Name: "0"}}}
	for i, p := range ps {
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: p, Entity: int32(i)})
	}
	return d
}

func line(x0, y0, x1, y1 float64) geom.Piece { return geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)) }

// farthest is by how much, mm, an edit moves ends of strokes.
func farthest(d *drawing.Drawing, e *fix.Edit) float64 {
	far := 0.0
	for _, op := range e.Ops {
		switch op.Kind {
		case fix.MoveA:
			far = max(far, op.To.Dist(d.Strokes[op.Stroke].A))
		case fix.MoveB:
			far = max(far, op.To.Dist(d.Strokes[op.Stroke].B))
		}
	}
	return far
}

// TestCloseGap closes one gap of each kind and compares the area enclosed with
// that of the outline as meant.
func TestCloseGap(t *testing.T) {
	arc := func(cx, cy, r, a0, a1 float64) geom.Piece {
		return geom.Arc(geom.Pt(cx, cy), r, a0*math.Pi/180, (a1-a0)*math.Pi/180)
	}
	deg := func(mm, r float64) float64 { return mm / r * 180 / math.Pi }
	for _, tt := range []struct {
		name    string
		pieces  []geom.Piece
		area    float64
		tol     float64 // mm2
		note    string
		pieces2 int // pieces of the outline afterwards
	}{
		{"corner of lines", []geom.Piece{line(0, 0, 9.8, 0), line(10, 0.3, 10, 10), line(10, 10, 0, 10), line(0, 10, 0, 0)}, 100, 1e-6, "lines run on", 4},
		{"lines past their corner", []geom.Piece{line(0, 0, 10.3, 0), line(10, -0.2, 10, 10), line(10, 10, 0, 10), line(0, 10, 0, 0)}, 100, 1e-6, "lines run on", 4},
		{"on one line", []geom.Piece{line(0, 0, 4, 0), line(4.4, 0, 10, 0), line(10, 0, 10, 10), line(10, 10, 0, 10), line(0, 10, 0, 0)}, 100, 1e-6, "run on to the next", 5},
		{"micro gap", []geom.Piece{line(0, 0, 10, 0), line(10.01, 0.005, 10, 10), line(10, 10, 0, 10), line(0, 10, 0, 0)}, 100, 0.1, "brought together", 4},
		// A half disc of radius 10 on the x axis.
		{"line and arc", []geom.Piece{line(-10, 0, 9.7, 0), arc(0, 0, 10, deg(0.2, 10), 180)}, 50 * math.Pi, 1e-6, "line and arc run on", 2},
		{"line and arc past each other", []geom.Piece{line(-10, 0, 10.3, 0), arc(0, 0, 10, -deg(0.2, 10), 180)}, 50 * math.Pi, 1e-6, "line and arc run on", 2},
		// The cap of that disc above y = 6.
		{"line and arc off the centre", []geom.Piece{line(-8, 6, 7.7, 6), geom.Arc(geom.Pt(0, 0), 10, math.Atan2(6, 8)+0.02, math.Pi-2*math.Atan2(6, 8)-0.02)},
			100*math.Acos(0.6) - 48, 1e-6, "line and arc run on", 2},
		{"line and arc past each other off the centre", []geom.Piece{line(-8, 6, 8.3, 6), geom.Arc(geom.Pt(0, 0), 10, math.Atan2(6, 8)-0.02, math.Pi-2*math.Atan2(6, 8)+0.02)},
			100*math.Acos(0.6) - 48, 1e-6, "line and arc run on", 2},
		// A lens: two arcs of radius 10 about (0,-6) and (0,6), ends at (8,0), (-8,0).
		{"arc and arc", []geom.Piece{
			geom.Bulge(geom.Pt(8, 0), geom.Pt(-8, 0), 0.5).Sub(0.02, 1), geom.Bulge(geom.Pt(-8, 0), geom.Pt(8, 0), 0.5).Sub(0, 0.99),
		}, 2 * (100*math.Atan2(8, 6) - 48), 1e-6, "arcs run on", 2},
		{"on one circle", []geom.Piece{arc(0, 0, 10, 0, 180), arc(0, 0, 10, 180, 360-deg(0.4, 10))}, 100 * math.Pi, 1e-6, "arc of the same circle", 3},
		{"an arc's own ends", []geom.Piece{arc(0, 0, 10, 10, 370-deg(0.4, 10))}, 100 * math.Pi, 1e-6, "arc of the same circle", 2},
		// An arc keeps its form: what it lacks to a line that it runs into is bridged.
		{"line tangent to an arc", []geom.Piece{line(0, -10, 4.6, -10), arc(5, 0, 10, -90, 90), line(5, 10, 0, 10), line(0, 10, 0, -10)}, 100 + 50*math.Pi, 1e-6, "bridged", 5},
		// Offset by 0.3: nothing to run on to.
		{"step", []geom.Piece{line(0, 0, 5, 0), line(5, 0.3, 10, 0.3), line(10, 0.3, 10, 10), line(10, 10, 0, 10), line(0, 10, 0, 0)}, 98.5, 1e-6, "bridged", 6},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for turn := range 3 {
				place := geom.Turn(geom.Point{}, float64(turn)*0.7).Then(geom.Shift(geom.Pt(100*float64(turn), -7)))
				d := drawn(tt.pieces...)
				for i := range d.Strokes {
					d.Strokes[i].Piece = d.Strokes[i].Piece.Transform(place)
					if (i+turn)%2 == 1 {
						d.Strokes[i].Piece = d.Strokes[i].Piece.Reverse()
					}
				}
				s := sheetOf(t, d)
				if len(s.Gaps) != 1 {
					t.Fatalf("%d gaps", len(s.Gaps))
				}
				e := repair.CloseGap(d, &s.Gaps[0], options.Gap)
				if !strings.Contains(e.Note, tt.note) {
					t.Errorf("note %q, want %q", e.Note, tt.note)
				}
				if moved := farthest(d, &e); math.Abs(e.Moved-moved) > 1e-9 || moved > options.Gap {
					t.Errorf("%g mm moved, %g told", moved, e.Moved)
				}
				after, _, _ := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{e}}})
				s = sheetOf(t, after)
				if len(s.Gaps) != 0 || len(s.Outlines) != 1 || !s.Outlines[0].Closed {
					t.Fatalf("gaps %+v, %d outlines", s.Gaps, len(s.Outlines))
				}
				o := &s.Outlines[0]
				if off, _ := o.Pieces.Dist(e.At); off > 0.01 {
					t.Errorf("told at %v, %g mm off the outline", e.At, off)
				}
				if math.Abs(o.Area-tt.area) > tt.tol || len(o.Pieces) != tt.pieces2 {
					t.Errorf("area %.7f of %d pieces, want %.7f of %d", o.Area, len(o.Pieces), tt.area, tt.pieces2)
				}
			}
		})
	}
}

// TestLandOnPiece runs a partition on, or cuts it back, to the edge it is to meet.
func TestLandOnPiece(t *testing.T) {
	// The edge is parted where the wall stands: a wall that stands on the inside of
	// an edge may be a bend line.
	square := func(x float64) []geom.Piece {
		return []geom.Piece{line(0, 0, x, 0), line(x, 0, 20, 0), line(20, 0, 20, 20), line(20, 20, 0, 20), line(0, 20, 0, 0)}
	}
	disc := []geom.Piece{geom.Arc(geom.Pt(10, 10), 10, -math.Pi/2, math.Pi/2), geom.Arc(geom.Pt(10, 10), 10, 0, 1.5*math.Pi)}
	for _, tt := range []struct {
		name string
		edge []geom.Piece
		wall geom.Piece
		a, b float64 // areas on the two sides of the wall
	}{
		{"short", square(8), line(8, 0, 8, 19.7), 160, 240},
		{"past", square(8), line(8, 0, 8, 20.4), 160, 240},
		{"slanting", square(10), line(10, 0, 10+10*0.99, 20*0.99), 100, 300},
		{"on a circle", disc, line(10, 0, 10, 19.6), 50 * math.Pi, 50 * math.Pi},
	} {
		d := drawn(append(append([]geom.Piece(nil), tt.edge...), tt.wall)...)
		s := sheetOf(t, d)
		if len(s.Gaps) != 1 {
			t.Fatalf("%s: %d gaps", tt.name, len(s.Gaps))
		}
		e := repair.CloseGap(d, &s.Gaps[0], options.Gap)
		if moved := farthest(d, &e); math.Abs(e.Moved-moved) > 1e-9 {
			t.Errorf("%s: %g mm moved, %g told", tt.name, moved, e.Moved)
		}
		after, _, _ := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{e}}})
		s = sheetOf(t, after)
		if len(s.Gaps) != 0 || len(s.Outlines) != 2 || len(s.Crossings) != 0 {
			t.Fatalf("%s: %d gaps, %d outlines, %d crossings", tt.name, len(s.Gaps), len(s.Outlines), len(s.Crossings))
		}
		x, y := s.Outlines[0].Area, s.Outlines[1].Area
		if math.Abs(min(x, y)-tt.a) > 1e-6 || math.Abs(max(x, y)-tt.b) > 1e-6 {
			t.Errorf("%s: areas %g and %g, want %g and %g", tt.name, min(x, y), max(x, y), tt.a, tt.b)
		}
	}
}

// TestCloseGapWithin: no end moves by more than the limit, and none by so much that
// little is left of its stroke; where nothing can be done within it nothing is.
func TestCloseGapWithin(t *testing.T) {
	end := func(stroke int32, b bool) outline.End { return outline.End{Stroke: stroke, AtB: b} }
	gap := func(a, b geom.Point, ea, eb outline.End, inside bool) outline.Gap {
		return outline.Gap{At: a.Mid(b), A: a, B: b, EndA: ea, EndB: eb, Width: a.Dist(b), Inside: inside, Partner: true}
	}
	for _, tt := range []struct {
		name   string
		pieces []geom.Piece
		gap    outline.Gap
		note   string
		kinds  []fix.OpKind
	}{
		{"corner just within the limit", []geom.Piece{line(0, 0, 9.52, 0), line(10, 0.1, 10, 10)},
			gap(geom.Pt(9.52, 0), geom.Pt(10, 0.1), end(0, true), end(1, false), false), "lines run on", []fix.OpKind{fix.MoveB, fix.MoveA}},
		{"corner past the limit", []geom.Piece{line(0, 0, 9.45, 0), line(10, 0.1, 10, 10)},
			gap(geom.Pt(9.45, 0), geom.Pt(10, 0.1), end(0, true), end(1, false), false), "bridged", []fix.OpKind{fix.Add}},
		{"cutting back takes less than half", []geom.Piece{line(9.5, 0, 10.4, 0), line(10, 0.1, 10, 10)},
			gap(geom.Pt(10.4, 0), geom.Pt(10, 0.1), end(0, true), end(1, false), false), "lines run on", []fix.OpKind{fix.MoveB, fix.MoveA}},
		{"cutting back takes more than half", []geom.Piece{line(9.7, 0, 10.4, 0), line(10, 0.1, 10, 10)},
			gap(geom.Pt(10.4, 0), geom.Pt(10, 0.1), end(0, true), end(1, false), false), "bridged", []fix.OpKind{fix.Add}},
		{"cutting an arc back takes less than half", []geom.Piece{geom.Arc(geom.Pt(0, 0), 10, 0.05, -0.09), line(10, 0, 0, 0)},
			gap(geom.Polar(geom.Point{}, 10, -0.04), geom.Pt(10, 0), end(0, true), end(1, false), false), "line and arc run on", []fix.OpKind{fix.MoveB, fix.MoveA}},
		{"cutting an arc back takes more than half", []geom.Piece{geom.Arc(geom.Pt(0, 0), 10, 0.02, -0.06), line(10, 0, 0, 0)},
			gap(geom.Polar(geom.Point{}, 10, -0.04), geom.Pt(10, 0), end(0, true), end(1, false), false), "bridged", []fix.OpKind{fix.Add}},
		{"the same of an arc that runs the other way", []geom.Piece{geom.Arc(geom.Pt(0, 0), 10, -0.02, 0.06), line(10, 0, 0, 0)},
			gap(geom.Polar(geom.Point{}, 10, 0.04), geom.Pt(10, 0), end(0, true), end(1, false), false), "bridged", []fix.OpKind{fix.Add}},
		{"stops short within the limit", []geom.Piece{line(5, 0, 5, 9.6), line(0, 10, 10, 10)},
			gap(geom.Pt(5, 9.6), geom.Pt(5, 10), end(0, true), end(1, false), true), "run on or cut back", []fix.OpKind{fix.MoveB}},
		{"runs past within the limit", []geom.Piece{line(5, 0, 5, 10.4), line(0, 10, 10, 10)},
			gap(geom.Pt(5, 10.4), geom.Pt(5, 10), end(0, true), end(1, false), true), "run on or cut back", []fix.OpKind{fix.MoveB}},
		{"runs past by more", []geom.Piece{line(5, 0, 5, 10.7), line(0, 10, 10, 10)},
			gap(geom.Pt(5, 10.7), geom.Pt(5, 10), end(0, true), end(1, false), true), "", nil},
		{"slants so that it would have to go further", []geom.Piece{line(0, 0, 5, 9.6), line(5.1, 10, 15, 10)},
			gap(geom.Pt(5, 9.6), geom.Pt(5.1, 10), end(0, true), end(1, false), true), "run on or cut back", []fix.OpKind{fix.MoveB}},
		{"beside the piece", []geom.Piece{line(0, 9.6, 5, 9.6), line(5, 10, 15, 10)},
			gap(geom.Pt(5, 9.6), geom.Pt(5, 10), end(0, true), end(1, false), true), "bridged", []fix.OpKind{fix.Add}},
		{"the two ends of a short line", []geom.Piece{line(0, 0, 0.01, 0)},
			gap(geom.Pt(0.01, 0), geom.Pt(0, 0), end(0, true), end(0, false), false), "", nil},
		{"no partner", []geom.Piece{line(0, 0, 5, 0)},
			gap(geom.Pt(5, 0), geom.Pt(5, 0), end(0, true), end(-1, false), false), "", nil},
	} {
		d := drawn(tt.pieces...)
		e := repair.CloseGap(d, &tt.gap, options.Gap)
		var kinds []fix.OpKind
		for _, op := range e.Ops {
			kinds = append(kinds, op.Kind)
		}
		if !slices.Equal(kinds, tt.kinds) || tt.kinds != nil && !strings.Contains(e.Note, tt.note) {
			t.Errorf("%s: %v, %q", tt.name, kinds, e.Note)
		}
		if moved := farthest(d, &e); moved > options.Gap || tt.kinds != nil && math.Abs(e.Moved-moved) > 1e-9 {
			t.Errorf("%s: %g mm moved, %g told", tt.name, moved, e.Moved)
		}
	}
}

// TestDropOverhang keeps the edge and drops what runs past its corner.
func TestDropOverhang(t *testing.T) {
	d := drawn(line(0, 0, 20.8, 0), line(20, 0, 20, 20), line(20, 20, 0, 20), line(0, 20, 0, 0))
	s := sheetOf(t, d)
	if len(s.Strays) != 1 {
		t.Fatalf("%d strays", len(s.Strays))
	}
	after, _, _ := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{{Ops: []fix.Op{repair.DropStray(d, &s.Strays[0])}}}}})
	s = sheetOf(t, after)
	if len(s.Strays)+len(s.Gaps)+len(s.Open) != 0 || len(s.Outlines) != 1 || s.Outlines[0].Area != 400 {
		t.Errorf("%d strays, %d gaps, outlines %+v", len(s.Strays), len(s.Gaps), s.Outlines)
	}
}

// TestDropWholeStray: of a stray piece that hangs on nothing all goes.
func TestDropWholeStray(t *testing.T) {
	d := drawn(line(0, 0, 0.4, 0), line(10, 0, 20, 0))
	after, _, _ := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{{Ops: []fix.Op{repair.DropStray(d, &outline.Stray{Stroke: 0})}}}}})
	if len(after.Strokes) != 1 || after.Strokes[0].A != geom.Pt(10, 0) {
		t.Errorf("left: %+v", after.Strokes)
	}
}
