package fix

import (
	"slices"

	"sluice/geom"
	"sluice/geom/drawing"
)

// Skipped is a fix that was not applied.
type Skipped struct {
	Fix Fix
	Why string // in words for the person
}

// Apply makes the fixes on a copy of the drawing and returns it with the edits
// made, in order, and the fixes skipped, each with why. A fix lands whole or not
// at all. It is skipped where it names what is not there, changes one thing
// twice, changes what an earlier fix has changed or is reckoned by, or is itself
// reckoned by what an earlier fix has changed. d itself is not changed.
func Apply(d *drawing.Drawing, fixes []Fix) (out *drawing.Drawing, done []Edit, skipped []Skipped) {
	w := &work{
		d: d, written: map[thing]OpKind{}, read: map[thing]bool{},
		replaced: map[int32][]drawing.Stroke{}, moved: map[End]geom.Point{},
	}
	for _, f := range fixes {
		if why := w.try(&f); why != "" {
			skipped = append(skipped, Skipped{f, why})
			continue
		}
		done = append(done, f.Edits...)
	}
	return w.result(), done, skipped
}

// thing is the least that a fix can change: an end of a stroke, or a text, notice
// or curve. Who removes or replaces a stroke changes both of its ends.
type thing struct {
	what  kindOfThing
	index int32
}

type kindOfThing uint8

const (
	endA kindOfThing = iota
	endB
	text
	notice
	curve
)

func endThing(e End) thing {
	if e.B {
		return thing{endB, e.Stroke}
	}
	return thing{endA, e.Stroke}
}

// work gathers the changes of one round.
type work struct {
	d        *drawing.Drawing
	written  map[thing]OpKind // what landed fixes change, and by what
	read     map[thing]bool   // what landed fixes are reckoned by
	replaced map[int32][]drawing.Stroke
	moved    map[End]geom.Point
	added    []drawing.Stroke
	texts    []drawing.Text
}

// try makes a fix, or says why it cannot be made and makes nothing.
func (w *work) try(f *Fix) (why string) {
	own := map[thing]OpKind{}
	for i := range f.Edits {
		for k := range f.Edits[i].Ops {
			op := &f.Edits[i].Ops[k]
			if why := w.fault(op); why != "" {
				return why
			}
			for _, t := range op.writes() {
				if _, twice := own[t]; twice {
					return "it changes one thing twice"
				}
				own[t] = op.Kind
				if why := w.clash(t, op.Kind); why != "" {
					return why
				}
			}
			for _, e := range op.On {
				if _, gone := w.written[endThing(e)]; gone {
					return "another repair changes a line that it goes by"
				}
			}
		}
	}
	for i := range f.Edits {
		for k := range f.Edits[i].Ops {
			w.take(&f.Edits[i].Ops[k])
		}
	}
	return ""
}

// fault says what is wrong with an op by itself, "" if nothing is.
func (w *work) fault(op *Op) string {
	has := func(i int32, n int) bool { return i >= 0 && int(i) < n }
	switch op.Kind {
	case Drop, Replace, MoveA, MoveB:
		if !has(op.Stroke, len(w.d.Strokes)) {
			return "it names a line that is not in the drawing"
		}
	case Add:
	case AddText:
		if op.Text == nil {
			return "it adds a text that says nothing"
		}
	case DropText:
		if !has(op.Index, len(w.d.Texts)) {
			return "it names a text that is not in the drawing"
		}
	case SettleNotice:
		if !has(op.Index, len(w.d.Notices)) {
			return "it names a remark that is not in the drawing"
		}
	case SettleCurve:
		if !has(op.Index, len(w.d.Curves)) {
			return "it names a curve that is not in the drawing"
		}
	default:
		return "it asks for a change that is not known"
	}
	for _, e := range op.On {
		if !has(e.Stroke, len(w.d.Strokes)) {
			return "it goes by a line that is not in the drawing"
		}
	}
	if !op.To.Finite() || slices.ContainsFunc(op.With, func(s drawing.Stroke) bool { return !s.A.Finite() || !s.B.Finite() }) {
		return "it puts something at no place"
	}
	return ""
}

