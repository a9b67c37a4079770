package repair_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/drawing"
)

func poly(xy ...float64) geom.Path {
	var p geom.Path
	n := len(xy) / 2
	for i := range n {
		j := (i + 1) % n
		p = append(p, line(xy[2*i], xy[2*i+1], xy[2*j], xy[2*j+1]))
	}
	return p
}

func obround(x0, x1, y, w float64) geom.Path {
	r := w / 2
	a, b := geom.Pt(x0+r, y-r), geom.Pt(x1-r, y-r)
	c, e := geom.Pt(x1-r, y+r), geom.Pt(x0+r, y+r)
	return geom.Path{geom.Line(a, b), geom.Bulge(b, c, 1), geom.Line(c, e), geom.Bulge(e, a, 1)}
}

// curved is a slot along an arc of radius 20 about the origin, w wide.
func curved(w float64) geom.Path {
	in := geom.Arc(geom.Point{}, 20-w/2, 0.3, 1)
	out := geom.Arc(geom.Point{}, 20+w/2, 0.3, 1)
	return geom.Path{out, geom.Bulge(out.B, in.B, 1), in.Reverse(), geom.Bulge(in.A, out.A, 1)}
}

func slotsOf(t *testing.T, d *drawing.Drawing, limit float64) []clear.Narrow {
	t.Helper()
	s := sheetOf(t, d)
	var rings []clear.Ring
	for _, i := range append([]int32{s.Parts[0].Outer}, s.Parts[0].Holes...) {
		rings = append(rings, clear.Ring{Path: s.Outlines[i].Pieces, Box: s.Outlines[i].Box})
	}
	runs, err := clear.Narrows(context.Background(), rings, clear.Waste, limit)
	if err != nil {
		t.Fatal(err)
	}
	return runs
}

