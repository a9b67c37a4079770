package rules

import (
	"fmt"
	"math"
	"sync"

	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/kit"
)

var thinWeb = &lint.Rule{
	ID:       "thin-web",
	Brought:  lint.BroughtWorse,
	Severity: lint.Warning,
	Repair:   lint.None,
	Choices:  []string{"shrink", "drop"},
	Doc: lint.Doc{
		Title:      "Web too thin",
		What:       "Material left between two cuts of one part that is thinner than the stream leaves standing: one finding for each web, at its thinnest place.",
		Why:        "The stream is not a clean cylinder: it flares, wanders and trails behind the head. A web of about its own width is washed out, bends, or breaks at the exit side.",
		Bad:        "Two holes with 1.2 mm of material between them under a jet of 1.0 mm.",
		Good:       "Two holes 1.5 mm apart in thin sheet; a sharp outside corner, which is thin only at its tip.",
		Exceptions: "Bumps smaller than the kerf in every direction are fine detail.",
		Limit:      "[limits] web; unset: the larger of 1.5 kerf and half the sheet thickness (common practice, no published source).",
		Fix:        "A person must say what gives way: the hole is made smaller until the web is thick enough, or left out. Slots that tabs go into are not made smaller.",
		Reason:     "Asked for: what can give way is for the designer to say.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		limit, leave, slots := p.Job.WebLimit(), newLeaver(p), slotsOfKit(p)
		edges := sync.OnceValue(p.Sheet.HoleEdges)
		for k := range p.Sheet.Parts {
			runs, err := clear.Narrows(p.Ctx, p.Rings(k), clear.Material, limit)
			if err != nil {
				return
			}
			for i := range runs {
				n := &runs[i]
				if p.NearCrossing(n.At, 2*limit) {
					continue // that the outlines cross there is worse, and told
				}
				if onHoleEdge(edges, n, p.Job.Limits.Same) {
					continue
				}
				f := lint.Finding{
					At: n.At, Box: n.Box,
					Message:  fmt.Sprintf("web %s mm thick, thinner than %s mm: thicken it by %s mm", mm(n.Width), mm(limit), mm(limit-n.Width)),
					Fact:     lint.Fact{One: "web # thick", Many: "webs # thick", Why: mm(limit) + " mm needed"},
					Layer:    layerAt(p, k, n.RingA, n.PieceA),
					Entities: p.EntityIDs(strokeAt(p, k, n.RingA, n.PieceA), strokeAt(p, k, n.RingB, n.PieceB)),
					Part:     p.PartName(int32(k)),
					Subject:  lint.AboutPart(k),
					Measure:  &lint.Measure{Name: "width", Value: n.Width, Limit: limit, Unit: "mm"},
				}
				if ring := smallerHole(p, k, n.RingA, n.RingB); ring > 0 {
					offerShrink(p, &f, k, ring, n, limit, slots)
					leave.hole(&f, ringIndex(p, k, ring))
				}
				p.Report(f)
			}
		}
	},
}

// smallerHole returns the ring of the smaller of the holes that a web lies beside, 0
// where it lies between two stretches of the outside.
func smallerHole(p *lint.Pass, k int, a, b int32) int32 {
	switch {
	case a == 0 || b == 0 || a == b:
		return max(a, b)
	case ringOutline(p, k, a).Area < ringOutline(p, k, b).Area:
		return a
	}
	return b
}

// offerShrink offers to let a hole give way until the web beside it is thick enough.
func offerShrink(p *lint.Pass, f *lint.Finding, k int, ring int32, n *clear.Narrow, limit float64, slots func(hole int32) bool) {
	index := ringIndex(p, k, ring)
	if slots(index) || n.RingA == n.RingB {
		return
	}
	o, piece := &p.Sheet.Outlines[index], n.PieceA
	other := n.RingB
	if ring == n.RingB {
		piece, other = n.PieceB, n.RingA
	}
	by := limit - n.Width + widenMore
	edits, paths := repair.Shrink(p.Drawing, &o.Path, int(piece), by, f.At)
	for i := range edits {
		if apartBy(paths[i], ringOutline(p, k, other), limit) && !clear.Fits(o.Pieces, p.Job.HoleLimit()/2) == !clear.Fits(paths[i], p.Job.HoleLimit()/2) {
			e := edits[i]
			e.Part, e.Entities = f.Part, p.EntityIDs(o.Src...)
			e.Note = fmt.Sprintf("hole made smaller, for a web of %s mm", mm(limit))
			f.Offer("shrink", fmt.Sprintf("let the hole give way by %s mm: %s mm2 of material more", mm(by), mm(round1(o.Area-math.Abs(paths[i].Area())))), e)
			f.Repair = lint.Choice
			return
		}
	}
}

// slotsOfKit returns what reports whether tabs of the kit go into a hole. The joints are
// looked for once a web asks.
func slotsOfKit(p *lint.Pass) func(hole int32) bool {
	of := sync.OnceValue(func() map[int32]bool {
		of := map[int32]bool{}
		for i := range p.Kit().Joints {
			if j := &p.Kit().Joints[i]; j.Kind == kit.Slot {
				of[j.Outline] = true
			}
		}
		return of
	})
	return func(hole int32) bool { return of()[hole] }
}

// apartBy reports whether a path keeps a distance, mm, from an outline.
func apartBy(path geom.Path, o *outline.Outline, least float64) bool {
	for i := range path {
		near := path[i].Box().Inflate(least)
		for k := range o.Pieces {
			if near.Overlaps(o.Pieces[k].Box()) && geom.PieceDist(&path[i], &o.Pieces[k]) < least-widenMore/2 {
				return false
			}
		}
	}
	return true
}
