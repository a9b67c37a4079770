package rules

import (
	"fmt"

	"sluice/fix/tab"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

var smallPart = &lint.Rule{
	ID:       "small-part",
	Severity: lint.Warning,
	Repair:   lint.Auto,
	Doc: lint.Doc{
		Title:      "Part that can tip or fall between the slats",
		What:       "A part without tabs that, at some position of the slats under it, is not held: its centre of mass lies outside the hull of the points where slats touch it, or less than 1 mm inside it.",
		Why:        "A part that tips stands up into the nozzle's way and breaks it, or slides between the slats and is lost in the tank.",
		Bad:        "A washer of 30 mm on slats 50 mm apart.",
		Good:       "A plate of 200 by 200 mm; the washer with two tabs.",
		Exceptions: "Parts with tabs. The rule looks at the drawing's own position and slat direction.",
		Limit:      "[table] slat_pitch (50 mm), slats_along, tip_share (0: no position may fail).",
		Fix:        "Tabs: short gaps left uncut that hold the part to the sheet until it is broken out ([tabs]).",
		Reason:     "Safe: the outline stays as it is, and every tab is drawn on TAB so that it can be closed again.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		s := TableOf(p.Job)
		for k := range p.Sheet.Parts {
			part := &p.Sheet.Parts[k]
			o := &p.Sheet.Outlines[part.Outer]
			if o.Tabs > 0 || part.Unsure() {
				continue
			}
			share, nearly := tipShareOf(p.Sheet, k, s, p.Job.Table.TipShare)
			if share <= p.Job.Table.TipShare+shareSlack {
				continue
			}
			f := lint.Finding{
				At: part.Centroid, Box: part.Box,
				Message: fmt.Sprintf("%s x %s mm part %s, and has no tabs",
					mm(part.Box.W()), mm(part.Box.H()), notHeld(share, nearly)),
				Fact:     lint.Fact{One: "can tip between the slats", Many: "parts can tip between the slats", Says: true},
				Layer:    p.LayerOf(o.Src[0]),
				Entities: p.EntityIDs(o.Src...),
				Part:     p.PartName(int32(k)),
				Subject:  lint.AboutPart(k),
				Measure:  &lint.Measure{Name: "tip-share", Value: share, Limit: p.Job.Table.TipShare, Unit: "share"},
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

// shareSlack is what rounding may add to a share of slat positions.
const shareSlack = 1e-9

// standMargin is how far inside the points it rests on, mm, the centre of mass of
// a part must lie: slats lean, are notched and ragged from use, and the jet pushes
// (common practice, no source).
const standMargin = 1.0

// tipShareOf returns the share of slat positions at which a part is not held.
func tipShareOf(s *outline.Sheet, part int, slats tab.Support, limit float64) (share float64, nearly bool) {
	pt := &s.Parts[part]
	var holes []geom.Path
	for _, h := range pt.Holes {
		holes = append(holes, s.Outlines[h].Pieces)
	}
	return tipShare(s.Outlines[pt.Outer].Pieces, holes, slats, limit)
}

// tipShare returns the share of slat positions at which what outer bounds, less
// the holes, is not held. Where that is within the limit it is the share at which
// it does not stand by standMargin, and nearly is true.
func tipShare(outer geom.Path, holes []geom.Path, slats tab.Support, limit float64) (share float64, nearly bool) {
	if share = tab.TipShare(outer, holes, slats); share > limit+shareSlack {
		return share, false
	}
	slats.Margin = standMargin
	return tab.TipShare(outer, holes, slats), true
}

// notHeld says in words what tipShare returned.
func notHeld(share float64, nearly bool) string {
	if nearly {
		return fmt.Sprintf("stands by less than %s mm at %s %% of slat positions", mm(standMargin), sharePercent(share))
	}
	return fmt.Sprintf("is not held at %s %% of slat positions", sharePercent(share))
}

// sharePercent prints a share in percent, 0.1 at least.
func sharePercent(share float64) string { return mm(max(0.1, float64(int(share*1000+0.5))/10)) }
