package report

import (
	"slices"

	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/lint"
)

// sarifFixes offers the repairs of a finding that can be made in the text of
// the file: those that only delete whole entities. Any other repair moves
// coordinates and is left to the fix command.
func sarifFixes(r *lint.Result, f *lint.Finding) []sarifFix {
	var out []sarifFix
	for i := range f.Fixes {
		regions, ok := deletions(r, &f.Fixes[i])
		if !ok {
			continue
		}
		c := sarifChange{Artifact: sarifPath(r.Path)}
		for _, g := range regions {
			c.Replacements = append(c.Replacements, sarifReplacement{g})
		}
		text := "Delete " + plural(len(regions), "entity")
		if e := f.Fixes[i].Edits; len(e) == 1 && e[0].Note != "" {
			text = e[0].Note
		}
		out = append(out, sarifFix{sarifText{text}, []sarifChange{c}})
	}
	return out
}

// deletions returns the lines to delete, false if the fix does anything but
// delete entities with all that they draw. An entity reaches to the line before
// the next one; that of the last in the file is not known.
func deletions(r *lint.Result, x *fix.Fix) ([]sarifRegion, bool) {
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
	var out []sarifRegion
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
		out = append(out, sarifRegion{StartLine: int(from), StartColumn: 1, EndLine: int(to), EndColumn: 1})
	}
	slices.SortFunc(out, func(a, b sarifRegion) int { return a.StartLine - b.StartLine })
	return out, true
}
