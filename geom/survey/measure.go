package survey

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// Shares by which joints are told from other shapes. Experience, no published
// source.
const (
	deepNotch  = 1.2  // a notch is that many times deeper than wide
	thinShare  = 0.12 // of the part: thicker tabs and wider notches are shapes of their own, as in letters
	longSlot   = 1.15 // a slot is that many times longer than wide
	evenFlanks = 0.15 // flanks of a tab differ by less, of the longer
	holeShare  = 0.5  // of the largest outline; larger circles are no holes
	slack      = 1.25 // slots are wider than the sheet by less than that
)

// tally holds sizes as they are met.
type tally struct {
	holes, slots, steps, lengths []float64
	laps                         []float64      // of slots, those that are notches
	rim                          []float64      // of steps, those at the very edge of a part, as fingers of a box are
	lapOn, rimOn                 map[int32]bool // parts
}

// measure fills in the figures from the shapes.
func (s *Survey) measure(shapes []shape) {
	t := &tally{lapOn: map[int32]bool{}, rimOn: map[int32]bool{}}
	largest := 0.0
	for i := range shapes {
		_, long := shapes[i].span()
		largest = max(largest, long)
		if shapes[i].depth >= 0 {
			s.Largest = max(s.Largest, long)
		}
	}
	s.Outlines = len(shapes)
	var windows []*shape
	for i := range shapes {
		sh := &shapes[i]
		for k := range sh.sides {
			t.lengths = append(t.lengths, sh.sides[k].len())
		}
		if !sh.round && max(sh.box.W(), sh.box.H()) < holeShare*largest {
			windows = append(windows, sh) // parts too: where the plate is not closed they are not known to lie in it
		}
		switch {
		case sh.round:
			t.lengths = append(t.lengths, sh.diameter)
			if sh.diameter < holeShare*largest {
				t.holes = append(t.holes, sh.diameter)
			}
		case sh.hole():
			if w, l, ok := sh.rectangle(); ok {
				t.lengths = append(t.lengths, w, l)
				if l >= longSlot*w {
					t.slots = append(t.slots, w)
				}
			}
		case sh.depth >= 0:
			t.edges(int32(i), sh)
		}
	}
	s.Holes, s.Slots, s.Steps = group(t.holes, likeShare), group(t.slots, likeShare), group(t.steps, likeShare)
	s.Lengths = group(t.lengths, weldShare)
	s.Joint = t.joint(s)
	s.Windows = mostWindows(windows)
}

// edges looks for tabs, gaps and notches along the outline of a part: two
// flanks with a bottom or end between them at right angles, and a shoulder
// before and after.
func (t *tally) edges(i int32, s *shape) {
	n := len(s.sides)
	if n < 6 {
		return
	}
	rims := rims{s: s}
	for k := range s.sides {
		before, f1, top, f2, after := &s.sides[(k+n-1)%n], &s.sides[k], &s.sides[(k+1)%n], &s.sides[(k+2)%n], &s.sides[(k+3)%n]
		out := 1.0 // a tab turns left at its end
		if f1.turn < 0 {
			out = -1
		}
		if !square(f1.turn, out) || !square(top.turn, out) || !square(before.turn, -out) || !square(f2.turn, -out) {
			continue
		}
		// From the end or bottom to the shoulders.
		d1, d2 := math.Abs(top.off(before.b)), math.Abs(top.off(after.a))
		depth, width := min(d1, d2), across(f1, f2)
		if max(d1, d2)-depth > evenFlanks*max(d1, d2) && depth < width {
			continue
		}
		lap := out < 0 && depth >= deepNotch*width
		if thick := min(width, depth); thick > thinShare*s.box.Diagonal() {
			continue
		}
		if lap {
			t.slots, t.laps = append(t.slots, width), append(t.laps, width)
			t.lapOn[i] = true
			continue
		}
		t.steps = append(t.steps, depth)
		if out > 0 && rims.has(top, likeShare*depth) || out < 0 && rims.has(before, likeShare*depth) {
			t.rim = append(t.rim, depth)
			t.rimOn[i] = true
		}
	}
}

// rims knows how far a shape reaches to the right of sides, by their direction.
type rims struct {
	s     *shape
	known []rim
}

type rim struct {
	u     geom.Point
	least float64 // of the distances to the left of a line in direction u through 0, 0
}

// mostRims bounds the directions that are looked at: boxes have four.
const mostRims = 16

