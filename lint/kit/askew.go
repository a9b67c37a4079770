package kit

import (
	"maps"
	"math"
	"slices"
)

// Angles of plates that are held by slots: from leastAngle degrees on, for which a slot is 3.2
// times as wide as the sheet is thick (common practice, no source: flatter plates are not
// held by slots, and wider holes are windows).
const leastAngle = 35.0

// Slanted reads a kit anew with slots and notches that are too wide for plates square to them
// taken for those of plates at other angles: a slot is such a one where a tab of its length
// is there, a notch where another part has one as wide. They, and tabs of their length that
// are no joints by their depth, are listed in Askew, and no longer say how thick the sheet
// is. It returns nil where there is none; k itself stays as it is. Which of them meet shows
// where the parts stand (Settled).
func (k *Kit) Slanted(o Options) *Kit {
	if !k.wide || k.Guessed || k.headed {
		return nil
	}
	f := look(k.Sheet, o, false)
	base, ok := k.flushest(f, o)
	if !ok {
		return nil
	}
	widest := base.Width / math.Tan(leastAngle*math.Pi/360) // of plates that cross at the least angle
	wide := func(w float64) bool {
		return !within(w, base.Width, slotWidth, slotWidthShare) && w > base.Width && w <= widest
	}
	tabs := byLength(slices.DeleteFunc(slices.Clone(f.tabs), func(t Joint) bool { return t.Depth < throughLow*base.Depth || t.Depth > widest }))
	var askew []Joint
	f.holes = slices.DeleteFunc(f.holes, func(h Joint) bool {
		for range 2 {
			if wide(h.Width) && !(o.Mixed && k.thicknessOf(h.Width) >= 0) && h.Length >= base.Width && tabs.any(h.Length-o.Snug, h.Length+o.Near, func(t *Joint) bool { return t.Part != h.Part }) {
				askew = append(askew, h)
				return true
			}
			h = turned(k.Sheet, h)
		}
		return false
	})
	deep := func(c *Joint) bool { return wide(c.Length) && c.Depth >= longer*base.Width && !(o.Mixed && k.lap(c)) }
	cuts := byLength(slices.DeleteFunc(slices.Clone(f.cuts), func(c Joint) bool { return !deep(&c) }))
	f.cuts = slices.DeleteFunc(f.cuts, func(c Joint) bool {
		if !deep(&c) || !cuts.any(c.Length-o.Near, c.Length+o.Near, func(d *Joint) bool { return d.Part != c.Part }) {
			return false
		}
		c.Kind, c.Width, c.Length = Notch, c.Length, c.Depth
		c.Dir = c.Out
		askew = append(askew, c)
		return true
	})
	if len(askew) == 0 {
		return nil
	}
	holes := byLength(slices.DeleteFunc(slices.Clone(askew), func(j Joint) bool { return j.Kind != Slot }))
	all := slices.Clone(f.tabs)
	f.askew = askew
	a := find(k.Sheet, f, o)
	if len(a.Thicknesses) == 0 || a.Guessed || !within(a.Thicknesses[0].Width, base.Width, slotWidth, slotWidthShare) {
		return nil
	}
	for _, t := range all {
		same := func(j Joint) bool { return j.Kind == Tab && j.Outline == t.Outline && j.bottom == t.bottom }
		if t.Depth < throughLow*base.Depth || t.Depth > widest || slices.ContainsFunc(a.Joints, same) ||
			!holes.any(t.Length-o.Near, t.Length+o.Snug, func(h *Joint) bool { return h.Part != t.Part }) {
			continue
		}
		a.Idle = slices.DeleteFunc(a.Idle, same)
		t.Edge = -1
		askew = append(askew, t)
	}
	a.Askew = askew
	a.behindOf(a.Askew)
	return a
}

// hasWide reports whether there are holes or cuts between the widths of the least and of what
// the greatest thickness needs at the least angle.
func (k *Kit) hasWide(f *found) bool {
	least, most := math.Inf(1), 0.0
	for _, t := range k.Thicknesses {
		least, most = min(least, t.Width), max(most, t.Width)
	}
	most /= math.Tan(leastAngle * math.Pi / 360)
	wide := func(w float64) bool { return w > least+slotWidth && w <= most }
	return slices.ContainsFunc(f.holes, func(h Joint) bool { return wide(h.Width) || wide(h.Length) }) ||
		slices.ContainsFunc(f.cuts, func(c Joint) bool { return wide(c.Length) && c.Depth >= longer*least })
}

// flushest returns the thickness for which most tabs end flush with the sheet that they go
// through square.
func (k *Kit) flushest(f *found, o Options) (best Thickness, ok bool) {
	slots := byLength(f.holes)
	most := 0
	for _, t := range k.Thicknesses {
		n := 0
		for i := range f.tabs {
			b := &f.tabs[i]
			if t.flush(b.Depth) && slots.any(b.Length-o.Near, b.Length+o.Snug, func(s *Joint) bool {
				return s.Part != b.Part && within(s.Width, t.Width, slotWidth, slotWidthShare)
			}) {
				n++
			}
		}
		if n > most {
			best, most, ok = t, n, true
		}
	}
	return best, ok
}

// Joint returns joint i of Joints and, counted on, of Askew.
func (k *Kit) Joint(i int) *Joint {
	if i < len(k.Joints) {
		return &k.Joints[i]
	}
	return &k.Askew[i-len(k.Joints)]
}

// Settled returns the kit with what of Askew meets at an angle among its joints, and nothing
// left in Askew. angles are in degrees, by joint; joints count on from Joints to Askew, in
// the pairs too. Those that are in no pair are told to lack a mate.
func (k *Kit) Settled(angles map[int]float64, pairs []Pair) *Kit {
	out := *k
	out.Joints, out.Askew = slices.Clone(k.Joints), nil
	to := map[int]int{}
	for _, i := range slices.Sorted(maps.Keys(angles)) {
		to[i] = i
		if i >= len(k.Joints) {
			to[i] = len(out.Joints)
			out.Joints = append(out.Joints, k.Askew[i-len(k.Joints)])
		}
		out.Joints[to[i]].Angle = angles[i]
	}
	out.matcher = k.matcher.grown(&out, len(k.Joints))
	met := map[int]bool{}
	for _, p := range pairs {
		for _, i := range []int{to[p.JointA], to[p.JointB]} {
			met[i], out.matcher.taken[i] = true, true
		}
	}
	out.Pairs = slices.DeleteFunc(slices.Clone(k.Pairs), func(p Pair) bool {
		return p.JointA >= 0 && (met[p.JointA] || met[p.JointB])
	})
	for _, p := range pairs {
		p.JointA, p.JointB = to[p.JointA], to[p.JointB]
		p.EdgeA, p.EdgeB = -1, -1
		out.Pairs = append(out.Pairs, p)
	}
	out.Unmatched = slices.DeleteFunc(slices.Clone(k.Unmatched), func(u Unmatched) bool { return u.Joint >= 0 && met[u.Joint] })
	for i := len(k.Joints); i < len(out.Joints); i++ {
		if j := &out.Joints[i]; !met[i] {
			out.Unmatched = append(out.Unmatched, Unmatched{Joint: i, Edge: -1, Part: j.Part, At: j.At, Length: j.Length, Certainty: fewerMates, Nearest: -1})
		}
	}
	for i := range out.Unmatched {
		out.Unmatched[i].Piece = 0
	}
	out.matcher.tell()
	return &out
}
