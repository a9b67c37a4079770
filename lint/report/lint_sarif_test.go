package report

import (
	"encoding/json"
	"io"
	"testing"

	"sluice/fix"
	"sluice/lint"
)

type sarifSeen struct {
	Runs []struct {
		Tool struct {
			Driver struct{ Rules []struct{ ID string } }
		}
		Results []struct {
			RuleID              string
			RuleIndex           int
			PartialFingerprints map[string]string
			Locations           []struct {
				PhysicalLocation struct {
					ArtifactLocation struct{ URI string }
					Region           struct{ StartLine int }
				}
			}
			Fixes []struct {
				ArtifactChanges []struct {
					Replacements []struct{ DeletedRegion sarifRegion }
				}
			}
		}
	}
}

func readSARIF(t *testing.T, results ...*lint.Result) sarifSeen {
	t.Helper()
	var s sarifSeen
	if err := json.Unmarshal(write(t, func(w io.Writer) error { return lintSARIF(w, checked(results...)) }), &s); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSARIFResults(t *testing.T) {
	r := craneLint()
	r.Path = `kits\sub dir\50% [a].dxf`
	twice := r.Findings[1]
	twice.At.X += 3
	r.Findings = append(r.Findings, twice)
	run := readSARIF(t, r).Runs[0]
	seen := map[string]bool{}
	for _, x := range run.Results {
		if id := run.Tool.Driver.Rules[x.RuleIndex].ID; id != x.RuleID {
			t.Errorf("ruleIndex of %s leads to %s", x.RuleID, id)
		}
		fp := x.PartialFingerprints["sluiceFinding/v1"]
		if fp == "" || seen[fp] {
			t.Errorf("%s: fingerprint %q is empty or not distinct", x.RuleID, fp)
		}
		seen[fp] = true
		if uri := x.Locations[0].PhysicalLocation.ArtifactLocation.URI; uri != "kits/sub%20dir/50%25%20%5Ba%5D.dxf" {
			t.Errorf("uri %q", uri)
		}
	}
	// The place of a finding must not change its fingerprint.
	moved := craneLint()
	for i := range moved.Findings {
		moved.Findings[i].At.X += 1000
		moved.Findings[i].Message += " (moved)"
	}
	a, b := readSARIF(t, craneLint()).Runs[0], readSARIF(t, moved).Runs[0]
	for i := range a.Results {
		if x, y := a.Results[i].PartialFingerprints["sluiceFinding/v1"], b.Results[i].PartialFingerprints["sluiceFinding/v1"]; x != y {
			t.Errorf("%s: fingerprint depends on the place", a.Results[i].RuleID)
		}
	}
}

func TestSARIFFixes(t *testing.T) {
	// In the sample, entity k starts on line 10 + 8k; circles are entities of
	// one stroke, the first outline is one of several.
	circle := craneLint()
	stroke := int32(-1)
	for i, s := range circle.Drawing.Strokes {
		if s.IsCircle() {
			stroke = int32(i)
			break
		}
	}
	e := circle.Drawing.Strokes[stroke].Entity
	drop := func(s int32) fix.Op { return fix.Op{Kind: fix.Drop, Stroke: s} }
	tests := []struct {
		name string
		ops  []fix.Op
		want *sarifRegion
	}{
		{"a whole entity", []fix.Op{drop(stroke)}, &sarifRegion{int(10 + 8*e), 1, int(18 + 8*e), 1}},
		{"part of an entity", []fix.Op{drop(0)}, nil},
		{"a move", []fix.Op{{Kind: fix.MoveA, Stroke: stroke}}, nil},
		{"out of range", []fix.Op{drop(1 << 20)}, nil},
		{"the last entity", []fix.Op{drop(int32(len(circle.Drawing.Strokes) - 1))}, nil},
		{"nothing", nil, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := craneLint()
			r.Findings = r.Findings[:1]
			r.Findings[0].Fixes = []fix.Fix{{Edits: []fix.Edit{{Ops: tt.ops}}}}
			fixes := readSARIF(t, r).Runs[0].Results[0].Fixes
			switch {
			case tt.want == nil && len(fixes) > 0:
				t.Errorf("a fix is offered: %+v", fixes)
			case tt.want != nil && len(fixes) != 1:
				t.Fatalf("%d fixes, want 1", len(fixes))
			case tt.want != nil:
				if got := fixes[0].ArtifactChanges[0].Replacements[0].DeletedRegion; got != *tt.want {
					t.Errorf("deletes %+v, want %+v", got, *tt.want)
				}
			}
		})
	}
}
