package kit

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/outline"
)

// Kit is what was found on the parts of a sheet.
type Kit struct {
	Sheet       *outline.Sheet
	Thicknesses []Thickness // what it was drawn for, most joints first
	Joints      []Joint     // by part, then by place from the top down
	Idle        []Joint     // what looks like a joint and is none by its length: it may be part of one
	Askew       []Joint     // what may be joints of plates that meet at other angles than square (Kit.Slanted)
	TSlots      []TSlot     // slots for bolts with a pocket for the nut
	Edges       []Edge      // edges with tabs, gaps or fingers
	Pairs       []Pair      // joints that were matched
	Unmatched   []Unmatched // joints that were not
	Missing     []Missing   // pieces that the unmatched joints ask for
	Odd         []int       // slots and notches (indices in Joints) off the thickness the rest agree on
	Whole       bool        // the joints are matched often enough to believe in the rest
	slotLike    int         // rectangular holes with the measures of a slot
	thick       []float64   // by part: how thick its sheet is, as its joints say, mm
	mixed       bool        // the parts are of several thicknesses
	wide        bool        // some slot or notch is too wide for what meets it square
	headed      bool        // half circles are taken for heads of tabs and ends of slots
	matcher     *matcher    // what matched the joints
	middle      geom.Point  // of the parts with joints
	Guessed     bool        // no joint fits any other: Thicknesses is a guess from joints that may have been meant for each other
}

// Pair is two joints that meet, or two finger edges.
type Pair struct {
	PartA, PartB   int32
	JointA, JointB int // indices in Joints; -1 for finger edges
	EdgeA, EdgeB   int // indices in Edges; -1 for slots and notches
	Certainty      float64
}

// Unmatched is a joint without a mate.
type Unmatched struct {
	Joint     int // index in Joints, or -1
	Edge      int // index in Edges of a finger edge, or -1
	Part      int32
	At        geom.Point
	Length    float64 // mm
	Partner   int     // number of the part it most likely belongs with, 0 if none is likely
	Certainty float64 // that a mate is wanting, 0 to 1
	None      bool    // no mate of its length at all, rather than too few
	Nearest   int     // index in Joints of what comes nearest to a mate of its length, -1 if nothing does
	Piece     int     // index in Kit.Missing of the piece that would meet it, -1 if it is drawn wrong rather than missing
}

// Find looks for joints on the parts of a sheet, whose numbers must have been
// given (Sheet.Number), and matches them.
func Find(s *outline.Sheet, o Options) *Kit {
	plain := look(s, o, false)
	k := find(s, plain, o)
	if !plain.headed {
		return k
	}
	f := look(s, o, true)
	before := find(s, f, o)
	before.headed = true
	best := k
	for _, h := range []*Kit{before, withRounds(s, f, before, o)} {
		if h != nil && h.roundsMet(best) {
			best = h
		}
	}
	return best
}

// withRounds makes a kit with holes with round ends for slots, nil where none may be one.
func withRounds(s *outline.Sheet, f *found, before *Kit, o Options) *Kit {
	with := f.rounded(before, o)
	if with == nil {
		return nil
	}
	k := find(s, with, o)
	k.headed = true
	return k
}

// find makes a kit of what was found on the parts.
func find(s *outline.Sheet, f *found, o Options) *Kit {
	f.holes = slices.Clone(f.holes)
	k := &Kit{Sheet: s, Thicknesses: thicknesses(f, o), TSlots: f.tslots}
	if len(k.Thicknesses) == 0 {
		k.Thicknesses, k.Guessed = guesses(f, o), true
	}
	if len(k.Thicknesses) == 0 {
		return k
	}
	for i := range f.holes {
		if slotLike(&f.holes[i]) {
			k.slotLike++
		}
	}
	k.turnHoles(f)
	k.wide = k.hasWide(f)
	k.depths(f, o)
	k.gather(f, o)
	k.centre()
	m := newMatcher(k, o)
	k.matcher = m
	m.fingers()
	m.settle()
	m.slots()
	m.odd()
	m.laps()
	k.plates(o)
	m.judge()
	if k.Guessed && len(k.Unmatched) == 0 {
		return &Kit{Sheet: s} // no kit
	}
	return k
}

