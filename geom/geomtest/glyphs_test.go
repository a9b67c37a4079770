package geomtest

import "testing"

// TestLetters checks that all letters are closed outlines that do not touch each
// other, their counters inside.
func TestLetters(t *testing.T) {
	for _, r := range "ABCDEFHILNOPRSTUX04689.-" {
		paths, width, ok := glyph(r)
		if !ok || !(width > 0) {
			t.Fatalf("%c is not known", r)
		}
		for i, p := range paths {
			for k := range p {
				if d := p[k].B.Dist(p[(k+1)%len(p)].A); d > 1e-12 {
					t.Errorf("%c: outline %d jumps by %g", r, i, d)
				}
			}
			if !Simple(p, 0.02) {
				t.Errorf("%c: outline %d is not simple", r, i)
			}
			if i > 0 && !paths[0].Contains(p[0].A) {
				t.Errorf("%c: counter %d lies outside", r, i)
			}
		}
	}
}
