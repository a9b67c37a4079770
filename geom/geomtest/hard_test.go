package geomtest

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Every kind comes out, the same for the same seed, and is written in full.
func TestHardDrawings(t *testing.T) {
	names := map[string]int{}
	for seed := range uint64(20 * len(hardKinds)) {
		h := HardDrawing(seed)
		if diff := cmp.Diff(h, HardDrawing(seed)); diff != "" {
			t.Fatalf("seed %d differs from run to run:\n%s", seed, diff)
		}
		if seed >= uint64(len(hardKinds)) && cmp.Equal(h.Lines, HardDrawing(seed-uint64(len(hardKinds))).Lines) {
			t.Errorf("seeds %d and %d give one drawing", seed, seed-uint64(len(hardKinds)))
		}
		names[h.Name]++
		text := h.DXF()
		if n := strings.Count(text, "\n  8\n"); n != len(h.Lines) || n < 3 {
			t.Errorf("seed %d: %d of %d lines written", seed, n, len(h.Lines))
		}
		for i := range h.Lines {
			l := &h.Lines[i]
			if !(l.Length() > 0) || !l.A.Finite() || !l.B.Finite() {
				t.Errorf("seed %d, %s: %+v", seed, h.Name, l)
			}
		}
		if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
			t.Errorf("seed %d: no numbers", seed)
		}
	}
	if len(names) != HardKinds() {
		t.Errorf("kinds drawn: %v", names)
	}
}
