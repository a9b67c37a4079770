package assembly

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/lint/kit"
)

// Missing is where a plate is wanted: open joints of parts that stand call for one in
// the same plane.
type Missing struct {
	Group     int
	Meets     []int // indices in the group's Parts
	Pose      plate.Pose
	Thickness float64      // of the plate, mm
	Outline   []geom.Point // of the least plate that meets them, z from 0 to the thickness
	Holes     [][]geom.Point
	Joints    []int // what of the parts it meets: indices in the kit's Joints
	Edges     []int // and in its Edges
}

// want is what one open joint wants: a stretch of a plate.
type want struct {
	stand   int
	feature int
	t       float64   // how thick it is, mm
	at      plate.Vec // a place in the lower face of the plate
	normal  plate.Vec
	corners [4]plate.Vec // of what of the plate is in the joint
	holds   bool         // the plate has a slot there
	enters  float64      // or a tab between shoulders so wide, mm
	play    float64      // by which the slot is longer, mm
	crosses *crossing    // or a notch, else nil
}

// crossing is where a notch of a part wants a plate that crosses it.
type crossing struct {
	bottom        plate.Vec // of the notch, in the middle of the part
	along, across plate.Vec // out of the notch, and through the part
	deep          float64   // the notch, mm
	behind        float64   // material of the part behind it, mm
	half          float64   // half of how wide a notch the part goes into, mm
}

// box returns a rectangle about a crossing in a plate's own plane: from its bottom so far
// out and back, and so far to both sides.
func (c *crossing) box(back plate.Pose, out, in, side float64) geom.Box {
	b := geom.NoBox()
	for _, sign := range [2]float64{-1, 1} {
		for _, far := range [2]float64{out, -in} {
			v := back.Apply(c.bottom.Add(c.along.Mul(far)).Add(c.across.Mul(sign * side)))
			b = b.Union(geom.BoxOf(geom.Pt(v[0], v[1])))
		}
	}
	return b
}

// wanting returns what the open joints of a group want.
func (g *group) wanting() (all []want) {
	for i := range g.stands {
		s := &g.stands[i]
		for f := range s.open {
			if g.gapes(s, f) {
				all = append(all, g.m.want(i, s.shape, s.pose, f))
			}
		}
	}
	return all
}

// want returns what a joint of a placed part wants if it is open.
func (m *maker) want(at, shape int, pose plate.Pose, f int) want {
	up := plate.Vec{0, 0, 1}
	x := &m.shapes[shape].of[f]
	t := m.wantedThick(x)
	// In the part's own frame: a rectangle of the wanted plate's middle plane.
	var mid, along, across plate.Vec
	half, depth := x.length/2, x.t/2
	switch x.kind {
	case takes:
		mid, along, across = plate.Vec{x.at[0], x.at[1], x.t / 2}, x.x, up
	case enters:
		mid = x.at.Add(x.y.Mul(t / 2))
		along, across = x.x, up
	case meets:
		mid, along, across = m.along(x, t/2), x.x, up
	case laps:
		half = x.length / 2
		mid, along, across = x.at.Add(x.y.Mul(x.length/2)), x.y, up
	}
	normal := along.Cross(across)
	w := want{stand: at, t: t, feature: f, holds: x.kind == enters && !m.shapes[shape].comb(x.edge), normal: pose.Turn(normal), at: pose.Apply(mid.Sub(normal.Mul(t / 2)))}
	for k, sign := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		w.corners[k] = pose.Apply(mid.Add(along.Mul(half * sign[0])).Add(across.Mul(depth * sign[1])))
	}
	if x.through {
		w.enters = t
		if x.joint >= 0 {
			w.play = m.kit.PlayOf(m.kit.Joints[x.joint].Width)
		}
	}
	if x.kind == laps {
		w.crosses = &crossing{bottom: pose.Apply(x.at), along: pose.Turn(x.y), across: pose.Turn(up), deep: x.length, behind: x.behind, half: depth + m.wide/2}
		if !(x.behind > 0) || x.behind > mostBehind*x.length {
			w.crosses.behind = x.length
		}
	}
	return w
}

// How much of a plate there is behind a notch at most, as a share of the depth of the one
// that it goes into, and on both sides of it, as a share of its thickness; and how far the
// notch is cut, mm, to be open whatever else the plate reaches.
const (
	mostBehind  = 10
	besideNotch = 3
	beyond      = 1e5
)

// wantedThick returns how thick the plate is that a joint wants, mm.
func (m *maker) wantedThick(x *feature) float64 {
	k := m.kit
	switch {
	case x.kind == meets:
		return k.Edges[x.edge].Depth
	case x.joint < 0:
		return m.t
	}
	j := k.Joint(x.joint)
	switch {
	case j.Kind == kit.Slot || j.Kind == kit.Notch:
		return k.SheetFor(j.Width)
	case k.Mixed():
		return j.Depth
	}
	return m.t
}

