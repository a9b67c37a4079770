package cache

import (
	"cmp"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"sluice/lint/wholefile"
)

// cacheTag marks the folder as one that may be left out of backups and deleted
// (the convention of bford.info/cachedir).
const cacheTag = "Signature: 8a477f597d28d172789f06886806bc55\n# What sluice found in drawings; it may be deleted at any time.\n"

// Trim deletes what was used least lately until three quarters of the largest
// size are left, once that is passed. It touches only what a store makes:
// files of its own names in folders of two digits.
func (s *Store) Trim() {
	if !s.wrote.Load() {
		return
	}
	if tag := filepath.Join(s.dir, "CACHEDIR.TAG"); missingFile(tag) {
		_ = os.WriteFile(tag, []byte(cacheTag), 0o644) // a courtesy
	}
	type kept struct {
		path string
		size int64
		used time.Time
	}
	var all []kept
	var total int64
	for _, name := range []string{strings.Repeat("?", 62), wholefile.Unplaced} { // what is left of a key after the folder's digits
		paths, _ := fs.Glob(os.DirFS(s.dir), "[0-9a-f][0-9a-f]/"+name)
		for _, p := range paths {
			p = filepath.Join(s.dir, filepath.FromSlash(p))
			if st, err := os.Lstat(p); err == nil && st.Mode().IsRegular() {
				all = append(all, kept{p, st.Size(), st.ModTime()})
				total += st.Size()
			}
		}
	}
	if total <= s.largest {
		return
	}
	slices.SortFunc(all, func(a, b kept) int { return cmp.Or(a.used.Compare(b.used), cmp.Compare(a.path, b.path)) })
	for _, k := range all {
		if total <= s.largest*3/4 {
			break
		}
		if os.Remove(k.path) == nil {
			total -= k.size
		}
	}
}

func missingFile(path string) bool {
	_, err := os.Lstat(path)
	return os.IsNotExist(err)
}
