package tab

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sluice/fix"
	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

func TestStretch(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		names := []string{"strip", "disc", "gear", "panel", "ell"}
		p := shapes()[rapid.SampledFrom(names).Draw(r, "shape")]
		src, flags := make([]int32, len(p)), make([]outline.Flag, len(p))
		for i := range src {
			src[i], flags[i] = int32(i), [3]outline.Flag{0, outline.IsTwin, outline.IsBridge}[i%3]
		}
		path, l := outline.Path{Pieces: p, Src: src, Flags: flags}, p.Length()
		n := rapid.IntRange(1, 4).Draw(r, "tabs")
		var tabs []Tab
		at := rapid.Float64Range(0, l).Draw(r, "first")
		if rapid.Bool().Draw(r, "on a corner") {
			at = newCutter(path, l).at[rapid.IntRange(0, len(p)-1).Draw(r, "corner")]
		}
		for range n {
			s0 := offset(at, l)
			tabs = append(tabs, Tab{S0: s0, S1: s0 + 1.8})
			at += 1.8 + rapid.Float64Range(0.5, l/float64(n)-2).Draw(r, "step")
		}
		var all geom.Path
		for i := range tabs {
			next := tabs[(i+1)%n].S0
			if next <= tabs[i].S0 {
				next += l
			}
			uncut, cut := Stretch(path, tabs[i].S0, tabs[i].S1), Stretch(path, tabs[i].S1, next)
			if got := uncut.Pieces.Length(); math.Abs(got-1.8) > 1e-9 {
				r.Errorf("gap of %.12f", got)
			}
			for _, p := range [2]outline.Path{uncut, cut} {
				for k, f := range p.Flags {
					if f != flags[p.Src[k]] {
						r.Errorf("piece %d of stretch %d is marked %b", k, i, f)
					}
				}
			}
			all = append(append(all, uncut.Pieces...), cut.Pieces...)
		}
		for i := range all {
			if i < len(all)-1 && all[i].B != all[i+1].A || all[i].B.Dist(all[(i+1)%len(all)].A) > 1e-9 { // one round the end is computed anew
				r.Errorf("piece %d ends at %v, the next starts at %v", i, all[i].B, all[(i+1)%len(all)].A)
			}
			if all[i].Length() < snap {
				r.Errorf("sliver %v", all[i])
			}
		}
		if d := math.Abs(all.Length() - l); d > 1e-9 {
			r.Errorf("length changed by %g", d)
		}
		if d := math.Abs(all.Area() - p.Area()); d > 1e-7 {
			r.Errorf("area changed by %g", d)
		}
	})
}

// TestHold makes tabs of strokes that are drawn either way round, one of them over
// the start of the outline, over a corner, and up to the end of a stroke.
func TestHold(t *testing.T) {
	square := sheettest.Rect(0, 0, 10, 10)
	path := outline.Path{Pieces: square, Src: []int32{0, 1, 2, 3}, Flags: make([]outline.Flag, 4)}
	type taken struct {
		stroke int32
		t0, t1 float64
	}
	for _, tt := range []struct {
		name   string
		s0, s1 float64
		want   []taken
	}{
		{"within a line", 2, 4, []taken{{0, 0.2, 0.4}}},
		{"within a line drawn the other way", 12, 14, []taken{{1, 0.6, 0.8}}},
		{"over a corner", 9, 11, []taken{{0, 0.9, 1}, {1, 0.9, 1}}},
		{"over the start", 39, 41, []taken{{3, 0, 0.1}, {0, 0, 0.1}}},
		{"nearly up to the end", 5, 9.9995, []taken{{0, 0.5, 1}}},
		{"all", 1, 50, []taken{{0, 0, 1}, {1, 0, 1}, {2, 0, 1}, {3, 0, 1}}},
	} {
		strokes := make([]drawing.Stroke, 4)
		for i := range strokes {
			if strokes[i].Piece = square[i]; i%2 == 1 {
				strokes[i].Piece = square[i].Reverse()
			}
		}
		var got []taken
		for _, op := range (Tab{S0: tt.s0, S1: tt.s1}).Hold(&drawing.Drawing{Strokes: strokes}, path, 0.001) {
			if op.Kind != fix.Take || op.As != drawing.AsTab {
				t.Errorf("%s: %+v", tt.name, op)
			}
			got = append(got, taken{op.Stroke, math.Round(op.T0*1e9) / 1e9, math.Round(op.T1*1e9) / 1e9})
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
	// A circle has its start somewhere: a tab over it is two stretches of one stroke.
	disc := sheettest.Disc(0, 0, 5)
	d := &drawing.Drawing{Strokes: []drawing.Stroke{{Piece: disc[0]}}}
	ops := Tab{S0: disc.Length() - 1, S1: disc.Length() + 1}.Hold(d, outline.Path{Pieces: disc, Src: []int32{0}, Flags: []outline.Flag{0}}, 0.001)
	out, done, skipped := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{{Ops: ops}}}})
	if len(done) != 1 || len(skipped) > 0 || len(out.Strokes) != 3 {
		t.Fatalf("%d done, skipped %v, %d strokes", len(done), skipped, len(out.Strokes))
	}
	for i, want := range []float64{1, disc.Length() - 2, 1} {
		if s := &out.Strokes[i]; math.Abs(s.Length()-want) > 1e-9 || (s.As == drawing.AsTab) != (i != 1) {
			t.Errorf("stroke %d: %g mm as %d, want %g", i, s.Length(), s.As, want)
		}
	}
}

// TestStretchNearCorners: a stretch that begins or ends a rounding error beside a
// corner begins or ends in it, at the start of the outline too; a path of which
// nothing but its pieces is known has stretches like any other.
func TestStretchNearCorners(t *testing.T) {
	square := sheettest.Rect(0, 0, 10, 10)
	for _, path := range []outline.Path{{Pieces: square}, {Pieces: square, Src: []int32{0, 1, 2, 3}, Flags: make([]outline.Flag, 4)}} {
		for _, off := range []float64{-2e-10, 0, 2e-10} {
			for _, tt := range []struct {
				s0, s1 float64
				want   geom.Path
			}{
				{10, 12, geom.Path{geom.Line(geom.Pt(10, 0), geom.Pt(10, 2))}},
				{8, 10, geom.Path{geom.Line(geom.Pt(8, 0), geom.Pt(10, 0))}},
				{40, 42, geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(2, 0))}},
				{38, 40, geom.Path{geom.Line(geom.Pt(0, 2), geom.Pt(0, 0))}},
				{0, 30, square[:3]},
			} {
				got := Stretch(path, tt.s0+off, tt.s1+off)
				if len(got.Pieces) != len(tt.want) || len(got.Src) != len(got.Pieces) || len(got.Flags) != len(got.Pieces) {
					t.Errorf("%g to %g, %g off: %v", tt.s0, tt.s1, off, got)
					continue
				}
				for i := range tt.want {
					if got.Pieces[i].A.Dist(tt.want[i].A) > 1e-9 || got.Pieces[i].B.Dist(tt.want[i].B) > 1e-9 {
						t.Errorf("%g to %g, %g off: piece %d is %v, want %v", tt.s0, tt.s1, off, i, got.Pieces[i], tt.want[i])
					}
				}
			}
		}
	}
}
