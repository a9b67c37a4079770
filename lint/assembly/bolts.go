package assembly

import (
	"math"

	"sluice/geom"
	"sluice/geom/plate"
)

// Bolt is a slot with a pocket for a nut at the face of another part: a bolt goes into it
// through that part's hole. Parts are indices in the group's Parts.
type Bolt struct {
	Into    int        // the part with the slot
	Through int        // the part with the hole
	AtInto  geom.Point // the middle of the slot's mouth in the drawing
	AtHole  geom.Point // the middle of the hole in the drawing; where it would be without one
	Width   float64    // of the slot, mm
	Hole    float64    // diameter of the hole, mm; 0: there is none
}

// How a hole may lie to the slot for its bolt: out by boltOff mm, from boltTight to boltLoose
// times as wide as the slot.
const (
	boltOff   = 0.6
	boltTight = 0.85
	boltLoose = 1.7
)

// bolts finds the bolts of a group.
func (m *maker) bolts(g *Group) (all []Bolt) {
	slots := m.kit.TSlots
	if len(slots) == 0 {
		return nil
	}
	for i := range g.Parts {
		for s := range slots {
			t := &slots[s]
			if int(t.Part) != g.Parts[i].Part {
				continue
			}
			pose := g.Parts[i].Pose
			mouth := pose.Apply(plate.Flat(t.At, m.kit.PlateOf(t.Part)/2))
			out := pose.Turn(plate.Flat(t.Out, 0))
			for j := range g.Parts {
				if at, ok := m.faces(&g.Parts[j], mouth, out); j != i && ok {
					b := Bolt{Into: i, Through: j, AtInto: t.At, AtHole: at, Width: t.Width}
					b.Hole, b.AtHole = m.boltHole(g.Parts[j].Part, at, t.Width)
					if b.Hole > 0 || Shape(m.kit.Sheet, g.Parts[j].Part, 1).Inside(at) {
						all = append(all, b)
						break
					}
				}
			}
		}
	}
	return all
}

// faces reports whether a way out of one part goes square into a face of another from just
// in front of it, and where, in its drawing.
func (m *maker) faces(p *Placed, from, out plate.Vec) (at geom.Point, ok bool) {
	back := p.Pose.Back()
	q, d := back.Apply(from), back.Turn(out)
	face := 0.0
	if d[2] < 0 {
		face = m.kit.PlateOf(int32(p.Part))
	}
	return geom.Pt(q[0], q[1]), math.Abs(d[2]) > 0.999 && math.Abs(q[2]-face) <= buttGap
}

// boltHole returns the round hole of a part at a place: its diameter, 0 where there is none,
// and its middle.
func (m *maker) boltHole(part int, at geom.Point, width float64) (diameter float64, middle geom.Point) {
	for _, h := range m.kit.Sheet.Parts[part].Holes {
		if c, d, ok := roundHole(m.kit.Sheet.Outlines[h].Pieces); ok && c.Dist(at) <= boltOff && d >= boltTight*width && d <= boltLoose*width {
			return d, c
		}
	}
	return 0, at
}

// roundHole returns the middle and the diameter of an outline that is one circle, in however
// many arcs.
func roundHole(p geom.Path) (middle geom.Point, diameter float64, ok bool) {
	if len(p) == 0 || p[0].R == 0 {
		return middle, 0, false
	}
	for i := range p {
		if p[i].R == 0 || math.Abs(p[i].R-p[0].R) > 0.05 || p[i].C.Dist(p[0].C) > 0.05 {
			return middle, 0, false
		}
	}
	return p[0].C, 2 * p[0].R, true
}
