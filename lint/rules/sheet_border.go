package rules

import (
	"fmt"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

var sheetBorder = &lint.Rule{
	ID:       "sheet-border",
	Severity: lint.Error,
	Repair:   lint.Choice,
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
		type told struct {
			first  int
			src    []int32
			box    geom.Box
			border bool
			others int
		}
		var order []int
		groups := map[int]*told{}
		for i := range p.Sheet.Aside {
			a := &p.Sheet.Aside[i]
			if a.Settled || a.Kind != outline.Border && a.Kind != outline.Frame {
				continue
			}
			t := groups[a.Group]
			if t == nil {
				t = &told{first: i, box: geom.NoBox()}
				groups[a.Group] = t
				order = append(order, a.Group)
			}
			t.src, t.box = append(t.src, a.Src...), t.box.Union(a.Box)
			if a.Kind == outline.Border {
				t.border = true
			} else {
				t.others++
			}
		}
		for _, g := range order {
			t := groups[g]
			a := &p.Sheet.Aside[t.first]
			what := fmt.Sprintf("border of %s x %s mm around the parts", mm(a.Box.W()), mm(a.Box.H()))
			if !t.border {
				what = fmt.Sprintf("table of text, %s x %s mm", mm(t.box.W()), mm(t.box.H()))
			} else if t.others > 0 {
				what += fmt.Sprintf(", with %d outlines and marks that belong to it", t.others)
			}
			p.Report(lint.Finding{
				At: lint.AsideAt(a), Box: t.box,
				Message:  what + ": not cut until you say whether it is a part",
				Layer:    p.LayerOf(t.src[0]),
				Entities: p.EntityIDs(t.src...),
				Measure:  &lint.Measure{Name: "width", Value: a.Box.W(), Unit: "mm"},
			})
		}
	},
}
