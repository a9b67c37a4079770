package repair

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sluice/fix"
	"sluice/fix/label"
	"sluice/geom"
	"sluice/geom/curve"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
)

// EtchLayer is the layer on which made marks are put.
const EtchLayer = dxf.LayerEtch

// Layer returns the index of the named layer, which is added to d if missing.
// It is called before a drawing is shared.
func Layer(d *drawing.Drawing, name string) int32 {
	for i := range d.Layers {
		if d.Layers[i].Name == name {
			return int32(i)
		}
	}
	d.Layers = append(d.Layers, drawing.Layer{Name: name})
	return int32(len(d.Layers) - 1)
}

// FindLayer returns the index of the named layer, -1 if there is none.
func FindLayer(d *drawing.Drawing, name string) int32 {
	for i := range d.Layers {
		if d.Layers[i].Name == name {
			return int32(i)
		}
	}
	return -1
}

// What may become of a mark; MarkAsk leaves it undecided, on NOTE.
const (
	MarkAsk    = "ask"
	MarkEtch   = "etch"
	MarkCut    = "cut"
	MarkNote   = "note"
	MarkDrop   = "drop"
	MarkIgnore = "ignore" // the same as MarkDrop
)

// Mark returns the edit that makes of an open path what is chosen, one of the
// above: a path nobody has decided on is put aside, so that nothing later takes
// it for a cut. noted says that it is put aside already. ok is false where
// nothing needs to change. What runs past an outline by at most gap, mm, goes
// with the mark.
func Mark(d *drawing.Drawing, o *outline.Open, choice string, noted bool, gap float64) (e fix.Edit, ok bool) {
	as, layer := drawing.AsNote, int32(-1)
	switch choice {
	case MarkEtch:
		as, layer = drawing.AsEtch, FindLayer(d, EtchLayer)
		e = fix.Edit{Kind: "etch-mark", Note: fmt.Sprintf("path of %.4g mm moved to ETCH", o.Length)}
	case MarkDrop, MarkIgnore:
		e = fix.Edit{Kind: "drop-mark", Note: fmt.Sprintf("path of %.4g mm left out", o.Length)}
	case MarkCut:
		as, layer = drawing.AsLayer, FindLayer(d, dxf.LayerInside)
		e = fix.Edit{Kind: "cut-mark", Note: fmt.Sprintf("path of %.4g mm to be cut", o.Length)}
		if !noted || layer < 0 {
			return e, false
		}
	default:
		e = fix.Edit{Kind: "note-mark", Note: fmt.Sprintf("path of %.4g mm put on NOTE, not cut: undecided", o.Length)}
		if choice == MarkNote {
			e.Note = fmt.Sprintf("path of %.4g mm put on NOTE", o.Length)
		}
		if noted {
			return e, false
		}
	}
	var order []int32
	marked := map[int32][]geom.Piece{} // by stroke: its stretches along the path
	for k, s := range o.Src {
		if s < 0 {
			continue
		}
		if marked[s] == nil {
			order = append(order, s)
		}
		marked[s] = append(marked[s], o.Pieces[k])
	}
	for _, s := range order {
		made := func(st *drawing.Stroke) bool {
			st.Made, st.As = drawing.Edited, as
			if layer >= 0 {
				st.Layer = layer
			}
			return choice != MarkDrop && choice != MarkIgnore
		}
		with := remade(&d.Strokes[s], marked[s], gap, made)
		if len(with) == 0 {
			e.Ops = append(e.Ops, fix.Op{Kind: fix.Drop, Stroke: s})
			continue
		}
		e.Ops = append(e.Ops, fix.Op{Kind: fix.Replace, Stroke: s, With: with})
	}
	return e, true
}

