package kit

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// Thickness is a thickness that a kit was drawn for.
type Thickness struct {
	Width float64 // of the slots, mm; the drawn thickness and whatever play was given
	Depth float64 // of the tabs and fingers, mm: the drawn thickness itself; without any, Width
	Play  float64 // by which its slots are longer than their tabs, mm
	Count int     // joints that say so
}

// widest is the largest slot width that is looked at, mm.
const widest = 40.0

// vote is one joint's word on the thickness.
type vote struct {
	width  float64
	weight int
}

// sameWidth returns how far widths of one thickness may lie apart.
func sameWidth(w float64) float64 { return max(sameWidthLeast, sameWidthShare*w) }

// thicknesses returns the widths the joints agree on, most votes first. A slot
// counts once a tab of its length is there, a notch once another part has one
// of its width, a finger edge by its depth once another part has its mate.
func thicknesses(f *found, o Options) []Thickness {
	votes := slotVotes(f, o, 0.75)
	if len(votes) == 0 { // slots widened by hand, with tabs as they were
		votes = slotVotes(f, o, 0.5)
	}
	notches := notchCuts(f.cuts)
	for i := range notches {
		d := &notches[i]
		if notches.any(d.Length-sameWidthLeast, d.Length+sameWidthLeast, func(c *Joint) bool { return c.Part != d.Part }) {
			votes = append(votes, vote{d.Length, 2})
		}
	}
	for _, m := range fingerPairs(f.edges, o) {
		votes = append(votes, vote{f.edges[m.a].depth(), 2 * min(len(f.edges[m.a].Steps), 8)})
	}
	n := len(votes)
	gaps := byLength(f.cuts)
	for i := range f.tabs {
		if n > 0 { // only where there is nothing better to go by
			break
		}
		if t := &f.tabs[i]; t.Depth <= widest && meetsGap(t, gaps, o) {
			votes = append(votes, vote{t.Depth, 1})
		}
	}
	return thicker(f, modes(votes), o)
}

// meetsGap reports whether another part has a gap for a tab, as deep as that.
func meetsGap(t *Joint, gaps lengths, o Options) bool {
	return gaps.any(t.Length-o.Near, t.Length+o.Snug, func(c *Joint) bool {
		return c.Part != t.Part && math.Abs(c.Depth-t.Depth) <= 0.2
	})
}

// mostThicker is how many times as thick as the thinnest the thickest plates of one kit are
// at most.
const mostThicker = 4.0

// thicker adds the thicknesses of plates whose tabs go into thinner ones: slots of a width
// of their own, with tabs of their length as deep as a thickness that is known, which find
// no slot of that.
func thicker(f *found, known []Thickness, o Options) []Thickness {
	if len(known) == 0 {
		return known
	}
	k := &Kit{Thicknesses: known}
	tabs, slots := byLength(f.tabs), byLength(f.holes)
	var votes []vote
	for i := range f.holes {
		h := &f.holes[i]
		ways := [][2]float64{{h.Width, h.Length}}
		if h.Length < shortSlot*h.Width {
			ways = append(ways, [2]float64{h.Length, h.Width})
		}
		if k.thicknessOf(h.Width) >= 0 || len(ways) > 1 && k.thicknessOf(h.Length) >= 0 {
			continue
		}
		best, width := math.Inf(1), 0.0
		for _, way := range ways {
			w, length := way[0], way[1]
			if w > min(widest, mostThicker*known[0].Width) {
				continue
			}
			tabs.any(length-o.Snug, length+o.Near, func(t *Joint) bool {
				if off := math.Abs(length - t.Length); off < best-1e-9 && t.Part != h.Part && t.Depth < w && k.asFlush(t.Depth) &&
					!slots.any(t.Length-o.Near, t.Length+o.Snug, func(s *Joint) bool { return s.Part != t.Part && k.thicknessOf(s.Width) >= 0 }) {
					best, width = off, w
				}
				return false
			})
		}
		if width > 0 {
			votes = append(votes, vote{width, 2})
		}
	}
	for _, t := range modes(votes) {
		// Tabs that go through a plate as thick bear it out: of half a kit, windows have no slots
		// beside them either.
		deep := 0
		for i := range f.tabs {
			b := &f.tabs[i]
			if t.flush(b.Depth) && slots.any(b.Length-o.Near, b.Length+o.Snug, func(s *Joint) bool { return s.Part != b.Part && k.thicknessOf(s.Width) >= 0 }) {
				deep++
			}
		}
		if t.Count >= fewSlots && (o.Mixed || deep >= fewSlots) {
			known = append(known, t)
		}
	}
	return known
}

// fewSlots is how many slots it takes to say that there are thicker plates.
const fewSlots = 2

