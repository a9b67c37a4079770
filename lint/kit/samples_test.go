package kit_test

import (
	"os"
	"path/filepath"
	"testing"

	"sluice/lint/kit"
)

// samples lists downloaded drawings, which need not be there.
func samples(t *testing.T) []string {
	t.Helper()
	dir := os.Getenv("SLUICE_SAMPLES")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "samples")
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.dxf"))
	if err != nil || len(files) == 0 {
		t.Skip("no sample drawings here")
	}
	return files
}

// On downloaded drawings, most of them ordinary plates, nothing is told of
// joints; the two kits among them were looked at by hand and are whole.
func TestSamplesQuiet(t *testing.T) {
	for _, f := range samples(t) {
		name := filepath.Base(f)
		k := kit.Find(load(t, f), kit.DefaultOptions())
		if len(k.Unmatched) > 0 || len(k.Odd) > 0 || len(k.Missing) > 0 {
			t.Errorf("%s: %d unmatched, %d odd", name, len(k.Unmatched), len(k.Odd))
		}
		pairs := map[string]int{"case-sheet-old-polyline.dxf": 20, "slot-chute-eight-parts.dxf": 32}
		if len(k.Pairs) != pairs[name] {
			t.Errorf("%s: %d pairs, want %d", name, len(k.Pairs), pairs[name])
		}
	}
}
