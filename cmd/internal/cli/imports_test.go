package cli

import (
	"os/exec"
	"strings"
	"testing"
)

// TestImports fails where a lower part of the house imports a higher one.
func TestImports(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("go is not installed here")
	}
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}} {{join .Imports \" \"}}", "sluice/...").CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	floor := func(pkg string) int {
		for i, f := range []string{"sluice/geom", "sluice/fix", "sluice/lint", "sluice/cmd"} {
			if pkg == f || strings.HasPrefix(pkg, f+"/") {
				return i
			}
		}
		return -1
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) < 10 {
		t.Fatalf("only %d packages listed", len(lines))
	}
	for _, line := range lines {
		f := strings.Fields(line)
		for _, imp := range f[1:] {
			if a, b := floor(f[0]), floor(imp); a >= 0 && b > a {
				t.Errorf("%s imports %s", f[0], imp)
			}
		}
	}
}
