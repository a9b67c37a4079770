package assembly

import (
	"math"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/geom/plate"
	"sluice/lint/kit"
)

// Lengths, mm: how far a side may be from a face to end on it, and how long it is at least.
const (
	buttGap   = 0.3
	buttShort = 1.0
)

// Butts finds the straight sides of parts that end on the face of another part of their
// group: when that is made thicker they must go with its face. A nil model has none.
func Butts(k *kit.Kit, model *Kit) (all []kit.Butt) {
	if model == nil {
		return nil
	}
	for n := range model.Groups {
		g := &model.Groups[n]
		plates := make([]*plate.Plate, len(g.Parts))
		lo, hi := make([]plate.Vec, len(g.Parts)), make([]plate.Vec, len(g.Parts))
		for i := range g.Parts {
			p := &g.Parts[i]
			plates[i] = Shape(k.Sheet, p.Part, model.PlateOf(p.Part))
			lo[i], hi[i] = plates[i].Extent(p.Pose)
		}
		for i := range g.Parts {
			for j := range g.Parts {
				if i == j || apart(lo[i], hi[i], lo[j].Sub(plate.Vec{buttGap, buttGap, buttGap}), hi[j].Add(plate.Vec{buttGap, buttGap, buttGap})) {
					continue
				}
				rel := g.Parts[i].Pose.Then(g.Parts[j].Pose.Back())
				for _, piece := range endsOn(k.Sheet, g.Parts[i].Part, plates[i].Thickness, rel, plates[j]) {
					all = append(all, kit.Butt{Outline: k.Sheet.Parts[g.Parts[i].Part].Outer, Piece: piece, Into: int32(g.Parts[j].Part)})
				}
			}
		}
	}
	return all
}

// endsOn lists the pieces of a part's outside that lie on a face of another, and end there;
// rel takes the part to the other.
func endsOn(s *outline.Sheet, part int, t float64, rel plate.Pose, on *plate.Plate) (pieces []int32) {
	path := s.Outlines[s.Parts[part].Outer].Pieces
	for n := range path {
		p := &path[n]
		if !p.IsLine() || p.Length() < buttShort {
			continue
		}
		u := p.B.Sub(p.A).Unit()
		out := rel.Turn(plate.Flat(u.Left().Mul(-1), 0))
		if math.Abs(out[2]) < 0.999 {
			continue
		}
		a, b := rel.Apply(plate.Flat(p.A, t/2)), rel.Apply(plate.Flat(p.B, t/2))
		face := 0.0 // the side goes up to the lower face, or down to the upper one
		if out[2] < 0 {
			face = on.Thickness
		}
		if math.Abs(a[2]-face) > buttGap || math.Abs(b[2]-face) > buttGap {
			continue
		}
		const samples = 16
		for i := range samples {
			f := (float64(i) + 0.5) / samples
			if on.Inside(geom.Pt(a[0]+f*(b[0]-a[0]), a[1]+f*(b[1]-a[1]))) {
				pieces = append(pieces, int32(n))
				break
			}
		}
	}
	return pieces
}
