package rules

import (
	"fmt"

	"sluice/geom"
	"sluice/lint"
)

var offSheet = &lint.Rule{
	ID:       "off-sheet",
	Severity: lint.Error,
	Repair:   lint.Choice,
	Doc: lint.Doc{
		Title:      "Part off the sheet",
		What:       "A part that reaches beyond the sheet less its margin, or that is larger than the sheet.",
		Why:        "The jet runs off the plate or into the clamps, and a part comes out with a piece missing.",
		Bad:        "A part that ends 4 mm from the edge of a sheet with a margin of 10 mm.",
		Good:       "A part that ends 10 mm from the edge.",
		Exceptions: "Rests while [sheet] size is not set.",
		Limit:      "[sheet] size, origin and margin (10 mm).",
		Fix:        "fix --layout lays the parts out anew on the sheets of the job; or take a larger sheet.",
		Reason:     "Asked for: it moves parts on the sheet.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		s := p.Job.Sheet
		if len(s.Size) != 2 || len(p.Sheet.Parts) == 0 {
			return
		}
		origin := geom.Point{}
		if s.Origin == "drawing" {
			b := geom.NoBox()
			for k := range p.Sheet.Parts {
				b = b.Union(p.Sheet.Parts[k].Box)
			}
			origin = b.Min.Sub(geom.Pt(s.Margin, s.Margin))
		}
		room := geom.Box{Min: origin, Max: origin.Add(geom.Pt(s.Size[0], s.Size[1]))}.Inflate(-s.Margin)
		const slack = 1e-6
		for k := range p.Sheet.Parts {
			part := &p.Sheet.Parts[k]
			if room.Inflate(slack).ContainsBox(part.Box) {
				continue
			}
			o := &p.Sheet.Outlines[part.Outer]
			over := max(room.Min.X-part.Box.Min.X, room.Min.Y-part.Box.Min.Y, part.Box.Max.X-room.Max.X, part.Box.Max.Y-room.Max.Y)
			f := lint.Finding{
				At: part.Box.Center(), Box: part.Box,
				Message:  fmt.Sprintf("part reaches %s mm beyond the usable sheet", mm(over)),
				Layer:    p.LayerOf(o.Src[0]),
				Entities: p.EntityIDs(o.Src...),
				Part:     p.PartName(int32(k)),
				Subject:  lint.AboutPart(k),
				Measure:  &lint.Measure{Name: "beyond", Value: over, Unit: "mm"},
			}
			if part.Box.W() > room.W()+slack || part.Box.H() > room.H()+slack {
				f.Message = fmt.Sprintf("part of %s x %s mm is larger than the usable sheet, %s x %s mm", mm(part.Box.W()), mm(part.Box.H()), mm(room.W()), mm(room.H()))
			}
			p.Report(f)
		}
	},
}
