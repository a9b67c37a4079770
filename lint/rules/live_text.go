package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/lint"
)

var liveText = &lint.Rule{
	ID:       "live-text",
	Severity: lint.Note,
	Repair:   lint.Choice,
	Doc: lint.Doc{
		Title:      "Text without a path",
		What:       "Lettering kept as text, which has no outline to cut or etch.",
		Why:        "A controller leaves it out, or puts letters of its own in its place.",
		Bad:        "A text that says \"boom, left\".",
		Good:       "The same words drawn as lines.",
		Exceptions: "The notes that a corrected drawing carries beside its numbers.",
		Limit:      "Any text.",
		Fix:        "It is carried over on NOTE; [repair] live_text = \"etch\" turns it into single-stroke letters on ETCH.",
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
			if p.Job.Repair.LiveText == "etch" {
				ed := repair.StrokeText(p.Drawing, int32(i))
				ed.Rule, ed.Part, ed.Entities = "live-text", f.Part, f.Entities
				f.Fixes = lint.OneFix(fix.Choice, ed)
			}
			p.Report(f)
		}
	},
}

// clip shortens a text to n characters.
func clip(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}
