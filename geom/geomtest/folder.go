package geomtest

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// Test is what Folder needs of a test.
type Test interface {
	Helper()
	TempDir() string
	Cleanup(func())
}

// Folder returns a folder for one test. It is emptied file by file before the test's own
// folder is taken away, since Wine cannot take away one that is not empty.
func Folder(t Test) string {
	t.Helper()
	dir := t.TempDir()
	t.Cleanup(func() {
		var all []string
		_ = filepath.WalkDir(dir, func(path string, _ fs.DirEntry, _ error) error {
			all = append(all, path)
			return nil
		})
		for _, path := range slices.Backward(all) {
			_ = os.Remove(path) // what stays fails the test where its folder is taken away
		}
	})
	return dir
}
