package mend

import (
	"slices"

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
	for i := range now.Findings {
		f := &now.Findings[i]
		if f.Severity < lint.Warning || seen.stood(f) || f.Severity == lint.Warning && counts[f.Rule] <= len(seen[f.Rule]) {
			continue
		}
		for k := range done {
			e := &done[k]
			if e.Kind != "note-mark" && near(e, f) && !seen.graver(e.Rule, f) && !slices.ContainsFunc(bad, func(b fix.Edit) bool { return key(&b) == key(e) }) {
				bad = append(bad, *e)
			}
		}
	}
	return bad
}

// reach is how far from an edit, mm, a finding counts as its doing, and how far a
// finding may shift and still be the one that was there before.
const reach = 1

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

// standing is the findings of a result by rule.
type standing map[string][]*lint.Finding

func findingsOf(r *lint.Result) standing {
	s := standing{}
	for i := range r.Findings {
		f := &r.Findings[i]
		s[f.Rule] = append(s[f.Rule], f)
	}
	return s
}

// stood reports whether a finding like f was there before: of its rule and as
// grave, at the same place.
func (s standing) stood(f *lint.Finding) bool {
	for _, g := range s[f.Rule] {
		if g.Severity >= f.Severity && g.At.Dist(f.At) <= reach {
			return true
		}
	}
	return false
}

// graver reports whether a graver finding of a rule stood where f stands: what an
// edit that answers it leaves behind is less, not new.
func (s standing) graver(rule string, f *lint.Finding) bool {
	for _, g := range s[rule] {
		if g.Severity > f.Severity && g.At.Dist(f.At) <= reach {
			return true
		}
	}
	return false
}
