package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/lint"
)

var strayPiece = &lint.Rule{
	ID:       "stray-piece",
	Severity: lint.Warning,
	Repair:   lint.Auto,
	Doc: lint.Doc{
		Title:      "Speck",
		What:       "A piece of no length, a lone piece shorter than the kerf that belongs to nothing, or a tail shorter than the kerf that hangs on a closed outline.",
		Why:        "The controller pierces for it all the same: a hole where none is wanted, seconds of pierce time, and some controllers stop at a move of no length.",
		Bad:        "A line from 5,5 to 5,5; a line 0.3 mm long beside a part.",
		Good:       "A short piece that is part of an outline.",
		Exceptions: "A short piece inside a gap of an outline counts as part of it.",
		Limit:      "[jet] kerf for lone pieces; [limits] join for pieces of no length.",
		Fix:        "It is deleted.",
		Reason:     "Safe: it bounds nothing and is narrower than the stream.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for _, s := range p.Sheet.Strays {
			f := lint.Finding{
				At: s.At, Box: p.Drawing.Strokes[s.Stroke].Box(),
				Layer:    p.LayerOf(s.Stroke),
				Entities: p.EntityIDs(s.Stroke),
				Subject:  lint.AboutStroke(s.Stroke),
				Message:  fmt.Sprintf("a lone piece %s mm long", mm(s.Length)),
				Fact:     lint.Fact{One: "speck # long", Many: "specks # long", Why: "part of nothing"},
				Measure:  &lint.Measure{Name: "length", Value: s.Length, Limit: p.Job.Jet.Kerf, Unit: "mm"},
			}
			note := fmt.Sprintf("%s mm long, belongs to nothing", mm(s.Length))
			switch {
			case s.Length <= p.Job.Limits.Join:
				f.Message = "a piece of no length"
				f.Fact = lint.Fact{One: "speck of no length", Many: "specks of no length"}
			case s.Tail:
				f.Message = fmt.Sprintf("a piece %s mm long that hangs on a closed outline", mm(s.Length))
				f.Fact.Why = "hanging on an outline"
				note = fmt.Sprintf("%s mm that hung on a closed outline", mm(s.Length))
			}
			f.Fixes = lint.OneFix(fix.Auto, fix.Edit{
				Kind: "drop-stray", Rule: "stray-piece", At: s.At, Entities: f.Entities,
				Note: note, Ops: []fix.Op{repair.DropStray(p.Drawing, &s)},
			})
			p.Report(f)
		}
	},
}
