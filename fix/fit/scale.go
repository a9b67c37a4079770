package fit

import (
	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// Bolt is a round hole that likely takes a bolt, pin or axle, and so should not
// scale with the kit.
type Bolt struct {
	Outline  int32
	At       geom.Point
	Diameter float64 // mm
}

// largestBolt is the diameter up to which a round hole is taken for one of a
// bolt or pin, mm: that of an M12 with play (common practice, no source).
const largestBolt = 13.5

// Scale is a whole kit scaled so that its slots suit another sheet.
type Scale struct {
	Factor        float64
	Before, After geom.Box // of all outlines, mm
	Bolts         []Bolt   // round holes that keep their diameter
	Cutouts       int      // other holes than those and slots
	Largest       geom.Box // of them, before
}

// ScaleFor returns the one factor that makes slots of the given width suit the
// target, what becomes of the size, the holes that should not scale, and how many
// are neither those nor slots (outlines for which slot is true): what goes into them
// stays as it is. The factor is about the drawing's origin.
func ScaleFor(s *outline.Sheet, width float64, t *Target, slot func(outline int32) bool) Scale {
	sc := Scale{Factor: t.Width() / width, Before: geom.NoBox(), Largest: geom.NoBox()}
	for i := range s.Outlines {
		o := &s.Outlines[i]
		sc.Before = sc.Before.Union(o.Box)
		if !o.Hole() {
			continue
		}
		if p := outline.Tidy(o.Pieces, 0.01); len(p) == 1 && p[0].IsCircle() && 2*p[0].R <= largestBolt {
			sc.Bolts = append(sc.Bolts, Bolt{Outline: int32(i), At: p[0].C, Diameter: 2 * p[0].R})
		} else if !slot(int32(i)) {
			sc.Cutouts++
			if sc.Largest.Empty() || o.Box.W()*o.Box.H() > sc.Largest.W()*sc.Largest.H() {
				sc.Largest = o.Box
			}
		}
	}
	sc.After = geom.Box{Min: sc.Before.Min.Mul(sc.Factor), Max: sc.Before.Max.Mul(sc.Factor)}
	return sc
}

// Edit returns the repair that scales the whole drawing, but for the holes of
// bolts, which only move.
func (sc *Scale) Edit(d *drawing.Drawing, s *outline.Sheet) fix.Edit {
	e := fix.Edit{Kind: "scale", At: sc.Before.Center()}
	keep := map[int32]geom.Point{}
	for _, b := range sc.Bolts {
		for _, src := range s.Outlines[b.Outline].Src {
			keep[src] = b.At
		}
	}
	for i := range d.Strokes {
		st := d.Strokes[i]
		t := geom.Scaling(sc.Factor)
		if c, ok := keep[int32(i)]; ok {
			t = geom.Shift(c.Mul(sc.Factor).Sub(c))
		}
		q := st
		q.Piece, q.Made = st.Piece.Transform(t), drawing.Edited
		e.Moved = max(e.Moved, q.A.Dist(st.A), q.B.Dist(st.B))
		e.Ops = append(e.Ops, fix.Op{Kind: fix.Replace, Stroke: int32(i), With: []drawing.Stroke{q}})
	}
	for i := range d.Texts {
		t := d.Texts[i]
		t.At, t.Height = t.At.Mul(sc.Factor), t.Height*sc.Factor
		e.Ops = append(e.Ops, fix.Op{Kind: fix.ReplaceText, Index: int32(i), Text: &t})
	}
	for i := range d.Points {
		e.Ops = append(e.Ops, fix.Op{Kind: fix.MovePoint, Index: int32(i), To: d.Points[i].At.Mul(sc.Factor)})
	}
	return e
}
