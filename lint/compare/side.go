// Package compare tells what differs between two judged drawings: it gathers what
// is compared of each, leaves out what only one of them shows, and has fix/diff
// match the rest.
package compare

import (
	"slices"
	"strings"

	"sluice/fix/diff"
	"sluice/geom/drawing"
	"sluice/lint"
)

// Drawings tells what differs between two judged drawings. Parts whose outlines
// lie within tol (mm) of each other are the same. What only one of the drawings
// shows, because its layer is hidden in the other or the other has it set aside as
// a note, is not compared but told.
func Drawings(before, after *lint.Result, tol float64) *diff.Diff {
	before, after, apart := comparable(before, after, tol)
	a, b := diffSide(before, apart[1].hidden), diffSide(after, apart[0].hidden)
	a.Hidden, b.Hidden = apart[0].hidden, apart[1].hidden
	a.Noted, b.Noted = apart[0].noted, apart[1].noted
	return diff.Compare(a, b, tol)
}

// diffSide gathers what is compared of a judged drawing: no lettering on layers
// that are hidden in the other.
func diffSide(r *lint.Result, hidden []diff.Apart) *diff.Side {
	s := &diff.Side{Name: r.Path, Sheet: r.Sheet}
	if u, ok := r.Unit(); ok {
		s.Unit, s.Factor, s.Guessed = u.Name, u.Factor, u.Basis == "guess"
	}
	if r.Job != nil {
		s.Gap = r.Job.Limits.Gap
	}
	for k := range r.Sheet.Parts {
		s.Names = append(s.Names, r.Name(k))
		s.Layers = append(s.Layers, layersOf(r, k))
	}
	d := r.Drawing
	if d == nil {
		return s
	}
	s.Entities, s.Curves = drawnBy(r)
	_, own := lint.Roles(d, r.Job)
	numbers := lint.ReadLabels(d, r.Sheet, own)
	for i := range d.Texts {
		t := &d.Texts[i]
		on := func(h diff.Apart) bool { return strings.EqualFold(h.Layer, d.LayerName(t.Layer)) }
		if slices.ContainsFunc(hidden, on) {
			continue
		}
		_, etched, known := lint.ReadLabelNote(t.Value)
		if known && numbers[i] >= 0 && etched == "" {
			continue // says what a part is called, as the names of the parts do
		}
		text := diff.Text{Value: lint.Clean(t.Value), At: t.At, Height: t.Height, Part: numbers[i]}
		if text.Part >= 0 {
			text.Number = true
			text.Value = lint.Clean(etched)
		} else {
			text.Part = r.Sheet.PartAt(t.At)
		}
		s.Texts = append(s.Texts, text)
	}
	return s
}

// drawnBy counts the entities that draw outlines, and the curves of the drawing
// for which arcs stand.
func drawnBy(r *lint.Result) (entities, curves int) {
	seen := make([]bool, len(r.Drawing.Entities))
	for i := range r.Sheet.Outlines {
		for _, src := range r.Sheet.Outlines[i].Src {
			if src < 0 {
				continue
			}
			if e := r.Drawing.Strokes[src].Entity; !seen[e] {
				seen[e] = true
				entities++
			}
		}
	}
	for i := range r.Drawing.Curves {
		if c := &r.Drawing.Curves[i]; c.Count > 0 && r.Drawing.Strokes[c.First].As != drawing.AsNote {
			curves++
		}
	}
	return entities, curves
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
