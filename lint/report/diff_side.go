package report

import (
	"slices"

	"sluice/fix/diff"
	"sluice/lint"
)

// Compare tells what differs between two judged drawings. Parts whose outlines
// lie within tol (mm) of each other are the same.
func Compare(before, after *lint.Result, tol float64) *diff.Diff {
	return diff.Compare(diffSide(before), diffSide(after), tol)
}

// diffSide gathers what is compared of a judged drawing.
func diffSide(r *lint.Result) *diff.Side {
	s := &diff.Side{Name: r.Path, Sheet: r.Sheet}
	if u, ok := unitOf(r); ok {
		s.Unit = u.Name
	}
	for k := range r.Sheet.Parts {
		s.Names = append(s.Names, partName(r, k))
		s.Layers = append(s.Layers, layersOf(r, k))
	}
	d := r.Drawing
	if d == nil {
		return s
	}
	_, own := lint.Roles(d, r.Job)
	numbers := lint.ReadLabels(d, r.Sheet, own)
	for i := range d.Texts {
		t := &d.Texts[i]
		text := diff.Text{Value: clean(t.Value), At: t.At, Height: t.Height, Part: numbers[i]}
		if text.Part >= 0 {
			text.Number = true
			_, text.Value, _ = lint.ReadLabelNote(text.Value)
		} else {
			text.Part = r.Sheet.PartAt(t.At)
		}
		s.Texts = append(s.Texts, text)
	}
	return s
}

// layersOf returns the layers on which the outlines of part k lie, by name.
func layersOf(r *lint.Result, k int) []string {
	if r.Drawing == nil {
		return nil
	}
	p := &r.Sheet.Parts[k]
	var names []string
	for _, o := range append([]int32{p.Outer}, p.Holes...) {
		for _, src := range r.Sheet.Outlines[o].Src {
			if src < 0 {
				continue
			}
			if n := r.Drawing.LayerName(r.Drawing.Strokes[src].Layer); !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	slices.Sort(names)
	return names
}
