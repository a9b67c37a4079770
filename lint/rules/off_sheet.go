package rules

import (
	"fmt"
	"slices"

	"sluice/geom"
	"sluice/geom/near"
	"sluice/geom/outline"
	"sluice/lint"
)

var offSheet = &lint.Rule{
	ID:       "off-sheet",
	Severity: lint.Error,
	Repair:   lint.Choice,
	Doc: lint.Doc{
		Title:      "Part off the sheet",
		What:       "A part that reaches beyond the sheet less its margin, or that is larger than the sheet; a part that lies in a clamp zone, or so near that the cut along it does.",
		Why:        "The jet runs off the plate or into the clamps, and a part comes out with a piece missing.",
		Bad:        "A part that ends 4 mm from the edge of a sheet with a margin of 10 mm.",
		Good:       "A part that ends 10 mm from the edge.",
		Exceptions: "Rests while neither [sheet] size is set nor any [[clamp]].",
		Limit:      "[sheet] size, origin and margin (10 mm); [[clamp]] at and size.",
		Fix:        "fix --layout lays the parts out anew on the sheets of the job; or take a larger sheet.",
		Reason:     "Asked for: it moves parts on the sheet.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		s := p.Job.Sheet
		if len(p.Sheet.Parts) == 0 || len(s.Size) != 2 && len(p.Job.Clamp) == 0 {
			return
		}
		corner := p.Job.SheetCorner(p.Sheet.PartsBox())
		zones := p.Job.Clamps(corner)
		for k := range p.Sheet.Parts {
			f := &lint.Finding{}
			if len(s.Size) == 2 {
				room := geom.Box{Min: corner, Max: corner.Add(geom.Pt(s.Size[0], s.Size[1]))}.Inflate(-s.Margin)
				beyond(f, p.Sheet.Parts[k].Box, room)
			}
			clamped(f, p, k, zones, corner)
			if f.Message == "" {
				continue
			}
			part := &p.Sheet.Parts[k]
			o := &p.Sheet.Outlines[part.Outer]
			f.At, f.Box, f.Layer, f.Entities = part.Box.Center(), part.Box, p.LayerOf(o.Src[0]), p.EntityIDs(o.Src...)
			f.Part, f.Subject = p.PartName(int32(k)), lint.AboutPart(k)
			p.Report(*f)
		}
	},
}

// beyond tells how far a part in a box reaches out of the usable sheet.
func beyond(f *lint.Finding, b, room geom.Box) {
	const slack = 1e-6
	if room.Inflate(slack).ContainsBox(b) {
		return
	}
	over := max(room.Min.X-b.Min.X, room.Min.Y-b.Min.Y, b.Max.X-room.Max.X, b.Max.Y-room.Max.Y)
	f.Message = fmt.Sprintf("part reaches %s mm beyond the usable sheet", mm(over))
	if b.W() > room.W()+slack || b.H() > room.H()+slack {
		f.Message = fmt.Sprintf("part of %s x %s mm is larger than the usable sheet, %s x %s mm", mm(b.W()), mm(b.H()), mm(room.W()), mm(room.H()))
	}
	f.Measure = &lint.Measure{Name: "beyond", Value: over, Unit: "mm"}
}

// clamped tells of the first clamp zone in which part k lies, or the cut along
// it: the stream takes a kerf beside each outline. The measure is how far the
// part would have to be moved, along x or y, to be out of it.
func clamped(f *lint.Finding, p *lint.Pass, k int, zones []geom.Box, corner geom.Point) {
	part := &p.Sheet.Parts[k]
	kerf := p.Job.Jet.Kerf
	for i, z := range zones {
		wide := z.Inflate(kerf)
		if !part.Box.Overlaps(wide) || !inZone(p.Sheet, part, z, kerf) {
			continue
		}
		into := min(part.Box.Max.X-wide.Min.X, wide.Max.X-part.Box.Min.X, part.Box.Max.Y-wide.Min.Y, wide.Max.Y-part.Box.Min.Y)
		at := z.Min.Sub(corner)
		where := fmt.Sprintf("in clamp zone %d, at %s, %s of the sheet", i+1, mm(at.X), mm(at.Y))
		if f.Message != "" {
			f.Message += ", and lies " + where
			return
		}
		f.Message = fmt.Sprintf("part lies %s, or its cut does; it is out of it %s mm further", where, mm(into))
		f.Measure = &lint.Measure{Name: "in clamp zone", Value: into, Unit: "mm"}
		return
	}
}

// inZone reports whether a zone meets the material of a part or the cuts along
// its outlines. Touching is none.
func inZone(s *outline.Sheet, part *outline.Part, z geom.Box, kerf float64) bool {
	const slack = 1e-6
	rect := near.RectAt(z.Center(), z.W(), z.H(), 0)
	material := s.Outlines[part.Outer].Pieces.Contains(z.Center())
	for _, o := range append([]int32{part.Outer}, part.Holes...) {
		path := s.Outlines[o].Pieces
		if slices.ContainsFunc(path, func(q geom.Piece) bool { return rect.Dist(q) < kerf-slack }) {
			return true
		}
		if o != part.Outer && path.Contains(z.Center()) {
			material = false
		}
	}
	return material
}