// has reports whether a side lies along the very edge of the shape, to within
// tol.
func (r *rims) has(sd *side, tol float64) bool {
	for _, k := range r.known {
		if k.u.Dot(sd.u) > 1-1e-6 {
			return k.u.Cross(sd.a.Mid(sd.b)) <= k.least+tol
		}
	}
	if len(r.known) >= mostRims {
		return false
	}
	k := rim{sd.u, math.Inf(1)}
	for _, p := range r.s.pts {
		k.least = min(k.least, k.u.Cross(p))
	}
	r.known = append(r.known, k)
	return k.u.Cross(sd.a.Mid(sd.b)) <= k.least+tol
}

// group gathers sizes that differ by less than share, of the least of them;
// each group has its middle value.
func group(v []float64, share float64) []Size {
	slices.Sort(v)
	var out []Size
	for i := 0; i < len(v); {
		j := i
		for j < len(v) && v[j] <= v[i]*(1+share) {
			j++
		}
		if v[i] > 0 {
			out = append(out, Size{v[i+(j-i)/2], j - i})
		}
		i = j
	}
	return out
}

// within counts sizes from lo to hi.
func within(sizes []Size, lo, hi float64) (n int) {
	for _, s := range sizes {
		if s.Value >= lo && s.Value <= hi {
			n += s.Count
		}
	}
	return n
}

// Numbers from which joints are sure.
const (
	sureEach    = 2  // slots, and tabs that are as deep as those are wide
	sureLaps    = 4  // notches of one width, on two parts or more
	sureFingers = 12 // tabs and gaps of one depth at the edges of three parts or more
	someSlots   = 4  // slots of one width without a tab: likely
)

// joint finds the thickness that most joints agree on.
func (t *tally) joint(s *Survey) Joint {
	best := Joint{}
	better := func(j Joint) {
		if j.Sure && !best.Sure || j.Sure == best.Sure && j.Count > best.Count {
			best = j
		}
	}
	for _, d := range s.Steps {
		lo, hi := d.Value*(1-evenFlanks/2), d.Value*slack
		steps, slots := within(s.Steps, d.Value*(1-likeShare), d.Value*(1+likeShare)), within(s.Slots, lo, hi)
		if slots >= sureEach && steps >= sureEach {
			better(Joint{d.Value, min(slots, steps), true})
		}
	}
	for _, d := range group(t.rim, likeShare) {
		if d.Count >= sureFingers && len(t.rimOn) >= 3 {
			better(Joint{d.Value, d.Count / 2, true})
		}
	}
	for _, w := range group(t.laps, likeShare) {
		if w.Count >= sureLaps && len(t.lapOn) >= 2 {
			better(Joint{w.Value, w.Count / 2, true})
		}
	}
	for _, w := range s.Slots {
		if w.Count >= someSlots {
			better(Joint{w.Value, w.Count, false})
		}
	}
	return best
}

// fewestWindows is the least number of equal openings that count as a field of
// windows.
const fewestWindows = 6

// mostWindows finds the openings that there are most of, and how far apart they
// are.
func mostWindows(windows []*shape) Windows {
	type sized struct {
		short, long float64
		at          geom.Point
	}
	all := make([]sized, 0, len(windows))
	for _, w := range windows {
		a, b := w.span()
		all = append(all, sized{a, b, w.box.Center()})
	}
	slices.SortFunc(all, func(a, b sized) int {
		return cmp.Or(cmp.Compare(a.short, b.short), cmp.Compare(a.long, b.long), cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y))
	})
	var most []sized
	for i := 0; i < len(all); {
		j := i
		for j < len(all) && all[j].short <= all[i].short*(1+likeShare) {
			j++
		}
		if run := all[i:j]; len(run) > len(most) {
			most = run
		}
		i = j
	}
	if len(most) < fewestWindows {
		return Windows{}
	}
	at := make([]geom.Point, len(most))
	long := make([]float64, len(most))
	for i := range most {
		at[i], long[i] = most[i].at, most[i].long
	}
	slices.Sort(long)
	mid := most[len(most)/2]
	return Windows{Short: mid.short, Long: long[len(long)/2], Count: len(most), Pitch: pitch(at, mid.short)}
}

// pitchSizes is how many sizes a neighbour may be off to count as one.
const pitchSizes = 8

// pitch returns the middle distance from a point to its nearest neighbour;
// points farther off than eight sizes have none.
func pitch(at []geom.Point, size float64) float64 {
	boxes := make([]geom.Box, len(at))
	for i, p := range at {
		boxes[i] = geom.BoxOf(p)
	}
	t := index.NewTree(boxes)
	var d []float64
	for i, p := range at {
		t.ByDistance(p, func(j int32, dist float64) bool {
			if int(j) == i {
				return true
			}
			if dist <= pitchSizes*size {
				d = append(d, dist)
			}
			return false
		})
	}
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[len(d)/2]
}