// TestSlots widens and etches slots of all kinds in a plate of 60 by 40.
func TestSlots(t *testing.T) {
	plate := poly(0, 0, 60, 0, 60, 40, 0, 40)
	comb := func() geom.Path {
		xy := []float64{0, 0, 60, 0, 60, 40}
		for i := 11; i >= 0; i-- {
			x := 4 + 4*float64(i)
			xy = append(xy, x+0.5, 40, x+0.5, 34, x, 34, x, 40)
		}
		return poly(append(xy, 0, 40)...)
	}()
	for _, tt := range []struct {
		name   string
		paths  []geom.Path
		slots  int
		gain   float64 // area of the widened slots less before, mm2
		tol    float64
		etched float64 // length of the etched lines
	}{
		{"rectangle", []geom.Path{plate, poly(10, 10, 30, 10, 30, 10.6, 10, 10.6)}, 1, 20 * 0.55, 1e-6, 20},
		{"round ends", []geom.Path{plate, obround(10, 30, 20, 0.6)}, 1, 19.4*0.55 + math.Pi/4*(1.15*1.15-0.36), 1e-6, 19.4},
		{"along an arc", []geom.Path{plate.Transform(geom.Shift(geom.Pt(-30, -5))), curved(0.7)}, 1, 20*0.45 + math.Pi/4*(1.15*1.15-0.49), 0.02, 20},
		{"notch", []geom.Path{poly(0, 0, 30, 0, 30, 15, 30.8, 15, 30.8, 0, 60, 0, 60, 40, 0, 40)}, 1, 15 * 0.35, 1e-6, 15},
		{"notch with a round bottom", []geom.Path{append(geom.Path{
			line(0, 0, 30, 0), line(30, 0, 30, 15), geom.Bulge(geom.Pt(30, 15), geom.Pt(30.8, 15), -1), line(30.8, 15, 30.8, 0)},
			poly(30.8, 0, 60, 0, 60, 40, 0, 40, 0, 0)[:4]...)}, 1, 15*0.35 + math.Pi/8*(1.15*1.15-0.64), 1e-6, 15},
		{"notch with a flat bottom and round corners", []geom.Path{append(geom.Path{
			line(0, 0, 30, 0), line(30, 0, 30, 14.8), geom.Bulge(geom.Pt(30, 14.8), geom.Pt(30.2, 15), 1-math.Sqrt2), line(30.2, 15, 30.6, 15),
			geom.Bulge(geom.Pt(30.6, 15), geom.Pt(30.8, 14.8), 1-math.Sqrt2), line(30.8, 14.8, 30.8, 0)},
			poly(30.8, 0, 60, 0, 60, 40, 0, 40, 0, 0)[:4]...)}, 1, 15 * 0.35, 1e-6, 14.8},
		{"comb", []geom.Path{comb}, 12, 12 * 6 * 0.65, 1e-6, 72},
		{"tapered", []geom.Path{poly(0, 0, 29.5, 0, 29.8, 15, 30.4, 15, 30.7, 0, 60, 0, 60, 40, 0, 40)}, 1, 0, 30, 15},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var all []geom.Piece
			for _, p := range tt.paths {
				all = append(all, p...)
			}
			d := drawn(all...)
			d.Layers = append(d.Layers, drawing.Layer{Name: repair.EtchLayer})
			s := sheetOf(t, d)
			part := &s.Parts[0]
			slots := slotsOf(t, d, 1)
			if len(slots) != tt.slots {
				t.Fatalf("%d slots", len(slots))
			}
			ring := append([]int32{part.Outer}, part.Holes...)
			o := &s.Outlines[ring[slots[0].RingA]]
			u := fit.UsesOf(s)

			edits, done := repair.WidenSlots(d, o, slots, 1.15, u)
			if len(edits) != tt.slots {
				t.Fatalf("%d edits, done %v", len(edits), done)
			}
			wide, _, skipped := fix.Apply(d, []fix.Fix{{Edits: edits}})
			if len(skipped) > 0 {
				t.Fatal("skipped")
			}
			after := sheetOf(t, wide)
			if len(after.Outlines) != len(s.Outlines) || len(after.Gaps)+len(after.Crossings) > 0 {
				t.Fatalf("%d outlines, gaps %+v, crossings %+v", len(after.Outlines), after.Gaps, after.Crossings)
			}
			if left := slotsOf(t, wide, 1.15-1e-6); len(left) > 0 {
				t.Errorf("still narrow: %.4f mm at %v", left[0].Width, left[0].At)
			}
			if gain := part.Area - after.Parts[0].Area; tt.gain > 0 && math.Abs(gain-tt.gain) > tt.tol {
				t.Errorf("slots grew by %.6f mm2, want %.6f", gain, tt.gain)
			}

			edits, _ = repair.EtchSlots(d, o, slots, u)
			etched, _, skipped := fix.Apply(d, []fix.Fix{{Edits: edits}})
			if len(edits) != tt.slots || len(skipped) > 0 {
				t.Fatalf("%d etched, %d skipped", len(edits), len(skipped))
			}
			var marks []drawing.Stroke
			kept := etched.Strokes[:0]
			for _, st := range etched.Strokes {
				if st.Layer == 1 {
					marks = append(marks, st)
				} else {
					kept = append(kept, st)
				}
			}
			etched.Strokes = kept
			length := 0.0
			for i := range marks {
				length += marks[i].Length()
			}
			if len(marks) != tt.slots || math.Abs(length-tt.etched) > 0.02 {
				t.Errorf("%d marks of %.4f mm, want %d of %.4f", len(marks), length, tt.slots, tt.etched)
			}
			if left := slotsOf(t, etched, 1); len(left) > 0 {
				t.Errorf("a slot is left at %v", left[0].At)
			}
			if s := sheetOf(t, etched); len(s.Gaps)+len(s.Open) > 0 {
				t.Errorf("gaps %+v", s.Gaps)
			}
		})
	}
}

