package mend

import (
	"fmt"
	"slices"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/lint"
	"sluice/lint/kit"
)

// reliefShare is the radius of a corner's relief as a share of the kerf: a little
// over half, so that the stream's middle runs round it and does not stand still.
const reliefShare = 0.55

// reliefs returns the fixes that open the inside corners of joints that have a
// mate, as the job asks.
func (m *mender) reliefs(res *lint.Result) []fix.Fix {
	shape := fit.DogBone
	switch m.j.Fit.Corner {
	case "dogbone":
	case "tee":
		shape = fit.Tee
	default:
		return nil
	}
	if !m.o.wants("relieve-corner") {
		return nil
	}
	k, o := res.Kit(), lint.KitOptions(m.j)
	mated := matedJoints(k)
	seats := map[int32][]fit.Corner{} // by outline
	for _, s := range k.Seats(m.j.Jet.Kerf, o) {
		out, c := k.Joints[s.Joint].Outline, s.Corner
		known := slices.ContainsFunc(seats[out], func(x fit.Corner) bool { return x.Side == c.Side })
		if mated[s.Joint] && !known && !m.banned.has("relieve-corner", c.At) {
			seats[out] = append(seats[out], c)
		}
	}
	r := reliefShare * m.j.Jet.Kerf
	uses := fit.UsesOf(res.Sheet)
	var fixes []fix.Fix
	for i := range res.Sheet.Outlines {
		out := &res.Sheet.Outlines[i]
		if len(seats[int32(i)]) == 0 || out.Tabs > 0 {
			continue
		}
		open := seats[int32(i)]
		path, src, done := fit.Open(out.Pieces, k.Sides(out.Pieces, o.Corner), open, shape, r)
		var f fix.Fix
		for n, c := range open {
			if done[n] {
				f.Edits = append(f.Edits, fix.Edit{
					Kind: "relieve-corner", At: c.At, Part: res.Names[out.Part], Moved: c.Left,
					Note: fmt.Sprintf("corner opened with a radius of %.3g mm, in which the jet would leave %.3g mm", r, c.Left),
				})
			}
		}
		if len(f.Edits) == 0 {
			continue
		}
		ops, err := fit.Redraw(res.Drawing, out, path, src, uses)
		if err != nil {
			continue // it is told as open or shared
		}
		f.Safety = fix.Choice
		f.Edits[0].Ops = ops
		fixes = append(fixes, f)
	}
	return fixes
}

// matedJoints tells which joints have a mate, on finger edges all.
func matedJoints(k *kit.Kit) map[int]bool {
	mated := map[int]bool{}
	for i := range k.Pairs {
		p := &k.Pairs[i]
		mated[p.JointA], mated[p.JointB] = true, true // -1 is no joint's
		for _, e := range [2]int{p.EdgeA, p.EdgeB} {
			if e >= 0 {
				for _, j := range k.Edges[e].Joints {
					mated[j] = true
				}
			}
		}
	}
	return mated
}
