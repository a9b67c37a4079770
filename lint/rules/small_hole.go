package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom/clear"
	"sluice/geom/outline"
	"sluice/lint"
)

var smallHole = &lint.Rule{
	ID:       "small-hole",
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Doc: lint.Doc{
		Title:      "Hole too small to pierce and lead in",
		What:       "A hole whose largest inscribed circle is smaller than pierce and lead-in need.",
		Why:        "The pierce alone leaves a ragged hole of about a kerf and a half. The path needs room to start in the waste and reach the edge; without it the hole comes out torn and too large.",
		Bad:        "A hole of 1.2 mm diameter under a jet of 1.0 mm.",
		Good:       "A hole of 3 mm diameter in 4 mm plate.",
		Exceptions: "A hole narrower than the kerf and more than twice as long as wide is a narrow slot.",
		Limit:      "[limits] hole; unset: the larger of 2 kerf and half the sheet thickness (common practice, no published source).",
		Fix:        "Etch a cross at the centre and drill it ([repair] small_hole = \"etch\"), or enlarge it.",
		Reason:     "Asked for: the hole is no longer cut.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		limit := p.Job.HoleLimit()
		for k := range p.Sheet.Parts {
			for _, h := range p.Sheet.Parts[k].Holes {
				o := &p.Sheet.Outlines[h]
				if o.Area > 10*limit*limit && len(o.Pieces) < 3 || tooBig(o, limit) {
					continue
				}
				c, r := clear.LargestCircle(o.Pieces, 1e-4)
				if 2*r >= limit-1e-6 || 2*r < p.Job.Jet.Kerf-1e-6 && longHole(o) {
					continue
				}
				f := lint.Finding{
					At: c, Box: o.Box,
					Message:  fmt.Sprintf("hole takes a circle of only %s mm; piercing and leading in need %s mm", mm(2*r), mm(limit)),
					Layer:    p.LayerOf(o.Src[0]),
					Entities: p.EntityIDs(o.Src...),
					Part:     p.PartName(int32(k)),
					Measure:  &lint.Measure{Name: "diameter", Value: 2 * r, Limit: limit, Unit: "mm"},
				}
				if p.Job.Repair.SmallHole == "etch" {
					e := repair.DrillMark(p.Drawing, &o.Path, c, max(limit, 3))
					e.Rule, e.Part, e.Entities = "small-hole", f.Part, f.Entities
					f.Fixes = lint.OneFix(fix.Choice, e)
				}
				p.Report(f)
			}
		}
	},
}

// tooBig rules out holes whose circle cannot be small: a convex outline made of
// a circle, or one whose area is large against its length (the inscribed circle
// of a simple region has at least the radius area / perimeter).
func tooBig(o *outline.Outline, limit float64) bool { return o.Area/o.Length >= limit/2 }
