package rules

import (
	"fmt"

	"sluice/lint"
)

var sharedEdge = &lint.Rule{
	ID:       "shared-edge",
	Brought:  lint.BroughtWorse,
	Severity: lint.Error,
	Repair:   lint.Choice,
	Choices:  []string{"spread", "drop"},
	Doc: lint.Doc{
		Title:      "Edge common to two parts",
		What:       "Two parts drawn with one edge in common, whether it is drawn once or twice.",
		Why:        "The jet removes its whole width along the line: whichever side the path is set off to, the kerf comes out of one part or half of it out of each. A laser's cut is thin enough not to matter; this one is not.",
		Bad:        "Two rectangles side by side with a single line between them.",
		Good:       "Two rectangles with a strip of scrap between them.",
		Exceptions: "Outlines that touch only in a point. A straight line from edge to edge across one outline is a bend line (loose-mark) where the outline was drawn as one closed curve or runs on past its ends; lines that cross each other, or that stand where the outline is parted, are shared edges. What is enclosed on all sides between parts that share edges may be waste: it is neither tabbed nor numbered until they are moved apart.",
		Limit:      "[limits] same (0.01 mm): edges nearer than this count as one.",
		Fix:        "fix --spread draws the edge for each part and moves the parts apart by two kerfs and a strip of scrap; an answer moves one of the two, or leaves it out.",
		Reason:     "Asked for: it moves parts on the sheet.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		why := map[int32]bool{} // parts of which it has been said
		move, leave := newMover(p), newLeaver(p)
		for i := range p.Sheet.Shared {
			s := &p.Sheet.Shared[i]
			strokes := append(append([]int32{}, s.Strokes...), s.Extra...)
			text := fmt.Sprintf("%s share an edge %s mm long", pairName(p, s.PartA, s.PartB), mm(s.Length))
			for _, k := range [2]int32{s.PartA, s.PartB} {
				if k >= 0 && p.Sheet.Parts[k].Enclosed && !why[k] {
					why[k] = true
					text += fmt.Sprintf("; %s is enclosed between parts that share edges: whether it is waste or a part cannot be told until they are moved apart, so nothing in it is tabbed or numbered", p.PartName(k))
				}
			}
			f := lint.Finding{
				At: s.At, Box: s.Pieces.Box(),
				Message:  text,
				Fact:     lint.Fact{One: pairFact(p, s.PartA, s.PartB, "share", "shares", "an edge # long", "with"), Many: "shared edges # long", Says: p.PartName(s.PartA) != p.PartName(s.PartB)},
				Layer:    p.LayerOf(s.Strokes[0]),
				Entities: p.EntityIDs(strokes...),
				Part:     p.PartName(s.PartA),
				Measure:  &lint.Measure{Name: "length", Value: s.Length, Unit: "mm"},
			}
			k := smaller(p, s.PartA, s.PartB)
			move.offer(&f, "draw the edge for each, and move part "+p.PartName(k)+" aside", k)
			leave.beside(&f, k)
			p.Report(f)
		}
	},
}
