package label

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

const alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz" +
	"-./#_{}(),:;+=[]<>*!?'\"%|\\& \u00b0\u00d7\u00d8\u2013"

func TestGlyphs(t *testing.T) {
	const h = 10
	for _, r := range alphabet {
		if _, ok := glyphOf(r); !ok {
			t.Errorf("%q has no glyph", r)
		}
		paths, w := Strokes(string(r), h)
		box := geom.Box{Min: geom.Pt(0, -3), Max: geom.Pt(w, 10)}.Inflate(1e-4)
		for _, p := range paths {
			if !box.ContainsBox(p.Box()) {
				t.Errorf("%q: stroke %v outside 0..%g, -3..10", r, p.Box(), w)
			}
			for i := range p {
				if i > 0 && p[i-1].B != p[i].A {
					t.Errorf("%q: piece %d does not start where the last one ends", r, i)
				}
				if p[i].Length() < 0.3 {
					t.Errorf("%q: piece %d is %g long", r, i, p[i].Length())
				}
				if p[i].R > 0 && math.Abs(p[i].A.Dist(p[i].C)-p[i].R) > 1e-9 {
					t.Errorf("%q: piece %d is off its circle", r, i)
				}
			}
			if p.Length() < 2 {
				t.Errorf("%q: a stroke of %g is too short to mark", r, p.Length())
			}
		}
		// The fewest starts: no two strokes could be drawn in one go.
		for i := range paths {
			for j := range i {
				a, b := paths[i], paths[j]
				for _, x := range [2]geom.Point{a[0].A, a[len(a)-1].B} {
					for _, y := range [2]geom.Point{b[0].A, b[len(b)-1].B} {
						if x.Dist(y) < 1e-6 {
							t.Errorf("%q: strokes %d and %d meet at %v", r, j, i, x)
						}
					}
				}
			}
		}
		if strings.ContainsRune("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", r) {
			b := geom.NoBox()
			for _, p := range paths {
				b = b.Union(p.Box())
			}
			if math.Abs(b.Min.Y) > 1e-4 || math.Abs(b.Max.Y-10) > 1e-4 || b.Min.X > 0.51 || b.Max.X < w-0.51 {
				t.Errorf("%q: %v does not fill its height and width", r, b)
			}
		}
	}
}

// No stroke may break off at a kink that the eye takes for an error: where two
// pieces of the round letters meet they are tangent. Listed corners are meant.
func TestGlyphsSmooth(t *testing.T) {
	corners := map[rune]int{'0': 0, '2': 1, '3': 1, '5': 2, '6': 0, '8': 0, '9': 0, 'C': 0, 'O': 0, 'S': 0, 'U': 0, 'J': 0, 's': 0, 'c': 0, 'e': 1, 'g': 0}
	for r, want := range corners {
		paths, _ := Strokes(string(r), 10)
		got := 0
		for _, p := range paths {
			for i := 1; i < len(p); i++ {
				if math.Abs(geom.TurnTo(p[i-1].TangentAt(1), p[i].TangentAt(0))) > 0.02 {
					got++
				}
			}
		}
		if got != want {
			t.Errorf("%q has %d corners, want %d", r, got, want)
		}
	}
}

func TestStrokeCounts(t *testing.T) {
	got := map[string]int{}
	for _, s := range []string{"0", "1", "4", "8", "B", "E", "H", "K", "i", "m", "12", "\u03a9", "a b", ""} {
		p, _ := Strokes(s, 6)
		got[s] = len(p)
	}
	want := map[string]int{"0": 1, "1": 1, "4": 1, "8": 1, "B": 1, "E": 2, "H": 3, "K": 2, "i": 2, "m": 3, "12": 2, "\u03a9": 1, "a b": 4, "": 0}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// ISO 3098 type B: clear space of 2/10 h between the strokes of neighbours and
// 6/10 h between words, for strokes 1/10 h wide (TRADE table, DIN EN ISO
// 3098-0:1998).
func TestSpacing(t *testing.T) {
	const h = 10
	width := func(s string) float64 { _, w := Strokes(s, h); return w }
	if gap := width("HH") - 2*width("H") - h/10; math.Abs(gap-2) > 1e-9 {
		t.Errorf("letters %g apart", gap)
	}
	if gap := width("H H") - 2*width("H") - h/10; math.Abs(gap-6) > 1e-9 {
		t.Errorf("words %g apart", gap)
	}
	p, _ := Strokes("x", h)
	if top := p[0].Box().Max.Y; math.Abs(top-7) > 1e-9 {
		t.Errorf("x is %g high", top)
	}
}

func TestAmbiguous(t *testing.T) {
	for _, tt := range []struct {
		text string
		want bool
	}{
		{"6", true}, {"9", true}, {"66", true}, {"68", true}, {"86", true}, {"89", true}, {"98", true}, {"99", true},
		{"16", true}, {"91", true}, {"18", true}, {"106", true}, {"1", false}, {"8", false}, {"11", false}, {"69", false},
		{"96", false}, {"88", false}, {"60", false}, {"90", false}, {"10", false}, {"06", true}, {"6a", false}, {"26", false}, {"", false}, {"6 x2", false},
	} {
		if got := Ambiguous(tt.text); got != tt.want {
			t.Errorf("Ambiguous(%q) = %v", tt.text, got)
		}
	}
}

func TestLetterMirrored(t *testing.T) {
	a, b := letter("6R", 6, false), letter("6R", 6, true)
	if a.w != b.w || a.h != b.h || len(a.paths) != len(b.paths) {
		t.Fatalf("boxes differ: %+v, %+v", a, b)
	}
	for i := range a.paths {
		for k := range a.paths[i] {
			p, q := a.paths[i][k].Mid(), b.paths[i][k].Mid()
			if p.Dist(geom.Pt(-q.X, q.Y)) > 1e-9 {
				t.Errorf("stroke %d: %v mirrors to %v", i, p, q)
			}
		}
	}
}
