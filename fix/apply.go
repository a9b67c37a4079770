package fix

import (
	"cmp"
	"iter"
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
// reckoned by what an earlier fix has changed. Stretches of one stroke may be
// taken by several, as far as they do not overlap. d itself is not changed.
func Apply(d *drawing.Drawing, fixes []Fix) (out *drawing.Drawing, done []Edit, skipped []Skipped) {
	w := &work{
		d: d, written: map[thing]OpKind{}, read: map[thing]bool{}, taken: map[int32][]stretch{},
		replaced: map[int32][]drawing.Stroke{}, moved: map[End]geom.Point{},
		texts: map[int32]*drawing.Text{}, points: map[int32]geom.Point{},
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

// thing is the least that a fix can change: an end of a stroke, or a text, point,
// notice or curve. Who removes, replaces or takes of a stroke changes both of its
// ends.
type thing struct {
	what  kindOfThing
	index int32
}

type kindOfThing uint8

const (
	endA kindOfThing = iota
	endB
	text
	point
	notice
	curve
)

// stretch is a part of a stroke that is taken, as shares of it.
type stretch struct {
	t0, t1 float64
	as     drawing.As
}

func endThing(e End) thing {
	if e.B {
		return thing{endB, e.Stroke}
	}
	return thing{endA, e.Stroke}
}

// work gathers the changes of one round.
type work struct {
	d        *drawing.Drawing
	written  map[thing]OpKind    // what landed fixes change, and by what
	read     map[thing]bool      // what landed fixes are reckoned by
	taken    map[int32][]stretch // of strokes, in order
	replaced map[int32][]drawing.Stroke
	moved    map[End]geom.Point
	added    []drawing.Stroke
	texts    map[int32]*drawing.Text // replaced
	newTexts []drawing.Text
	points   map[int32]geom.Point // moved
	newPoint []drawing.Mark
}

// try makes a fix, or says why it cannot be made and makes nothing.
func (w *work) try(f *Fix) (why string) {
	own, took := map[thing]OpKind{}, map[int32][]stretch{}
	for op := range f.ops() {
		if why := w.fault(op); why != "" {
			return why
		}
		if op.Kind == Take {
			s := stretch{op.T0, op.T1, op.As}
			if overlaps(took[op.Stroke], s) {
				return "it changes one thing twice"
			}
			if overlaps(w.taken[op.Stroke], s) {
				return "another repair has taken the same stretch of a line"
			}
			took[op.Stroke] = append(took[op.Stroke], s)
		}
		for _, t := range op.writes() {
			if was, twice := own[t]; twice && (was != Take || op.Kind != Take) {
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
	for op := range f.ops() {
		w.take(op)
	}
	return ""
}

// ops yields the changes of all edits.
func (f *Fix) ops() iter.Seq[*Op] {
	return func(yield func(*Op) bool) {
		for i := range f.Edits {
			for k := range f.Edits[i].Ops {
				if !yield(&f.Edits[i].Ops[k]) {
					return
				}
			}
		}
	}
}

func overlaps(list []stretch, s stretch) bool {
	return slices.ContainsFunc(list, func(o stretch) bool { return s.t0 < o.t1 && o.t0 < s.t1 })
}

// fault says what is wrong with an op by itself, "" if nothing is.
func (w *work) fault(op *Op) string {
	has := func(i int32, n int) bool { return i >= 0 && int(i) < n }
	switch op.Kind {
	case Drop, Replace, MoveA, MoveB, Take:
		if !has(op.Stroke, len(w.d.Strokes)) {
			return "it names a line that is not in the drawing"
		}
		if op.Kind == Take && !(0 <= op.T0 && op.T0 < op.T1 && op.T1 <= 1) {
			return "it takes a stretch that is not on its line"
		}
	case Add:
	case AddText, ReplaceText, DropText:
		if op.Kind != DropText && op.Text == nil {
			return "it adds a text that says nothing"
		}
		if op.Kind != AddText && !has(op.Index, len(w.d.Texts)) {
			return "it names a text that is not in the drawing"
		}
	case AddPoint, MovePoint, DropPoint:
		if !has(op.Index, len(w.d.Points)) {
			return "it names a point that is not in the drawing"
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
	if !op.To.Finite() || op.Text != nil && !op.Text.At.Finite() ||
		slices.ContainsFunc(op.With, func(s drawing.Stroke) bool { return !s.A.Finite() || !s.B.Finite() }) {
		return "it puts something at no place"
	}
	return ""
}

// writes returns what an op changes.
func (op *Op) writes() []thing {
	switch op.Kind {
	case Drop, Replace, Take:
		return []thing{{endA, op.Stroke}, {endB, op.Stroke}}
	case MoveA:
		return []thing{{endA, op.Stroke}}
	case MoveB:
		return []thing{{endB, op.Stroke}}
	case DropText, ReplaceText:
		return []thing{{text, op.Index}}
	case DropPoint, MovePoint:
		return []thing{{point, op.Index}}
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
	case !ok || was == Take && by == Take: // which stretches is looked at beside
		return ""
	case t.what == text:
		return "another repair has put something in the place of the same text"
	case t.what == point:
		return "another repair has changed the same point"
	case t.what == notice || t.what == curve:
		return "another repair has settled the same"
	case was == Take:
		return "another repair has taken a stretch of the same line"
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
	case Take:
		w.taken[op.Stroke] = append(w.taken[op.Stroke], stretch{op.T0, op.T1, op.As})
	case MoveA:
		w.moved[End{op.Stroke, false}] = op.To
	case MoveB:
		w.moved[End{op.Stroke, true}] = op.To
	case Add:
		w.added = append(w.added, op.With...)
	case AddText:
		w.newTexts = append(w.newTexts, *op.Text)
	case ReplaceText:
		w.texts[op.Index] = op.Text
	case AddPoint:
		p := w.d.Points[op.Index]
		p.At = op.To
		w.newPoint = append(w.newPoint, p)
	case MovePoint:
		w.points[op.Index] = op.To
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
		d.Strokes = w.stroke(d.Strokes, int32(i))
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
	d.Texts = w.withTexts()
	d.Points = w.withPoints()
	d.Layers = slices.Clone(w.d.Layers)
	return &d
}

// stroke appends what becomes of stroke i.
func (w *work) stroke(to []drawing.Stroke, i int32) []drawing.Stroke {
	if with, ok := w.replaced[i]; ok {
		return append(to, with...)
	}
	s := w.d.Strokes[i]
	if list := w.taken[i]; len(list) > 0 {
		return appendTaken(to, &s, list)
	}
	a, ma := w.moved[End{i, false}]
	b, mb := w.moved[End{i, true}]
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
	return append(to, s)
}

// appendTaken appends a stroke stretch by stretch, those in list as they are taken.
func appendTaken(to []drawing.Stroke, s *drawing.Stroke, list []stretch) []drawing.Stroke {
	slices.SortFunc(list, func(a, b stretch) int { return cmp.Compare(a.t0, b.t0) })
	put := func(t0, t1 float64, as drawing.As) {
		if t0 == t1 {
			return
		}
		p := *s
		p.As, p.Made = as, drawing.Edited
		if t0 > 0 || t1 < 1 {
			p.Piece = s.Sub(t0, t1)
			if t0 == 0 {
				p.A = s.A
			}
			if t1 == 1 {
				p.B = s.B
			}
		}
		to = append(to, p)
	}
	at := 0.0
	for _, x := range list {
		put(at, x.t0, s.As)
		put(x.t0, x.t1, x.as)
		at = x.t1
	}
	put(at, 1, s.As)
	return to
}

// withTexts returns the texts, changed ones at their place and new ones last.
func (w *work) withTexts() []drawing.Text {
	var out []drawing.Text
	for i := range w.d.Texts {
		if t, ok := w.texts[int32(i)]; ok {
			out = append(out, *t)
		} else if _, gone := w.written[thing{text, int32(i)}]; !gone {
			out = append(out, w.d.Texts[i])
		}
	}
	return append(out, w.newTexts...)
}

// withPoints returns the points, moved ones at their place and new ones last.
func (w *work) withPoints() []drawing.Mark {
	var out []drawing.Mark
	for i := range w.d.Points {
		p := w.d.Points[i]
		if to, ok := w.points[int32(i)]; ok {
			p.At = to
		} else if _, gone := w.written[thing{point, int32(i)}]; gone {
			continue
		}
		out = append(out, p)
	}
	return append(out, w.newPoint...)
}

// left returns a copy of list without what was settled.
func left[T any](w *work, what kindOfThing, list []T) []T {
	var out []T
	for i := range list {
		if _, gone := w.written[thing{what, int32(i)}]; !gone {
			out = append(out, list[i])
		}
	}
	return out
}
