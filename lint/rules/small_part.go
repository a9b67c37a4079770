package rules

import (
	"fmt"

	"sluice/lint"
	"sluice/lint/slats"
)

var smallPart = &lint.Rule{
	ID:       "small-part",
	Severity: lint.Warning,
	Repair:   lint.Auto,
	Doc: lint.Doc{
		Title:      "Part that can tip or fall between the slats",
		What:       "A part without tabs that, at some position of the slats under it, is not held: its centre of mass lies outside the hull of the points where slats touch it, or less than the margin inside it.",
		Why:        "A part that tips stands up into the nozzle's way and breaks it, or slides between the slats and is lost in the tank.",
		Bad:        "A washer of 30 mm on slats 50 mm apart.",
		Good:       "A plate of 200 by 200 mm; the washer with two tabs.",
		Exceptions: "Parts with tabs. The rule looks at the drawing's own position and slat direction; with slats_along = \"both\" a part must stand either way. The push of the stream counts only where push_share asks for it.",
		Limit:      "[table] slat_pitch (50 mm), slats_along, stand_margin (2 mm), push_share (0), tip_share (0: no position may fail; less than 0.1 % counts as none).",
		Fix:        "Tabs: short gaps left uncut that hold the part to the sheet until it is broken out ([tabs]).",
		Reason:     "Safe: the outline stays as it is, and every tab is drawn on TAB so that it can be closed again.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		table := slats.Of(p.Job)
		for k := range p.Sheet.Parts {
			part := &p.Sheet.Parts[k]
			o := &p.Sheet.Outlines[part.Outer]
			if o.Tabs > 0 || part.Unsure() {
				continue
			}
			v := table.Part(p.Sheet, k)
			if v.Why == slats.Held {
				continue
			}
			f := lint.Finding{
				At: part.Centroid, Box: part.Box,
				Message: fmt.Sprintf("%s x %s mm part %s, and has no tabs",
					mm(part.Box.W()), mm(part.Box.H()), notHeld(v, table)),
				Fact:     lint.Fact{One: "can tip between the slats", Many: "parts can tip between the slats", Says: true},
				Layer:    p.LayerOf(o.Src[0]),
				Entities: p.EntityIDs(o.Src...),
				Part:     p.PartName(int32(k)),
				Subject:  lint.AboutPart(k),
				Measure:  &lint.Measure{Name: "tip-share", Value: v.Share, Limit: p.Job.Table.TipShare, Unit: "share"},
			}
			if p.Job.Tabs.Parts == "none" {
				f.Fact.Why, f.Repair = "tabs are switched off", lint.None
			}
			if !o.Closed {
				f.Message += "; it gets none until its outline closes"
				f.Fact.Why = "no tabs before the outline closes"
				f.Repair = lint.None
			}
			p.Report(f)
		}
	},
}

// notHeld says in words how a piece is not held.
func notHeld(v slats.Standing, t *slats.Table) string {
	at := fmt.Sprintf("at %s %% of slat positions", mm(float64(int(v.Share*1000+0.5))/10))
	switch v.Why {
	case slats.Nearly:
		return fmt.Sprintf("stands by less than %s mm %s", mm(t.Slats.Margin), at)
	case slats.Pushed:
		return fmt.Sprintf("can be tipped by the push of the stream (%s N) on an edge beyond the slats %s", mm(t.Push()), at)
	}
	return "is not held " + at
}
