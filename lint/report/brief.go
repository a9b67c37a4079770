package report

import (
	"slices"

	"sluice/lint"
)

// Shorten returns a result without its drawing: all that reports without a
// picture need stays. It makes the results of a large folder small enough to be
// kept all at once, and fit to be stored.
func Shorten(r *lint.Result) *lint.Result {
	if r.Err != nil || r.Brief != nil {
		return r
	}
	short := &lint.Result{Path: r.Path, Job: r.Job, Account: r.Account, Extents: r.Extents, Accepted: r.Accepted}
	short.Brief = &lint.Brief{Counts: countsOf(r), Places: map[string]lint.Place{}}
	short.Brief.Unit, _ = unitOf(r)
	short.Findings = slices.Clone(r.Findings)
	in := newFileText(r)
	for i := range short.Findings {
		f := &short.Findings[i]
		if p := in.place(f); p.Line > 0 || len(p.Fixes) > 0 {
			short.Brief.Places[f.ID] = p
		}
		f.Fixes = nil
	}
	return short
}

// fileText knows where the entities of a drawing stand in the text of its file.
type fileText struct {
	r    *lint.Result
	byID map[string]int // index in Entities
}

func newFileText(r *lint.Result) fileText {
	t := fileText{r: r, byID: map[string]int{}}
	if r.Drawing != nil {
		for i := range r.Drawing.Entities {
			t.byID[r.Drawing.Entities[i].ID()] = i
		}
	}
	return t
}

// place returns where a finding stands in the text of the file.
func (t fileText) place(f *lint.Finding) lint.Place {
	if t.r.Brief != nil {
		return t.r.Brief.Places[f.ID]
	}
	var p lint.Place
	for _, id := range f.Entities {
		if k, ok := t.byID[id]; ok && t.r.Drawing.Entities[k].Line > 0 {
			p.Line = int(t.r.Drawing.Entities[k].Line)
			break
		}
	}
	p.Fixes = textFixes(t.r, f)
	return p
}
