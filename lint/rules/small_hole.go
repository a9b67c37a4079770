package rules

import (
	"fmt"
	"slices"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom/clear"
	"sluice/lint"
)

var smallHole = &lint.Rule{
	ID:       "small-hole",
	Brought:  lint.BroughtWorse,
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Choices:  []string{"widen", "etch", "drop"},
	Doc: lint.Doc{
		Title:      "Hole too small to pierce and lead in",
		What:       "A hole whose largest inscribed circle is smaller than pierce and lead-in need.",
		Why:        "The pierce alone leaves a ragged hole of about a kerf and a half. The path needs room to start in the waste and reach the edge; without it the hole comes out torn and too large.",
		Bad:        "A hole of 1.2 mm diameter under a jet of 1.0 mm.",
		Good:       "A hole of 3 mm diameter in 4 mm plate.",
		Exceptions: "A hole narrower than the kerf and more than twice as long as wide is a narrow slot; a circle drawn over the corner of a slot crosses it, and is told as that.",
		Limit:      "[limits] hole; unset: the larger of 2 kerf and half the sheet thickness (common practice, no published source).",
		Fix:        "Etch a cross at the centre and drill it ([repair] small_hole = \"etch\"), or widen it to the least that can be cut (an answer does that). Holes more than twice as long as wide are not drilled.",
		Reason:     "Asked for: the hole is no longer cut.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		limit := p.Job.HoleLimit()
		crosses := crossed(p)
		for k := range p.Sheet.Parts {
			var near *beside
			for i, h := range p.Sheet.Parts[k].Holes {
				o := &p.Sheet.Outlines[h]
				// The inscribed circle of a simple region has at least the radius
				// area / perimeter, which settles most holes.
				if o.Area/o.Length >= limit/2 || clear.Fits(o.Pieces, limit/2-1e-6) {
					continue
				}
				if crosses[h] || narrowSlotTells(p, h) {
					continue
				}
				c, r := clear.LargestCircle(o.Pieces, 1e-4)
				f := lint.Finding{
					At: c, Box: o.Box,
					Message:  fmt.Sprintf("hole takes a circle of only %s mm; piercing and leading in need %s mm", mm(2*r), mm(limit)),
					Fact:     lint.Fact{One: "hole # across", Many: "holes # across", Why: mm(limit) + " mm needed to pierce"},
					Layer:    p.LayerOf(o.Src[0]),
					Entities: p.EntityIDs(o.Src...),
					Part:     p.PartName(int32(k)),
					Subject:  lint.AboutOutline(h),
					Measure:  &lint.Measure{Name: "diameter", Value: 2 * r, Limit: limit, Unit: "mm"},
				}
				if near == nil {
					near = newBeside(p, k)
				}
				offerWiden(near, &f, int32(i+1), 2*r, limit)
				if l, w := rectangle(o.Pieces); l <= 2*w { // a slot is no place to drill
					e := repair.DrillMark(p.Drawing, &o.Path, c, max(limit, 3))
					e.Rule, e.Part, e.Entities = "small-hole", f.Part, f.Entities
					f.Offer("etch", "etch a cross to drill by, and cut no hole", e)
					if p.Job.Repair.SmallHole == "etch" {
						f.Fixes = lint.OneFix(fix.Choice, e)
					}
				}
				offerOutline(p, &f, "drop", "leave the hole out: the material stays whole there", o)
				p.Report(f)
			}
		}
	},
}

// offerWiden offers to open a hole that takes a circle of so many mm to the least that
// can be cut.
func offerWiden(near *beside, f *lint.Finding, ring int32, across, limit float64) {
	p, o := near.p, ringOutline(near.p, near.k, ring)
	by := (limit-across)/2 + widenMore
	e := repair.WidenHole(p.Drawing, &o.Path, by, f.At)
	e.Part, e.Entities = f.Part, f.Entities
	e.Note = fmt.Sprintf("hole widened from %s to %s mm", mm(across), mm(across+2*by))
	f.Offer("widen", fmt.Sprintf("widen it from %s to %s mm: its walls move out by %s mm", mm(across), mm(across+2*by), mm(by)), e)
	if k := len(f.Choices) - 1; k >= 0 && f.Choices[k].Name == "widen" {
		near.mind(&f.Choices[k], ring, &e)
	}
}

// widenMore is by how much, mm, walls move further than they need to, so that rounding
// does not leave the hole too small after all.
const widenMore = 0.0005

// narrowSlotTells reports whether a hole is a slot narrower than the kerf.
func narrowSlotTells(p *lint.Pass, hole int32) bool {
	o := &p.Sheet.Outlines[hole]
	runs, err := clear.Narrows(p.Ctx, []clear.Ring{{Path: o.Pieces, Box: o.Box}}, clear.Waste, p.Job.Jet.Kerf)
	return err == nil && slices.ContainsFunc(runs, func(n clear.Narrow) bool { return n.Whole && long(&n) })
}
