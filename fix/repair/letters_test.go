package repair

import (
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
)

// TestLetters: letters are cut as a stencil, in closed outlines that run
// counter-clockwise and enclose nothing: what the strokes surround hangs on by webs. So
// each outline, set in by half its width, is the stroke itself, and its area that of
// the strokes less the webs, to a sixth.
func TestLetters(t *testing.T) {
	const width, web = 2.1, 1.5
	for _, tt := range []struct {
		height float64
		not    string // letters for which there is no room
	}{{40, ""}, {20, "ij"}, {12, "gij"}} {
		var not strings.Builder
		for _, r := range "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789" {
			text := drawing.Text{Value: string(r), Height: tt.height, At: geom.Pt(10, 10)}
			outlines, ok := Letters(&text, width, web)
			if !ok {
				not.WriteRune(r)
				continue
			}
			area := 0.0
			for _, p := range outlines {
				if !(p.Area() > 0) {
					t.Errorf("%c of %g mm: an outline of %.3f mm2", r, tt.height, p.Area())
				}
				area += p.Area()
			}
			length := strokesOf(&text).Length()
			if most := length*width + float64(len(outlines)+1)*width*width; area > most || area < (length-6*(width+web))*width {
				t.Errorf("%c of %g mm: %.1f mm2 for %.1f mm of strokes", r, tt.height, area, length)
			}
		}
		if not.String() != tt.not {
			t.Errorf("%g mm: no room for %q, want %q", tt.height, not.String(), tt.not)
		}
	}
	if _, ok := Letters(&drawing.Text{Value: "KIT", Height: 2}, width, web); ok {
		t.Error("letters of 2 mm are cut in strokes of 2.1 mm")
	}
	if _, ok := Letters(&drawing.Text{Value: " ", Height: 20}, width, web); ok {
		t.Error("a blank is cut")
	}
}
