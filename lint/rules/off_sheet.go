package rules

import (
	"fmt"
	"math"

	"sluice/geom"
	"sluice/lint"
)

var offSheet = &lint.Rule{
	ID:       "off-sheet",
	Severity: lint.Error,
	Repair:   lint.Choice,
	Doc: lint.Doc{
		Title:      "Part off the sheet",
		What:       "A part that reaches beyond the sheet less its margin, or that is larger than the sheet. Where all parts fit as they lie once they are moved together, that is one note for the drawing.",
		Why:        "The jet runs off the plate or into the clamps, and a part comes out with a piece missing.",
		Bad:        "A part that ends 4 mm from the edge of a sheet with a margin of 10 mm, while others lie at the far edge.",
		Good:       "A part that ends 10 mm from the edge; a kit at negative coordinates, which the operator moves as a whole.",
		Exceptions: "Rests while [sheet] size is not set.",
		Limit:      "[sheet] size, origin and margin (10 mm).",
		Fix:        "fix --layout lays the parts out anew on the sheets of the job; or take a larger sheet. A kit that fits when moved needs nothing but the table's zero in another place; [sheet] origin = \"drawing\" says so.",
		Reason:     "Asked for: it moves parts on the sheet.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		s := p.Job.Sheet
		if len(s.Size) != 2 || len(p.Sheet.Parts) == 0 {
			return
		}
		kit := geom.NoBox()
		for k := range p.Sheet.Parts {
			kit = kit.Union(p.Sheet.Parts[k].Box)
		}
		origin := geom.Point{}
		if s.Origin == "drawing" {
			origin = kit.Min.Sub(geom.Pt(s.Margin, s.Margin))
		}
		room := geom.Box{Min: origin, Max: origin.Add(geom.Pt(s.Size[0], s.Size[1]))}.Inflate(-s.Margin)
		if room.Inflate(sheetSlack).ContainsBox(kit) {
			return
		}
		if kit.W() <= room.W()+sheetSlack && kit.H() <= room.H()+sheetSlack {
			reportMovable(p, kit, room)
			return
		}
		for k := range p.Sheet.Parts {
			if !room.Inflate(sheetSlack).ContainsBox(p.Sheet.Parts[k].Box) {
				reportOff(p, k, room)
			}
		}
	},
}

// sheetSlack is by how much a part may reach beyond the usable sheet, mm: the
// rounding of its coordinates.
const sheetSlack = 1e-6

// reportMovable tells that the parts lie off the sheet, and fit when they are
// moved together: by the least way.
func reportMovable(p *lint.Pass, kit, room geom.Box) {
	way := func(lo, hi, from, to float64) float64 { return max(from-lo, 0) + min(to-hi, 0) }
	by := geom.Pt(way(kit.Min.X, kit.Max.X, room.Min.X, room.Max.X), way(kit.Min.Y, kit.Max.Y, room.Min.Y, room.Max.Y))
	f := lint.Finding{
		At: kit.Center(), Box: kit, Severity: lint.Note,
		Message: fmt.Sprintf("the parts lie beyond the usable sheet and fit when moved by %s, %s mm", mm(by.X), mm(by.Y)),
		Fact: lint.Fact{One: fmt.Sprintf("the kit lies off the sheet; moved by %.1f, %.1f mm it fits", tenths(by.X), tenths(by.Y)),
			Many: "kits that lie off the sheet and fit when moved", Whole: true},
		Measure: &lint.Measure{Name: "move", Value: by.Norm(), Unit: "mm"},
	}
	if _, set := p.Job.Rules["off-sheet"]; set {
		f.Severity = lint.Off // as the job has it
	}
	p.Report(f)
}

// tenths rounds a way to tenths of a millimetre, away from zero.
func tenths(v float64) float64 { return math.Copysign(math.Ceil(math.Abs(v)*10-1e-6)/10, v) + 0 }

// reportOff tells that a part reaches beyond the usable sheet.
func reportOff(p *lint.Pass, k int, room geom.Box) {
	part := &p.Sheet.Parts[k]
	o := &p.Sheet.Outlines[part.Outer]
	over := max(room.Min.X-part.Box.Min.X, room.Min.Y-part.Box.Min.Y, part.Box.Max.X-room.Max.X, part.Box.Max.Y-room.Max.Y)
	f := lint.Finding{
		At: part.Box.Center(), Box: part.Box,
		Message:  fmt.Sprintf("part reaches %s mm beyond the usable sheet", mm(over)),
		Fact:     lint.Fact{One: "reaches # beyond the usable sheet", Many: "parts reach # beyond the usable sheet", Says: true},
		Layer:    p.LayerOf(o.Src[0]),
		Entities: p.EntityIDs(o.Src...),
		Part:     p.PartName(int32(k)),
		Subject:  lint.AboutPart(k),
		Measure:  &lint.Measure{Name: "beyond", Value: over, Unit: "mm"},
	}
	if part.Box.W() > room.W()+sheetSlack || part.Box.H() > room.H()+sheetSlack {
		usable := fmt.Sprintf("larger than the usable sheet, %s x %s mm", mm(room.W()), mm(room.H()))
		f.Message = fmt.Sprintf("part of %s x %s mm is %s", mm(part.Box.W()), mm(part.Box.H()), usable)
		f.Fact = lint.Fact{One: "is " + usable, Many: "parts " + usable, Says: true}
	}
	p.Report(f)
}
