package rules

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/lint"
)

var fineDetail = &lint.Rule{
	ID:       "fine-detail",
	Severity: lint.Note,
	Repair:   lint.None,
	Choices:  []string{"smooth"},
	Doc: lint.Doc{
		Title:      "Detail finer than the stream",
		What:       "A feature of an outline smaller than the stream can hold: a bump or step smaller than the kerf both ways, or an inside radius smaller than half a kerf. Details of one kind and size are one finding for each part, with their number, at the topmost; reliefs in the corners of slots and at the feet of tabs one finding a size for the whole drawing.",
		Why:        "The stream rounds every inside corner to half its own width and washes away what is smaller than itself: the part will not look as drawn.",
		Bad:        "A drawn inside radius of 0.3 mm, or a bump 0.4 mm wide and 0.3 mm high, under a jet of 1.0 mm.",
		Good:       "An inside radius of 0.6 mm; a plain sharp inside corner, which everybody knows will be round.",
		Exceptions: "Plain sharp corners; the fine lines of exploded curves (dense curves tell those); what narrow slots and thin webs tell.",
		Limit:      "[jet] kerf for bumps and steps, half of it for inside radii.",
		Fix:        "Nothing needs doing where the look does not matter; else redraw the detail larger, or have it smoothed: an inside radius becomes a corner, a bump or nick goes, a step becomes a ramp.",
		Reason:     "Asked for: it changes the shape.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		var corners []detail
		for k := range p.Sheet.Parts {
			opened := partReliefs(p, k)
			var details []detail
			for i := range opened.all {
				if d, ok := reliefDetail(p, k, &opened.all[i]); ok {
					corners = append(corners, d)
				}
			}
			ds := clear.Details(p.Ctx, p.Rings(k), p.Job.Jet.Kerf)
			for i := range ds {
				d := &ds[i]
				if d.Size >= d.Limit-p.Job.Limits.Curve {
					continue // a fitted curve's radius is known no better than that
				}
				if _, ok := opened.of[ringPiece{d.Ring, d.Piece}]; ok {
					continue // told with the reliefs, or large enough
				}
				details = append(details, detail{d.Kind, d.At, d.Size, d.Limit, d.Box, int32(k), strokeAt(p, k, d.Ring, d.Piece), ringIndex(p, k, d.Ring), int(d.First), int(d.Count)})
			}
			reportSizes(p, details)
		}
		reportSizes(p, corners)
	},
}

// detail is one fine detail.
type detail struct {
	kind        string // as in detailText
	at          geom.Point
	size, limit float64 // mm
	box         geom.Box
	part        int32
	stroke      int32
	outline     int32
	first       int // of its pieces in the outline
	count       int // 0 for a relief
}

// detailText says what one detail of a kind is, and what several are; size and
// limit follow.
var detailText = map[string][2]string{
	"inside-radius": {"inside radius of %s mm; the stream leaves at least %s mm", "inside radii of %s mm; the stream leaves at least %s mm"},
	"bump":          {"bump of %s mm; the stream holds %s mm", "bumps of %s mm; the stream holds %s mm"},
	"nick":          {"nick of %s mm; the stream holds %s mm", "nicks of %s mm; the stream holds %s mm"},
	"step":          {"step of %s mm; the stream holds %s mm", "steps of %s mm; the stream holds %s mm"},
	"relief-radius": {"corner relief of radius %s mm is smaller than the stream; it comes out as the stream's own radius, %s mm", "corner reliefs of radius %s mm are smaller than the stream; they come out as the stream's own radius, %s mm"},
	"relief-width":  {"corner relief %s mm wide is narrower than the stream, %s mm; the corner comes out with the stream's own radius", "corner reliefs %s mm wide are narrower than the stream, %s mm; the corners come out with the stream's own radius"},
}

// detailFacts says the same in short: one, several, and several sizes of them.
var detailFacts = map[string][3]string{
	"inside-radius": {"inside radius of #", "inside radii of #", "sizes of inside radius, #"},
	"bump":          {"bump of #", "bumps of #", "sizes of bump, #"},
	"nick":          {"nick of #", "nicks of #", "sizes of nick, #"},
	"step":          {"step of #", "steps of #", "sizes of step, #"},
	"relief-radius": {"corner relief of radius #", "corner reliefs of radius #", "sizes of corner relief, radius #"},
	"relief-width":  {"corner relief # wide", "corner reliefs # wide", "sizes of corner relief, # wide"},
}

