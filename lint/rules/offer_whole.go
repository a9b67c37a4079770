package rules

import (
	"slices"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

// mostWholes bounds the plates that are tried for a kit: each is tried by judging the
// kit with it.
const mostWholes = 4

// wholes finds the plates that meet several joints without mates: the least that reaches
// all that parts want in one plane where they stand. It is tried: the kit with it must want
// none of those joints any more, and no others.
func (m *maker) wholes(k *kit.Kit) {
	m.whole = map[int]int{}
	model := m.p.Space()
	if model == nil {
		return
	}
	tries := 0
	for i := range model.Missing {
		miss := &model.Missing[i]
		var of []int
		for n := range k.Unmatched {
			if wantedBy(k, miss, &k.Unmatched[n]) {
				of = append(of, n)
			}
		}
		if len(of) < 2 || tries == mostWholes {
			continue
		}
		tries++
		pl := wholePlate(miss)
		for _, n := range of {
			if number := k.Number(k.Unmatched[n].Part); !slices.Contains(pl.meets, number) {
				pl.meets = append(pl.meets, number)
			}
		}
		slices.Sort(pl.meets)
		if m.fills(k, &pl, of) {
			for _, n := range of {
				m.whole[n] = len(m.plates)
			}
			m.plates = append(m.plates, pl)
		}
	}
}

// wantedBy reports whether a joint without a mate is one that a missing plate would meet.
func wantedBy(k *kit.Kit, miss *assembly.Missing, u *kit.Unmatched) bool {
	if u.Joint < 0 {
		return slices.Contains(miss.Edges, u.Edge)
	}
	return slices.Contains(miss.Joints, u.Joint) || slices.Contains(miss.Edges, k.Joints[u.Joint].Edge)
}

// wholePlate returns a missing plate as it is drawn, its lower left corner at 0,0.
func wholePlate(miss *assembly.Missing) plate {
	low := geom.BoxOf(miss.Outline...).Min
	path := func(ring []geom.Point) (p geom.Path) {
		for i := range ring {
			p = append(p, geom.Line(ring[i].Sub(low), ring[(i+1)%len(ring)].Sub(low)))
		}
		return p
	}
	var pl plate
	pl.Outer = path(miss.Outline)
	for _, ring := range miss.Holes {
		pl.Holes = append(pl.Holes, path(ring))
	}
	b := pl.Outer.Box()
	pl.W, pl.H = b.W(), b.H()
	pl.With = counted(len(miss.Joints)+len(miss.Edges), "joint", "joints")
	return pl
}

// fills reports whether joints without mates have all their mates on a plate, and nothing
// else of the kit with it lacks one that did not before.
func (m *maker) fills(k *kit.Kit, pl *plate, of []int) bool {
	s := m.p.Sheet
	all := s.PartsBox()
	with := withPlate(s, &pl.Plate, geom.Pt(all.Max.X+10*m.p.Job.MovedSpacing(), all.Min.Y))
	made := len(s.Parts)
	now := lint.FindKit(with, m.p.Job)
	model := assembly.Soon(now)
	if model == nil || !standsIn(model, made) {
		return false
	}
	for i := range model.Missing { // of what it is for, nothing stays open
		for _, n := range of {
			if wantedBy(now, &model.Missing[i], likeness(k, n, now)) {
				return false
			}
		}
	}
	for i := range now.Unmatched {
		u := &now.Unmatched[i]
		was := slices.IndexFunc(k.Unmatched, func(o kit.Unmatched) bool {
			return o.Part == u.Part && (o.Joint < 0) == (u.Joint < 0) && o.At.Dist(u.At) < 0.01
		})
		if was < 0 || slices.Contains(of, was) {
			return false
		}
	}
	return true
}

// likeness returns joint n without a mate of a kit as it is in the kit with one part more.
func likeness(k *kit.Kit, n int, now *kit.Kit) *kit.Unmatched {
	u := k.Unmatched[n]
	if u.Joint >= 0 {
		j := &k.Joints[u.Joint]
		u.Joint = slices.IndexFunc(now.Joints, func(o kit.Joint) bool { return o.Part == j.Part && o.Kind == j.Kind && o.At.Dist(j.At) < 0.01 })
		return &u
	}
	e := &k.Edges[u.Edge]
	u.Edge = slices.IndexFunc(now.Edges, func(o kit.Edge) bool {
		return o.Part == e.Part && len(o.Steps) == len(e.Steps) && o.Middle(0).Dist(e.Middle(0)) < 0.01
	})
	return &u
}

// standsIn reports whether a part stands in a group in which no parts are in each other, and
// all of its joints meet others.
func standsIn(model *assembly.Kit, part int) bool {
	return slices.ContainsFunc(model.Groups, func(g assembly.Group) bool {
		return len(g.Clashes) == 0 && slices.ContainsFunc(g.Parts, func(p assembly.Placed) bool { return p.Part == part && p.Open == 0 })
	})
}

// withPlate returns a sheet with a plate as one more part, its lower left corner at a place.
func withPlate(s *outline.Sheet, pl *kit.Plate, at geom.Point) *outline.Sheet {
	with := *s
	with.Parts = s.Parts[:len(s.Parts):len(s.Parts)]
	with.Outlines = s.Outlines[:len(s.Outlines):len(s.Outlines)]
	part := outline.Part{Outer: int32(len(s.Outlines)), Number: 1}
	for i := range s.Parts {
		part.Number = max(part.Number, s.Parts[i].Number+1)
	}
	for n, path := range append([]geom.Path{pl.Outer}, pl.Holes...) {
		path = path.Transform(geom.Shift(at))
		o := outline.Outline{Path: outline.Path{Pieces: path, Src: make([]int32, len(path)), Flags: make([]outline.Flag, len(path))},
			Box: path.Box(), Parent: -1, Part: int32(len(s.Parts)), Closed: true, Length: path.Length()}
		for i := range o.Src {
			o.Src[i] = -1
		}
		area := path.Area()
		o.Area, o.Centroid = max(area, -area), path.Centroid()
		if n == 0 {
			part.Box, part.Centroid = o.Box, o.Centroid
			part.Area = o.Area
		} else {
			o.Parent, o.Depth = part.Outer, 1
			part.Holes = append(part.Holes, int32(len(with.Outlines)))
			part.Area -= o.Area
		}
		with.Outlines = append(with.Outlines, o)
	}
	with.Parts = append(with.Parts, part)
	return &with
}
