package cli

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"sluice/geom/geomtest"
)

// TestClearHanded takes away drawings handed over that nobody has used for long, and
// nothing else.
func TestClearHanded(t *testing.T) {
	kits := geomtest.Folder(t)
	now := time.Now()
	put := func(dir, name string, age time.Duration) {
		t.Helper()
		at := filepath.Join(kits, dir, name)
		if err := os.MkdirAll(filepath.Dir(at), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(at, now.Add(-age), now.Add(-age)); err != nil {
			t.Fatal(err)
		}
	}
	const day = 24 * time.Hour
	put("0011223344556677", "old.dxf", 40*day)
	put("0011223344556677", "old.answers.toml", 35*day)
	put("1011223344556677", "kept.dxf", 40*day)
	put("1011223344556677", "kept.answers.toml", 2*day) // decided on lately
	put("2011223344556677", "new.dxf", 1*day)
	put("3011223344556677", "ours.dxf", 40*day) // about to be opened
	put("notes", "old.txt", 400*day)
	put("4011223344556677/deep", "old.dxf", 40*day)
	clearHanded(kits, filepath.Join(kits, "3011223344556677"), now.Add(-handedFor))
	list, err := os.ReadDir(kits)
	if err != nil {
		t.Fatal(err)
	}
	var left []string
	for _, e := range list {
		left = append(left, e.Name())
	}
	want := []string{"1011223344556677", "2011223344556677", "3011223344556677", "4011223344556677", "notes"}
	if !slices.Equal(left, want) {
		t.Errorf("left are %v, want %v", left, want)
	}
	clearHanded(filepath.Join(kits, "none"), "", now)
}