// remade returns what stands for a stroke of which some stretches are marks:
// those as made says, unless it says that they go, and the rest as it was. A rest
// at an end of at most gap, mm, goes with the mark.
func remade(st *drawing.Stroke, stretches []geom.Piece, gap float64, made func(*drawing.Stroke) bool) []drawing.Stroke {
	// noise is the share of a stroke below which a rest is rounding: strokes are
	// split at shares computed in floating point.
	const noise = 1e-9
	type span struct{ t0, t1 float64 }
	var spans []span
	for i := range stretches {
		_, t0 := st.Nearest(stretches[i].A)
		_, t1 := st.Nearest(stretches[i].B)
		spans = append(spans, span{min(t0, t1), max(t0, t1)})
	}
	slices.SortFunc(spans, func(x, y span) int { return cmp.Compare(x.t0, y.t0) })
	var out []drawing.Stroke
	add := func(t0, t1 float64, mark bool) {
		if t1-t0 <= noise {
			return
		}
		p := *st
		if t0 > 0 || t1 < 1 {
			p.Piece, p.Made = st.Sub(t0, t1), drawing.Edited
		}
		if !mark || made(&p) {
			out = append(out, p)
		}
	}
	short := max(noise, gap/st.Length())
	// Stretches that follow on from each other stay one.
	joined := spans[:0]
	for _, s := range spans {
		if s.t0 <= short {
			s.t0 = 0
		}
		if s.t1 >= 1-short {
			s.t1 = 1
		}
		if n := len(joined); n > 0 && s.t0-joined[n-1].t1 <= noise {
			joined[n-1].t1 = max(joined[n-1].t1, s.t1)
			continue
		}
		joined = append(joined, s)
	}
	from := 0.0
	for _, s := range joined {
		add(from, s.t0, false)
		add(s.t0, s.t1, true)
		from = max(from, s.t1)
	}
	add(from, 1, false)
	return out
}

// DrillMark returns the edit that takes a hole out and etches a cross of the
// given size (mm) at c in its place; it has no ops where nothing of the hole is drawn.
func DrillMark(d *drawing.Drawing, hole *outline.Path, c geom.Point, size float64) fix.Edit {
	e := fix.Edit{Kind: "etch-drill-mark", At: c, Note: "hole taken out; its centre is etched for drilling"}
	seen := map[int32]bool{-1: true}
	for _, s := range hole.Src {
		if !seen[s] {
			e.Ops = append(e.Ops, fix.Op{Kind: fix.Drop, Stroke: s})
			seen[s] = true
		}
	}
	if len(e.Ops) == 0 {
		return e
	}
	st := drawing.Stroke{Entity: d.Strokes[e.Ops[0].Stroke].Entity, Layer: FindLayer(d, EtchLayer), Made: drawing.Edited, As: drawing.AsEtch}
	h := size / 2
	var with []drawing.Stroke
	for _, v := range [2]geom.Point{geom.Pt(h, 0), geom.Pt(0, h)} {
		st.Piece = geom.Line(c.Sub(v), c.Add(v))
		with = append(with, st)
	}
	e.Ops = append(e.Ops, fix.Op{Kind: fix.Add, With: with})
	return e
}

// DropOutline returns the edit that leaves an outline out, told at at. It has no
// ops where a stroke of it is part of something else too.
func DropOutline(d *drawing.Drawing, o *outline.Path, at geom.Point) fix.Edit {
	e := fix.Edit{Kind: "drop-outline", At: at, Note: "outline left out"}
	drawn := map[int32]float64{}
	for k, s := range o.Src {
		if s >= 0 {
			drawn[s] += o.Pieces[k].Length()
		}
	}
	for _, s := range o.Src {
		length, left := drawn[s]
		if !left {
			continue // none, or taken already
		}
		if d.Strokes[s].Length() > length+wholeStroke {
			e.Ops = nil
			return e
		}
		e.Ops = append(e.Ops, fix.Op{Kind: fix.Drop, Stroke: s})
		delete(drawn, s)
	}
	return e
}

