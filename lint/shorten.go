package lint

import (
	"fmt"
	"slices"

	"sluice/fix"
	"sluice/geom/drawing"
)

// Shorten returns a result without its drawing: all that reports without a
// picture need stays. It makes the results of a large folder small enough to be
// kept all at once, and fit to be stored.
func Shorten(r *Result) *Result {
	if r.Err != nil || r.Brief != nil {
		return r
	}
	short := &Result{Path: r.Path, Job: r.Job, Account: r.Account, Extents: r.Extents, Accepted: r.Accepted}
	short.Brief = &Brief{Counts: r.Counts(), Places: map[string]Place{}}
	short.Brief.Unit, _ = r.Unit()
	short.Brief.Stand = *r.Stand()
	short.Findings = slices.Clone(r.Findings)
	placeOf := PlacesIn(r)
	for i := range short.Findings {
		f := &short.Findings[i]
		if p := placeOf(f); p.Line > 0 || len(p.Fixes) > 0 {
			short.Brief.Places[f.ID] = p
		}
		f.Fixes = nil
		f.Choices = slices.Clone(f.Choices)
		for k := range f.Choices {
			f.Choices[k].Fixes = nil
		}
	}
	return short
}

// PlacesIn returns what tells where one of the findings of the result stands in
// the text of the file.
func PlacesIn(r *Result) func(*Finding) Place {
	if r.Brief != nil {
		return func(f *Finding) Place { return r.Brief.Places[f.ID] }
	}
	line := map[string]int32{} // of the entities that are named, by id; 0: not known
	for i := range r.Findings {
		for _, id := range r.Findings[i].Entities {
			line[id] = 0
		}
	}
	if r.Drawing != nil && len(line) > 0 {
		for i := range r.Drawing.Entities {
			id := r.Drawing.Entities[i].ID()
			if _, named := line[id]; named {
				line[id] = r.Drawing.Entities[i].Line
			}
		}
	}
	return func(f *Finding) Place {
		p := Place{Fixes: textFixes(r, f)}
		for _, id := range f.Entities {
			if p.Line = int(max(line[id], 0)); p.Line > 0 {
				break
			}
		}
		return p
	}
}

// textFixes returns those repairs of a finding that only delete whole entities.
// Any other repair moves coordinates and is left to the fix command.
func textFixes(r *Result, f *Finding) []TextFix {
	var out []TextFix
	for i := range f.Fixes {
		lines, ok := deletions(r, &f.Fixes[i])
		if !ok {
			continue
		}
		note := "Delete 1 entity"
		if n := len(lines); n > 1 {
			note = fmt.Sprintf("Delete %d entities", n)
		}
		if e := f.Fixes[i].Edits; len(e) == 1 && e[0].Note != "" {
			note = e[0].Note
		}
		out = append(out, TextFix{Note: note, Lines: lines})
	}
	return out
}

// deletions returns the lines to delete, false if the fix does anything but
// delete entities with all that they draw. An entity reaches to the line before
// the next one; that of the last in the file is not known.
func deletions(r *Result, x *fix.Fix) ([]Lines, bool) {
	d := r.Drawing
	if d == nil {
		return nil, false
	}
	dropped := map[int32]int{} // strokes dropped, by entity
	for _, e := range x.Edits {
		for _, op := range e.Ops {
			if op.Kind != fix.Drop || op.Stroke < 0 || int(op.Stroke) >= len(d.Strokes) {
				return nil, false
			}
			dropped[d.Strokes[op.Stroke].Entity]++
		}
	}
	if len(dropped) == 0 || len(dropped) > 1000 {
		return nil, false
	}
	// Strokes are grouped by entity, in file order.
	var out []Lines
	for e, n := range dropped {
		if e < 0 || int(e)+1 >= len(d.Entities) {
			return nil, false
		}
		first, _ := slices.BinarySearchFunc(d.Strokes, e, func(s drawing.Stroke, e int32) int { return int(s.Entity) - int(e) })
		all := first
		for all < len(d.Strokes) && d.Strokes[all].Entity == e {
			all++
		}
		from, to := d.Entities[e].Line, d.Entities[e+1].Line
		if all-first != n || from < 1 || to <= from {
			return nil, false
		}
		out = append(out, Lines{From: int(from), To: int(to)})
	}
	slices.SortFunc(out, func(a, b Lines) int { return a.From - b.From })
	return out, true
}
