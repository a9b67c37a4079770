package rules

import (
	"fmt"
	"slices"
	"sync"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/outline"
	"sluice/lint"
)

var narrowSlot = &lint.Rule{
	ID:       "narrow-slot",
	Brought:  lint.BroughtWorse,
	Severity: lint.Error,
	Repair:   lint.Choice,
	Choices:  []string{"widen", "etch", "drop"},
	Doc: lint.Doc{
		Title:      "Slot narrower than the kerf",
		What:       "A closed slot, a notch or the gap between two teeth that is narrower than the stream: one finding for each slot, at the middle of its narrow run. A long hole more than twice as long as wide counts as a slot.",
		Why:        "The stream cannot cut narrower than itself. Set off to the waste side the two walls of the slot overlap, so the controller drops the cut, or cuts it and takes material from both walls.",
		Bad:        "A notch 0.6 mm wide and 8 mm deep under a jet of 1.0 mm.",
		Good:       "A notch 1.0 mm wide; a sharp inside corner, which the stream merely rounds.",
		Exceptions: "Gaps between different parts are close parts; holes hardly longer than wide are small holes; reliefs in the corners of slots and at the feet of tabs are fine details.",
		Limit:      "[jet] kerf.",
		Fix:        "Widen the slot about its centre line to the kerf and the [fit] clearance ([repair] narrow_slot = \"widen\", --widen), or take it out and etch its centre line (\"etch\"). By an answer a single slot is widened, a closed one to what can be pierced, etched, or left out: a notch is closed across its mouth.",
		Reason:     "Asked for: it changes the shape.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		kerf := p.Job.Jet.Kerf
		mender := slotMender{pass: p}
		edges := sync.OnceValue(p.Sheet.HoleEdges)
		for k := range p.Sheet.Parts {
			runs, err := clear.Narrows(p.Ctx, p.Rings(k), clear.Waste, kerf)
			if err != nil {
				return
			}
			var opened reliefs
			if len(runs) > 0 {
				opened = partReliefs(p, k)
			}
			var told []clear.Narrow
			var found []lint.Finding
			for i := range runs {
				n := &runs[i]
				if p.NearCrossing(n.At, 2*kerf) {
					continue // that the outlines cross there is worse, and told
				}
				if p.NearGap(n.At, p.Job.Limits.Same) {
					continue // open-outline tells that the ends do not meet there
				}
				if onHoleEdge(edges, n, p.Job.Limits.Same) {
					continue
				}
				if n.RingA > 0 && n.Whole && !long(n) {
					continue // small-hole tells it
				}
				if opened.holds(n) {
					continue // fine-detail tells it
				}
				if opened.along(n) {
					n.Width = n.A.Dist(n.B) // of the slot itself, not of its reliefs
				}
				told = append(told, *n)
				found = append(found, lint.Finding{
					At: n.At, Box: n.Box,
					Message:  fmt.Sprintf("slot %s mm wide, narrower than the %s mm kerf", mm(n.Width), mm(kerf)),
					Fact:     lint.Fact{One: "slot # wide", Many: "slots # wide", Why: "below the " + mm(kerf) + " mm kerf"},
					Layer:    layerAt(p, k, n.RingA, n.PieceA),
					Entities: p.EntityIDs(strokeAt(p, k, n.RingA, n.PieceA), strokeAt(p, k, n.RingB, n.PieceB)),
					Part:     p.PartName(int32(k)),
					Subject:  lint.AboutOutline(ringIndex(p, k, n.RingA)),
					Measure:  &lint.Measure{Name: "width", Value: n.Width, Limit: kerf, Unit: "mm"},
				})
			}
			mender.attach(k, told, found)
			mender.offer(k, told, found)
			for _, f := range found {
				p.Report(f)
			}
		}
	},
}

// onHoleEdge reports whether what is no wider than rounding lies on an edge that
// two holes have in common: there is nothing but waste on both sides.
func onHoleEdge(edges func() geom.Path, n *clear.Narrow, same float64) bool {
	return n.Width <= same && slices.ContainsFunc([]geom.Point{n.At, n.A, n.B}, func(q geom.Point) bool {
		return slices.ContainsFunc(edges(), func(e geom.Piece) bool { return e.Dist(q) <= same })
	})
}

// slotMender adds the repairs that the job asks for to findings of slots.
type slotMender struct {
	pass *lint.Pass
	uses *fit.Uses
}

