package repair

import (
	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// DropRepeats returns the ops that remove the stretches of one stroke (all
// overlaps name the same stroke, in order of T0) and keep the rest of it.
func DropRepeats(d *drawing.Drawing, list []outline.Overlap) []fix.Op {
	s := list[0].Stroke
	st := d.Strokes[s]
	var keep []drawing.Stroke
	from := 0.0
	add := func(t0, t1 float64) {
		if (t1-t0)*st.Length() < 1e-3 {
			return
		}
		k := st
		if t0 > 0 || t1 < 1 {
			k.Piece = st.Piece.Sub(t0, t1)
			k.Made = drawing.Edited
		}
		keep = append(keep, k)
	}
	for i := range list {
		add(from, list[i].T0)
		from = max(from, list[i].T1)
	}
	add(from, 1)
	op := fix.Op{Kind: fix.Replace, Stroke: s, With: keep}
	if len(keep) == 0 {
		op = fix.Op{Kind: fix.Drop, Stroke: s}
	}
	for i := range list { // what stays must stay
		op.On = append(op.On, fix.Ends(list[i].Twin)...)
	}
	return []fix.Op{op}
}
