package repair

import (
	"fmt"
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

// Mark returns the edit that puts an open path on ETCH ("etch") or takes it out
// ("ignore"); ok is false for any other choice.
func Mark(d *drawing.Drawing, o *outline.Open, choice string) (e fix.Edit, ok bool) {
	switch choice {
	case "etch":
		e = fix.Edit{Kind: "etch-mark", Note: fmt.Sprintf("path of %.4g mm moved to ETCH", o.Length)}
	case "ignore":
		e = fix.Edit{Kind: "drop-mark", Note: fmt.Sprintf("path of %.4g mm left out", o.Length)}
	default:
		return e, false
	}
	layer := FindLayer(d, EtchLayer)
	last := int32(-1)
	for _, s := range o.Src {
		if s < 0 || s == last {
			continue
		}
		last = s
		if choice == "ignore" {
			e.Ops = append(e.Ops, fix.Op{Kind: fix.Drop, Stroke: s})
			continue
		}
		st := d.Strokes[s]
		st.Layer, st.Made, st.As = layer, drawing.Edited, drawing.AsEtch
		e.Ops = append(e.Ops, fix.Op{Kind: fix.Replace, Stroke: s, With: []drawing.Stroke{st}})
	}
	return e, true
}

// DrillMark returns the edit that takes a hole out and etches a cross of the
// given size (mm) at c in its place.
func DrillMark(d *drawing.Drawing, hole *outline.Path, c geom.Point, size float64) fix.Edit {
	e := fix.Edit{Kind: "etch-drill-mark", At: c, Note: "hole taken out; its centre is etched for drilling"}
	last := int32(-1)
	for _, s := range hole.Src {
		if s >= 0 && s != last {
			e.Ops = append(e.Ops, fix.Op{Kind: fix.Drop, Stroke: s})
			last = s
		}
	}
	st := drawing.Stroke{Entity: d.Strokes[hole.Src[0]].Entity, Layer: FindLayer(d, EtchLayer), Made: drawing.Edited, As: drawing.AsEtch}
	h := size / 2
	var with []drawing.Stroke
	for _, v := range [2]geom.Point{geom.Pt(h, 0), geom.Pt(0, h)} {
		st.Piece = geom.Line(c.Sub(v), c.Add(v))
		with = append(with, st)
	}
	e.Ops = append(e.Ops, fix.Op{Kind: fix.Add, With: with})
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
		Note: fmt.Sprintf("%d lines put as one arc of radius %.5g mm", r.Count, r.Arc.R),
	}
	if r.Circle {
		e.Note = fmt.Sprintf("%d lines put as a circle of radius %.5g mm", r.Count, r.Arc.R)
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
	t := &d.Texts[i]
	var paths []geom.Path
	var width float64
	for k, line := range strings.Split(t.Value, "\n") {
		// Lines are 5/3 of the height apart, below the first.
		set, w := label.Strokes(line, t.Height)
		for _, p := range set {
			paths = append(paths, p.Transform(geom.Shift(geom.Pt(0, -float64(k)*t.Height*5/3))))
		}
		width = max(width, w)
	}
	place := geom.Turn(geom.Point{}, t.Angle).Then(geom.Shift(t.At))
	if t.Centered {
		place = geom.Shift(geom.Pt(-width/2, -t.Height/2)).Then(place)
	}
	e := fix.Edit{Kind: "etch-text", At: t.At, Note: fmt.Sprintf("%q put as single-stroke letters", t.Value)}
	st := drawing.Stroke{Entity: t.Entity, Layer: FindLayer(d, EtchLayer), Made: drawing.Edited, As: drawing.AsEtch}
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
