package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bmatcuk/doublestar/v4"

	"sluice/cmd/internal/system"
)

// input is one drawing to read.
type input struct {
	path string // as shown; "-" for standard input
	rel  string // below the folder that was named, with slashes
	err  error  // why there is nothing to read
}

// expand turns the arguments into drawings, in their order, each once: files,
// folders with all drawings in them by name, globs, and - for standard input.
// What is missing comes as an input with an error.
func expand(args []string, skip func(dir string) bool) []input {
	var all []input
	for _, a := range args {
		all = append(all, expandOne(a, skip)...)
	}
	seen := map[string]bool{}
	return slices.DeleteFunc(all, func(in input) bool {
		key := in.path
		if key != "-" {
			key = filepath.Clean(key)
			if system.FoldsCase {
				key = strings.ToLower(key)
			}
		}
		if seen[key] {
			return true
		}
		seen[key] = true
		return false
	})
}

func expandOne(arg string, skip func(dir string) bool) []input {
	if arg == "-" {
		return []input{{path: "-", rel: "-"}}
	}
	st, err := os.Stat(arg)
	glob := strings.ContainsAny(arg, "*?[{")
	if wrong := system.CheckName(arg); wrong != nil && !glob {
		return []input{{path: arg, rel: filepath.Base(arg), err: wrong}}
	}
	switch {
	case err == nil && st.IsDir():
		return walk(arg, skip)
	case err == nil:
		return []input{{path: arg, rel: filepath.Base(arg)}}
	case err != nil && glob && (errors.Is(err, fs.ErrNotExist) || system.CheckName(arg) != nil):
		return expandGlob(arg, skip)
	}
	return []input{{path: arg, rel: filepath.Base(arg), err: plainError(err)}}
}

// isDrawing tells whether a file's name ends in .dxf, in any case.
func isDrawing(name string) bool { return strings.EqualFold(path.Ext(name), ".dxf") }

// walk lists the drawings of a folder and of the folders in it, by name. Hidden
// folders and those to skip are left out.
func walk(dir string, skip func(dir string) bool) []input {
	var found, failed []input
	_ = fs.WalkDir(os.DirFS(dir), ".", func(rel string, d fs.DirEntry, err error) error {
		full := system.Slashes(filepath.Join(dir, filepath.FromSlash(rel)))
		switch {
		case err != nil:
			failed = append(failed, input{path: full, rel: rel, err: plainError(err)})
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
		case d.IsDir():
			if rel != "." && (strings.HasPrefix(d.Name(), ".") || skip != nil && skip(full)) {
				return fs.SkipDir
			}
		case isDrawing(rel):
			// A link may lead to a folder, which is not followed.
			if st, err := os.Stat(full); err != nil || !st.IsDir() {
				found = append(found, input{path: full, rel: rel})
			}
		}
		return nil
	})
	found = append(found, failed...)
	slices.SortStableFunc(found, func(a, b input) int { return strings.Compare(a.rel, b.rel) })
	if len(found) == 0 {
		return []input{{path: dir, rel: ".", err: errors.New("no drawing (*.dxf) in this folder")}}
	}
	return found
}

// expandGlob lists what a glob matches: drawings by name, and folders, which are
// walked.
func expandGlob(pattern string, skip func(dir string) bool) []input {
	matches, err := doublestar.FilepathGlob(pattern, doublestar.WithCaseInsensitive())
	if err != nil {
		return []input{{path: pattern, err: errors.New("no valid glob; use *, ? and closed [ ] or { }")}}
	}
	for i := range matches {
		matches[i] = system.Slashes(matches[i])
	}
	slices.Sort(matches)
	var all []input
	for _, m := range matches {
		if st, err := os.Stat(m); err == nil && st.IsDir() {
			for _, in := range walk(m, skip) {
				if in.path != m { // a folder without drawings is no fault here
					all = append(all, in)
				}
			}
		} else if isDrawing(m) {
			all = append(all, input{path: m, rel: filepath.Base(m)})
		}
	}
	if len(all) == 0 {
		return []input{{path: pattern, err: errors.New("no drawing (*.dxf) matches")}}
	}
	return all
}

// open opens the drawing for reading.
func (c *call) open(in input) (io.ReadCloser, error) {
	if in.err != nil {
		return nil, in.err
	}
	if in.path == "-" {
		return io.NopCloser(c.stdin), nil
	}
	f, err := os.Open(in.path)
	if err != nil {
		return nil, plainError(err)
	}
	return f, nil
}

// one returns the single drawing that an argument names.
func (c *call) one(arg string) (input, error) {
	if st, err := os.Stat(arg); arg != "-" && err == nil && st.IsDir() {
		return input{}, fmt.Errorf("%s: is a folder; %s takes %s", arg, c.command.name, c.command.needs)
	}
	in := expandOne(arg, nil)
	if len(in) > 1 {
		return input{}, fmt.Errorf("%s: matches %d drawings; %s takes %s", arg, len(in), c.command.name, c.command.needs)
	}
	if in[0].err != nil {
		return input{}, fmt.Errorf("%s: %w", arg, in[0].err)
	}
	return in[0], nil
}