// writes returns what an op changes.
func (op *Op) writes() []thing {
	switch op.Kind {
	case Drop, Replace:
		return []thing{{endA, op.Stroke}, {endB, op.Stroke}}
	case MoveA:
		return []thing{{endA, op.Stroke}}
	case MoveB:
		return []thing{{endB, op.Stroke}}
	case DropText:
		return []thing{{text, op.Index}}
	case SettleNotice:
		return []thing{{notice, op.Index}}
	case SettleCurve:
		return []thing{{curve, op.Index}}
	}
	return nil
}

// clash says which landed fix is in the way of a change of t, "" if none is.
func (w *work) clash(t thing, by OpKind) string {
	if w.read[t] {
		return "another repair goes by a line that it changes"
	}
	was, ok := w.written[t]
	switch {
	case !ok:
		return ""
	case t.what == text:
		return "another repair has put lines in the place of the same text"
	case t.what == notice || t.what == curve:
		return "another repair has settled the same"
	case was == Drop || was == Replace:
		return "another repair has taken out or redrawn the same line"
	case by == Drop || by == Replace:
		return "another repair has moved an end of the line that it takes out or redraws"
	}
	return "another repair has moved the same end"
}

// take makes one op of a fix that lands.
func (w *work) take(op *Op) {
	for _, t := range op.writes() {
		w.written[t] = op.Kind
	}
	for _, e := range op.On {
		w.read[endThing(e)] = true
	}
	switch op.Kind {
	case Drop:
		w.replaced[op.Stroke] = nil
	case Replace:
		w.replaced[op.Stroke] = op.With
	case MoveA:
		w.moved[End{op.Stroke, false}] = op.To
	case MoveB:
		w.moved[End{op.Stroke, true}] = op.To
	case Add:
		w.added = append(w.added, op.With...)
	case AddText:
		w.texts = append(w.texts, *op.Text)
	}
}

// result builds the changed drawing. Curves keep pointing at their strokes only
// until the first change, so those not settled keep what they know but no
// strokes.
func (w *work) result() *drawing.Drawing {
	d := *w.d
	d.Strokes = make([]drawing.Stroke, 0, len(w.d.Strokes)+len(w.added))
	first := make([]int32, len(w.d.Strokes)+1)
	for i := range w.d.Strokes {
		first[i] = int32(len(d.Strokes))
		k := int32(i)
		if with, ok := w.replaced[k]; ok {
			d.Strokes = append(d.Strokes, with...)
			continue
		}
		s := w.d.Strokes[i]
		a, ma := w.moved[End{k, false}]
		b, mb := w.moved[End{k, true}]
		if ma || mb {
			if !ma {
				a = s.A
			}
			if !mb {
				b = s.B
			}
			s.Piece = s.Piece.WithEnds(a, b)
			s.Made = drawing.Edited
		}
		d.Strokes = append(d.Strokes, s)
	}
	first[len(w.d.Strokes)] = int32(len(d.Strokes))
	d.Strokes = append(d.Strokes, w.added...)
	d.Curves = left(w, curve, w.d.Curves)
	for i := range d.Curves {
		c := &d.Curves[i]
		if n := int32(len(w.d.Strokes)); c.First+c.Count <= n {
			from, to := first[c.First], first[c.First+c.Count]
			c.First, c.Count = from, to-from
		}
	}
	d.Notices = left(w, notice, w.d.Notices)
	d.Texts = append(left(w, text, w.d.Texts), w.texts...)
	d.Points = slices.Clone(w.d.Points)
	d.Layers = slices.Clone(w.d.Layers)
	return &d
}

// left returns a copy of list without what was dropped or settled.
func left[T any](w *work, what kindOfThing, list []T) []T {
	var out []T
	for i := range list {
		if _, gone := w.written[thing{what, int32(i)}]; !gone {
			out = append(out, list[i])
		}
	}
	return out
}
