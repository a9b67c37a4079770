package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

var duplicateSegment = &lint.Rule{
	ID:       "duplicate-segment",
	Brought:  lint.BroughtWorse,
	Severity: lint.Error,
	Repair:   lint.Auto,
	Choices:  []string{"keep-one", "keep-both"},
	Doc: lint.Doc{
		Title:      "Piece drawn twice",
		What:       "A line or arc that lies on another all along or in part, in either direction and whatever kind of entity draws it: one finding for each piece that would be deleted.",
		Why:        "The jet runs the same cut again: it wastes time and abrasive, washes out the edge, and at the doubled piece an outline can no longer be followed.",
		Bad:        "A line from 0,0 to 10,0 and another from 6,0 to 2,0.",
		Good:       "Two lines side by side 0.05 mm apart, or two lines that share only an end.",
		Exceptions: "An edge that bounds two parts is a shared edge, drawn once or twice.",
		Limit:      "[limits] same (0.01 mm): no point of the stretch lies further than this from the other piece.",
		Fix:        "The shorter piece (of equals the later) is deleted where it lies on the other; what reaches beyond stays. Where all of a part is drawn twice an answer may keep both: the second is moved aside.",
		Reason:     "Safe: one copy stays everywhere, so what is drawn does not change by more than 0.01 mm.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		list := p.Sheet.Overlaps
		whole := twice{p: p}
		for i := 0; i < len(list); {
			// All stretches of one stroke are mended by one replacement, which
			// goes with the first.
			n := i + 1
			for n < len(list) && list[n].Stroke == list[i].Stroke {
				n++
			}
			ops := repair.DropRepeats(p.Drawing, list[i:n])
			for k := i; k < n; k++ {
				reportRepeat(p, &list[k], ops, &whole)
				ops = nil
			}
			i = n
		}
	},
}

func reportRepeat(p *lint.Pass, o *outline.Overlap, ops []fix.Op, whole *twice) {
	kind := "line"
	if o.Piece.R > 0 {
		kind = "arc"
	}
	much := "the whole"
	if !o.Whole {
		much = "part of a"
	}
	at := o.Piece.Mid()
	f := lint.Finding{
		At: at, Box: o.Piece.Box(),
		Message:  fmt.Sprintf("%s %s, %s mm, is drawn twice", much, kind, mm(o.Piece.Length())),
		Fact:     lint.Fact{One: "piece # long drawn twice", Many: "pieces # long drawn twice"},
		Layer:    p.LayerOf(o.Stroke),
		Entities: p.EntityIDs(o.Stroke, o.Twin),
		Part:     partOfStroke(p, o.Twin, at),
		Subject:  lint.AboutStroke(o.Stroke),
		Measure:  &lint.Measure{Name: "length", Value: o.Piece.Length(), Unit: "mm"},
	}
	f.Fixes = lint.OneFix(fix.Auto, fix.Edit{
		Kind: "drop-duplicate", Rule: "duplicate-segment", At: at, Part: f.Part, Entities: f.Entities,
		Note: fmt.Sprintf("%s mm of %s drawn twice", mm(o.Piece.Length()), kind), Ops: ops,
	})
	whole.offer(&f, o.Twin)
	p.Report(f)
}

// partOfStroke names the part with an outline along stroke s at p.
func partOfStroke(p *lint.Pass, s int32, at geom.Point) string {
	if k := p.PartOfStroke(s); k >= 0 {
		return p.PartName(k)
	}
	return ""
}
