package cli

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom/geomtest"
)

// What comes from the cache reads the same in every form as what was judged.
func TestCachedOutputIsTheSame(t *testing.T) {
	cache := geomtest.Folder(t)
	demo := "../../../fixtures"
	for _, form := range []string{"text", "json", "sarif", "junit", "github"} {
		var out [3]strings.Builder
		for i, args := range [][]string{{"--no-cache"}, {"--cache", cache}, {"--cache", cache}} {
			args = append([]string{"lint", "--quiet", "--all", "--fail-on", "never", "--format", form, demo}, args...)
			var stderr strings.Builder
			if status := run(t.Context(), args, nil, &out[i], &stderr, wired()); status != 0 {
				t.Fatalf("%v: status %d: %s", args, status, stderr.String())
			}
		}
		if out[0].Len() < 1000 {
			t.Errorf("%s: only %d bytes", form, out[0].Len())
		}
		for _, i := range []int{1, 2} {
			if d := cmp.Diff(strings.Split(out[0].String(), "\n"), strings.Split(out[i].String(), "\n")); d != "" {
				t.Errorf("%s, run %d: %s", form, i, d)
			}
		}
	}
	if entries, _ := filepath.Glob(filepath.Join(cache, "*", strings.Repeat("?", 62))); len(entries) != 4 { // of two drawings, with and without what choices bring
		t.Errorf("%d entries, want 4", len(entries))
	}
}

// One run over many drawings, judged anew and from the cache.
func BenchmarkFolder(b *testing.B) {
	dir := b.TempDir()
	text, err := os.ReadFile("../../../fixtures/harbour-crane.dxf")
	if err != nil {
		b.Fatal(err)
	}
	for i := range 20 {
		kit := bytes.ReplaceAll(text, []byte("HARBOUR CRANE"), fmt.Appendf(nil, "HARBOUR CRANE %d", i))
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.dxf", i)), kit, 0o644); err != nil {
			b.Fatal(err)
		}
	}
	cache := b.TempDir()
	for name, args := range map[string][]string{
		"one": {"--no-cache", "--jobs", "1"}, "all": {"--no-cache"}, "cached": {"--cache", cache},
	} {
		b.Run(name, func(b *testing.B) {
			args := append([]string{"lint", "--fail-on", "never", "--out", os.DevNull, dir}, args...)
			run(b.Context(), args, nil, &strings.Builder{}, &strings.Builder{}, wired())
			for b.Loop() {
				if status := run(b.Context(), args, nil, &strings.Builder{}, &strings.Builder{}, wired()); status != 0 {
					b.Fatal(status)
				}
			}
		})
	}
}
