package assembly

import (
	"math"

	"sluice/geom/plate"
)

// through is by how many thicknesses what goes through the base stands out below it.
const through = 2.2

// rest puts first the part that the group rests on: the largest of those that all others
// lie on one side of, if it can be one that meets none aslant. Where there is none the group
// stays as it is.
func (g *group) rest() {
	base, most, upright := -1, 0.0, false
	slanted := make([]bool, len(g.stands))
	for i := range g.joints {
		if j := &g.joints[i]; j.slant > 0 {
			slanted[j.a], slanted[j.b] = true, true
		}
	}
	for i := range g.stands {
		s := &g.stands[i]
		n := s.pose.R[2]
		t := g.m.shapes[s.shape].plate.Thickness
		at := s.pose.T.Dot(n)
		lo, hi := math.Inf(1), math.Inf(-1)
		for k := range g.stands {
			if k != i {
				o := &g.stands[k]
				l, h := g.m.shapes[o.shape].plate.Along(o.pose, n)
				lo, hi = min(lo, l), max(hi, h)
			}
		}
		if lo < at-through*t && hi > at+(1+through)*t {
			continue
		}
		if a := g.m.shapes[s.shape].plate.Area(); a > most+1e-6 && slanted[i] != upright || !slanted[i] && !upright {
			base, most, upright = i, a, !slanted[i]
		}
	}
	if base <= 0 {
		return
	}
	g.stands[0], g.stands[base] = g.stands[base], g.stands[0]
	swapped := func(i int) int {
		switch i {
		case 0:
			return base
		case base:
			return 0
		}
		return i
	}
	for i := range g.joints {
		j := &g.joints[i]
		j.a, j.b = swapped(j.a), swapped(j.b)
	}
}

// lower turns a group so that its first part lies as it is drawn, and the others above it:
// of plates, what can be built can be built as its mirror image.
func (g *group) lower() {
	by := g.placed(0).Back()
	sum := 0.0
	for i := range g.stands {
		s := &g.stands[i]
		s.pose = s.pose.Then(by)
		sum += s.pose.Apply(g.m.shapes[s.shape].middle)[2] - g.m.shapes[g.stands[0].shape].plate.Thickness/2
	}
	for i := range g.stands {
		s := &g.stands[i]
		if sum < -1e-6 {
			s.pose = mirrored(s.pose, g.m.shapes[s.shape].plate.Thickness, g.m.shapes[g.stands[0].shape].plate.Thickness)
		}
		s.lo, s.hi = g.m.shapes[s.shape].plate.Extent(s.pose)
	}
}

// mirrored returns how a plate lies in the mirror image about the middle of a plate that
// lies on the table: itself mirrored about its own middle, which it does not show.
func mirrored(p plate.Pose, own, t float64) plate.Pose {
	flip := func(v plate.Vec) plate.Vec { return plate.Vec{v[0], v[1], -v[2]} }
	w := p.Apply(plate.Vec{0, 0, own})
	return plate.Pose{R: [3]plate.Vec{flip(p.R[0]), flip(p.R[1]), flip(p.R[2]).Mul(-1)}, T: plate.Vec{w[0], w[1], t - w[2]}}
}