// turnHoles gives holes about as long as wide the width that is a thickness.
func (k *Kit) turnHoles(f *found) {
	for i := range f.holes {
		h := &f.holes[i]
		if (h.Length < shortSlot*h.Width || k.roughly(h.Width) < 0) && k.nearer(h.Length, h.Width) {
			*h = turned(k.Sheet, *h)
		}
	}
}

// gather keeps what can be a joint for the kit's thicknesses.
func (k *Kit) gather(f *found, o Options) {
	tabs := byLength(f.tabs)
	for _, h := range f.holes {
		switch {
		case k.thicknessOf(h.Width) >= 0:
		case k.roughly(h.Width) >= 0 && h.Length >= longSlot*h.Width && tabs.any(h.Length-o.Snug, h.Length+o.Near, func(t *Joint) bool {
			return t.Part != h.Part && k.roughly(t.Depth) >= 0
		}):
		default:
			continue
		}
		k.Joints = append(k.Joints, h)
	}
	for _, c := range f.cuts {
		if k.lap(&c) {
			c.Kind, c.Width, c.Length = Notch, c.Length, c.Depth
			c.Dir = c.Out
			k.Joints = append(k.Joints, c)
		}
	}
	k.keepEdges(f, o)
	k.sortJoints()
	k.behind()
}

// lap reports whether a cut is a notch for another sheet: as wide as that is
// thick, and deeper than wide.
func (k *Kit) lap(c *Joint) bool {
	return c.Depth >= longer*c.Length && k.thicknessOf(c.Length) >= 0
}

// flank names a side of an outline.
type flank struct {
	out  int32
	side int
}

// keepEdges keeps the steps that are about as deep as the sheet is thick, and the
// tabs and gaps between them.
func (k *Kit) keepEdges(f *found, o Options) {
	at := map[flank]int{}
	notch := map[flank]bool{}
	for _, c := range f.cuts {
		if k.lap(&c) {
			notch[flank{c.Outline, c.walls[0]}], notch[flank{c.Outline, c.walls[1]}] = true, true
		}
	}
	for i := range f.askew {
		if c := &f.askew[i]; c.Kind == Notch {
			notch[flank{c.Outline, c.walls[0]}], notch[flank{c.Outline, c.walls[1]}] = true, true
		}
	}
	deep := k.stackFlanks(f, o)
	for _, r := range f.edges {
		var steps []Step
		for _, s := range r.Steps {
			at := flank{r.Outline, s.side}
			if (k.nearStep(s.Depth) || deep[at]) && !notch[at] {
				steps = append(steps, s)
			}
		}
		// Where some steps are just as deep as the sheet is thick, others are walls
		// that happen to stand there.
		exact := slices.DeleteFunc(slices.Clone(steps), func(s Step) bool { return !k.asDeep(s.Depth) && !deep[flank{r.Outline, s.side}] })
		if len(exact) > 0 {
			steps = exact
		}
		if len(steps) == 0 {
			continue
		}
		r.Steps = steps
		r.Depth = r.depth()
		for _, s := range steps {
			at[flank{r.Outline, s.side}] = len(k.Edges)
		}
		k.Edges = append(k.Edges, r)
	}
	for _, list := range [2][]Joint{f.tabs, f.cuts} {
		for _, j := range list {
			if j.Kind == Gap && k.lap(&j) {
				continue
			}
			e, ok := at[flank{j.Outline, j.walls[0]}]
			e2, ok2 := at[flank{j.Outline, j.walls[1]}]
			if !ok || !ok2 || e != e2 {
				continue
			}
			j.Edge = e
			k.Joints = append(k.Joints, j)
		}
	}
}

