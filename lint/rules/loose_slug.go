package rules

import (
	"fmt"
	"slices"
	"strings"

	"sluice/lint"
	"sluice/lint/slats"
)

var looseSlug = &lint.Rule{
	ID:       "loose-slug",
	Brought:  lint.BroughtAlong,
	Severity: lint.Warning,
	Repair:   lint.Choice,
	Choices:  []string{"tab"},
	Doc: lint.Doc{
		Title:      "Slug that can tip up between the slats",
		What:       "The piece that falls out of a hole without tabs, where at some position of the slats it neither lies still nor drops clean through; and the piece around a part in a hole, where that part hangs on it by its tabs, however still it lies.",
		Why:        "A slug that stands up on its edge is in the nozzle's way as much as a part that does. A part that hangs on a slug is lost with it.",
		Bad:        "A window of 80 by 80 mm over slats 50 mm apart.",
		Good:       "A window of 30 by 30 mm, whose slug drops through; one of 150 by 150 mm, whose slug lies still; the window of 80 mm with two tabs.",
		Exceptions: "Slugs narrower than the sheet is thick or than two kerfs; slugs that measure less than three quarters of the pitch across the slats: they drop through. The rule looks at the drawing's own position and slat direction.",
		Limit:      "[table] slat_pitch (50 mm), slats_along, stand_margin (2 mm), push_share (0), tip_share (0: no position may fail; less than 0.1 % counts as none).",
		Fix:        "Tabs that hold the slug in its hole until both are off the table: fix --slugs tab, or [tabs] slugs = true. Or cut a large slug up. A slug that a tabbed part hangs on gets tabs whatever its size, unasked, where there is room for them.",
		Reason:     "Asked for: the stubs of the tabs stay in the hole and want filing.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		c := slugs{p: p, table: slats.Of(p.Job), inner: slats.Inner(p.Sheet)}
		for i := range p.Sheet.Outlines {
			if o := &p.Sheet.Outlines[i]; o.Hole() && o.Closed && o.Tabs == 0 {
				c.judge(int32(i))
			}
		}
	},
}

// slugs judges what falls out of holes.
type slugs struct {
	p     *lint.Pass
	table *slats.Table
	inner [][]int32 // by outline
}

// judge reports the slug of one hole if it is loose.
func (c *slugs) judge(hole int32) {
	o := &c.p.Sheet.Outlines[hole]
	hung := c.hung(hole)
	if len(hung) == 0 && !c.canStand(hole) {
		return
	}
	v := c.table.Slug(c.p.Sheet, hole, c.inner[hole])
	if v.Why == slats.Held && !c.tabbed(hole) {
		return // it lies still, and what will hang on it gets it tabs
	}
	size := fmt.Sprintf("slug of %s x %s mm", mm(o.Box.W()), mm(o.Box.H()))
	f := lint.Finding{
		At: o.Centroid, Box: o.Box,
		Message:  size + " " + notHeld(v, c.table) + " and can stand up in the nozzle's way",
		Layer:    c.p.LayerOf(o.Src[0]),
		Entities: c.p.EntityIDs(o.Src...),
		Part:     c.p.PartName(o.Part),
		Subject:  lint.AboutOutline(hole),
		Measure:  &lint.Measure{Name: "tip-share", Value: v.Share, Limit: c.p.Job.Table.TipShare, Unit: "share"},
	}
	f.Fact = lint.Fact{One: "slug can tip up between the slats", Many: "slugs can tip up between the slats"}
	if len(hung) > 0 {
		who := plural(len(hung), "part", "parts") + " " + strings.Join(hung, ", ")
		why := notHeld(v, c.table)
		f.Fact.One = "slug can tip up with " + who + " tabbed to it"
		if v.Why == slats.Held {
			why, f.Measure = "has no tabs", nil
			f.Fact.One = "slug without tabs has " + who + " tabbed to it"
		}
		f.Message = fmt.Sprintf("%s around %s %s: what is tabbed to it goes with it", size, who, why)
		if c.p.Job.Tabs.Parts != "none" {
			f.Repair = lint.Auto // the slug gets tabs too
		}
	}
	if f.Repair != lint.Auto {
		f.Choices, f.Repair = append(f.Choices, lint.Way{Name: "tab", Words: "hold the slug with tabs, to be broken out"}), lint.Choice
	}
	c.p.Report(f)
}

// tabbed reports whether a part hangs by tabs on the slug of a hole.
func (c *slugs) tabbed(hole int32) bool {
	return slices.ContainsFunc(c.inner[hole], func(i int32) bool { return c.p.Sheet.Outlines[i].Tabs > 0 })
}

// hung names the parts that hang, or will hang, on the slug of a hole by tabs.
func (c *slugs) hung(hole int32) []string {
	var names []string
	for _, i := range c.inner[hole] {
		o := &c.p.Sheet.Outlines[i]
		if c.p.Sheet.Parts[o.Part].Unsure() {
			continue
		}
		tabbed := o.Tabs > 0 || c.p.Job.Tabs.Parts == "all"
		if !tabbed && c.p.Job.Tabs.Parts != "none" {
			tabbed = c.table.Part(c.p.Sheet, int(o.Part)).Why != slats.Held
		}
		if tabbed {
			names = append(names, c.p.PartName(o.Part))
		}
	}
	return names
}

// standShare is the width of a slug across the slats, as a share of their pitch,
// from which it seldom drops clean through: slats are up to 6 mm thick, lean, and
// are ragged from use (common practice, no source).
const standShare = 0.75

// canStand reports whether a slug is large enough to stand up between slats.
func (c *slugs) canStand(hole int32) bool {
	o := &c.p.Sheet.Outlines[hole]
	pitch := c.table.Slats.Pitch
	if !(pitch > 0) {
		return false
	}
	kerf := c.p.Job.Jet.Kerf
	area, girth := o.Area, o.Length
	for _, k := range c.inner[hole] {
		area -= c.p.Sheet.Outlines[k].Area
		girth += c.p.Sheet.Outlines[k].Length
	}
	// The stream takes a kerf off all round; what is left is no wider than thick
	// and rolls, or bends.
	if 2*area/girth-2*kerf <= max(c.p.Job.Sheet.Thickness, 2*kerf) {
		return false
	}
	return c.table.Slats.Across(o.Box)-2*kerf >= standShare*pitch
}
