package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/kit"
)

var slotThickness = &lint.Rule{
	ID:       "slot-thickness",
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Doc: lint.Doc{
		Title:      "Slot does not suit the sheet",
		What:       "A slot or notch of a kit that is too narrow for the sheet to go in, or so wide that it rattles; a finger edge that is not as deep as the sheet is thick; and, while no thickness is set, a slot that differs from the width the rest of the kit agrees on. One finding for each slot, at its middle.",
		Why:        "A kit drawn for 3 mm plywood does not go together in 4.76 mm plate, and that shows only when everything is cut. Sheet is seldom as thick as its name, and the stream leaves slots narrower at the bottom.",
		Bad:        "A slot 3.0 mm wide for a sheet of 4.76 mm.",
		Good:       "A slot 4.9 mm wide for the same sheet.",
		Exceptions: "Rests where no tab fits any slot by its length: such a drawing is no kit. Holes with round ends are no slots for tabs; slots narrower than the kerf are told as that.",
		Limit:      "[sheet] thickness or [fit] measured, with the tolerance of the published table for the material or [fit] tolerance, [fit] class or clearance, and [fit] taper. Tight: less than half the clearance left. Loose: more than a tenth of the thickness over.",
		Fix:        "All slots, notches, tabs and fingers of the kit are made to suit the sheet, each sheet about its middle plane; or the kit is scaled.",
		Reason:     "Asked for ([fit] refit = \"slots\"): it changes every part.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		k := p.Kit()
		if k.Guessed {
			return
		}
		target, source, ok := kit.TargetOf(p.Job)
		first := len(k.Joints) > 0 && p.Job.Fit.Refit == "slots"
		report := func(j *kit.Joint, name, text string, value, limit float64) {
			f := jointFinding(p, j)
			f.Message, f.Measure = text, &lint.Measure{Name: name, Value: value, Limit: limit, Unit: "mm"}
			if first && ok {
				first = false
				var why string
				if f.Fixes, why = refit(p, k, &target); why != "" {
					f.Message += "; the kit cannot be refitted: " + why
				}
			}
			p.Report(f)
		}
		if !ok {
			for _, i := range k.Odd {
				j := &k.Joints[i]
				report(j, "width", fmt.Sprintf("%s %s mm wide, while the kit's slots are %s mm", j.Kind, mm(j.Width), mm(k.Design())), j.Width, k.Design())
			}
			return
		}
		for i := range k.Joints {
			j := &k.Joints[i]
			if j.Kind != kit.Slot && j.Kind != kit.Notch || j.Width < p.Job.Jet.Kerf {
				continue
			}
			switch target.Judge(j.Width) {
			case fit.Tight:
				report(j, "width", fmt.Sprintf("%s %s mm wide, too narrow for %s; make it %s mm", j.Kind, mm(j.Width), sheetText(&target, source), mm(target.Width())), j.Width, target.Width())
			case fit.Loose:
				report(j, "width", fmt.Sprintf("%s %s mm wide, too loose for %s; make it %s mm", j.Kind, mm(j.Width), sheetText(&target, source), mm(target.Width())), j.Width, target.Width())
			}
		}
		for _, i := range k.Fingers() {
			e := &k.Edges[i]
			if d := e.Depth - target.Thickness; len(e.Joints) > 0 && (d > 0.1*target.Thickness+target.Clearance+target.Plus || -d > 0.1*target.Thickness+target.Clearance+target.Plus) {
				report(&k.Joints[e.Joints[0]], "depth", fmt.Sprintf("fingers %s mm deep for a sheet of %s mm", mm(e.Depth), mm(target.Thickness)), e.Depth, target.Thickness)
			}
		}
	},
}

func sheetText(t *fit.Target, source string) string {
	s := "a sheet of " + mm(t.Thickness) + " mm"
	switch {
	case source == "measured":
		s += " as measured"
	case t.Plus > 0 && source == "job":
		s += fmt.Sprintf(" (up to %s)", mm(t.Thickness+t.Plus))
	case t.Plus > 0:
		s += fmt.Sprintf(" (up to %s by %s)", mm(t.Thickness+t.Plus), source)
	}
	return s
}

// refit returns the repair of the whole kit, or why it cannot be made.
func refit(p *lint.Pass, k *kit.Kit, t *fit.Target) (fixes []fix.Fix, why string) {
	r := k.Refit(t, kit.DefaultOptions())
	f := r.Fix(k, p.Drawing, p.Names)
	if len(r.Skipped) > 0 {
		s := r.Skipped[0]
		return nil, fmt.Sprintf("part %s: %v", p.PartName(p.Sheet.Outlines[s.Outline].Part), s.Err)
	}
	for i := range f.Edits {
		e := &f.Edits[i]
		var strokes []int32
		for _, op := range e.Ops {
			strokes = append(strokes, op.Stroke)
		}
		e.Entities = p.EntityIDs(strokes...)
	}
	return []fix.Fix{f}, ""
}

// jointFinding begins a finding about a joint.
func jointFinding(p *lint.Pass, j *kit.Joint) lint.Finding {
	o := &p.Sheet.Outlines[j.Outline]
	src := func(piece int32) int32 {
		if piece < 0 || int(piece) >= len(o.Src) {
			return -1
		}
		return o.Src[piece]
	}
	return lint.Finding{
		At: j.At, Box: jointBox(o, j), Layer: p.LayerOf(src(j.Piece)),
		Entities: p.EntityIDs(src(j.Piece), src(j.Piece2)), Part: p.PartName(j.Part),
		Subject: lint.AboutOutline(j.Outline),
	}
}

// jointBox returns the box around the walls of a joint.
func jointBox(o *outline.Outline, j *kit.Joint) geom.Box {
	b := geom.BoxOf(j.At)
	for _, k := range [2]int32{j.Piece, j.Piece2} {
		if k >= 0 && int(k) < len(o.Pieces) {
			b = b.Union(o.Pieces[k].Box())
		}
	}
	return b
}
