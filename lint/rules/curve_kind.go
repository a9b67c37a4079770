package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/geom"
	"sluice/lint"
)

var curveKind = &lint.Rule{
	ID:       "curve-kind",
	Severity: lint.Note,
	Repair:   lint.Auto,
	Doc: lint.Doc{
		Title:      "Curve that is neither line nor arc",
		What:       "A spline, an ellipse or a fitted polyline.",
		Why:        "Cutting tables run lines and arcs. What the controller makes of anything else is its own affair: hundreds of specks, a coarse polygon, or nothing.",
		Bad:        "A circle written as a spline.",
		Good:       "A circle written as a circle.",
		Exceptions: "None.",
		Limit:      "[limits] curve (0.02 mm): the arcs stay this near to the curve.",
		Fix:        "It is replaced by arcs that run smoothly into each other.",
		Reason:     "Safe: no point moves by more than the curve limit.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for i := range p.Drawing.Curves {
			c := &p.Drawing.Curves[i]
			id := p.Drawing.Entities[c.Entity].ID()
			f := lint.Finding{
				Layer:    p.Drawing.LayerName(c.Layer),
				Entities: []string{id},
				Measure:  &lint.Measure{Name: "deviation", Value: c.Deviation, Limit: p.Job.Limits.Curve, Unit: "mm"},
			}
			if int(c.First+c.Count) <= len(p.Drawing.Strokes) && c.Count > 0 {
				b := geom.NoBox()
				for _, s := range p.Drawing.Strokes[c.First : c.First+c.Count] {
					b = b.Union(s.Box())
				}
				f.Box, f.At = b, b.Center()
			} else {
				f.At = c.Box().Center()
			}
			f.Fact = lint.Fact{One: "curve that is no arc", Many: "curves that are no arcs"}
			f.Message = fmt.Sprintf("%s, drawn as %d %s within %s mm", c.Kind, c.Count, plural(int(c.Count), "line or arc", "lines and arcs"), mm(c.Deviation))
			f.Fixes = lint.OneFix(fix.Auto, fix.Edit{
				Kind: "refit-curve", Rule: "curve-kind", At: f.At, Moved: c.Deviation, Entities: f.Entities, Note: f.Message, Was: 1, Now: int(c.Count),
				Ops: []fix.Op{{Kind: fix.SettleCurve, Index: int32(i)}},
			})
			p.Report(f)
		}
	},
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
