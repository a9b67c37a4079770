package rules

import (
	"fmt"

	"sluice/geom/clear"
	"sluice/lint"
)

var fineDetail = &lint.Rule{
	ID:       "fine-detail",
	Severity: lint.Note,
	Repair:   lint.None,
	Doc: lint.Doc{
		Title:      "Detail finer than the stream",
		What:       "A feature of an outline smaller than the stream can hold: a bump or step smaller than the kerf both ways, or an inside radius smaller than half a kerf.",
		Why:        "The stream rounds every inside corner to half its own width and washes away what is smaller than itself: the part will not look as drawn.",
		Bad:        "A drawn inside radius of 0.3 mm, or a bump 0.4 mm wide and 0.3 mm high, under a jet of 1.0 mm.",
		Good:       "An inside radius of 0.6 mm; a plain sharp inside corner, which everybody knows will be round.",
		Exceptions: "Plain sharp corners; the fine lines of exploded curves (dense curves tell those); what narrow slots and thin webs tell.",
		Limit:      "[jet] kerf for bumps and steps, half of it for inside radii.",
		Fix:        "Nothing needs doing where the look does not matter; else redraw the detail larger.",
		Reason:     "Never made: it would change the shape.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for k := range p.Sheet.Parts {
			ds := clear.Details(p.Ctx, p.Rings(k), p.Job.Jet.Kerf)
			for i := range ds {
				d := &ds[i]
				if d.Size >= d.Limit-p.Job.Limits.Curve {
					continue // a fitted curve's radius is known no better than that
				}
				what := map[string]string{"inside-radius": "inside radius of %s mm; the stream leaves at least %s mm", "bump": "bump of %s mm; the stream holds %s mm", "step": "step of %s mm; the stream holds %s mm"}[d.Kind]
				p.Report(lint.Finding{
					At: d.At, Box: d.Box,
					Message:  fmt.Sprintf(what, mm(d.Size), mm(d.Limit)),
					Layer:    layerAt(p, k, d.Ring, d.Piece),
					Entities: p.EntityIDs(strokeAt(p, k, d.Ring, d.Piece)),
					Part:     p.PartName(int32(k)),
					Subject:  lint.AboutOutline(ringIndex(p, k, d.Ring)),
					Measure:  &lint.Measure{Name: d.Kind, Value: d.Size, Limit: d.Limit, Unit: "mm"},
				})
			}
		}
	},
}
