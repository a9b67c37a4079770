package rules

import (
	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom/outline"
	"sluice/lint"
)

// offerLeavingOut offers to leave part k out, with its holes and marks. Parts that
// share an edge with another cannot go alone.
func offerLeavingOut(p *lint.Pass, f *lint.Finding, k int32) {
	for i := range p.Sheet.Shared {
		if s := &p.Sheet.Shared[i]; s.PartA == k || s.PartB == k {
			return
		}
	}
	part := &p.Sheet.Parts[k]
	if part.Tangled {
		return
	}
	e := fix.Edit{Kind: "drop-part", At: part.Centroid, Part: p.PartName(k), Note: "part " + p.PartName(k) + " left out"}
	add := func(o *outline.Path) bool {
		d := repair.DropOutline(p.Drawing, o, f.At)
		e.Ops = append(e.Ops, d.Ops...)
		return len(d.Ops) > 0
	}
	for _, i := range append([]int32{part.Outer}, part.Holes...) {
		o := &p.Sheet.Outlines[i]
		if !o.Closed || !add(&o.Path) {
			return
		}
		e.Entities = append(e.Entities, p.EntityIDs(o.Src...)...)
	}
	for _, list := range [][]outline.Open{p.Sheet.Etch, p.Sheet.Open, p.Sheet.Noted} {
		for i := range list {
			if list[i].Part == k && list[i].Inside {
				add(&list[i].Path)
			}
		}
	}
	f.Offer("drop", "leave part "+p.PartName(k)+" out", e)
}

// offerFilling offers to leave a hole out.
func offerFilling(p *lint.Pass, f *lint.Finding, hole int32) {
	o := &p.Sheet.Outlines[hole]
	e := repair.DropOutline(p.Drawing, &o.Path, o.Box.Center())
	e.Part, e.Entities = f.Part, p.EntityIDs(o.Src...)
	f.Offer("drop", "leave the hole beside it out: the material stays whole there", e)
}