// attach adds repairs to the findings of part k. Those of one
// outline land together.
func (m *slotMender) attach(k int, slots []clear.Narrow, found []lint.Finding) {
	how := m.pass.Job.Repair.NarrowSlot
	if len(slots) == 0 || how != "widen" && how != "etch" {
		return
	}
	if m.uses == nil {
		m.uses = fit.UsesOf(m.pass.Sheet)
	}
	told := func(i int, e fix.Edit) fix.Edit {
		e.Rule, e.Part, e.Entities = "narrow-slot", found[i].Part, found[i].Entities
		return e
	}
	byRing := map[int32][]int{}
	for i := range slots {
		byRing[slots[i].RingA] = append(byRing[slots[i].RingA], i)
	}
	for ring, list := range byRing {
		o := ringOutline(m.pass, k, ring)
		here := make([]clear.Narrow, len(list))
		for n, i := range list {
			here[n] = slots[i]
		}
		var edits []fix.Edit
		var done []bool
		if how == "etch" {
			edits, done = repair.EtchSlots(m.pass.Drawing, o, here, m.uses)
		} else {
			edits, done = repair.WidenSlots(m.pass.Drawing, o, here, m.pass.Job.Jet.Kerf+m.pass.Job.Fit.Gap(), m.uses)
		}
		first := -1
		for n, i := range list {
			if !done[n] {
				continue
			}
			if first < 0 {
				first = i
				found[i].Fixes = []fix.Fix{{Safety: fix.Choice}}
			}
			f := &found[first].Fixes[0]
			f.Edits = append(f.Edits, told(i, edits[len(f.Edits)]))
		}
	}
}

// offer offers the ways in which a person may have a single slot settled.
func (m *slotMender) offer(k int, slots []clear.Narrow, found []lint.Finding) {
	if len(slots) == 0 {
		return
	}
	if m.uses == nil {
		m.uses = fit.UsesOf(m.pass.Sheet)
	}
	width := m.pass.Job.Jet.Kerf + m.pass.Job.Fit.Gap()
	near := newBeside(m.pass, k)
	for i := range slots {
		n, f := &slots[i], &found[i]
		o := ringOutline(m.pass, k, n.RingA)
		told := func(e fix.Edit) fix.Edit {
			e.Rule, e.Part, e.Entities = "narrow-slot", f.Part, f.Entities
			return e
		}
		whole := n.Whole && n.RingA > 0
		to := width
		if whole { // the stream has to pierce in it
			to = max(width, m.pass.Job.HoleLimit()+widenMore)
		}
		if e, ok := repair.WidenSlot(m.pass.Drawing, o, n, to, m.uses); ok {
			e = told(e)
			f.Offer("widen", fmt.Sprintf("widen it from %s to %s mm", mm(n.Width), mm(to)), e)
			near.mind(&f.Choices[len(f.Choices)-1], n.RingA, &e)
		}
		if e, ok := repair.EtchSlot(m.pass.Drawing, o, n, m.uses); ok {
			f.Offer("etch", "etch its middle line, and cut no slot", told(e))
		}
		if whole {
			offerOutline(m.pass, f, "drop", "leave it out: the material stays whole there", o)
		} else if e, ok := repair.DropNotch(m.pass.Drawing, o, n, m.uses); ok {
			f.Offer("drop", "leave it out: the outline runs straight on across its mouth", told(e))
		}
	}
}

// ringIndex returns the index of the outline behind ring r of part k.
func ringIndex(p *lint.Pass, k int, r int32) int32 {
	part := &p.Sheet.Parts[k]
	if r == 0 {
		return part.Outer
	}
	return part.Holes[r-1]
}

// ringOutline returns the outline behind ring r of part k.
func ringOutline(p *lint.Pass, k int, r int32) *outline.Outline {
	return &p.Sheet.Outlines[ringIndex(p, k, r)]
}

func strokeAt(p *lint.Pass, k int, ring, piece int32) int32 {
	o := ringOutline(p, k, ring)
	if piece < 0 || int(piece) >= len(o.Src) {
		return -1
	}
	return o.Src[piece]
}

func layerAt(p *lint.Pass, k int, ring, piece int32) string {
	return p.LayerOf(strokeAt(p, k, ring, piece))
}

// long reports whether a narrow run is a slot rather than a small hole: more
// than twice as long as wide.
func long(n *clear.Narrow) bool { return n.Length > 2*n.Width }
