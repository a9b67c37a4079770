package report

import (
	"slices"

	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/lint"
)

// sarifFixes offers the repairs of a finding that can be made in the text of the
// file. The first column of the line after is where a deletion ends.
func sarifFixes(path string, fixes []lint.TextFix) []sarifFix {
	var out []sarifFix
	for _, x := range fixes {
		c := sarifChange{Artifact: sarifPath(path)}
		for _, l := range x.Lines {
			c.Replacements = append(c.Replacements, sarifReplacement{sarifRegion{StartLine: l.From, StartColumn: 1, EndLine: l.To, EndColumn: 1}})
		}
		out = append(out, sarifFix{sarifText{x.Note}, []sarifChange{c}})
	}
	return out
}

// textFixes returns those repairs of a finding that only delete whole entities.
// Any other repair moves coordinates and is left to the fix command.
func textFixes(r *lint.Result, f *lint.Finding) []lint.TextFix {
	var out []lint.TextFix
	for i := range f.Fixes {
		lines, ok := deletions(r, &f.Fixes[i])
		if !ok {
			continue
		}
		note := "Delete " + plural(len(lines), "entity")
		if e := f.Fixes[i].Edits; len(e) == 1 && e[0].Note != "" {
			note = e[0].Note
		}
		out = append(out, lint.TextFix{Note: note, Lines: lines})
	}
	return out
}

// deletions returns the lines to delete, false if the fix does anything but
// delete entities with all that they draw. An entity reaches to the line before
// the next one; that of the last in the file is not known.
func deletions(r *lint.Result, x *fix.Fix) ([]lint.Lines, bool) {
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
	var out []lint.Lines
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
		out = append(out, lint.Lines{From: int(from), To: int(to)})
	}
	slices.SortFunc(out, func(a, b lint.Lines) int { return a.From - b.From })
	return out, true
}
