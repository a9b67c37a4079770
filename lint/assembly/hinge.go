package assembly

import (
	"math"

	fixfit "sluice/fix/fit"
	"sluice/geom/plate"
)

// A joint of plates at another angle than square leaves a part free to turn about a line, as
// on a hinge: about the line in which the middle planes meet within a slot, or about the
// middle of a notch. Two such joints whose lines run alongside each other leave nothing: the
// part's middle plane goes through both lines. That they are as far apart on the part as in
// space, and meet along the lines, is what shows that both were meant.

// Angles between plates, degrees, that are told from square, and that a slot holds.
const (
	nearlySquare = 87.0
	flattest     = 34.0
)

// By how much, mm, a slot may be narrower than a plate at an angle is wide, and wider: play,
// or a share of the width where it was drawn by eye (a judgement, no source).
const (
	askewTight      = 0.12
	askewLoose      = 0.8
	askewLooseShare = 0.2
)

// alongside is the cosine of the angle up to which two lines run the same way.
const alongside = 0.9998

// leans reports whether two joints may meet at another angle than square.
func (m *maker) leans(f, g *feature) bool {
	switch {
	case f.kind == takes && g.kind == enters:
		longer := f.length - g.length
		return f.askew && f.part != g.part && (m.holds(longer) || longer > 0 && longer < loose)
	case f.kind == enters && g.kind == takes:
		return m.leans(g, f)
	case f.kind == laps && g.kind == laps:
		return f.askew && g.askew && math.Abs(f.width-g.width) <= near
	}
	return false
}

// axis returns the line about which a part turns in a joint, as the part itself sees it, if
// it meets another at an angle.
func axis(f, mate *feature, degrees float64) (at, dir plate.Vec) {
	switch f.kind {
	case takes:
		return plate.Vec{f.at[0], f.at[1], f.t / 2}, f.x
	case enters:
		return f.at.Add(f.y.Mul(fixfit.Foot(degrees, f.t, mate.t))), f.x
	}
	return f.at, f.y
}

// pivot is a hinge: a joint of a part that stands, and the one of the part that turns on it.
type pivot struct {
	stand, f, g int
}

// angleOf returns the angle between the planes of two parts in space, degrees, 90 at most.
func angleOf(a, b plate.Pose) float64 {
	return math.Acos(min(1, math.Abs(a.R[2].Dot(b.R[2])))) * 180 / math.Pi
}

// turned returns how a part of a shape lies that is held by two hinges, if it can be: one
// way, or both where it may lie on either face.
func (g *group) turned(shape int, p, q pivot) (all []plate.Pose) {
	m := g.m
	s, r := &g.stands[p.stand], &g.stands[q.stand]
	of := m.shapes[shape].of
	ps, rs := &m.shapes[s.shape].of[p.f], &m.shapes[r.shape].of[q.f]
	pg, qg := &of[p.g], &of[q.g]
	for _, sign := range [2]float64{1, -1} {
		if ps.kind == laps && sign > 0 {
			continue // notches open towards each other
		}
		pa, qa := 90.0, 90.0
		var pose plate.Pose
		ok := false
		for range 8 { // how far tabs stand in depends on the angle, a little
			if pose, ok = hung(s.pose, r.pose, ps, rs, pg, qg, pa, qa, sign); !ok {
				break
			}
			pa, qa = angleOf(pose, s.pose), angleOf(pose, r.pose)
			if pa < flattest || qa < flattest {
				ok = false
				break
			}
		}
		if ok && (pa < nearlySquare || qa < nearlySquare) {
			all = append(all, pose)
		}
	}
	return all
}

