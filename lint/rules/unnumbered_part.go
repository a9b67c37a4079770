package rules

import (
	"sluice/lint"
)

var unnumberedPart = &lint.Rule{
	ID:       "unnumbered-part",
	Severity: lint.Note,
	Repair:   lint.Auto,
	Doc: lint.Doc{
		Title:      "Part without a number",
		What:       "A part that carries no number, while [labels] asks for numbers.",
		Why:        "A kit of hundreds of look-alike pieces without numbers is a puzzle: a missing piece shows only when everything else is together.",
		Bad:        "A part with nothing etched on it.",
		Good:       "A part with its number etched on it, or beside it where it is too small.",
		Exceptions: "Rests while [labels] parts = \"none\".",
		Limit:      "[labels] height (6 mm) down to min_height (3 mm).",
		Fix:        "The number is etched in single-stroke letters, clear of every cut; congruent parts share a number.",
		Reason:     "Safe: nothing is cut.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		if p.Job.Labels.Parts == "none" {
			return
		}
		for k := range p.Sheet.Parts {
			if p.Labeled[k] || p.Sheet.Parts[k].Unsure() {
				continue
			}
			part := &p.Sheet.Parts[k]
			o := &p.Sheet.Outlines[part.Outer]
			p.Report(lint.Finding{
				At: part.Centroid, Box: part.Box,
				Message:  "part " + p.PartName(int32(k)) + " carries no number",
				Fact:     lint.Fact{One: "carries no number", Many: "parts without a number", Says: true},
				Layer:    p.LayerOf(o.Src[0]),
				Entities: p.EntityIDs(o.Src...),
				Part:     p.PartName(int32(k)),
				Subject:  lint.AboutPart(k),
			})
		}
	},
}
