package tab

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/near"
	"sluice/geom/outline"
)

// Params says how tabs are made.
type Params struct {
	Width   float64 // left after cutting, mm
	Kerf    float64 // mm
	Support Support // the slats; tabs hold best across them
	Scrap   float64 // wished distance of a tab from the next cut on its outer side, mm; 0: three kerfs
	Joint   float64 // depth up to which a tab or notch is taken for a joint, mm; 0: ten gaps
	Number  int     // of tabs; 0: as Count says
}

// Gap returns the gap to draw, mm.
func (p Params) Gap() float64 { return p.Width + p.Kerf }

// Count returns how many tabs hold an area (mm2) in a box of w by h (mm): two,
// one more for each 100 mm that the mean side or a quarter of the girth comes
// to, eight at most. (Common practice, no source: 2, and 3 to 4 above 100 mm.)
func Count(area, w, h float64) int {
	size := max(math.Sqrt(max(area, 0)), (w+h)/2)
	return 2 + int(min(max(size/100, 0), 6))
}

// leanShare is how far, as a share of the largest distance from the centre of mass
// to the outline, that centre may lie outside the hull of the tabs' ends.
const leanShare = 0.02

// Placer places tabs on the parts of one sheet. It serves one goroutine at a
// time.
type Placer struct {
	sheet *outline.Sheet
	index *near.Index
	avoid []near.Rect // where no tab may lie, and where these are
	found *index.Tree
}

// Avoid keeps all tabs to come off rectangles, besides those that a call names.
func (pl *Placer) Avoid(quads [][4]geom.Point) {
	boxes := make([]geom.Box, len(quads))
	pl.avoid = make([]near.Rect, len(quads))
	for i, q := range quads {
		pl.avoid[i] = near.Quad(q)
		boxes[i] = pl.avoid[i].Box()
	}
	pl.found = index.NewTree(boxes)
}

// NewPlacer prepares a sheet.
func NewPlacer(sheet *outline.Sheet) *Placer { return PlacerOn(sheet, near.Sheet(sheet)) }

// PlacerOn is NewPlacer where the sheet's index is there already.
func PlacerOn(sheet *outline.Sheet, x *near.Index) *Placer { return &Placer{sheet: sheet, index: x} }

// Another returns a placer that knows the same, for another goroutine.
func (pl *Placer) Another() *Placer {
	o := *pl
	o.index = pl.index.Another()
	return &o
}

// Place returns the tabs of a part, in the order in which they follow along its
// outer outline, and, where there are fewer than Count asks for, the reason.
// avoid holds the corners of rectangles to keep clear of: numbers.
//
// Places are compared by a score, the sum of these terms, in which giving up a
// wish costs many times what any preference does:
//
//   - not on an edge that looks like one of a joint: end or side of a tab,
//     bottom or side of a notch, up to the joint depth; shoulders are disliked
//   - at least one gap between the tab and the next corner, better four
//   - on a long edge, better twelve gaps long, and near its middle
//   - straight, or curved with a radius of at least three gaps; hollows are
//     disliked
//   - at least Scrap of waste beside the tab before the next cut, a notch of the
//     same part included; better twice that
//   - at least one gap of material behind the tab before the next cut
//   - at least one gap away from numbers
//   - spread: the mean of the tabs near the centre of mass, tabs far apart; for
//     two the line between them through the centre of mass and across the slats,
//     for more about even stretches of outline between them
//     and not much over half a turn about the centre without a tab
//
// Where the tabs leave the centre of mass outside the hull of their ends by more
// than a fiftieth of the part's reach, up to two more are taken, if they spoil no
// joint and lie beside scrap.
//
// Where no place has everything, the least bad is taken and its Given says what
// was given up. The result does not depend on where the outline starts.
func (pl *Placer) Place(part int, p Params, avoid ...[4]geom.Point) ([]Tab, string) {
	pt := &pl.sheet.Parts[part]
	return pl.place(pt.Outer, p, Count(pt.Area, pt.Box.W(), pt.Box.H()), pt.Centroid, avoid)
}

