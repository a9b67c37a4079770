package outline

import (
	"maps"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// What tells the border of a sheet from a plate with windows. There is no source
// for this but what drawings look like: it was tried on real drawings and on
// random kits with and without a border.
//
// Both are closed, hold outlines, and those hold outlines again. In a border the
// outlines are parts, so that what lies in them are holes: small against what they
// lie in, round or long and narrow. In a plate the outlines are windows, and
// what lies in a window is a part: large against the window, or with holes of its
// own. And a plate has screw holes of its own, which a border has not.
const (
	holeShare   = 0.35 // holes take up at most so much of a part
	narrowHole  = 12   // mm: width of a long hole that is a slot and no strip
	loneHoles   = 4    // a single part has so many holes, or it may be a window
	sinkRatio   = 3    // a countersink is at most so much wider than its hole, a wheel is wider
	partsShare  = 0.5  // of what lies in a border is parts, by area
	ownHoles    = 4    // a plate has at least one screw hole for so many in its windows
	castled     = 1.9  // tabs and notches of a part without holes, less rounding
	letterFill  = 0.4  // lettering covers at most so much of a plate
	tallest     = 100  // mm: lettering is no higher
	slimmest    = 0.3  // width of a letter as a share of its height, or height to width
	lineUp      = 0.02 // letters of a line are alike in height and level, as a share of the height
	unlike      = 0.02 // shapes that are not the same, one perhaps larger: apart by so much in roundness or length to width
	outsideMax  = 0.25 // what lies beside all borders, as a share of their area
	frameFilled = 0.9  // of its rectangle: corners may be rounded, cut, or run over
	nextFrame   = 0.7  // a frame within a frame is at least so wide, as a share of it
	besideFrame = 0.02 // what lies between the two, by area, as a share of the inner one
	cellShare   = 0.3  // title block and tables take up at most so much of a frame
)

// findBorders takes out the borders of sheets and drawing frames.
func (a *sifted) findBorders() {
	a.forgetMarks()
	outs := a.outlines
	nets := a.netted()
	var borders []int32
	beside, area := 0.0, 0.0
	for i := range outs {
		if outs[i].Depth != 0 || a.isOut(int32(i)) {
			continue
		}
		if a.isBorder(int32(i), nets) {
			borders = append(borders, int32(i))
			area += outs[i].Area
		} else if !a.carried[i] && !a.isCell(int32(i), nets) {
			beside += outs[i].Area
		}
	}
	if beside > outsideMax*area {
		borders = nil
	}
	group := -1
	for _, i := range borders {
		group = a.groups
		a.groups++
		f := frame{dir: a.looks(i).dir, wide: a.looks(i).wide, group: group}
		f.hull = spanAlong(a.outlines[i].Pieces, f.dir)
		for j := i; j >= 0; {
			next := a.nextFrame(j, nets)
			filled := a.fillsNet(j, nets[j])
			if next < 0 {
				f.path = a.outlines[j].Pieces
				a.frames = append(a.frames, f)
			}
			a.takeOut(j, Border, group)
			a.takeCells(j, nets, filled, group)
			j = next
		}
	}
	a.takeTables(nets, group)
}

// isBorder reports whether outermost outline i is a border.
func (a *sifted) isBorder(i int32, nets map[int32]*mesh) bool {
	if a.outlines[i].Tangled {
		return false // drawn as it is, whatever it may be
	}
	if a.carried[i] {
		return len(a.kids[i]) > 0
	}
	if !a.frameLike(i, nets) {
		return false
	}
	// Frames drawn in each other: what counts is what lies in the innermost.
	deep, in := 0, i
	out := a.looks(i)
	paper := out.isPaper()
	for j := a.nextFrame(i, nets); j >= 0; j = a.nextFrame(j, nets) {
		l := a.looks(j)
		deep, in, paper = deep+1, j, paper || l.isPaper()
	}
	if n := nets[in]; n != nil && a.titled(in, n) {
		return len(a.kids[in]) > 0
	}
	parts := a.partsIn(in, nets, paper)
	if parts == 0 {
		return false
	}
	// Two outlines in each other may be the frame of a picture and what is nested
	// in it, which turns nothing over: there the lines must be near each other.
	return deep%2 == 0 || a.near(i, in, parts)
}

// frameLike reports whether an outline is a rectangle, or all of one but for a
// title block.
func (a *sifted) frameLike(i int32, nets map[int32]*mesh) bool {
	l := a.looks(i)
	return l.filled >= frameFilled || a.fillsNet(i, nets[i])
}

// nextFrame returns the rectangle that lies alone in outline i, but for small
// things and its title block, -1 if there is none.
func (a *sifted) nextFrame(i int32, nets map[int32]*mesh) int32 {
	if a.carried[i] {
		k := slices.IndexFunc(a.kids[i], func(k int32) bool { return a.carried[k] })
		if k < 0 {
			return -1
		}
		return a.kids[i][k]
	}
	best := int32(-1)
	for _, k := range a.kids[i] {
		if best < 0 || a.outlines[k].Area > a.outlines[best].Area {
			best = k
		}
	}
	if best < 0 || len(a.kids[best]) == 0 || !a.frameLike(best, nets) {
		return -1
	}
	others := 0.0
	for _, k := range a.kids[i] {
		if n := nets[k]; k != best && (n == nil || n != nets[best]) {
			others += a.outlines[k].Area
		}
	}
	out, in := a.looks(i), a.looks(best)
	turned := math.Abs(out.dir.Cross(in.dir))
	if others > besideFrame*a.outlines[best].Area || min(turned, 1-turned) > 0.02 || in.wide < nextFrame*out.wide || in.long < nextFrame*out.long {
		return -1
	}
	return best
}

// partsIn counts the outlines in outline i that look like parts, 0 where they may
// be windows of a plate. On paper one is enough.
func (a *sifted) partsIn(i int32, nets map[int32]*mesh, paper bool) int {
	outs := a.outlines
	var parts, castles, holesIn, ownScrews int
	var area, partArea float64
	var kinds forms // of castles
	for _, k := range a.kids[i] {
		if a.isCell(k, nets) {
			continue
		}
		l := a.looks(k)
		if l.isRound() && l.wide <= screwHole && len(a.kids[k]) <= 1 {
			ownScrews++
			continue
		}
		area += outs[k].Area
		if n := a.holesIn(k); n > 0 {
			parts++
			holesIn += n
			partArea += outs[k].Area
		} else if outs[k].notches() >= castled {
			castles++
			partArea += outs[k].Area
			kinds.add(&l)
		}
	}
	several := parts+castles >= 2 && (parts > 0 || kinds.differ() && (area > letterFill*outs[i].Area || !a.lettered(i)))
	lone := parts+castles == 1 && (holesIn >= loneHoles || holesIn > 0 && paper)
	if partArea < partsShare*area || ownScrews*ownHoles > holesIn+castles || !several && !lone {
		return 0
	}
	return parts + castles
}

// lettered reports whether the outlines in outline i may be a line of letters: all
// as high as each other and level, along a side of it, and none slim.
func (a *sifted) lettered(i int32) bool {
	dir := a.looks(i).dir
	for _, u := range [2]geom.Point{dir, dir.Left()} {
		level := geom.NoBox()
		fits := true
		for n, k := range a.kids[i] {
			x := spanAlong(a.outlines[k].Pieces, u)
			if n == 0 {
				level = x
			}
			off := lineUp * level.H()
			l := a.looks(k)
			fits = fits && math.Abs(x.Min.Y-level.Min.Y) <= off && math.Abs(x.Max.Y-level.Max.Y) <= off && l.wide >= slimmest*l.long
		}
		if fits && level.H() <= tallest {
			return true
		}
	}
	return false
}

// forms tells whether shapes differ other than in size.
type forms struct {
	n                      int
	round0, round1, s0, s1 float64
}

func (s *forms) add(l *look) {
	slim := l.wide / l.long
	if s.n++; s.n == 1 {
		s.round0, s.round1, s.s0, s.s1 = l.round, l.round, slim, slim
	}
	s.round0, s.round1 = min(s.round0, l.round), max(s.round1, l.round)
	s.s0, s.s1 = min(s.s0, slim), max(s.s1, slim)
}

func (s *forms) differ() bool {
	return s.round1-s.round0 > unlike*s.round1 || s.s1-s.s0 > unlike*s.s1
}

// holesIn counts the holes in outline k where it looks like a part, else 0.
func (a *sifted) holesIn(k int32) int {
	outs := a.outlines
	n, area := 0, 0.0
	for _, g := range a.kids[k] {
		area += outs[g].Area
		own, out := a.looks(g), a.looks(k)
		switch {
		case len(a.kids[g]) > 1 || len(a.kids[g]) == 1 && !a.concentric(g, a.kids[g][0]):
			return 0 // it has holes of its own
		case own.isRound() && out.isRound() && out.wide <= min(stepWidest, sinkRatio*own.wide) && a.concentric(k, g):
			return 0 // a countersink, not a wheel
		case own.isRound(), own.isSlot() && own.wide <= narrowHole:
			n++
		}
	}
	if area > holeShare*outs[k].Area {
		return 0
	}
	return n
}

// mesh is a set of outlines with edges in common.
type mesh struct {
	outs  []int32
	area  float64
	asked bool
	table bool // once asked: a table of text
}

// netted returns the net of each outline that has an edge in common with others.
func (a *sifted) netted() map[int32]*mesh {
	sets := index.NewSets[int32](len(a.outlines))
	nets := map[int32]*mesh{}
	for _, s := range a.shared {
		sets.Union(s.a, s.b)
		nets[s.a], nets[s.b] = nil, nil
	}
	for _, i := range slices.Sorted(maps.Keys(nets)) {
		n := nets[sets.Find(i)] // of the lowest, which came first
		if n == nil {
			n = &mesh{}
		}
		n.outs = append(n.outs, i)
		n.area += a.outlines[i].Area
		nets[i] = n
	}
	return nets
}

// fillsNet reports whether outline i is what is left of a rectangle when the
// outlines with which it has edges in common are taken from it.
func (a *sifted) fillsNet(i int32, n *mesh) bool {
	if n == nil || a.outlines[i].Area < (1-cellShare)*n.area {
		return false
	}
	l := a.looks(i)
	return n.area >= squareFilled*l.long*l.wide
}
