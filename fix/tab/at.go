package tab

import (
	"fmt"
	"math"
	"strings"

	"sluice/geom"
)

// refusals says why a tab cannot be where a person wants it.
var refusals = [...]struct {
	wish wish
	why  string
}{
	{offJoint, "it lies on an edge that meets another part"},
	{offCorner, "it is too near a corner"},
	{besideScrap, "the next cut is too near beside it"},
	{backed, "there is too little material behind it"},
	{offNumber, "a number or a mark lies there"},
}

// At returns a tab on the outside of a part at the place of its outline that is
// nearest to at. Where a tab would do no good there, refused says why: on an edge of
// a joint, at a corner, with another cut nearer than the gap on either side of the
// outline, or by a number.
func (pl *Placer) At(part int, at geom.Point, p Params, avoid ...[4]geom.Point) (t Tab, refused string) {
	pt := &pl.sheet.Parts[part]
	o := &pl.sheet.Outlines[pt.Outer]
	length, g := o.Pieces.Length(), p.Gap()
	if !(g > 0) || !(length > 0) || math.IsInf(length, 0) || !pt.Centroid.Finite() || !at.Finite() {
		return t, "outline or gap has no length"
	}
	if length < 2*g {
		return t, fmt.Sprintf("its outline of %.1f mm is too short for a gap of %.1f mm", length, g)
	}
	if p.Scrap <= 0 {
		p.Scrap = g // asked for, a place need not be the best
	}
	c := pl.scoring(pt.Outer, p, pt.Centroid, avoid)
	s := c.t.nearest(at)
	e := c.edgeAt(s)
	sp := c.settle(c.surroundings(c.shape(c.onEdge(s, e), e)), 0.05)
	var why []string
	for _, r := range refusals {
		if sp.given&r.wish != 0 {
			why = append(why, r.why)
		}
	}
	return c.tab(sp, 0), strings.Join(why, "; ")
}

// nearest returns the arc length of the place of a path nearest to q.
func (c *cutter) nearest(q geom.Point) float64 {
	_, i := c.path.Pieces.Dist(q)
	_, share := c.path.Pieces[i].Nearest(q)
	return c.at[i] + share*(c.at[i+1]-c.at[i])
}
