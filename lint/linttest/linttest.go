// Package linttest runs rules over small annotated drawings: the findings that
// are written down must come, and nothing else.
package linttest

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"sluice/lint"
	"sluice/lint/job"
)

// Want is an expected finding.
type Want struct {
	Rule    string
	Placed  bool    // X and Y are given
	X, Y    float64 // mm
	Measure float64 // 0: not given
	Line    int     // in expect.txt
}

// Expect is what expect.txt of a rule's folder asks for.
type Expect struct {
	Flaw []Want
	Also []string // rules that may report besides
}

// IDs returns the ids of rules, in order.
func IDs(rules []*lint.Rule) []string {
	var ids []string
	for _, r := range rules {
		ids = append(ids, r.ID)
	}
	return ids
}

// reach is how far from its written place, mm, a finding may lie.
const reach = 0.5

// ReadExpect reads an expect.txt: lines "flaw: rule [x y [measure]]" and
// "also: rule"; # starts a comment.
func ReadExpect(path string) (*Expect, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	e := &Expect{}
	sc := bufio.NewScanner(bytes.NewReader(data))
	for n := 1; sc.Scan(); n++ {
		line, _, _ := strings.Cut(sc.Text(), "#")
		kind, rest, ok := strings.Cut(strings.TrimSpace(line), ":")
		if !ok {
			continue
		}
		f := strings.Fields(rest)
		if len(f) == 0 {
			return nil, fmt.Errorf("%s:%d: no rule named", path, n)
		}
		switch kind {
		case "also":
			e.Also = append(e.Also, f[0])
		case "flaw":
			w := Want{Rule: f[0], Line: n}
			var v [3]float64
			for i, s := range f[1:] {
				if i >= len(v) {
					return nil, fmt.Errorf("%s:%d: too many numbers", path, n)
				}
				if v[i], err = strconv.ParseFloat(s, 64); err != nil {
					return nil, fmt.Errorf("%s:%d: %w", path, n, err)
				}
			}
			w.Placed = len(f) >= 3
			w.X, w.Y, w.Measure = v[0], v[1], v[2]
			e.Flaw = append(e.Flaw, w)
		default:
			return nil, fmt.Errorf("%s:%d: unknown line %q", path, n, kind)
		}
	}
	return e, sc.Err()
}

// Check judges a drawing with the job file beside it, if there is one.
func Check(t *testing.T, path string, rules []*lint.Rule) *lint.Result {
	t.Helper()
	var ids []string
	for _, r := range rules {
		ids = append(ids, r.ID)
	}
	j := job.Default()
	if file := filepath.Join(filepath.Dir(path), "job.toml"); exists(file) {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if j, err = job.Parse(data, file, ids); err != nil {
			t.Fatal(err)
		}
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	res := lint.Check(context.Background(), path, f, j, lint.Options{Rules: rules})
	if res.Err != nil {
		t.Fatal(res.Err)
	}
	return res
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// Compare reports findings that are missing and findings that nobody asked for.
// Findings of a rule in also are never unexpected.
func Compare(t *testing.T, found []lint.Finding, want []Want, also []string) {
	t.Helper()
	used := make([]bool, len(found))
	for _, w := range want {
		k := slices.IndexFunc(found, func(f lint.Finding) bool {
			return f.Rule == w.Rule && (!w.Placed || math.Hypot(f.At.X-w.X, f.At.Y-w.Y) <= reach)
		})
		for k >= 0 && used[k] {
			next := slices.IndexFunc(found[k+1:], func(f lint.Finding) bool {
				return f.Rule == w.Rule && (!w.Placed || math.Hypot(f.At.X-w.X, f.At.Y-w.Y) <= reach)
			})
			if next < 0 {
				k = -1
				break
			}
			k += 1 + next
		}
		if k < 0 {
			t.Errorf("line %d: no %s near %g,%g", w.Line, w.Rule, w.X, w.Y)
			continue
		}
		used[k] = true
		if m := found[k].Measure; w.Measure > 0 && (m == nil || math.Abs(m.Value-w.Measure) > 0.01*math.Max(1, w.Measure)) {
			t.Errorf("line %d: %s measures %+v, want %g", w.Line, w.Rule, m, w.Measure)
		}
	}
	for k, f := range found {
		if !used[k] && !slices.Contains(also, f.Rule) {
			t.Errorf("unexpected %s %s at %.3f,%.3f: %s", f.Severity, f.Rule, f.At.X, f.At.Y, f.Message)
		}
	}
}
