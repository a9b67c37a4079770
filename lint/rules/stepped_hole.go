package rules

import (
	"fmt"
	"sluice/geom/drawing"

	"sluice/geom/outline"
	"sluice/lint"
)

var steppedHole = &lint.Rule{
	ID:       "stepped-hole",
	Brought:  lint.BroughtWorse,
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Choices:  []string{"smaller", "both"},
	Doc: lint.Doc{
		Title: "Hole within a countersink or counterbore",
		What:  "Outlines with one centre, one in the other, at a hole, with nothing between them that could be a part.",
		Why:   "Both cut through leave the wider hole, and the piece between them falls out as a loose disc.",
		Bad:   "A hole of 10 mm with a circle of 5 mm in its middle.",
		Good:  "A wheel with a bore; a wheel of 60 mm nested in a hole of 80 mm.",
		Exceptions: "A ring of 20 mm or more that stands clear of the hole is a part nested in it. " +
			"So is what is wider than 18 mm and stands clear by two kerfs.",
		Limit: "The hole up to 18 mm, the wider outline up to 36 mm (any for a hole up to 13.5 mm), or nearer to each other than two kerfs.",
		Fix: "Undecided the innermost outline is cut and the wider ones lie on NOTE. Say what is wanted: [repair] steps or --steps, " +
			"\"smaller\" for just that, \"both\" to cut all.",
		Reason: "Asked for: a jet cuts no countersink, so that somebody must say where it is made.",
		Since:  "0.2",
	},
	Check: func(p *lint.Pass) {
		for _, g := range asideGroups(p.Sheet, func(k outline.AsideKind) bool { return k == outline.Step }) {
			wide := g.list[0]
			for _, a := range g.list {
				if a.Area > wide.Area {
					wide = a
				}
			}
			across := min(wide.Box.W(), wide.Box.H())
			f := lint.Finding{
				At: wide.Centroid, Box: g.box,
				Message:  fmt.Sprintf("hole within a wider outline of %s mm: countersink or counterbore? The hole alone is cut", mm(across)),
				Fact:     lint.Fact{One: "hole within a wider outline of #", Many: "holes within wider outlines of #", Why: "countersink or counterbore?"},
				Layer:    p.LayerOf(wide.Src[0]),
				Entities: p.EntityIDs(g.src...),
				Part:     p.PartName(wide.Part),
				Measure:  &lint.Measure{Name: "width", Value: across, Unit: "mm"},
			}
			offerTaken(p, &f, "smaller", "cut the hole alone; the wider outline is for a drill", "note-mark", g.src, drawing.AsSettled)
			offerTaken(p, &f, "both", "cut both outlines", "cut-mark", g.src, drawing.AsCut)
			p.Report(f)
		}
	},
}
