// Package baseline accepts findings as they stand, so that only new ones count.
package baseline

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"

	"sluice/lint"
)

// largest is how much of a baseline is read, bytes.
const largest = 64 << 20

// Baseline is a list of findings that are accepted as they stand, so that only
// new ones count. A finding is known by drawing, rule, layer, part and words,
// not by its place or its figures, so that moving things on the sheet changes
// nothing; of findings alike their number is accepted.
type Baseline struct {
	Path  string                // of the file
	files map[string][]accepted // by drawing, as nameOf calls it
}

// accepted are findings of one drawing that are alike.
type accepted struct {
	Rule    string `json:"rule"`
	Layer   string `json:"layer,omitempty"`
	Part    string `json:"part,omitempty"`
	Message string `json:"message"` // with # for each figure
	Count   int    `json:"count"`
}

func (a accepted) compare(b accepted) int {
	return cmp.Or(cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Layer, b.Layer), cmp.Compare(a.Part, b.Part), cmp.Compare(a.Message, b.Message))
}

// fileJSON is the file. Paths are relative to its folder, with slashes.
type fileJSON struct {
	Tool     string        `json:"tool"`
	Baseline int           `json:"baseline"` // form of the file: 1
	Files    []drawingJSON `json:"files"`
}

type drawingJSON struct {
	Path     string     `json:"path"`
	Accepted []accepted `json:"accepted"`
}

// Read reads a baseline. One that is to be written need not be there. Errors name
// the file and say what to do.
func Read(path string, mayMiss bool) (*Baseline, error) {
	b := &Baseline{Path: path, files: map[string][]accepted{}}
	st, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && mayMiss:
		return b, nil
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such file; --write-baseline makes it", path)
	case err == nil && st.Size() > largest:
		return nil, fmt.Errorf("%s: over 64 MiB, too large for a baseline; is it the right file?", path)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		if pe := (*fs.PathError)(nil); errors.As(err, &pe) {
			err = pe.Err // the path stands in front already
		}
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	var in fileJSON
	if err := json.Unmarshal(data, &in); err != nil || in.Tool != "sluice" || in.Baseline == 0 {
		return nil, fmt.Errorf("%s: is no baseline; name one that --write-baseline made", path)
	}
	if in.Baseline != 1 {
		return nil, fmt.Errorf("%s: a baseline of form %d, which a newer version made; write it anew with --write-baseline", path, in.Baseline)
	}
	for _, f := range in.Files {
		b.files[f.Path] = append(b.files[f.Path], f.Accepted...)
	}
	return b, nil
}

// Bytes returns the file: drawings and findings in order, one finding a line.
func (b *Baseline) Bytes() ([]byte, error) {
	var out bytes.Buffer
	out.WriteString("{\"tool\": \"sluice\", \"baseline\": 1, \"files\": [")
	first := true
	for _, path := range slices.Sorted(maps.Keys(b.files)) {
		if len(b.files[path]) == 0 {
			continue
		}
		if !first {
			out.WriteByte(',')
		}
		first = false
		name, err := plainJSON(path)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&out, "\n {\"path\": %s, \"accepted\": [", name)
		list := slices.Clone(b.files[path])
		slices.SortFunc(list, accepted.compare)
		for i, a := range list {
			if i > 0 {
				out.WriteByte(',')
			}
			line, err := plainJSON(a)
			if err != nil {
				return nil, err
			}
			fmt.Fprintf(&out, "\n  %s", line)
		}
		out.WriteString("]}")
	}
	out.WriteString("\n]}\n")
	return out.Bytes(), nil
}

// plainJSON writes a value on one line, with < and > as they are.
func plainJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return bytes.TrimSpace(b.Bytes()), err
}

// nameOf is how the baseline calls a drawing, wherever the program is run.
func (b *Baseline) nameOf(path string) string {
	if path == "-" {
		return path
	}
	dir, err := filepath.Abs(filepath.Dir(b.Path))
	if err != nil {
		return filepath.ToSlash(path)
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return filepath.ToSlash(path)
	}
	if rel, err := filepath.Rel(dir, full); err == nil {
		return filepath.ToSlash(rel)
	}
	return filepath.ToSlash(full)
}

var numberIn = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// kindOf is what is accepted where a finding is.
func kindOf(f *lint.Finding) accepted {
	return accepted{Rule: f.Rule, Layer: f.Layer, Part: f.Part, Message: numberIn.ReplaceAllString(f.Message, "#"), Count: 1}
}

// kindsOf gathers findings that are alike.
func kindsOf(fs []lint.Finding) []accepted {
	var list []accepted
	index := map[accepted]int{}
	for i := range fs {
		k := kindOf(&fs[i])
		if at, ok := index[k]; ok {
			list[at].Count++
			continue
		}
		index[k] = len(list)
		list = append(list, k)
	}
	return list
}