// hung returns how a part lies on two lines, by its joints pg and qg, where it meets at
// angles pa and qa; the way along it is that of the first line, times a sign.
func hung(s, r plate.Pose, ps, rs, pg, qg *feature, pa, qa, sign float64) (pose plate.Pose, ok bool) {
	a, x := axis(ps, pg, pa)
	b, y := axis(rs, qg, qa)
	if ps.kind == laps {
		a = a.Add(ps.y.Mul(flush(ps, pg)))
	}
	if rs.kind == laps {
		b = b.Add(rs.y.Mul(flush(rs, qg)))
	}
	a, x, b, y = s.Apply(a), s.Turn(x).Mul(sign), r.Apply(b), r.Turn(y)
	c, u := axis(pg, ps, pa)
	d, v := axis(qg, rs, qa)
	if math.Abs(x.Dot(y)) < alongside || math.Abs(u.Dot(v)) < alongside {
		return pose, false
	}
	if rs.kind == laps && (x.Dot(y) > 0) == (u.Dot(v) > 0) {
		return pose, false // the second notch would open the other way
	}
	far, own := b.Sub(a), d.Sub(c)
	if math.Abs(far.Dot(x)-own.Dot(u)) > together {
		return pose, false
	}
	far, own = far.Sub(x.Mul(far.Dot(x))), own.Sub(u.Mul(own.Dot(u)))
	if n, o := far.Norm(), own.Norm(); math.Abs(n-o) > 2*together || o < 2*pg.t {
		return pose, false
	}
	far, own = far.Unit(), own.Unit()
	// Halfway between, so that neither joint is out by all of it.
	return plate.Frames(c.Add(d).Mul(0.5), u, own, a.Add(b).Mul(0.5), x, far), true
}

// crossed measures two joints of parts in space that may meet at an angle: by how much they
// are out beyond their clearance, mm, and the angle, degrees.
func crossed(f *feature, at plate.Pose, g *feature, bt plate.Pose) (off, degrees float64, ok bool) {
	if f.kind == enters {
		return crossed(g, bt, f, at)
	}
	degrees = angleOf(at, bt)
	if degrees > nearlySquare || degrees < flattest {
		return 0, degrees, false
	}
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	rel := bt.Then(at.Back())
	through := fixfit.Target{Thickness: g.t}
	spare, fits := roomy(f.width, through.At(degrees, f.t).Thickness)
	if !fits {
		return 0, degrees, false
	}
	p, y := rel.Apply(g.at), rel.Turn(g.y)
	if f.kind == laps {
		through.Thickness = f.t
		other, fits := roomy(g.width, through.At(degrees, g.t).Thickness)
		if !fits || y.Dot(f.y) > -alongside {
			return 0, degrees, false
		}
		d := p.Sub(f.at.Add(f.y.Mul(flush(f, g))))
		along := d.Dot(f.y)
		aside := d.Sub(f.y.Mul(along)).Norm() - min(spare, other)
		off = math.Hypot(along, max(0, aside))
		return off, degrees, off <= together
	}
	if math.Abs(rel.Turn(g.x).Dot(f.x)) < alongside {
		return 0, degrees, false
	}
	in := (f.t/2 - p[2]) / y[2] // along the tab, from its foot to halfway through
	if g.depth < in-f.t/4/sin {
		return 0, degrees, false // it does not reach in
	}
	d := p.Add(y.Mul(in)).Sub(plate.Vec{f.at[0], f.at[1], f.t / 2})
	along := math.Abs(d.Dot(f.x)) - max(0, f.length-g.length)/2
	aside := math.Abs(d.Dot(plate.Vec{0, 0, 1}.Cross(f.x))) - spare
	deep := (f.t+g.t*cos)/2/sin - in
	off = math.Sqrt(sq(max(0, along)) + sq(max(0, aside)) + sq(max(0, deep)))
	return off, degrees, off <= together
}

func sq(v float64) float64 { return v * v }

// roomy reports whether a slot of a width is one for what needs so much, and what it leaves
// on each side, mm.
func roomy(width, need float64) (spare float64, ok bool) {
	over := width - need
	return over / 2, over > -askewTight && over < max(askewLoose, askewLooseShare*need)
}
