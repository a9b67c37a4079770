package assembly

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/lint/kit"
)

// Kit is a kit rebuilt in space.
type Kit struct {
	Thickness float64   // of most of its plates, mm
	Plates    []float64 // all thicknesses of its plates, that of most first
	of        []float64 // by part
	Groups    []Group
	Unplaced  []Unplaced
	Stacks    []Stack // guessed
	Missing   []Missing
}

// Group is what hangs together by joints.
type Group struct {
	Parts   []Placed // the first lies as it is drawn
	Joints  []Joint
	Steps   []Step
	Trapped []Trapped
	Clashes []Clash
	Bolts   []Bolt
	Share   float64 // of its parts' joints that close, 0 to 1

	Lo, Hi plate.Vec // the box it needs
	Area   float64   // of its parts, mm2
	Centre plate.Vec // of mass
}

// Placed is a part in space.
type Placed struct {
	Part   int // index in Sheet.Parts
	Pose   plate.Pose
	Others int // other ways in which it would have closed as many joints
	Open   int // joints of it that meet none
}

// Joint is two joints that meet. Parts are indices in the group's Parts.
type Joint struct {
	Kind     string     // "slot", "finger" or "lap"
	A, B     int        // A takes
	AtA, AtB geom.Point // the middle of the joint in the drawing
	Off      float64
	Angle    float64 // by which they are out, degrees
	Slant    float64 // between the parts, where they do not meet square, degrees; else 0

	JointA, JointB int // indices in the kit's Joints, and on in its Askew; -1 of edges and of what is no joint by its length
	EdgeA, EdgeB   int // indices in the kit's Edges, -1 of what is no edge of fingers
}

// Clash is two parts that share more space than touching takes.
type Clash struct {
	A, B   int
	Volume float64 // mm3
}

// Step is what is put in at once, in the order of assembly.
type Step struct {
	Parts []int     // indices in the group's Parts
	Along plate.Vec // direction in which they move into place
	With  []Step    // how they were joined before, where they are several
}

// Trapped is what cannot be put together without springing or cutting: the fewest parts of
// which that is so. They are indices in the group's Parts.
type Trapped struct{ Parts []int }

// Late returns the one of the parts that is put in last of all, and cannot be.
func (t *Trapped) Late() int { return t.Parts[len(t.Parts)-1] }

// Closes reports whether every joint of some of a group's parts meets another.
func (g *Group) Closes(parts []int) bool {
	return !slices.ContainsFunc(parts, func(i int) bool { return g.Parts[i].Open > 0 })
}

// Unplaced is a part that stands in no group.
type Unplaced struct {
	Part int
	Why  string
}

// noJoints says why a part stands alone that nothing goes into.
const noJoints = "it has no joints"

// Of rebuilds a kit in space.
func Of(k *kit.Kit) *Kit { return of(k, mostRounds, mostTries) }

// of rebuilds a kit in space, in so many ways at most where joints stay open.
func of(k *kit.Kit, rounds, tries uint64) *Kit {
	out := &Kit{}
	if len(k.Thicknesses) == 0 {
		for i := range k.Sheet.Parts {
			out.Unplaced = append(out.Unplaced, Unplaced{i, noJoints})
		}
		out.Stacks = stacks(k, alone(out.Unplaced))
		return out
	}
	th := &k.Thicknesses[0]
	m := &maker{kit: k, t: th.Depth, wide: max(0, th.Width-th.Depth), rounds: rounds, tries: tries, brief: rounds < mostRounds, volumes: map[relation]float64{}}
	out.Plates = k.Plates()
	out.Thickness = out.Plates[0]
	for i := range k.Sheet.Parts {
		out.of = append(out.of, k.PlateOf(int32(i)))
	}
	m.gather(features(k))
	m.pair()
	m.leaning()
	for _, g := range m.groups() {
		if len(g.stands) == 1 {
			out.Unplaced = append(out.Unplaced, Unplaced{g.stands[0].part, "no part fits its joints"})
			continue
		}
		miss := g.missing(len(out.Groups))
		out.Missing = append(out.Missing, miss...)
		t := g.told()
		if !m.brief || !astray(len(t.Parts), plates(miss)) {
			t.Steps, t.Trapped = newTaking(g).order()
		}
		t.Bolts = m.bolts(&t)
		out.Groups = append(out.Groups, t)
	}
	for i, s := range m.shapeOf {
		if s < 0 {
			out.Unplaced = append(out.Unplaced, Unplaced{i, noJoints})
		}
	}
	out.Stacks = stacks(k, alone(out.Unplaced))
	slices.SortStableFunc(out.Unplaced, func(a, b Unplaced) int { return cmp.Compare(a.Part, b.Part) })
	return out
}