// asFlush reports whether a tab of a depth ends about flush with a sheet as thick as slots
// are wide, or a little less.
func (k *Kit) asFlush(d float64) bool {
	return slices.ContainsFunc(k.Thicknesses, func(t Thickness) bool { return t.flush(d) })
}

// flush reports whether sheet of a thickness goes into the slots, and does not rattle much.
func (t *Thickness) flush(d float64) bool {
	return d < t.Width+flushLeast && d > t.Width-max(mostPlay, playShare*t.Width)
}

// slotVotes returns the widths of slots for which another part has a tab of their
// length, at least the share least of their width deep.
func slotVotes(f *found, o Options, least float64) []vote {
	var votes []vote
	tabs := byLength(f.tabs)
	for i := range f.holes {
		h := &f.holes[i]
		if h.Width > widest {
			continue
		}
		if w, ok := shortSlotWidth(h, tabs, o); ok {
			votes = append(votes, vote{w, 2})
			continue
		}
		if h.Length < longer*h.Width {
			continue
		}
		if tabs.any(h.Length-o.Snug, h.Length+o.Near, func(t *Joint) bool {
			return t.Part != h.Part && t.Depth >= least*h.Width && t.Depth < (mostLayers+layerShort)*h.Width
		}) {
			votes = append(votes, vote{h.Width, 2})
		}
	}
	return votes
}

// shortSlotWidth returns the width that a hole about as long as wide has as a slot,
// either way round: some tab must be about as long as one side and as deep as the
// other. So a slot is known again that was made wider than it is long.
func shortSlotWidth(h *Joint, tabs lengths, o Options) (width float64, ok bool) {
	if h.Length >= shortSlot*h.Width {
		return 0, false
	}
	best := math.Inf(1)
	for _, way := range [2][2]float64{{h.Width, h.Length}, {h.Length, h.Width}} {
		w, length := way[0], way[1]
		if w > widest {
			continue
		}
		tabs.any(length-o.Snug, length+o.Near, func(t *Joint) bool {
			if t.Part != h.Part && t.Depth > squareLow*w && t.Depth < squareHigh*w {
				if off := math.Abs(length-t.Length) + math.Abs(w-t.Depth); off < best-1e-9 {
					width, best, ok = w, off, true
				}
			}
			return false
		})
	}
	return width, ok
}

// modes gathers votes that agree and returns their weighted middles.
func modes(votes []vote) []Thickness {
	slices.SortFunc(votes, func(a, b vote) int { return cmp.Compare(a.width, b.width) })
	var out []Thickness
	total := 0
	for i := 0; i < len(votes); {
		j := i + 1
		for j < len(votes) && votes[j].width-votes[j-1].width <= sameWidth(votes[j].width) && votes[j].width-votes[i].width <= 3*sameWidth(votes[i].width) {
			j++
		}
		n := 0
		for _, v := range votes[i:j] {
			n += v.weight
		}
		// The width that most of them have.
		half, mid := 0, votes[i].width
		for _, v := range votes[i:j] {
			if half += v.weight; 2*half >= n {
				mid = v.width
				break
			}
		}
		out = append(out, Thickness{Width: mid, Count: n})
		total += n
		i = j
	}
	slices.SortStableFunc(out, func(a, b Thickness) int { return cmp.Compare(b.Count, a.Count) })
	// One joint that stands alone is odd, no thickness of its own.
	for i := 1; i < len(out); i++ {
		if out[i].Count < 4 || 10*out[i].Count < total {
			out = out[:i]
			break
		}
	}
	for i := range out {
		out[i].Count = (out[i].Count + 1) / 2
	}
	return out
}

// lengths is a list of joints in order of length.
type lengths []Joint

func byLength(js []Joint) lengths {
	l := slices.Clone(js)
	slices.SortStableFunc(l, func(a, b Joint) int { return cmp.Compare(a.Length, b.Length) })
	return l
}

// notchCuts returns the cuts that are deeper than wide, in order of their width.
func notchCuts(cuts []Joint) lengths {
	return byLength(slices.DeleteFunc(slices.Clone(cuts), func(c Joint) bool { return c.Depth < longer*c.Length || c.Length > widest }))
}

// manyTries bounds how many joints of one length are looked at.
const manyTries = 256

// any reports whether a joint of a length from lo to hi meets the test.
func (l lengths) any(lo, hi float64, ok func(*Joint) bool) bool {
	i := sort.Search(len(l), func(i int) bool { return l[i].Length >= lo })
	for tries := 0; i < len(l) && l[i].Length <= hi && tries < manyTries; i, tries = i+1, tries+1 {
		if ok(&l[i]) {
			return true
		}
	}
	return false
}

