package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/lint"
)

// offerTaken offers to take strokes as something else from now on: cut, or carried
// uncut as decided.
func offerTaken(p *lint.Pass, f *lint.Finding, name, words, kind string, strokes []int32, as drawing.As) {
	src := append([]int32(nil), strokes...)
	part, at, rule := f.Part, f.At, f.Rule
	f.OfferLater(name, words, 0, func() []fix.Fix {
		e := fix.Edit{Kind: kind, Rule: rule, At: at, Part: part, Entities: p.EntityIDs(src...)}
		length, seen := 0.0, map[int32]bool{}
		for _, s := range src {
			if s < 0 || seen[s] {
				continue
			}
			seen[s] = true
			length += p.Drawing.Strokes[s].Length()
			e.Ops = append(e.Ops, fix.Op{Kind: fix.Take, Stroke: s, T0: 0, T1: 1, As: as})
		}
		e.Note = fmt.Sprintf("path of %s mm to be cut", mm(length))
		if as == drawing.AsSettled {
			e.Note = fmt.Sprintf("path of %s mm put on NOTE", mm(length))
		}
		return lint.OneFix(fix.Choice, e)
	})
	f.Repair = lint.Choice
}
