package kit

import (
	"cmp"
	"math"
	"slices"
)

// plates finds how thick the sheet is that each part is cut from, as its joints say: a
// tab is as thick as the slot is wide that it goes into, and stands out as far as the part
// with the slot is thick; a notch is as wide as the part is thick that it crosses; fingers
// are as deep as the part is thick that they meet. A kit of one thickness needs none of
// it: all its parts are as thick as its tabs are deep. Tabs that stand out beyond their
// slots say nothing of a thickness that no slot, notch or finger is drawn for, unless it
// is known that there are several.
func (k *Kit) plates(o Options) {
	n := len(k.Sheet.Parts)
	k.thick = make([]float64, n)
	main := k.Thicknesses[0].Depth
	votes := make([][]vote, n)
	decks := map[int]int{} // by tab: slots it goes through
	for i := range k.Pairs {
		if a := k.Pairs[i].JointA; a >= 0 {
			decks[a]++
		}
	}
	for i := range k.Pairs {
		k.pairVotes(&k.Pairs[i], decks, func(part int32, t float64, weight int) {
			votes[part] = append(votes[part], vote{t, weight})
		})
	}
	for p := range votes {
		k.thick[p] = main
		if t := agreed(votes[p]); t > 0 && !within(t, main, slotWidth, flushShare) && (o.Mixed || k.asDeep(t)) {
			k.thick[p] = t
			k.mixed = true
		}
	}
}

// pairVotes tells what a pair of joints says of the thickness of its parts; decks is
// through how many slots each tab goes.
func (k *Kit) pairVotes(p *Pair, decks map[int]int, tell func(part int32, t float64, weight int)) {
	if p.JointA < 0 || p.JointB < 0 {
		if p.EdgeA >= 0 && p.EdgeB >= 0 {
			tell(p.PartA, k.Edges[p.EdgeB].Depth, 2)
			tell(p.PartB, k.Edges[p.EdgeA].Depth, 2)
		}
		return
	}
	a, b := &k.Joints[p.JointA], &k.Joints[p.JointB]
	switch {
	case a.Kind == Notch && b.Kind == Notch:
		tell(a.Part, k.SheetFor(b.Width), 2)
		tell(b.Part, k.SheetFor(a.Width), 2)
	case b.Kind == Slot:
		tell(a.Part, k.SheetFor(b.Width), 3)
		tell(b.Part, a.Depth/float64(decks[p.JointA]), 1)
	}
}

// SheetFor returns how thick the sheet is that goes into a slot or notch of a width.
func (k *Kit) SheetFor(width float64) float64 {
	t := k.thicknessOf(width)
	if t < 0 {
		t = max(0, k.roughly(width))
	}
	return k.Thicknesses[t].Depth
}

// agreed returns the thickness that votes agree on: the value of most weight within the
// width of one thickness, 0 without votes or where the best has no more than half.
func agreed(votes []vote) float64 {
	slices.SortFunc(votes, func(a, b vote) int { return cmp.Compare(a.width, b.width) })
	total, most, best := 0, 0, 0.0
	for i := range votes {
		total += votes[i].weight
		n := 0
		for k := i; k < len(votes) && votes[k].width-votes[i].width <= max(flushLeast, flushShare*votes[i].width); k++ {
			n += votes[k].weight
		}
		if n > most {
			most, best = n, votes[i].width
		}
	}
	if 2*most <= total {
		return 0
	}
	return best
}

// Mixed reports whether the parts are of several thicknesses.
func (k *Kit) Mixed() bool { return k.mixed }

// PlateOf returns how thick the sheet is that a part (index in Sheet.Parts) was drawn for,
// mm; 0 where there is no kit.
func (k *Kit) PlateOf(part int32) float64 {
	if int(part) >= len(k.thick) {
		if len(k.Thicknesses) > 0 {
			return k.Thicknesses[0].Depth
		}
		return 0
	}
	return k.thick[part]
}

// Plates returns the thicknesses that the parts with joints were drawn for, mm, that of
// most parts first.
func (k *Kit) Plates() []float64 {
	type many struct {
		t float64
		n int
	}
	var all []many
	with := map[int32]bool{}
	for i := range k.Joints {
		with[k.Joints[i].Part] = true
	}
	for p := range k.Sheet.Parts {
		if !with[int32(p)] {
			continue
		}
		t := k.PlateOf(int32(p))
		at := slices.IndexFunc(all, func(m many) bool { return math.Abs(m.t-t) <= max(flushLeast, flushShare*t) })
		if at < 0 {
			at, all = len(all), append(all, many{t: t})
		}
		all[at].n++
	}
	slices.SortStableFunc(all, func(a, b many) int { return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.t, b.t)) })
	var out []float64
	for _, m := range all {
		out = append(out, m.t)
	}
	return out
}
