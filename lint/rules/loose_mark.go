package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom/outline"
	"sluice/lint"
)

var looseMark = &lint.Rule{
	ID:       "loose-mark",
	Brought:  lint.BroughtWorse,
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Choices:  []string{"etch", "cut", "note", "drop"},
	Doc: lint.Doc{
		Title:      "Open path inside a part: cut, etched or neither?",
		What:       "An open path that lies wholly inside a part and belongs to no outline: lettering, crossing strokes, a mark, a bend line from edge to edge.",
		Why:        "On a cutting layer the jet would cut it through. Most drawings put everything on one layer, so nothing but its shape tells a mark from a cut.",
		Bad:        "A single line 40 mm long in the middle of a plate, on the layer of the outlines.",
		Good:       "The same line on a layer called \"engrave\".",
		Exceptions: "Paths that would close if gaps of at most an eighth of their length were bridged, or of a third where the ends run on into each other, are broken outlines. What was drawn as a closed curve is no mark. A line from edge to edge is a bend line where both ends lie on one closed curve, or an end stands on the inside of an edge; elsewhere it is a shared edge.",
		Limit:      "Other free ends are looked for within 10 mm.",
		Fix:        "Until it is decided it lies on NOTE and is not cut. Say what it is: put its layer into [layers] etch or ignore, or let fix etch, cut, note or drop all loose marks ([repair] loose_marks, --marks).",
		Reason:     "Asked for: whether a line is cut, etched or left out changes the part.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for i := range p.Sheet.Open {
			if o := &p.Sheet.Open[i]; o.Loose {
				reportMark(p, o, false)
			}
		}
		for i := range p.Sheet.Noted {
			reportMark(p, &p.Sheet.Noted[i], true)
		}
	},
}

// reportMark tells of an open path that is no outline, noted where it is put
// aside already. What the person has decided is a note.
func reportMark(p *lint.Pass, o *outline.Open, noted bool) {
	f := lint.Finding{
		At: middle(o), Box: o.Box,
		Layer:    p.LayerOf(o.Src[0]),
		Entities: p.EntityIDs(o.Src...),
		Part:     p.PartName(o.Part),
		Subject:  lint.AboutStroke(o.Src[0]),
		Measure:  &lint.Measure{Name: "length", Value: o.Length, Unit: "mm"},
	}
	where := " inside the part"
	if o.Part < 0 {
		where = ""
	}
	f.Message = fmt.Sprintf("open path %s mm long%s: cut, etched or neither?", mm(o.Length), where)
	f.Fact = lint.Fact{One: "open line # long", Many: "open lines # long", Why: "cut, etched or neither?"}
	if noted {
		f.Message = fmt.Sprintf("path %s mm long%s lies on NOTE and is not cut: cut, etched or neither?", mm(o.Length), where)
	}
	choice := p.Job.Repair.LooseMarks
	if !noted && lint.CutMark(p.Drawing, p.Job, o) {
		choice = repair.MarkCut
		f.Severity, f.Message = lint.Note, fmt.Sprintf("open path %s mm long%s, to be cut", mm(o.Length), where)
		f.Fact.Why = "to be cut"
	} else if noted && choice == repair.MarkNote {
		f.Severity, f.Message = lint.Note, fmt.Sprintf("path %s mm long%s, kept on NOTE", mm(o.Length), where)
		f.Fact.Why = "kept, not cut"
	}
	if e, ok := repair.Mark(p.Drawing, o, choice, noted, p.Job.Limits.Gap); ok {
		e.Rule, e.Part, e.Entities, e.At = "loose-mark", f.Part, f.Entities, f.At
		safety := fix.Choice
		if choice == repair.MarkAsk {
			safety = fix.Auto // nothing is decided by putting it aside
		}
		f.Fixes = lint.OneFix(safety, e)
	}
	offerMark(p, &f, o, noted)
	p.Report(f)
}

// offerMark offers what may become of an open path.
func offerMark(p *lint.Pass, f *lint.Finding, o *outline.Open, noted bool) {
	for _, c := range []struct{ name, words string }{
		{repair.MarkEtch, "etch it"}, {repair.MarkCut, "cut it"},
		{repair.MarkNote, "keep it on NOTE, neither cut nor etched"}, {repair.MarkDrop, "leave it out"},
	} {
		if e, ok := repair.Mark(p.Drawing, o, c.name, noted, p.Job.Limits.Gap); ok {
			e.Rule, e.Part, e.Entities, e.At = "loose-mark", f.Part, f.Entities, f.At
			f.Offer(c.name, c.words, e)
		} else {
			f.Offer(c.name, c.words) // it lies so already
		}
	}
}
