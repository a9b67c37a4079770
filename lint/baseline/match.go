package baseline

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"sluice/lint"
)

// Apply takes the accepted findings out of the results and returns how many they
// were, and what is accepted but no longer found: of rules that ran, and, where
// the results are of the whole set of drawings, of drawings that are gone.
func (b *Baseline) Apply(results []*lint.Result, ran func(*lint.Result, string) bool, whole bool) (count int, stale []string) {
	seen := map[string]bool{}
	for _, r := range results {
		name := b.nameOf(r.Path)
		seen[name] = true
		if r.Err != nil {
			continue
		}
		left := slices.Clone(b.files[name])
		n := len(r.Findings)
		r.Findings = without(r.Findings, left)
		count += n - len(r.Findings)
		slices.SortFunc(left, accepted.compare)
		for _, a := range left {
			if a.Count > 0 && ran(r, a.Rule) {
				stale = append(stale, fmt.Sprintf("%s: %s%s: %d no longer found: %s", name, a.Rule, inPart(a.Part), a.Count, a.Message))
			}
		}
	}
	if whole {
		for _, name := range slices.Sorted(maps.Keys(b.files)) {
			if !seen[name] && b.gone(name) {
				stale = append(stale, name+": there is no such drawing any more")
			}
		}
	}
	return count, stale
}

// Left returns the findings of a drawing that are not accepted. The baseline is only
// read, so that several drawings may be asked for at once.
func (b *Baseline) Left(r *lint.Result) []lint.Finding {
	return without(r.Findings, slices.Clone(b.files[b.nameOf(r.Path)]))
}

func inPart(part string) string {
	if part == "" {
		return ""
	}
	return " in part " + part
}

// without takes out the findings that are accepted, counting down what is left
// to accept. Those that agree in all come first; then the part may differ, since
// parts are numbered from the top left and a new one renumbers all that follow.
func without(fs []lint.Finding, left []accepted) []lint.Finding {
	if len(left) == 0 {
		return fs
	}
	taken := make([]bool, len(fs))
	for _, key := range []func(accepted) accepted{
		func(a accepted) accepted { a.Count = 0; return a },
		func(a accepted) accepted { a.Count, a.Part = 0, ""; return a },
	} {
		index := map[accepted][]int{}
		for i, a := range left {
			index[key(a)] = append(index[key(a)], i)
		}
		for i := range fs {
			if taken[i] {
				continue
			}
			k := key(kindOf(&fs[i]))
			for len(index[k]) > 0 && left[index[k][0]].Count <= 0 {
				index[k] = index[k][1:]
			}
			if len(index[k]) > 0 {
				left[index[k][0]].Count--
				taken[i] = true
			}
		}
	}
	var kept []lint.Finding
	for i := range fs {
		if !taken[i] {
			kept = append(kept, fs[i])
		}
	}
	return kept
}

// gone tells whether a drawing that the baseline names is no longer there.
func (b *Baseline) gone(name string) bool {
	if name == "-" {
		return false
	}
	path := filepath.FromSlash(name)
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(b.Path), path)
	}
	_, err := os.Stat(path)
	return os.IsNotExist(err)
}

// Accept makes the findings of the results the accepted ones. Drawings that were
// not checked, or could not be read, and rules that did not run keep what they
// have; drawings that are gone are dropped.
func (b *Baseline) Accept(results []*lint.Result, ran func(*lint.Result, string) bool) {
	for name := range b.files {
		if b.gone(name) {
			delete(b.files, name)
		}
	}
	for _, r := range results {
		if r.Err != nil {
			continue
		}
		name := b.nameOf(r.Path)
		old := slices.DeleteFunc(b.files[name], func(a accepted) bool { return ran(r, a.Rule) })
		b.files[name] = append(kindsOf(r.Findings), old...)
	}
}
