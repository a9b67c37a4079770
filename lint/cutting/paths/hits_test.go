package paths

import (
	"math"
	"strings"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/outline"
)

// Cuts that take from a part beside them are told, each with how deep: a kerf less
// the gap where both are cut on their outside.
func TestPartHits(t *testing.T) {
	const kerf = 0.9
	cross := sheettest.Of(sheettest.Rect(0, 0, 200, 150), sheettest.Rect(180, 100, 200, 150))
	cross.Crossings = []outline.Crossing{{At: geom.Pt(180, 150)}, {At: geom.Pt(200, 100)}}
	for name, tt := range map[string]struct {
		sheet *outline.Sheet
		want  []float64 // depths, in the order of the plan, within 0.001 mm
	}{
		"two plates a kerf apart":       {sheettest.Of(sheettest.Rect(0, 0, 50, 40), sheettest.Rect(50.9, 0, 50, 40)), nil},
		"two plates 0.5 mm apart":       {sheettest.Of(sheettest.Rect(0, 0, 50, 40), sheettest.Rect(50.5, 0, 50, 40)), []float64{0.4, 0.4}},
		"two plates 0.1 mm apart":       {sheettest.Of(sheettest.Rect(0, 0, 50, 40), sheettest.Rect(50.1, 0, 50, 40)), []float64{0.8, 0.8}},
		"two discs 0.66 mm apart":       {sheettest.Of(sheettest.Disc(0, 0, 20), sheettest.Disc(40.66, 0, 20)), []float64{0.24, 0.24}},
		"a disc in a hole, 0.5 mm free": {sheettest.Of(sheettest.Rect(-30, -30, 60, 60), sheettest.Disc(0, 0, 20), sheettest.Disc(0, 0, 19.5)), []float64{0.4, 0.4}},
		"holes near each other":         {sheettest.Of(sheettest.Rect(0, 0, 50, 40), sheettest.Rect(5, 5, 10, 20), sheettest.Rect(15.3, 5, 10, 20)), nil},
		"a corner 20 mm into a plate":   {cross, []float64{20.9, 20.9}},
	} {
		t.Run(name, func(t *testing.T) {
			pl := New(tt.sheet, Params{Kerf: kerf})
			pl.Names = []string{"a", "b"}
			if len(pl.InPart) != len(tt.want) {
				t.Fatalf("%+v, want depths %v", pl.InPart, tt.want)
			}
			for i, h := range pl.InPart {
				tol := 1e-3
				if tt.want[i] > kerf {
					tol = 0.5 // it is sampled
				}
				if math.Abs(h.Depth-tt.want[i]) > tol {
					t.Errorf("%.4f mm deep, want %.4f", h.Depth, tt.want[i])
				}
				if pl.Cuts[h.Cut].Part == h.Part {
					t.Errorf("the cut of part %d is told to take from itself", h.Part)
				}
			}
			for i := range pl.Cuts {
				if k := tt.sheet.PartAt(pl.Cuts[i].Start()); k >= 0 {
					t.Errorf("cut %d is pierced in part %d", i+1, k)
				}
			}
			text := pl.Told() + strings.Join(pl.about(kerf), "\n")
			if n := strings.Count(text, "mm into part"); n != 2*min(1, len(tt.want)) {
				t.Errorf("told %d times:\n%s", n, text)
			}
			if len(tt.want) > 0 && !strings.Contains(text, "mm into part a") && !strings.Contains(text, "mm into part b") {
				t.Errorf("the part is not named:\n%s", text)
			}
		})
	}
	// Sampling by separate code: whatever takes from a part is told.
	for name, s := range testSheets(t) {
		pl := New(s, Params{Kerf: 2.5})
		told := map[[2]int32]bool{}
		for _, h := range pl.InPart {
			told[[2]int32{h.Cut, h.Part}] = true
		}
		for i := range pl.Cuts {
			c := &pl.Cuts[i]
			for _, q := range c.Path().Flatten(0.01) {
				for o := range s.Outlines {
					out := &s.Outlines[o]
					if int32(o) == c.Outline || out.Part == c.Part || c.Kind == Etch || !out.Box.Inflate(1.25).Contains(q) {
						continue
					}
					if d, _ := out.Pieces.Dist(q); d < 1.25-2*bite && !told[[2]int32{int32(i), out.Part}] {
						t.Fatalf("%s: cut %d takes %.3f mm from part %d at %v, untold", name, i, 1.25-d, out.Part, geom.Pt(q.X, q.Y))
					}
				}
			}
		}
	}
}
