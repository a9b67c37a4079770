package outline

import "math"

// papers are sheets that drawings are printed on, and the lines drawn within their
// margins, mm, longer side first: ISO 216 A5 to A0; ASME Y14.1 A to E; the frames
// of ISO 5457, 20 mm from the left edge and 10 mm from the others. From memory.
var papers = [...][2]float64{
	{210, 148}, {297, 210}, {420, 297}, {594, 420}, {841, 594}, {1189, 841},
	{279.4, 215.9}, {431.8, 279.4}, {558.8, 431.8}, {863.6, 558.8}, {1117.6, 863.6},
	{277, 180}, {390, 277}, {564, 400}, {811, 574}, {1159, 821},
}

const (
	paperOff    = 0.6  // mm: sizes are drawn that exactly
	paperMargin = 15.5 // mm: a frame is on average so far within the paper, on two sides together: 20 and 10, rounded
)

// isPaper reports whether it is as large as a sheet of paper.
func (l *look) isPaper() bool {
	for _, p := range papers {
		if math.Abs(l.long-p[0]) <= paperOff && math.Abs(l.wide-p[1]) <= paperOff {
			return true
		}
	}
	return false
}

// How far the lines of a double frame may be apart, as a share of the shorter
// side, by the number of parts within: one or two are nested in picture frames
// too, several hardly ever (common practice, no source).
const (
	nearLone    = 0.05
	nearPair    = 0.075
	nearSeveral = 0.1
)

// near reports whether two frames around so many parts are lines of one double
// frame, or one is the paper that the other is drawn on.
func (a *sifted) near(out, in int32, parts int) bool {
	o, i := a.looks(out), a.looks(in)
	gap := [...]float64{nearLone, nearLone, nearPair, nearSeveral}[min(parts, 3)] * o.wide
	wide, long := (o.wide-i.wide)/2, (o.long-i.long)/2
	if o.isPaper() && wide <= paperMargin && long <= paperMargin {
		return true
	}
	return wide <= gap && long <= 2*gap
}

// isBlock reports whether the cells that frame i has edges in common with are
// plain rectangles that fill one in a corner of it, as those of a title block do
// whose text is no text any more.
func (a *sifted) isBlock(i int32, n *mesh) bool {
	dir := a.looks(i).dir
	box, area := spanAlong(nil, dir), 0.0
	for _, c := range n.outs {
		if c == i {
			continue
		}
		l := a.looks(c)
		if a.isOut(c) || !l.isRectangle() || len(a.kids[c]) > 0 {
			return false
		}
		box = box.Union(spanAlong(a.outlines[c].Pieces, dir))
		area += a.outlines[c].Area
	}
	// It takes up the corner: of what both fill it leaves the rest.
	hull := spanAlong(a.path(i), dir)
	off := paperOff
	corner := (box.Min.X-hull.Min.X <= off || hull.Max.X-box.Max.X <= off) && (box.Min.Y-hull.Min.Y <= off || hull.Max.Y-box.Max.Y <= off)
	return area > 0 && corner && area >= squareFilled*box.W()*box.H()
}
