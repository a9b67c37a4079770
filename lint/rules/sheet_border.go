package rules

import (
	"fmt"
	"sluice/geom/drawing"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

var sheetBorder = &lint.Rule{
	ID:       "sheet-border",
	Brought:  lint.BroughtWorse,
	Severity: lint.Error,
	Repair:   lint.Choice,
	Choices:  []string{"ignore", "part"},
	Doc: lint.Doc{
		Title: "Border around the parts",
		What: "A rectangle that holds the parts and is no part itself: the border of the sheet, a drawing frame, " +
			"with the title block, tables and marks that belong to it.",
		Why:  "Taken for a part it turns everything over: parts become holes, holes become parts, and the kerf lies on the wrong side of every line.",
		Bad:  "A rectangle of 420 x 297 mm around six plates with a hole each.",
		Good: "A plate with windows; a picture frame with a part nested in its window.",
		Exceptions: "A plate whose windows hold nothing, or parts with holes of their own, is a plate. " +
			"A border around parts without any hole, tab or notch cannot be told from a plate with windows.",
		Limit: "What lies in it must look like parts: their holes take up at most 35 % of them, and they are half of what it holds.",
		Fix: "Undecided it lies on NOTE and is not cut. Say what it is: [repair] border or --border, \"ignore\" to carry it on NOTE, " +
			"\"part\" to cut it as any outline.",
		Reason: "Asked for: only a person knows whether a plate with a rim is wanted.",
		Since:  "0.2",
	},
	Check: func(p *lint.Pass) {
		framing := func(k outline.AsideKind) bool { return k == outline.Border || k == outline.Frame }
		for _, g := range asideGroups(p.Sheet, framing) {
			a := g.list[0]
			others := 0
			for _, x := range g.list {
				if x.Kind == outline.Frame {
					others++
				}
			}
			what := fmt.Sprintf("border of %s x %s mm around the parts", mm(a.Box.W()), mm(a.Box.H()))
			if a.Kind == outline.Frame {
				what = fmt.Sprintf("table of text, %s x %s mm", mm(g.box.W()), mm(g.box.H()))
			} else if others > 0 {
				what += fmt.Sprintf(", with %d outlines and marks that belong to it", others)
			}
			f := lint.Finding{
				At: lint.AsideAt(a), Box: g.box,
				Message:  what + ": not cut until you say whether it is a part",
				Fact:     lint.Fact{One: what, Many: "borders and tables", Why: "not cut until you say whether it is a part", Whole: true},
				Layer:    p.LayerOf(g.src[0]),
				Entities: p.EntityIDs(g.src...),
				Measure:  &lint.Measure{Name: "width", Value: a.Box.W(), Unit: "mm"},
			}
			offerTaken(p, &f, "ignore", "it is a border: cut none of it", "note-mark", g.src, drawing.AsSettled)
			if a.Kind == outline.Border {
				offerTaken(p, &f, "part", "it is a part: cut it", "cut-mark", a.Src, drawing.AsCut)
			}
			p.Report(f)
		}
	},
}

// asideGroup is what is set aside and asked about as one.
type asideGroup struct {
	list []*outline.Aside
	src  []int32 // strokes
	box  geom.Box
}

// asideGroups gathers what is set aside of some kinds and still to be decided, in
// the order of the sheet.
func asideGroups(s *outline.Sheet, wanted func(outline.AsideKind) bool) []*asideGroup {
	var out []*asideGroup
	byGroup := map[int]*asideGroup{}
	for i := range s.Aside {
		a := &s.Aside[i]
		if a.Settled || !wanted(a.Kind) {
			continue
		}
		g := byGroup[a.Group]
		if g == nil {
			g = &asideGroup{box: geom.NoBox()}
			byGroup[a.Group] = g
			out = append(out, g)
		}
		g.list, g.src, g.box = append(g.list, a), append(g.src, a.Src...), g.box.Union(a.Box)
	}
	return out
}
