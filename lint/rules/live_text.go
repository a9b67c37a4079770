package rules

import (
	"fmt"
	"regexp"
	"sync"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/lint"
)

var liveText = &lint.Rule{
	ID:       "live-text",
	Severity: lint.Note,
	Repair:   lint.Choice,
	Choices:  []string{"etch", "cut", "note", "drop"},
	Doc: lint.Doc{
		Title:      "Text without a path",
		What:       "Lettering kept as text, which has no outline to cut or etch.",
		Why:        "A controller leaves it out, or puts letters of its own in its place.",
		Bad:        "A text that says \"boom, left\".",
		Good:       "The same words drawn as lines.",
		Exceptions: "The notes that a corrected drawing carries beside its numbers. What stands beside all parts, and what speaks to the reader (title, scale, sheet, material, count), is never etched.",
		Limit:      "Any text.",
		Fix:        "It is carried over on NOTE; [repair] live_text = \"etch\" turns it into single-stroke letters on ETCH. By an answer a text that stands on a part is cut through as a stencil, with webs where a letter would fall out.",
		Reason:     "Asked for: whether a word is meant for the part or for the reader cannot be told.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		for i := range p.Drawing.Texts {
			t := &p.Drawing.Texts[i]
			if t.Entity < 0 || p.Own && p.Drawing.LayerName(t.Layer) == lint.LayerNote {
				continue
			}
			e := &p.Drawing.Entities[t.Entity]
			f := lint.Finding{
				At:       t.Insert,
				Message:  fmt.Sprintf("text %q has no cutting path", clip(t.Value, 40)),
				Fact:     lint.Fact{One: fmt.Sprintf("text %q is not cut", clip(t.Value, 24)), Many: "texts that are not cut"},
				Layer:    p.Drawing.LayerName(t.Layer),
				Entities: []string{e.ID()},
				Part:     p.PartName(int32(p.Sheet.PartAt(t.At))),
			}
			switch why := noteWhy(t.Value, f.Part); {
			case p.Job.Repair.LiveText != "etch":
			case why != "":
				f.Message += ", and stays a note: " + why
			default:
				ed := repair.StrokeText(p.Drawing, int32(i))
				ed.Rule, ed.Part, ed.Entities = "live-text", f.Part, f.Entities
				f.Fixes = lint.OneFix(fix.Choice, ed)
			}
			offerText(p, &f, int32(i))
			p.Report(f)
		}
	},
}

// offerText offers what may become of a text.
func offerText(p *lint.Pass, f *lint.Finding, i int32) {
	part, entities := f.Part, f.Entities
	f.OfferLater("etch", "etch it in stroke letters", 0, func() []fix.Fix {
		e := repair.StrokeText(p.Drawing, i)
		e.Part, e.Entities = part, entities
		return lint.OneFix(fix.Choice, e)
	})
	if letters, on, width := cutLetters(p, i); len(letters) > 0 {
		f.OfferLater("cut", "cut it through in stroke letters "+mm(width)+" mm wide, with webs where a letter would fall out", 0, func() []fix.Fix {
			e := repair.CutText(p.Drawing, i, letters, &p.Sheet.Outlines[p.Sheet.Parts[on].Outer].Path)
			e.Part, e.Entities = part, entities
			return lint.OneFix(fix.Choice, e)
		})
	}
	f.Offer("note", "keep it on NOTE")
	f.Choices[len(f.Choices)-1].Default = p.Job.Repair.LiveText != "etch"
	f.Offer("drop", "leave it out", fix.Edit{
		Kind: "drop-text", Rule: "live-text", At: f.At, Part: f.Part, Entities: f.Entities,
		Note: fmt.Sprintf("%q left out", clip(p.Drawing.Texts[i].Value, 40)), Ops: []fix.Op{{Kind: fix.DropText, Index: i}},
	})
}

// mostCut is how many characters a text may have that is cut.
const mostCut = 60

// cutLetters returns the outlines by which a text is cut through, on which part it stands,
// and how wide its strokes are, mm; none where it does not stand wholly on the material of a part, or its
// letters are too small for the stream.
func cutLetters(p *lint.Pass, i int32) (letters []geom.Path, part int, width float64) {
	t := &p.Drawing.Texts[i]
	part = p.Sheet.PartAt(t.At)
	if part < 0 || p.Sheet.Parts[part].Unsure() || len([]rune(t.Value)) > mostCut {
		return nil, -1, 0
	}
	width = round1(p.Job.HoleLimit() + 0.05)
	letters, ok := repair.Letters(t, width, p.Job.WebLimit())
	if !ok {
		return nil, -1, 0
	}
	for _, l := range letters {
		for k := range l {
			if !p.Sheet.Holds(part, l[k].A) || !p.Sheet.Holds(part, l[k].Mid()) {
				return nil, -1, 0
			}
		}
		for _, r := range p.Rings(part) {
			if !clearOf(l, r.Path) {
				return nil, -1, 0
			}
		}
	}
	return letters, part, width
}

// clearOf reports whether two paths do not meet.
func clearOf(a, b geom.Path) bool {
	box := a.Box().Inflate(1e-6)
	for k := range b {
		if !box.Overlaps(b[k].Box()) {
			continue
		}
		for i := range a {
			if geom.PieceDist(&a[i], &b[k]) <= 1e-6 {
				return false
			}
		}
	}
	return true
}

// toReader finds words that speak to whoever reads the drawing: its title block,
// how to make the parts, whose they are.
var toReader = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b(scale|sheet|page|title|project|drawn|drawing|design(ed)?|date|rev|revision|version|file|` +
		`material|thickness|thick|qty|quantity|pcs|pieces|stock|plywood|ply|mdf|acrylic|cardboard|aluminium|aluminum|steel|` +
		`laser|kerf|cut|cuts|cutting|engrave|etch|score|units?|millimet(er|re)s?|inch|inches|note|notes|copyright|licen[cs]e|www|https?|\d+(\.\d+)? ?mm)\b|©|\b[0-9]+ ?: ?[0-9]+\b|\bx ?[0-9]+\b|\b[0-9]+ ?x\b`)
})

// noteWhy says why a text is no lettering of a part, "" if it may be.
func noteWhy(value, part string) string {
	switch {
	case part == "":
		return "it stands on no part"
	case toReader().MatchString(value):
		return "it speaks to whoever reads the drawing"
	}
	return ""
}

// clip shortens a text to n characters.
func clip(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}