// nearStep reports whether a step is about as deep as a thickness: a tab may
// stand out further than through.
func (k *Kit) nearStep(d float64) bool {
	for _, t := range k.Thicknesses {
		if d > stepLow*t.Depth && d < stepHigh*t.Depth {
			return true
		}
	}
	return false
}

// turned takes the other sides of a rectangular hole for its long walls.
func turned(s *outline.Sheet, h Joint) Joint {
	h.Width, h.Length = h.Length, h.Width
	h.Dir = h.Dir.Left()
	h.walls = [2]int{1 - h.walls[0], 3 - (h.walls[0] + 0)}
	if h.walls[0] == 0 {
		h.walls[1] = 2
	}
	path := s.Outlines[h.Outline].Pieces
	h.Piece, h.Piece2 = across(path, h.At, h.Dir.Left()), across(path, h.At, h.Dir.Left().Mul(-1))
	return h
}

// across returns the piece that the ray from p in direction u meets first, -1
// if none.
func across(path geom.Path, p, u geom.Point) int32 {
	_, i := cast(path, p, u)
	return int32(i)
}

// cast returns the distance from p along u to the first piece met, and its
// index, -1 if none.
func cast(path geom.Path, p, u geom.Point) (float64, int) {
	far := path.Box().Diagonal() + path.Box().Dist(geom.BoxOf(p)) + 1
	ray := geom.Line(p, p.Add(u.Mul(far)))
	best, at := math.Inf(1), -1
	var buf [2]geom.Cross
	for i := range path {
		for _, c := range geom.Crossings(buf[:0], &ray, &path[i], 0) {
			if d := c.T * far; d > 1e-6 && d < best {
				best, at = d, i
			}
		}
	}
	return best, at
}

// sortJoints puts the joints in a fixed order and links them to their edges.
func (k *Kit) sortJoints() {
	slices.SortStableFunc(k.Joints, func(a, b Joint) int {
		return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(math.Round(b.At.Y*1e4), math.Round(a.At.Y*1e4)),
			cmp.Compare(math.Round(a.At.X*1e4), math.Round(b.At.X*1e4)), cmp.Compare(a.Kind, b.Kind))
	})
	for i := range k.Joints {
		if e := k.Joints[i].Edge; e >= 0 {
			k.Edges[e].Joints = append(k.Edges[e].Joints, i)
		}
	}
	for e := range k.Edges {
		ed := &k.Edges[e]
		slices.SortStableFunc(ed.Joints, func(i, j int) int { return cmp.Compare(k.Joints[i].At.Dot(ed.U), k.Joints[j].At.Dot(ed.U)) })
	}
}

// most bounds the work of measuring behind notches, pieces looked at.
const most = 4_000_000

// behind measures the material behind the bottom of each notch.
func (k *Kit) behind() { k.behindOf(k.Joints) }

func (k *Kit) behindOf(joints []Joint) {
	work := 0
	for i := range joints {
		j := &joints[i]
		if j.Kind != Notch {
			continue
		}
		path := k.Sheet.Outlines[j.Outline].Pieces
		if work += len(path); work > most {
			return
		}
		bottom := j.At.Sub(j.Out.Mul(j.Depth / 2))
		d, at := cast(path, bottom.Sub(j.Out.Mul(0.01)), j.Out.Mul(-1))
		if at >= 0 {
			j.Behind = d + 0.01
		}
	}
}

// Middle returns the middle of the parts with joints as they lie in the drawing: what is
// nearer to it is so however that is moved, turned or mirrored.
func (k *Kit) Middle() geom.Point { return k.middle }

// centre finds the middle of the parts with joints.
func (k *Kit) centre() {
	with := map[int32]bool{}
	for i := range k.Joints {
		if p := k.Joints[i].Part; !with[p] {
			with[p] = true
			k.middle = k.middle.Add(k.Sheet.Parts[p].Centroid)
		}
	}
	k.middle = k.middle.Mul(1 / max(1, float64(len(with))))
}

// Number returns the number of a part.
func (k *Kit) Number(part int32) int { return k.Sheet.Parts[part].Number }
