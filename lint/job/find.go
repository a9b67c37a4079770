package job

import (
	"os"
	"path/filepath"
)

// FileName is the name under which a job file is looked for.
const FileName = "sluice.toml"

// Find looks for sluice.toml in a folder, then in its parents up to the root of
// the repository (the folder that holds .git) or of the file system. The nearest
// one wins; they are not merged. A path relative to the current folder is
// returned where fromDir is relative; it has forward slashes on every system.
func Find(fromDir string) (path string, ok bool) {
	if fromDir == "" {
		fromDir = "."
	}
	dir, err := filepath.Abs(fromDir)
	if err != nil {
		return "", false
	}
	for {
		p := filepath.Join(dir, FileName)
		if st, err := os.Stat(p); err == nil && st.Mode().IsRegular() {
			return filepath.ToSlash(like(fromDir, p)), true
		}
		if _, err := os.Lstat(filepath.Join(dir, ".git")); err == nil {
			return "", false
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return "", false
		}
		dir = parent
	}
}

// like makes path relative to the current folder where the example is relative.
func like(example, path string) string {
	if filepath.IsAbs(example) {
		return path
	}
	here, err := filepath.Abs(".")
	if err != nil {
		return path
	}
	if rel, err := filepath.Rel(here, path); err == nil {
		return rel
	}
	return path
}
