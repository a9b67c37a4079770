package rules_test

import (
	"path/filepath"
	"testing"

	"sluice/lint/linttest"
	"sluice/lint/rules"
)

// TestDrawings runs every rule's own drawing and near miss.
func TestDrawings(t *testing.T) {
	for _, r := range rules.All() {
		t.Run(r.ID, func(t *testing.T) {
			dir := filepath.Join("flaws", r.ID)
			e, err := linttest.ReadExpect(filepath.Join(dir, "expect.txt"))
			if err != nil {
				t.Fatal(err)
			}
			if len(e.Flaw) == 0 {
				t.Fatal("no flaw is expected of this rule's drawing")
			}
			flaw := linttest.Check(t, filepath.Join(dir, "flaw.dxf"), rules.All())
			linttest.Compare(t, flaw.Findings, e.Flaw, e.Also)
			near := linttest.Check(t, filepath.Join(dir, "near.dxf"), rules.All())
			linttest.Compare(t, near.Findings, nil, e.Also)
		})
	}
}

// TestDocs fails for a rule that does not say all it must.
func TestDocs(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range rules.All() {
		if seen[r.ID] {
			t.Errorf("%s is listed twice", r.ID)
		}
		seen[r.ID] = true
		d := r.Doc
		for name, text := range map[string]string{"title": d.Title, "what": d.What, "why": d.Why, "bad": d.Bad, "good": d.Good, "exceptions": d.Exceptions, "limit": d.Limit, "fix": d.Fix, "reason": d.Reason, "since": d.Since} {
			if text == "" {
				t.Errorf("%s has no %s", r.ID, name)
			}
		}
		if r.Check == nil || r.Repair == "" {
			t.Errorf("%s has no check or repair", r.ID)
		}
	}
}
