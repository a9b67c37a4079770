package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
)

var lettering = &lint.Rule{
	ID:       "lettering",
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Choices:  []string{"etch", "cut", "note"},
	Doc: lint.Doc{
		Title: "Lettering drawn as outlines: cut, etched or neither?",
		What: "Closed outlines that look like letters: of one height and one width of stroke, slender, hollow or bent, of several " +
			"kinds, side by side in rows. One finding for each group, whatever its outlines.",
		Why: "Drawn for a laser that only marks the sheet, it would be cut through; the middles of A, B, O and 8 would be held by tabs " +
			"and numbered as if they were parts, or fall out.",
		Bad:  "A title of six letters 15 mm high on a plate, on the layer of the outlines.",
		Good: "The same on a layer called \"engrave\"; a row of equal slots; letters 120 mm high that are parts of a sign.",
		Exceptions: "Lettering of open strokes is told as loose marks. Letters higher than 60 mm are parts, or windows of one. " +
			"On no plate fewer than five letters of a height are parts.",
		Limit: "2 to 60 mm high, strokes at most a quarter as wide, three in a row, heights alike within 6 %.",
		Fix: "Undecided it lies on NOTE and is not cut. Say what it is: [repair] lettering or --lettering, \"etch\", \"cut\" (as drawn; " +
			"what lies in a letter falls out and is no part) or \"leave\" (kept on NOTE).",
		Reason: "Asked for: whether letters are cut or etched is for a person to say.",
		Since:  "0.2",
	},
	Check: func(p *lint.Pass) {
		for i := range p.Sheet.Lettering {
			t := &p.Sheet.Lettering[i]
			if t.Settled || t.Cut && t.Islands == 0 {
				continue
			}
			what := fmt.Sprintf("lettering of %d outlines, %s mm high", t.Outlines, mm(round1(t.Height)))
			if t.Part >= 0 {
				what += ", on part " + p.PartName(t.Part)
			}
			f := lint.Finding{
				At: t.At, Box: t.Box,
				Message:  what + ": cut, etch or leave?",
				Fact:     lint.Fact{One: fmt.Sprintf("lettering of %d outlines, # high", t.Outlines), Many: "groups of letters # high", Why: "cut, etch or leave?"},
				Layer:    p.LayerOf(t.Src[0]),
				Entities: p.EntityIDs(t.Src...),
				Part:     p.PartName(t.Part),
				Measure:  &lint.Measure{Name: "height", Value: t.Height, Unit: "mm"},
			}
			part, entities, at := f.Part, f.Entities, f.At
			etch := func() []fix.Fix {
				e := etchLettering(p, t)
				e.Part, e.Entities, e.At = part, entities, at
				return lint.OneFix(fix.Choice, e)
			}
			switch {
			case t.Cut:
				f.Severity, f.Repair = lint.Note, lint.None
				f.Fact.Why = "cut as drawn; middles of its letters fall out"
				f.Message = fmt.Sprintf("%s, is cut: %d %s in its letters fall out", what, t.Islands, plural(t.Islands, "middle", "middles"))
			case p.Job.Repair.Lettering == "etch":
				f.Fixes = etch()
			}
			if !t.Cut {
				f.OfferLater("etch", "etch the letters", 0, etch)
				offerTaken(p, &f, "cut", "cut them as drawn; what lies in a letter falls out", "cut-mark", t.Src, drawing.AsCut)
				offerTaken(p, &f, "note", "keep them on NOTE, neither cut nor etched", "note-mark", t.Src, drawing.AsSettled)
			}
			p.Report(f)
		}
	},
}

// round1 rounds a height to a tenth of a mm.
func round1(v float64) float64 { return float64(int(v*10+0.5)) / 10 }

// etchLettering returns the edit that puts a group of lettering on ETCH.
func etchLettering(p *lint.Pass, t *outline.Lettering) fix.Edit {
	all := fix.Edit{Kind: "etch-lettering", Rule: "lettering",
		Note: fmt.Sprintf("lettering of %d outlines, %s mm high, moved to ETCH", t.Outlines, mm(round1(t.Height)))}
	var o outline.Open // all of it: letters that touch may have strokes in common
	for i := range p.Sheet.Aside {
		if a := &p.Sheet.Aside[i]; a.Kind == outline.Letter && a.Group == t.Group {
			o.Pieces, o.Src = append(o.Pieces, a.Pieces...), append(o.Src, a.Src...)
		}
	}
	if e, ok := repair.Mark(p.Drawing, &o, repair.MarkEtch, false, 0); ok {
		all.Ops = e.Ops
	}
	return all
}
