package rules

import (
	"fmt"
	"math"
	"sync"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

var slotThickness = &lint.Rule{
	ID:       "slot-thickness",
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Choices:  []string{"refit", "scale"},
	Doc: lint.Doc{
		Title:      "Slot does not suit the sheet",
		What:       "A slot or notch of a kit that is too narrow for the sheet to go in, or so wide that it rattles; a slot much longer than its tab, or shorter; a finger edge that is not as deep as the sheet is thick; and, while no thickness is set, a slot that differs from the width the rest of the kit agrees on. One finding for each slot, at its middle.",
		Why:        "A kit drawn for 3 mm plywood does not go together in 4.76 mm plate, and that shows only when everything is cut. Sheet is seldom as thick as its name, and the stream leaves slots narrower at the bottom.",
		Bad:        "A slot 3.0 mm wide for a sheet of 4.76 mm.",
		Good:       "A slot 4.9 mm wide for the same sheet.",
		Exceptions: "Rests where no tab fits any slot by its length: such a drawing is no kit. Holes with round ends are slots only where as many tabs are there for them; slots narrower than the kerf are told as that.",
		Limit:      "[sheet] thickness or [fit] measured, with the tolerance of the published table for the material or [fit] tolerance, [fit] class or clearance, and [fit] taper. Tight: less than half the clearance left. Loose: more than a tenth of the thickness over. Length: by which slots are longer than their tabs, more than 0.3 mm off that of most of the kit, or more than 0.5 mm over the clearance. An error where four joints or more are judged and none suits the sheet.",
		Fix:        "All slots, notches, tabs and fingers of the kit are made to suit the sheet, each sheet about its middle plane, and sides that end on a face go with it; of several sheets ([[sheet]]) each joint suits the one that goes through it. Where parts are seen to meet at another angle than square, slots are to be wider by that, and are redrawn for it. Or the kit is scaled.",
		Reason:     "Asked for ([fit] refit = \"slots\"): it changes every part.",
		Since:      "0.1",
	},
	Asks: lint.Joints,
	Check: func(p *lint.Pass) {
		k := p.Kit()
		if k.Guessed {
			return
		}
		c := fitter{p: p, k: k, first: len(k.Joints) > 0 && p.Job.Fit.Refit == "slots"}
		sheets, ok := kit.SheetsOf(k, p.Job, p.Names)
		if !ok {
			for _, i := range k.Odd {
				j := &k.Joints[i]
				text := fmt.Sprintf("%s %s mm wide, while the kit's slots are %s mm", j.Kind, mm(j.Width), mm(k.Design()))
				c.report(j, text, lint.Measure{Name: "width", Value: j.Width, Limit: k.Design()}, jointFact(j, "the kit's others are "+mm(k.Design())+" mm"))
			}
			return
		}
		c.sheets = sheets
		c.refit = sync.OnceValues(func() ([]fix.Fix, string) { return refit(p, k, sheets) })
		suit := k.SuitOf(sheets, p.Job.Jet.Kerf)
		if _, set := p.Job.Rules["slot-thickness"]; !set && k.NoneFits(suit) {
			c.severity = lint.Error
		}
		for _, l := range []struct {
			joints []int
			word   string
		}{{suit.Tight, "too narrow"}, {suit.Loose, "too loose"}} {
			for _, i := range l.joints {
				j := &k.Joints[i]
				target := sheets.Through(k, i)
				sheet, source := sheets.Meets(k, i)
				text := fmt.Sprintf("%s %s mm wide, %s for %s%s; make it %s mm", j.Kind, mm(j.Width), l.word, sheetText(sheet, source), angleText(j), mm(target.Width()))
				why := fmt.Sprintf("%s for %s mm%s, make %s mm", l.word, mm(sheet.Thickness), angleText(j), mm(target.Width()))
				c.report(j, text, lint.Measure{Name: "width", Value: j.Width, Limit: target.Width()}, jointFact(j, why))
			}
		}
		for _, i := range suit.Fingers {
			e, target := &k.Edges[i], sheets.Across(k, i)
			text := fmt.Sprintf("fingers %s mm deep for a sheet of %s mm", mm(e.Depth), mm(target.Thickness))
			c.report(&k.Joints[e.Joints[0]], text, lint.Measure{Name: "depth", Value: e.Depth, Limit: target.Thickness},
				lint.Fact{One: "fingers # deep", Many: "finger edges # deep", Why: "the sheet is " + mm(target.Thickness) + " mm thick"})
		}
		c.severity = lint.Off
		if k.Whole {
			c.lengths()
		}
	},
}

// fitter reports the joints of a kit that do not suit the sheet.
type fitter struct {
	p        *lint.Pass
	k        *kit.Kit
	sheets   *kit.Sheets   // nil while no thickness is set
	severity lint.Severity // Off: as the rule or the job has it
	first    bool          // the repair of the kit is to go with the next finding
	refit    func() ([]fix.Fix, string)
}

func (c *fitter) report(j *kit.Joint, text string, m lint.Measure, fact lint.Fact) {
	f := jointFinding(c.p, j)
	m.Unit = "mm"
	f.Message, f.Measure, f.Fact, f.Severity = text, &m, fact, c.severity
	if c.first && c.sheets != nil {
		c.first = false
		var why string
		if f.Fixes, why = c.refit(); why != "" {
			f.Message += "; the kit cannot be refitted: " + why
		}
	}
	if c.sheets != nil {
		f.OfferLater("refit", "redraw all slots and tabs of the kit for the sheet", math.Abs(m.Value-m.Limit)/2, func() []fix.Fix {
			fixes, _ := c.refit()
			return fixes
		})
		f.Choices[len(f.Choices)-1].Act = "refit"
		if design := c.k.Design(); design > 0 && !c.sheets.Several() {
			by := c.sheets.Main().Thickness / design
			f.Choices = append(f.Choices, lint.Way{Name: "scale", Scale: true, Act: "scale",
				Words: fmt.Sprintf("scale the whole kit by %s, so that slots of %s mm fit; round holes for bolts keep their size", mm(by), mm(design))})
		}
	}
	c.p.Report(f)
}

// lengths tells joints whose slots are much longer than their tabs, or shorter.
func (c *fitter) lengths() {
	for _, play := range c.k.Plays(c.sheets) {
		if !play.Off {
			continue
		}
		j := &c.k.Joints[play.Slot]
		tab := j.Length - play.Along
		text := fmt.Sprintf("slot %s mm long for a tab of %s mm: %s mm longer, so that the part shifts", mm(j.Length), mm(tab), mm(play.Along))
		fact := lint.Fact{One: "slot # long", Many: "slots # long", Why: "its tab is " + mm(tab) + " mm: it shifts"}
		if play.Along < 0 {
			text = fmt.Sprintf("slot %s mm long for a tab of %s mm: %s mm too short", mm(j.Length), mm(tab), mm(-play.Along))
			fact.Why = "too short for a tab of " + mm(tab) + " mm"
		}
		c.report(j, text, lint.Measure{Name: "length", Value: j.Length, Limit: tab}, fact)
	}
}

// jointFact tells a slot or notch by its width.
func jointFact(j *kit.Joint, why string) lint.Fact {
	return lint.Fact{One: fmt.Sprintf("%s # wide", j.Kind), Many: j.Kind.Several() + " # wide", Why: why}
}

// angleText says at which angle a sheet enters a joint, nothing where it is square.
func angleText(j *kit.Joint) string {
	if j.Angle == 0 {
		return ""
	}
	return fmt.Sprintf(" that enters at %.0f degrees", j.Angle)
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
func refit(p *lint.Pass, k *kit.Kit, s *kit.Sheets) (fixes []fix.Fix, why string) {
	r := k.Refit(s, assembly.Butts(k, p.Space()), kit.DefaultOptions())
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