// reliefDetail returns a relief of part k as a detail, if the stream cannot hold
// it.
func reliefDetail(p *lint.Pass, k int, r *relief) (detail, bool) {
	d := detail{"relief-width", r.at, r.size, p.Job.Jet.Kerf, r.box, int32(k), strokeAt(p, k, r.ring, int32(r.first)), ringIndex(p, k, r.ring), 0, 0}
	if r.round {
		d.kind, d.limit = "relief-radius", p.Job.Jet.Kerf/2
	}
	return d, d.size < d.limit-p.Job.Limits.Curve
}

// reportSizes reports details, those of one kind and size together: at the
// topmost, of those the leftmost.
func reportSizes(p *lint.Pass, ds []detail) {
	slices.SortStableFunc(ds, func(a, b detail) int { return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.size, b.size)) })
	for len(ds) > 0 {
		n := 1
		for n < len(ds) && ds[n].kind == ds[0].kind && ds[n].size-ds[0].size <= p.Job.Limits.Curve {
			n++
		}
		one := ds[:n]
		ds = ds[n:]
		micron := func(v float64) float64 { return math.Round(v * 1e3) }
		slices.SortStableFunc(one, func(a, b detail) int {
			return cmp.Or(cmp.Compare(micron(b.at.Y), micron(a.at.Y)), cmp.Compare(a.at.X, b.at.X))
		})
		first := &one[0]
		text := fmt.Sprintf(detailText[first.kind][0], mm(first.size), mm(first.limit))
		if n > 1 {
			text = fmt.Sprintf("%d "+detailText[first.kind][1], n, mm(first.size), mm(first.limit))
		}
		short := detailFacts[first.kind]
		fact := lint.Fact{One: short[0], Many: short[2], Why: "the stream holds " + mm(first.limit) + " mm"}
		if n > 1 {
			fact.One = fmt.Sprintf("%d %s", n, short[1])
		}
		var strokes []int32
		for i := range one {
			strokes = append(strokes, one[i].stroke)
		}
		f := lint.Finding{
			At: first.at, Box: first.box, Message: text, Fact: fact, Layer: p.LayerOf(first.stroke), Entities: p.EntityIDs(strokes...),
			Part:    p.PartName(first.part),
			Subject: lint.AboutOutline(first.outline),
			Measure: &lint.Measure{Name: first.kind, Value: first.size, Limit: first.limit, Unit: "mm"},
		}
		offerSmooth(p, &f, one)
		p.Report(f)
	}
}

// offerSmooth offers to take details of one size out, those that can be.
func offerSmooth(p *lint.Pass, f *lint.Finding, ds []detail) {
	var fixes []fix.Fix
	for i := range ds {
		d := &ds[i]
		if d.count == 0 {
			return // a relief belongs to its joint
		}
		e := fix.Edit{
			Kind: "smooth-detail", At: d.at, Moved: d.size, Part: p.PartName(d.part), Entities: p.EntityIDs(d.stroke), Note: d.kind + " taken out",
			Ops: repair.Smooth(p.Drawing, &p.Sheet.Outlines[d.outline].Path, d.first, d.count, d.kind == "inside-radius", d.size),
		}
		if len(e.Ops) > 0 {
			fixes = append(fixes, lint.OneFix(fix.Choice, e)...)
		}
	}
	if len(fixes) < len(ds) {
		return // all of them, or none
	}
	what := "the outline runs straight on there"
	switch ds[0].kind {
	case "inside-radius":
		what = plural(len(ds), "its corner is left sharp, and the stream rounds it", "their corners are left sharp, and the stream rounds them")
	case "step":
		what = "the outline comes over by a ramp"
	}
	f.OfferLater("smooth", "take "+plural(len(ds), "it", "them")+" out: "+what, ds[0].size, func() []fix.Fix { return fixes })
	f.Repair = lint.Choice
}
