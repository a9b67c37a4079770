package rules

import (
	"fmt"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/near"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
)

var offSheet = &lint.Rule{
	ID:       "off-sheet",
	Brought:  lint.BroughtWorse,
	Severity: lint.Error,
	Repair:   lint.Choice,
	Choices:  []string{"spread", "drop"},
	Doc: lint.Doc{
		Title:      "Part off the sheet",
		What:       "A part that reaches beyond the sheet less its margin, or that is larger than the sheet; a part that lies in a clamp zone, or so near that the cut along it does. Where all parts fit as they lie once they are moved together, that is one note for the drawing.",
		Why:        "The jet runs off the plate or into the clamps, and a part comes out with a piece missing.",
		Bad:        "A part that ends 4 mm from the edge of a sheet with a margin of 10 mm, while others lie at the far edge.",
		Good:       "A part that ends 10 mm from the edge; a kit at negative coordinates, which the operator moves as a whole.",
		Exceptions: "Rests while neither [sheet] size is set nor any [[clamp]].",
		Limit:      "[sheet] size, origin and margin (10 mm); [[clamp]] at and size.",
		Fix:        "fix --layout lays the parts out anew on the sheets of the job; or take a larger sheet. A kit that fits when moved needs nothing but the table's zero in another place; [sheet] origin = \"drawing\" says so.",
		Reason:     "Asked for: it moves parts on the sheet.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		s := p.Job.Sheet
		if len(p.Sheet.Parts) == 0 || len(s.Size) != 2 && len(p.Job.Clamp) == 0 {
			return
		}
		kit := p.Sheet.PartsBox()
		room, zones, placed := p.Job.Placed(kit)
		if !placed {
			reportMovable(p, kit, room)
			return
		}
		inside := room.Empty() || room.Inflate(job.SheetSlack).ContainsBox(kit)
		corner := p.Job.SheetCorner(kit)
		leave, move := newLeaver(p), newMover(p)
		for k := range p.Sheet.Parts {
			f := &lint.Finding{}
			if !inside {
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
			move.offer(f, "move part "+f.Part+" onto the free sheet", int32(k))
			leave.part(f, int32(k))
			p.Report(*f)
		}
	},
}

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

// beyond tells how far a part in a box reaches out of the usable sheet.
func beyond(f *lint.Finding, b, room geom.Box) {
	if room.Inflate(job.SheetSlack).ContainsBox(b) {
		return
	}
	over := max(room.Min.X-b.Min.X, room.Min.Y-b.Min.Y, b.Max.X-room.Max.X, b.Max.Y-room.Max.Y)
	f.Message = fmt.Sprintf("part reaches %s mm beyond the usable sheet", mm(over))
	f.Fact = lint.Fact{One: "reaches # beyond the usable sheet", Many: "parts reach # beyond the usable sheet", Says: true}
	f.Measure = &lint.Measure{Name: "beyond", Value: over, Unit: "mm"}
	if b.W() > room.W()+job.SheetSlack || b.H() > room.H()+job.SheetSlack {
		usable := fmt.Sprintf("larger than the usable sheet, %s x %s mm", mm(room.W()), mm(room.H()))
		f.Message = fmt.Sprintf("part of %s x %s mm is %s", mm(b.W()), mm(b.H()), usable)
		f.Fact = lint.Fact{One: "is " + usable, Many: "parts " + usable, Says: true}
	}
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
		f.Fact = lint.Fact{One: fmt.Sprintf("lies # in clamp zone %d", i+1), Many: "parts lie # in a clamp zone", Says: true}
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
