package mend

import (
	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/lint"
)

// culprits returns the edits that brought findings, of warning or graver, that
// were not there before. Putting a mark aside is none: it only makes less be cut.
func culprits(old, now *lint.Result, done []fix.Edit) []fix.Edit {
	if len(done) == 0 {
		return nil
	}
	seen, counts := findingsOf(old), map[string]int{}
	for i := range now.Findings {
		counts[now.Findings[i].Rule]++
	}
	var bad []fix.Edit
	told := newSpots(again)
	for i := range now.Findings {
		f := &now.Findings[i]
		if f.Severity < lint.Warning || seen.stood(f) || f.Severity == lint.Warning && counts[f.Rule] <= seen.count[f.Rule] {
			continue
		}
		for k := range done {
			if e := &done[k]; e.Kind != "note-mark" && !e.Asked && !(e.Kind == "refit-slots" && f.Severity < lint.Error) && near(e, f) && !seen.graver(e.Rule, f) && !told.hasEdit(e) {
				told.addEdit(e)
				bad = append(bad, *e)
			}
		}
	}
	return bad
}

// near reports whether a finding lies where an edit was made.
func near(e *fix.Edit, f *lint.Finding) bool {
	if e.At.Dist(f.At) <= reach {
		return true
	}
	for _, op := range e.Ops {
		for _, s := range op.With {
			if s.Made == drawing.Edited && s.Dist(f.At) <= reach {
				return true
			}
		}
	}
	return false
}