// PlaceSlug returns tabs that hold the slug of a hole, by the same score seen
// from the slug: the part around it is its scrap.
func (pl *Placer) PlaceSlug(hole int, p Params, avoid ...[4]geom.Point) ([]Tab, string) {
	o := &pl.sheet.Outlines[hole]
	var inner []geom.Path
	area := o.Area
	for i := range pl.sheet.Outlines {
		if in := &pl.sheet.Outlines[i]; int(in.Parent) == hole {
			inner = append(inner, in.Pieces)
			area -= in.Area
		}
	}
	return pl.place(int32(hole), p, Count(area, o.Box.W(), o.Box.H()), netCentroid(o.Pieces, inner), avoid)
}

func (pl *Placer) place(index int32, p Params, n int, mass geom.Point, avoid [][4]geom.Point) ([]Tab, string) {
	o := &pl.sheet.Outlines[index]
	length := o.Pieces.Length()
	g := p.Gap()
	if !(g > 0) || !(length > 0) || !mass.Finite() || math.IsInf(length, 0) {
		return nil, "outline or gap has no length"
	}
	fit := int(min(length/(2*g)+1e-9, 1000)) // as much cut as gap
	if fit == 0 {
		return nil, fmt.Sprintf("outline of %.1f mm is too short for a gap of %.1f mm", length, g)
	}
	reason := ""
	asked := p.Number > 0
	if asked {
		n = p.Number
	}
	if fit < n {
		reason = fmt.Sprintf("outline of %.1f mm takes only %d of %d gaps of %.1f mm", length, fit, n, g)
		n = fit
	}
	c := pl.scoring(index, p, mass, avoid)
	spots := c.spots()
	set := c.refine(c.choose(spots, n))
	for m := n + 1; !asked && m <= n+2 && m <= fit && c.lean(set) > leanShare*c.reach; m++ {
		if more := c.refine(c.choose(spots, m)); len(more) == m && c.lean(more) < c.lean(set) && spoils(more)&^spoils(set) == 0 {
			set = more
		}
	}
	_, given := c.of(set)
	tabs := make([]Tab, 0, len(set))
	for _, sp := range set {
		tabs = append(tabs, c.tab(c.settle(sp, 0.05), given))
	}
	slices.SortFunc(tabs, func(a, b Tab) int { return cmp.Compare(a.S0, b.S0) })
	return tabs, reason
}

// scoring gets ready to judge places for tabs on an outline.
func (pl *Placer) scoring(out int32, p Params, mass geom.Point, avoid [][4]geom.Point) *score {
	if p.Scrap <= 0 {
		p.Scrap = 3 * p.Kerf
	}
	if p.Joint <= 0 {
		p.Joint = 10 * p.Gap()
	}
	o := &pl.sheet.Outlines[out]
	length, g := o.Pieces.Length(), p.Gap()
	path, flipped := o.Path, o.Pieces.Area() < 0
	if flipped {
		path = outline.Path{Pieces: path.Pieces.Reverse()}
	}
	c := &score{
		t: newTrack(newCutter(path, length), g, p.Joint), p: p, gap: g, mass: mass,
		index: pl.index, outline: out, flipped: flipped,
	}
	for i := range path.Pieces {
		c.reach = max(c.reach, path.Pieces[i].A.Dist(mass), path.Pieces[i].Mid().Dist(mass))
	}
	around := o.Box.Inflate(2 * g)
	if pl.found != nil {
		pl.found.In(around, func(i int32) bool {
			c.avoid = append(c.avoid, pl.avoid[i])
			return true
		})
	}
	for _, q := range avoid {
		if r := near.Quad(q); r.Box().Overlaps(around) {
			c.avoid = append(c.avoid, r)
		}
	}
	return c
}

// tab returns the tab at a spot; given is what all tabs together give up.
func (c *score) tab(sp spot, given wish) Tab {
	s := sp.s
	if c.flipped {
		s = c.t.length - s
	}
	s0 := offset(s-c.gap/2, c.t.length)
	return Tab{Outline: c.outline, S0: s0, S1: s0 + c.gap, At: sp.at, Given: (sp.given | given).String()}
}
