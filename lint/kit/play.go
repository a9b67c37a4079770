package kit

import (
	"cmp"
	"math"
	"slices"
)

// Play is what a slot leaves around its tab, mm; below 0 it does not go in.
type Play struct {
	Slot   int     // index in Joints
	Across float64 // over the sheet as thick as it is named
	Along  float64 // over the length of the tab
	Off    bool    // the length is out of the band of the kit, or much longer than its tab
}

// longPlay is by how much the play along a joint may exceed the clearance that slots
// are given, mm (a judgement, no source): beyond it a part shifts visibly.
const longPlay = 0.5

// Plays returns the play of each slot that has a tab. Slots and tabs that have each
// other are taken by their lengths, the shortest with the shortest, since which of
// nearly equal ones goes with which is open.
func (k *Kit) Plays(sheets *Sheets) []Play {
	var slots, tabs []int
	for _, p := range k.Pairs {
		if p.JointA >= 0 && p.JointB >= 0 && k.Joints[p.JointA].Kind == Tab && k.Joints[p.JointB].Kind == Slot {
			slots, tabs = append(slots, p.JointB), append(tabs, p.JointA)
		}
	}
	byLength := func(a, b int) int { return cmp.Compare(k.Joints[a].Length, k.Joints[b].Length) }
	slices.SortStableFunc(slots, byLength)
	slices.SortStableFunc(tabs, byLength)
	near := DefaultOptions().Near
	var out []Play
	for i, n := range slots {
		s := &k.Joints[n]
		t := sheets.Through(k, n)
		p := Play{Slot: n, Across: s.Width - t.Thickness, Along: s.Length - k.Joints[tabs[i]].Length}
		p.Off = math.Abs(p.Along-k.PlayOf(s.Width)) > near || p.Along > t.Clearance+longPlay
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b Play) int { return cmp.Compare(a.Slot, b.Slot) })
	return out
}