// RefitRun returns the edit that puts one arc (or circle) in the place of a run
// of lines. ok is false where a line of the run is only part of what is drawn,
// so that another repair must come first.
func RefitRun(d *drawing.Drawing, p *outline.Path, r curve.Run) (e fix.Edit, ok bool) {
	n := len(p.Pieces)
	var src []int32
	for k := range r.Count {
		i := (r.First + k) % n
		s := p.Src[i]
		if s < 0 || p.Flags[i] != 0 {
			return e, false
		}
		st := d.Strokes[s].Piece
		if q := p.Pieces[i]; st.A != q.A && st.A != q.B || st.B != q.B && st.B != q.A {
			return e, false
		}
		src = append(src, s)
	}
	e = fix.Edit{
		Kind: "refit-arc", At: r.Arc.Mid(), Moved: r.Deviation, Was: r.Count, Now: 1,
		Note: fmt.Sprintf("%d lines made one arc of radius %.5g mm", r.Count, r.Arc.R),
	}
	if r.Circle {
		e.Note = fmt.Sprintf("%d lines made a circle of radius %.5g mm", r.Count, r.Arc.R)
	}
	with := d.Strokes[src[0]]
	with.Piece, with.Made = r.Arc, drawing.Edited
	e.Ops = append(e.Ops, fix.Op{Kind: fix.Replace, Stroke: src[0], With: []drawing.Stroke{with}})
	for _, s := range src[1:] {
		e.Ops = append(e.Ops, fix.Op{Kind: fix.Drop, Stroke: s})
	}
	return e, true
}

// StrokeText returns the edit that puts single-stroke letters on ETCH in the
// place of text i.
func StrokeText(d *drawing.Drawing, i int32) fix.Edit {
	return strokeText(d, i, fix.Edit{Kind: "etch-text"}, drawing.Stroke{Layer: FindLayer(d, EtchLayer), As: drawing.AsEtch})
}

// CutText returns the edit that cuts outlines, those that Letters has made of it, in the
// place of text i. The part on which it stands is a part from then on, however much it
// looks like a border around the letters.
func CutText(d *drawing.Drawing, i int32, letters []geom.Path, part *outline.Path) fix.Edit {
	t := &d.Texts[i]
	e := fix.Edit{Kind: "cut-text", At: t.At, Note: fmt.Sprintf("%q cut in stroke letters", t.Value)}
	st := drawing.Stroke{Layer: t.Layer, Entity: t.Entity, As: drawing.AsCut, Made: drawing.Edited, Ring: true}
	var with []drawing.Stroke
	for _, l := range letters {
		for _, p := range l {
			st.Piece = p
			with = append(with, st)
		}
	}
	e.Ops = []fix.Op{{Kind: fix.DropText, Index: i}, {Kind: fix.Add, With: with}}
	seen := map[int32]bool{-1: true}
	for _, s := range part.Src {
		if !seen[s] && d.Strokes[s].As == drawing.AsLayer {
			e.Ops = append(e.Ops, fix.Op{Kind: fix.Take, Stroke: s, T0: 0, T1: 1, As: drawing.AsCut})
		}
		seen[s] = true
	}
	return e
}

// textStrokes returns the strokes of a text and how they are put in their place.
func textStrokes(t *drawing.Text) (paths []geom.Path, place geom.Transform) {
	var width float64
	for k, line := range strings.Split(t.Value, "\n") {
		// Lines are 5/3 of the height apart, below the first.
		set, w := label.Strokes(line, t.Height)
		for _, p := range set {
			paths = append(paths, p.Transform(geom.Shift(geom.Pt(0, -float64(k)*t.Height*5/3))))
		}
		width = max(width, w)
	}
	place = geom.Turn(geom.Point{}, t.Angle).Then(geom.Shift(t.At))
	if t.Centered {
		place = geom.Shift(geom.Pt(-width/2, -t.Height/2)).Then(place)
	}
	return paths, place
}

func strokeText(d *drawing.Drawing, i int32, e fix.Edit, st drawing.Stroke) fix.Edit {
	t := &d.Texts[i]
	paths, place := textStrokes(t)
	e.At, e.Note = t.At, fmt.Sprintf("%q drawn in single-stroke letters", t.Value)
	st.Entity, st.Made = t.Entity, drawing.Edited
	var with []drawing.Stroke
	for _, p := range paths {
		for _, q := range p.Transform(place) {
			st.Piece = q
			with = append(with, st)
		}
	}
	e.Ops = []fix.Op{{Kind: fix.DropText, Index: i}, {Kind: fix.Add, With: with}}
	return e
}