// alone lists the parts that have no joints.
func alone(all []Unplaced) (parts []int) {
	for _, u := range all {
		if u.Why == noJoints {
			parts = append(parts, u.Part)
		}
	}
	return parts
}

// told sums a group up, but for the order in which it is put together.
func (g *group) told() Group {
	m := g.m
	var out Group
	for i := range g.stands {
		s := &g.stands[i]
		out.Parts = append(out.Parts, Placed{s.part, g.placed(i), g.others(i), g.open(i)})
	}
	for _, j := range g.joints {
		a, b := j.a, j.b
		fa, fb := g.feature(a, j.fa), g.feature(b, j.fb)
		t := Joint{Kind: "slot", A: a, B: b, Off: j.off, Angle: j.angle, Slant: j.slant}
		if fa.kind == enters || fa.kind == laps && fa.length < fb.length {
			t.A, t.B, fa, fb = b, a, fb, fa
		}
		switch fa.kind {
		case laps:
			t.Kind = "lap"
		case meets:
			t.Kind = "finger"
		}
		t.AtA, t.AtB = fa.mid, fb.mid
		t.JointA, t.JointB, t.EdgeA, t.EdgeB = fa.joint, fb.joint, -1, -1
		if j.whole || fa.kind == meets {
			t.JointA, t.JointB, t.EdgeA, t.EdgeB = -1, -1, fa.edge, fb.edge
		}
		if j.whole {
			t.Kind = "finger"
			for _, x := range [2]struct {
				f  *feature
				at *geom.Point
			}{{fa, &t.AtA}, {fb, &t.AtB}} {
				e := &m.kit.Edges[x.f.edge]
				*x.at = e.Middle(e.Depth / 2)
			}
		}
		out.Joints = append(out.Joints, t)
	}
	out.Share = g.share()
	g.weigh(&out)
	for i := range g.stands {
		for k := range i {
			a, b := &g.stands[k], &g.stands[i]
			if apart(a.lo, a.hi, b.lo, b.hi) {
				continue
			}
			n := 0
			for _, j := range g.joints {
				if j.a == k && j.b == i {
					n++
					if e := g.feature(j.a, j.fa).edge; e >= 0 && (j.whole || g.feature(j.a, j.fa).kind == meets) {
						n += len(m.kit.Edges[e].Joints)
					}
				}
			}
			if v := m.overlap(a.shape, a.pose, b.shape, b.pose); v > m.scrapes(n) {
				out.Clashes = append(out.Clashes, Clash{k, i, v})
			}
		}
	}
	return out
}

// weigh tells the box that a group needs, and where it balances.
func (g *group) weigh(out *Group) {
	inf := math.Inf(1)
	out.Lo, out.Hi = plate.Vec{inf, inf, inf}, plate.Vec{-inf, -inf, -inf}
	for i := range g.stands {
		s := &g.stands[i]
		for k := range 3 {
			out.Lo[k], out.Hi[k] = min(out.Lo[k], s.lo[k]), max(out.Hi[k], s.hi[k])
		}
		a := g.m.kit.Sheet.Parts[s.part].Area
		out.Area += a
		out.Centre = out.Centre.Add(s.pose.Apply(g.m.shapes[s.shape].middle).Mul(a))
	}
	if out.Area > 0 {
		out.Centre = out.Centre.Mul(1 / out.Area)
	}
}

// PlateOf returns how thick a part is (index in Sheet.Parts), mm.
func (k *Kit) PlateOf(part int) float64 {
	if part < len(k.of) {
		return k.of[part]
	}
	return k.Thickness
}

// Whole reports whether every part with joints is placed and can be put in, and nothing
// is inside anything else.
func (k *Kit) Whole() bool {
	for i := range k.Groups {
		if g := &k.Groups[i]; len(g.Trapped)+len(g.Clashes) > 0 || g.Share < 1 {
			return false
		}
	}
	return !slices.ContainsFunc(k.Unplaced, func(u Unplaced) bool { return u.Why != noJoints })
}