// depth returns the middle one of the depths of the steps.
func (e *Edge) depth() float64 {
	d := make([]float64, len(e.Steps))
	for i := range d {
		d[i] = e.Steps[i].Depth
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// Design returns the thickness most of the kit was drawn for: the clear mode of
// its slot widths, 0 where there is none.
func (k *Kit) Design() float64 {
	if len(k.Thicknesses) == 0 || k.Guessed {
		return 0
	}
	return k.Thicknesses[0].Width
}

// thicknessOf returns the thickness that a width belongs to: its index, or -1.
func (k *Kit) thicknessOf(w float64) int {
	best, at := math.Inf(1), -1
	for i, t := range k.Thicknesses {
		if d := math.Abs(w - t.Width); d < best && within(w, t.Width, slotWidth, slotWidthShare) {
			best, at = d, i
		}
	}
	return at
}

// nearer reports whether a width belongs to a thickness, and another to none or to
// one further off.
func (k *Kit) nearer(w, other float64) bool {
	t, u := k.thicknessOf(w), k.thicknessOf(other)
	return t >= 0 && (u < 0 || math.Abs(w-k.Thicknesses[t].Width) < math.Abs(other-k.Thicknesses[u].Width)-1e-9)
}

// depths finds how far the tabs for each thickness stand out: the depth that most
// of those have that some slot or mate fits by its length. Where parts are of several
// thicknesses the tabs for a slot are as deep as its own part is thick: then those of other
// slots tell, and where none does the play of the other thicknesses is taken off.
func (k *Kit) depths(f *found, o Options) {
	slots, gaps := byLength(f.holes), byLength(f.cuts)
	paired := fingerPairs(f.edges, o)
	known := make([]bool, len(k.Thicknesses))
	play := -1.0
	for i := range k.Thicknesses {
		t := &k.Thicknesses[i]
		t.Depth = t.Width
		plausible := func(d float64) bool { return d > voteLow*t.Width && d < voteHigh*t.Width }
		var votes, others []vote
		for n := range f.tabs {
			b := &f.tabs[n]
			if !plausible(b.Depth) {
				continue
			}
			lo, hi := k.slotLengths(b.Length, o)
			if slots.any(lo, hi, func(s *Joint) bool {
				return s.Part != b.Part && math.Abs(s.Width-t.Width) <= sameWidth(t.Width)
			}) {
				votes = append(votes, vote{b.Depth, 2})
			} else if meetsGap(b, gaps, o) {
				others = append(others, vote{b.Depth, 1})
			} else if i > 0 && slots.any(lo, hi, func(s *Joint) bool { return s.Part != b.Part && k.thicknessOf(s.Width) >= 0 }) {
				others = append(others, vote{b.Depth, 2})
			}
		}
		for _, m := range paired {
			for _, e := range [2]int{m.a, m.b} {
				if d := f.edges[e].depth(); plausible(d) {
					votes = append(votes, vote{d, len(f.edges[e].Steps)})
				}
			}
		}
		// Of several thicknesses, only what is about as deep as its slots are wide.
		if near := slices.DeleteFunc(append(slices.Clone(votes), others...), func(v vote) bool { return !t.flush(v.width) }); len(near) > 0 && len(k.Thicknesses) > 1 {
			votes = near
		} else if len(votes) == 0 {
			votes = others
		}
		if m := modes(votes); len(m) > 0 {
			t.Depth, known[i] = m[0].Width, true
			if p := t.Width - t.Depth; play < 0 && p >= 0 && p < mostPlay {
				play = p
			}
		}
	}
	for i := range k.Thicknesses {
		if t := &k.Thicknesses[i]; !known[i] && i > 0 && play > 0 && play < playShare*t.Width {
			t.Depth = t.Width - play
		}
	}
}

// slotLengths returns the lengths from which and up to which slots are looked for that
// a tab of a length may go into.
func (k *Kit) slotLengths(tab float64, o Options) (lo, hi float64) {
	if k.Guessed {
		return tab - slack(tab), tab + slack(tab)
	}
	return tab - o.Near, tab + o.Snug
}

// asDeep reports whether a tab of that depth ends about flush with the sheet it
// goes through.
func (k *Kit) asDeep(d float64) bool {
	for _, t := range k.Thicknesses {
		if within(d, t.Depth, flushLeast, flushShare) {
			return true
		}
	}
	return false
}

// PlayOf returns by how much slots of a width are longer than their tabs, mm.
func (k *Kit) PlayOf(w float64) float64 {
	if t := max(0, k.thicknessOf(w)); t < len(k.Thicknesses) {
		return k.Thicknesses[t].Play
	}
	return 0
}

// roughly returns the thickness near which a width lies, as a slot drawn or
// scaled wrongly would, or -1.
func (k *Kit) roughly(w float64) int {
	best, at := math.Inf(1), -1
	for i, t := range k.Thicknesses {
		if r := w / t.Width; r > offLow && r < offHigh && math.Abs(w-t.Width) < best {
			best, at = math.Abs(w-t.Width), i
		}
	}
	return at
}
