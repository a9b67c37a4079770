package rules

import (
	"fmt"

	"sluice/geom/clear"
	"sluice/lint"
)

var thinWeb = &lint.Rule{
	ID:       "thin-web",
	Severity: lint.Warning,
	Repair:   lint.None,
	Choices:  []string{"drop"},
	Doc: lint.Doc{
		Title:      "Web too thin",
		What:       "Material left between two cuts of one part that is thinner than the stream leaves standing: one finding for each web, at its thinnest place.",
		Why:        "The stream is not a clean cylinder: it flares, wanders and trails behind the head. A web of about its own width is washed out, bends, or breaks at the exit side.",
		Bad:        "Two holes with 1.2 mm of material between them under a jet of 1.0 mm.",
		Good:       "Two holes 1.5 mm apart in thin sheet; a sharp outside corner, which is thin only at its tip.",
		Exceptions: "Bumps smaller than the kerf in every direction are fine detail.",
		Limit:      "[limits] web; unset: the larger of 1.5 kerf and half the sheet thickness (common practice, no published source).",
		Fix:        "A person must move a hole or thicken the web; the finding says by how much.",
		Reason:     "Never made: what can give way is for the designer to say.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		limit, leave := p.Job.WebLimit(), newLeaver(p)
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