// comb reports whether an edge has gaps between its tabs, so that what meets it has tabs
// there, not slots.
func (a *alike) comb(edge int) bool {
	return edge >= 0 && slices.ContainsFunc(a.of, func(f feature) bool { return f.edge == edge && f.kind == takes && !f.idle })
}

// samePlane is how far, mm, two wants may be out of one plane.
const samePlane = 0.4

// inPlane reports whether a plate could be both of two that are wanted.
func (w *want) inPlane(o *want) bool {
	d := w.normal.Dot(o.normal)
	if math.Abs(math.Abs(d)-1) > 1e-3 || math.Abs(w.t-o.t) > samePlane {
		return false
	}
	// Both lower faces lie on one side: that of one may be the upper one of the other.
	low := o.at
	if d < 0 {
		low = low.Add(o.normal.Mul(o.t))
	}
	return math.Abs(low.Sub(w.at).Dot(w.normal)) <= samePlane
}

// planes gathers what is wanted by planes.
func (g *group) planes(all []want) (sets [][]*want) {
	used := make([]bool, len(all))
	for i := range all {
		if used[i] {
			continue
		}
		a := &all[i]
		set := []*want{a}
		used[i] = true
		for k := i + 1; k < len(all); k++ {
			if !used[k] && a.inPlane(&all[k]) {
				set, used[k] = append(set, &all[k]), true
			}
		}
		sets = append(sets, set)
	}
	return sets
}

// missing tells where plates are wanted: where joints of two parts or more call for one, or
// two of one; what a single joint wants is told too, since a plate may meet one alone.
func (g *group) missing(number int) (out []Missing) {
	for _, set := range g.planes(g.wanting()) {
		out = append(out, g.plateFor(number, set[0], set))
	}
	slices.SortStableFunc(out, func(x, y Missing) int { return cmp.Compare(len(y.Meets), len(x.Meets)) })
	return out
}

// boxIn returns a box around a rectangle in a plate's own plane, longer by some mm at both
// ends of its first side.
func boxIn(back plate.Pose, corners [4]plate.Vec, longer float64) geom.Box {
	along := corners[1].Sub(corners[0]).Unit().Mul(longer)
	b := geom.NoBox()
	for k, sign := range [4]float64{-1, 1, 1, -1} {
		v := back.Apply(corners[k].Add(along.Mul(sign)))
		b = b.Union(geom.BoxOf(geom.Pt(v[0], v[1])))
	}
	return b
}

// plateFor returns the least plate that reaches all that is wanted in a plane: a rectangle
// around it, less what stands there.
func (g *group) plateFor(number int, a *want, set []*want) Missing {
	x := a.corners[1].Sub(a.corners[0]).Unit()
	y := a.normal.Cross(x)
	m := Missing{Group: number, Thickness: a.t, Pose: clean(plate.Pose{R: [3]plate.Vec{x, y, a.normal}, T: a.at})}
	back := m.Pose.Back()
	box := geom.NoBox()
	var near []geom.Point
	var cuts, tabs []geom.Box
	flush := math.Inf(1) // it ends with the part that reaches least behind its notch
	for _, w := range set {
		if w.crosses != nil {
			flush = min(flush, w.crosses.behind)
		}
	}
	for _, w := range set {
		switch f := g.feature(w.stand, w.feature); {
		case f.joint >= 0:
			m.Joints = append(m.Joints, f.joint)
		case f.edge >= 0:
			m.Edges = append(m.Edges, f.edge)
		}
		if !slices.Contains(m.Meets, w.stand) {
			m.Meets = append(m.Meets, w.stand)
		}
		own := boxIn(back, w.corners, 0)
		if w.holds { // a slot has material around it
			own = own.Inflate(w.t)
		} else {
			near = append(near, own.Center())
		}
		if w.enters > 0 { // whatever the corners of the slot are like
			wide := boxIn(back, w.corners, w.enters)
			own = own.Union(wide)
			cuts, tabs = append(cuts, wide), append(tabs, boxIn(back, w.corners, -w.play/2))
		}
		if c := w.crosses; c != nil { // bottoms meet
			own = own.Union(c.box(back, c.deep, flush, c.half+besideNotch*w.t))
			cuts = append(cuts, c.box(back, 0, beyond, c.half))
		}
		box = box.Union(own)
	}
	slices.Sort(m.Meets)
	around := newGrid(box, append(g.standing(m.Pose, m.Thickness, box), cuts...), tabs)
	around.keep(near)
	if m.Outline = around.outline(); len(m.Outline) < 4 {
		m.Outline = []geom.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}}
		return m
	}
	m.Holes = around.holes()
	return m
}
