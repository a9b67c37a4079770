package fix

import (
	"slices"

	"sluice/geom"
	"sluice/geom/drawing"
)

// Skipped is a fix that was not applied because it touches what another fix of
// the same round has already changed.
type Skipped struct{ Fix Fix }

// Apply makes the fixes on a copy of the drawing and returns it with the edits
// made, in order. A fix lands whole or not at all: one that touches a stroke
// which an earlier fix has removed or replaced, or moves an end that has been
// moved, is skipped and returned. d itself is not changed.
func Apply(d *drawing.Drawing, fixes []Fix) (out *drawing.Drawing, done []Edit, skipped []Skipped) {
	w := &work{
		d: d, dropped: map[int32]bool{}, replaced: map[int32][]drawing.Stroke{}, moved: map[end]geom.Point{},
		noDone: map[int32]bool{}, cuDone: map[int32]bool{}, txDone: map[int32]bool{},
	}
	for _, f := range fixes {
		if !w.free(f) {
			skipped = append(skipped, Skipped{f})
			continue
		}
		for _, e := range f.Edits {
			for _, op := range e.Ops {
				w.take(op)
			}
			done = append(done, e)
		}
	}
	return w.result(), done, skipped
}

type end struct {
	stroke int32
	b      bool
}

// work gathers the changes of one round.
type work struct {
	d        *drawing.Drawing
	dropped  map[int32]bool
	replaced map[int32][]drawing.Stroke
	moved    map[end]geom.Point
	added    []drawing.Stroke
	texts    []drawing.Text
	noDone   map[int32]bool
	cuDone   map[int32]bool
	txDone   map[int32]bool
}

// free reports whether every op of the fix can still be made.
func (w *work) free(f Fix) bool {
	gone := func(s int32) bool { _, r := w.replaced[s]; return r || w.dropped[s] }
	movedAny := func(s int32) bool {
		_, a := w.moved[end{s, false}]
		_, b := w.moved[end{s, true}]
		return a || b
	}
	for _, e := range f.Edits {
		for _, op := range e.Ops {
			switch op.Kind {
			case Drop, Replace:
				if gone(op.Stroke) || movedAny(op.Stroke) {
					return false
				}
			case MoveA, MoveB:
				if _, m := w.moved[end{op.Stroke, op.Kind == MoveB}]; m || gone(op.Stroke) {
					return false
				}
			}
		}
	}
	return true
}

func (w *work) take(op Op) {
	switch op.Kind {
	case Drop:
		w.dropped[op.Stroke] = true
	case Replace:
		w.replaced[op.Stroke] = op.With
	case MoveA:
		w.moved[end{op.Stroke, false}] = op.To
	case MoveB:
		w.moved[end{op.Stroke, true}] = op.To
	case Add:
		w.added = append(w.added, op.With...)
	case AddText:
		w.texts = append(w.texts, *op.Text)
	case DropText:
		w.txDone[op.Index] = true
	case SettleNotice:
		w.noDone[op.Index] = true
	case SettleCurve:
		w.cuDone[op.Index] = true
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
		if w.dropped[k] {
			continue
		}
		if with, ok := w.replaced[k]; ok {
			d.Strokes = append(d.Strokes, with...)
			continue
		}
		s := w.d.Strokes[i]
		a, ma := w.moved[end{k, false}]
		b, mb := w.moved[end{k, true}]
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
	d.Curves = nil
	for i, c := range w.d.Curves {
		if w.cuDone[int32(i)] {
			continue
		}
		if n := int32(len(w.d.Strokes)); c.First+c.Count <= n {
			from, to := first[c.First], first[c.First+c.Count]
			c.First, c.Count = from, to-from
		}
		d.Curves = append(d.Curves, c)
	}
	d.Notices = nil
	for i, n := range w.d.Notices {
		if !w.noDone[int32(i)] {
			d.Notices = append(d.Notices, n)
		}
	}
	d.Texts = nil
	for i, t := range w.d.Texts {
		if !w.txDone[int32(i)] {
			d.Texts = append(d.Texts, t)
		}
	}
	d.Texts = append(d.Texts, w.texts...)
	d.Layers = slices.Clone(w.d.Layers)
	return &d
}
