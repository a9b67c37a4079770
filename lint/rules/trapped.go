package rules

import (
	"fmt"
	"slices"
	"strings"

	"sluice/lint"
	"sluice/lint/assembly"
)

var trapped = &lint.Rule{
	ID:       "trapped",
	Severity: lint.Warning,
	Repair:   lint.None,
	Doc: lint.Doc{
		Title:      "Parts that cannot be put together",
		What:       "Parts of a kit of which none can be put in when the others are joined, and none can be left for later: each is in the way of another in every direction. The kit is rebuilt in space from its joints and taken apart again.",
		Why:        "Found out at the bench it costs a part: something has to be sprung, filed or cut apart.",
		Bad:        "Three plates about one corner, each with tabs into the next.",
		Good:       "The same plates where the third has no tabs: two are joined, and the third goes on.",
		Exceptions: "Only parts of which every joint meets another are told; of a kit that does not close, and of one with very many joints, nothing is said: sluice assemble tells more.",
		Limit:      "Plates may be in each other by 0.05 mm as they move. A part moves in one straight line.",
		Fix:        "A person must open a slot to the edge, shorten tabs, or plan to spring the part in.",
		Reason:     "Only a person knows which joint may give way.",
		Since:      "0.1",
	},
	Asks: lint.Joints,
	Check: func(p *lint.Pass) {
		model := p.Space()
		if model == nil {
			return
		}
		for i := range model.Groups {
			g := &model.Groups[i]
			for k := range g.Trapped {
				if t := &g.Trapped[k]; g.Closes(t.Parts) {
					reportTrapped(p, g, t)
				}
			}
		}
	},
}

func reportTrapped(p *lint.Pass, g *assembly.Group, t *assembly.Trapped) {
	late := int32(g.Parts[t.Late()].Part)
	var others []string
	for _, i := range t.Parts {
		if part := int32(g.Parts[i].Part); part != late {
			others = append(others, p.PartName(part))
		}
	}
	slices.Sort(others)
	others = slices.Compact(others)
	part := &p.Sheet.Parts[late]
	o := &p.Sheet.Outlines[part.Outer]
	p.Report(lint.Finding{
		At: part.Box.Center(), Box: part.Box,
		Message:  fmt.Sprintf("part %s must be in before %s joined; as drawn it cannot", p.PartName(late), joinedText(others)),
		Fact:     lint.Fact{One: "part that cannot be put in", Many: "parts that cannot be put in"},
		Layer:    p.LayerOf(o.Src[0]),
		Entities: p.EntityIDs(o.Src...),
		Part:     p.PartName(late),
		Subject:  lint.AboutOutline(part.Outer),
	})
}

// joinedText names parts as the subject of "joined".
func joinedText(names []string) string {
	if len(names) == 1 { // alike, and each has the number
		return "parts " + names[0] + " are"
	}
	return partsText(names) + " are"
}

// partsText names parts: "parts 3, 7 and 9".
func partsText(names []string) string {
	switch n := len(names); {
	case n == 1:
		return "part " + names[0]
	case n > mostNames:
		return fmt.Sprintf("parts %s and %d more", strings.Join(names[:mostNames], ", "), n-mostNames)
	default:
		return "parts " + strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}
