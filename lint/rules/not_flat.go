package rules

import (
	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/lint"
)

var notFlat = &lint.Rule{
	ID:       "not-flat",
	Severity: lint.Warning,
	Repair:   lint.Auto,
	Doc: lint.Doc{
		Title:      "Not flat",
		What:       "An entity with a height (z other than 0), a thickness, or an extrusion direction other than straight up.",
		Why:        "Controllers refuse it, drop the height silently, or mirror what is drawn from below: an arc then bulges the wrong way.",
		Bad:        "A circle drawn at z = 3; an arc with extrusion 0,0,-1.",
		Good:       "The same circle at z = 0.",
		Exceptions: "None.",
		Limit:      "Any height but 0.",
		Fix:        "It is laid flat as seen from above; mirrored arcs are turned right.",
		Reason:     "Safe: the outline seen from above stays the same.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for i := range p.Drawing.Notices {
			n := &p.Drawing.Notices[i]
			if n.Kind != drawing.NotFlat {
				continue
			}
			e := &p.Drawing.Entities[n.Entity]
			f := lint.Finding{
				At: n.At, Box: n.Box,
				Message:  e.Type + " is not flat: " + n.Text,
				Fact:     lint.Fact{One: e.Type + " is not flat", Many: "lines or curves not flat"},
				Layer:    p.Drawing.LayerName(n.Layer),
				Entities: []string{e.ID()},
			}
			if !n.Box.Empty() {
				f.At = n.Box.Center()
			}
			f.Fixes = lint.OneFix(fix.Auto, fix.Edit{
				Kind: "flatten", Rule: "not-flat", At: f.At, Entities: f.Entities, Note: n.Text + ", laid flat",
				Ops: []fix.Op{{Kind: fix.SettleNotice, Index: int32(i)}},
			})
			p.Report(f)
		}
	},
}
