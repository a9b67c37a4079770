package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/lint"
)

var looseMark = &lint.Rule{
	ID:       "loose-mark",
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Doc: lint.Doc{
		Title:      "Open path inside a part: cut, etched or neither?",
		What:       "An open path that lies wholly inside a part and belongs to no outline: lettering, a bend line, a mark.",
		Why:        "On a cutting layer the jet would cut it through. Most drawings put everything on one layer, so nothing but its shape tells a mark from a cut.",
		Bad:        "A single line 40 mm long in the middle of a plate, on the layer of the outlines.",
		Good:       "The same line on a layer called \"engrave\".",
		Exceptions: "A path with another free end within 10 mm that together would close is a broken outline.",
		Limit:      "Other free ends are looked for within 10 mm.",
		Fix:        "Say what it is: put its layer into [layers] etch or ignore, or let fix etch or drop all loose marks ([repair] loose_marks, --marks).",
		Reason:     "Asked for: whether a line is cut, etched or left out changes the part.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for i := range p.Sheet.Open {
			o := &p.Sheet.Open[i]
			if !o.Loose {
				continue
			}
			f := lint.Finding{
				At: middle(o), Box: o.Box,
				Message:  fmt.Sprintf("open path %s mm long inside the part: cut, etched or neither?", mm(o.Length)),
				Layer:    p.LayerOf(o.Src[0]),
				Entities: p.EntityIDs(o.Src...),
				Part:     p.PartName(o.Part),
				Subject:  lint.AboutStroke(o.Src[0]),
				Measure:  &lint.Measure{Name: "length", Value: o.Length, Unit: "mm"},
			}
			if e, ok := repair.Mark(p.Drawing, o, p.Job.Repair.LooseMarks); ok {
				e.Rule, e.Part, e.Entities, e.At = "loose-mark", f.Part, f.Entities, f.At
				f.Fixes = lint.OneFix(fix.Choice, e)
			}
			p.Report(f)
		}
	},
}