// TestSlotsOfOthers: a slot of an outline whose strokes are not its own is left, and
// told of every slot.
func TestSlotsOfOthers(t *testing.T) {
	d := drawn(append(poly(0, 0, 60, 0, 60, 40, 0, 40), poly(10, 10, 30, 10, 30, 10.6, 10, 10.6)...)...)
	s := sheetOf(t, d)
	slots := slotsOf(t, d, 1)
	o := s.Outlines[s.Parts[0].Holes[0]]
	o.Src = slices.Clone(o.Src)
	o.Src[0] = -1 // the bridge of a gap
	for name, f := range map[string]func() ([]fix.Edit, []bool){
		"widened": func() ([]fix.Edit, []bool) { return repair.WidenSlots(d, &o, slots, 1.15, fit.UsesOf(s)) },
		"etched":  func() ([]fix.Edit, []bool) { return repair.EtchSlots(d, &o, slots, fit.UsesOf(s)) },
	} {
		if edits, done := f(); len(edits) > 0 || !slices.Equal(done, []bool{false}) {
			t.Errorf("%s: %v, done %v", name, edits, done)
		}
	}
}

// TestNoWalls: what has no two walls of its own is left as it is.
func TestNoWalls(t *testing.T) {
	notch := poly(0, 0, 30, 0, 30, 15, 30.8, 15, 30.8, 0, 60, 0, 60, 40, 0, 40)
	slot := clear.Narrow{Width: 0.8, Length: 15, PieceA: 1, PieceB: 3}
	flat := poly(0, 0, 10, 0, 20, 0, 20, 10, 0, 10)
	for _, tt := range []struct {
		name   string
		path   geom.Path
		change func(*clear.Narrow)
		wide   bool
	}{
		{"a notch", notch, func(*clear.Narrow) {}, true},
		{"between two outlines", notch, func(s *clear.Narrow) { s.RingB = 1 }, false},
		{"within one piece", notch, func(s *clear.Narrow) { s.PieceB = 1 }, false},
		{"a narrow place between long edges", notch, func(s *clear.Narrow) { s.Length = 3 }, false},
		{"wide enough", notch, func(s *clear.Narrow) { s.Width = 1.2 }, false},
		{"along one edge", flat, func(s *clear.Narrow) { s.PieceA, s.PieceB = 0, 1 }, false},
	} {
		s := slot
		tt.change(&s)
		wide, done, moved := repair.Widen(tt.path, []clear.Narrow{s}, 1.15)
		if done[0] != tt.wide || (moved > 0) != tt.wide || len(wide) != len(tt.path) || !tt.wide && !slices.Equal(wide, tt.path) {
			t.Errorf("%s: widened %v, moved %g: %v", tt.name, done, moved, wide)
		}
	}
}

// TestEtchOnlyPlainSlots: a notch is closed and etched only where a line closes it
// squarely and it leads into nothing wider.
func TestEtchOnlyPlainSlots(t *testing.T) {
	for _, tt := range []struct {
		name   string
		xy     []float64 // of the notch, from its mouth to its mouth
		piece  [2]int32  // its walls
		etched bool
	}{
		{"plain", []float64{30, 0, 30, 15, 30.8, 15, 30.8, 0}, [2]int32{1, 3}, true},
		{"one wall further out than the other", []float64{30, 0, 30, 15, 30.8, 15, 30.8, -2}, [2]int32{1, 3}, false},
		{"leads into a chamber", []float64{30, 0, 30, 15, 27, 15, 27, 20, 33.8, 20, 33.8, 15, 30.8, 15, 30.8, 0}, [2]int32{1, 7}, false},
	} {
		path := poly(append(append([]float64{0, 0}, tt.xy...), 60, tt.xy[len(tt.xy)-1], 60, 40, 0, 40)...)
		d := drawn(path...)
		d.Layers = append(d.Layers, drawing.Layer{Name: repair.EtchLayer})
		s := sheetOf(t, d)
		o := &s.Outlines[0]
		first := slices.IndexFunc(o.Pieces, func(p geom.Piece) bool { return p.A == geom.Pt(0, 0) })
		at := func(k int32) int32 { return (int32(first) + k) % int32(len(path)) }
		slots := []clear.Narrow{{Width: 0.8, Length: 15, PieceA: at(tt.piece[0]), PieceB: at(tt.piece[1])}}
		if edits, done := repair.EtchSlots(d, o, slots, fit.UsesOf(s)); done[0] != tt.etched || len(edits) > 0 != tt.etched {
			t.Errorf("%s: etched %v, %d edits", tt.name, done, len(edits))
		}
	}
}
