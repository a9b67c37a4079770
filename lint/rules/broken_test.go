package rules

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/lint"
	"sluice/lint/job"
)

// TestBroken reads the files of testdata/broken: what is wrong with each is told
// with its line, as gravely as it deserves, and what is whole is kept.
func TestBroken(t *testing.T) {
	const dir = "../../testdata/broken"
	text, err := os.ReadFile(filepath.Join(dir, "expect.txt"))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string][]string{}
	for _, line := range strings.Split(string(text), "\n") {
		if name, rest, ok := strings.Cut(line, ": "); ok && !strings.HasPrefix(line, "#") {
			want[name] = strings.Split(rest, "; ")
		}
	}
	names, err := filepath.Glob(filepath.Join(dir, "*.dxf"))
	if err != nil || len(names) != len(want) {
		t.Fatalf("%d files, %d told of in expect.txt (%v)", len(names), len(want), err)
	}
	for _, path := range names {
		name := filepath.Base(path)
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		res := lint.Check(t.Context(), name, bytes.NewReader(data), job.Default(), lint.Options{Rules: All()})
		got := []string{}
		if res.Err != nil {
			got = append(got, "refused "+res.Err.Error())
		} else {
			kept := 0
			for i := range res.Drawing.Entities {
				if res.Drawing.Entities[i].Kept {
					kept++
				}
			}
			got = append(got, fmt.Sprintf("kept %d", kept))
			for i := range res.Findings {
				if f := &res.Findings[i]; f.Rule == "unread-entity" {
					got = append(got, f.Severity.String()+" "+f.Message)
				}
			}
			if !res.Account.Balanced() {
				t.Errorf("%s: account %+v", name, res.Account)
			}
		}
		if !slices.EqualFunc(want[name], got, func(w, g string) bool { return strings.HasPrefix(g, w) }) {
			t.Errorf("%s: told %q, want %q", name, got, want[name])
		}
	}
}
