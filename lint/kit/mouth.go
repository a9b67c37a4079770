package kit

import (
	"sluice/geom"
)

// Mouth is where an edge would run straight if a notch, gap or tab were not there.
type Mouth struct {
	First, Count int // pieces of the joint's outline in its place, from First round
	A, B         geom.Point
}

// Mouth returns the mouth of a notch or gap, or the foot of a tab; ok is false for slots,
// and where its edges do not go on in one line.
func (k *Kit) Mouth(j *Joint) (m Mouth, ok bool) {
	if j.Kind == Slot {
		return m, false
	}
	path := k.Sheet.Outlines[j.Outline].Pieces
	sides := k.Sides(path, DefaultOptions().Corner)
	n := len(sides)
	if j.feet == [2]int{} || j.feet[0] >= n || j.feet[1] >= n {
		return m, false
	}
	before, after := &sides[j.feet[0]], &sides[j.feet[1]]
	last := (before.First + before.Count - 1) % len(path)
	m.First, m.A, m.B = (last+1)%len(path), path[last].B, path[after.First].A
	m.Count = (after.First - m.First + len(path)) % len(path)
	line := m.B.Sub(m.A)
	if m.Count == 0 || m.Count > len(path)-2 || line.Norm() == 0 {
		return m, false
	}
	// Both feet go on in about the direction of the line between them.
	u := line.Unit()
	return m, before.U.Dot(u) > straightOn && after.U.Dot(u) > straightOn
}

// straightOn is the cosine of the angle by which an edge may turn at a joint that is
// closed: half a right angle, so that a joint on a bend counts too.
const straightOn = 0.7
