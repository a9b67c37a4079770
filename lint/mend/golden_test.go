package mend_test

import (
	"bytes"
	"errors"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/lint/rules"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestGoldenFixed compares what becomes of each rule's flaw, with the job file of
// its folder or else the default job, with fixed.dxf beside it; and that must stay
// as it is.
func TestGoldenFixed(t *testing.T) {
	for _, r := range rules.All() {
		t.Run(r.ID, func(t *testing.T) {
			dir := filepath.Join("../rules/flaws", r.ID)
			file := filepath.Join(dir, "job.toml")
			if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
				file = ""
			}
			_, out := repair(t, "flaw.dxf", readFile(t, filepath.Join(dir, "flaw.dxf")), loadJob(t, file))
			golden := filepath.Join(dir, "fixed.dxf")
			if *update {
				if err := os.WriteFile(golden, out, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			if d := cmp.Diff(string(readFile(t, golden)), string(out)); d != "" {
				t.Errorf("differs from %s (-want +got):\n%s", golden, d)
			}
			if _, again := repair(t, "fixed.dxf", out, loadJob(t, file)); !bytes.Equal(out, again) {
				t.Error("repairing it once more changes it")
			}
		})
	}
}
