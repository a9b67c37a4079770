package rules

import (
	"sluice/lint"
)

var crossingOutlines = &lint.Rule{
	ID:       "crossing-outlines",
	Severity: lint.Error,
	Repair:   lint.None,
	Doc: lint.Doc{
		Title:      "Outlines that cross",
		What:       "A point at which an outline crosses itself or another.",
		Why:        "Two parts claim the same material: whichever is cut second is cut into the first. An outline that crosses itself has no inside to keep.",
		Bad:        "A bolt hole that runs over the edge of its part; two parts laid over each other.",
		Good:       "Two outlines that touch in a corner, or run along a common edge.",
		Exceptions: "Ends that overshoot by no more than the gap limit are open outlines. Long lines that part a sheet are shared edges. Marks inside a part may cross each other and holes.",
		Limit:      "Any crossing deeper than [limits] join.",
		Fix:        "A person must redraw it: which of the two gives way cannot be told from the drawing.",
		Reason:     "Never made: any repair would guess at the shape.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for i := range p.Sheet.Crossings {
			c := &p.Sheet.Crossings[i]
			part := int32(-1)
			for _, s := range c.Strokes {
				if part < 0 {
					part = p.PartOfStroke(s)
				}
			}
			p.Report(lint.Finding{
				At:       c.At,
				Message:  "outlines cross here",
				Fact:     lint.Fact{One: "outlines cross", Many: "places where outlines cross"},
				Layer:    p.LayerOf(c.Strokes[0]),
				Entities: p.EntityIDs(c.Strokes...),
				Part:     p.PartName(part),
			})
		}
	},
}
