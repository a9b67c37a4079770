package outline

import (
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// Sheet is a drawing judged as flat parts. All lengths are mm. Everything in it
// is in a fixed order that depends on the drawing alone.
type Sheet struct {
	Outlines []Outline
	Parts    []Part  // in reading order: row by row from the top left
	Open     []Open  // cut chains that do not close, and tails
	Etch     []Open  // paths on etch layers
	Tangles  []Path  // what cross and hang together so that no outline can be told: drawn as it is
	Noted    []Open  // paths put aside: marks that nobody has decided on, closed ones too
	Aside    []Aside // closed outlines that bound no part, and what belongs to them

	Lettering []Lettering // groups of outlines that look like letters

	Overruns  []Path     // ends that run past the piece on which they are to end: left out while judging
	Gaps      []Gap      // where outlines do not close
	Overlaps  []Overlap  // pieces drawn more than once
	Shared    []Shared   // edges common to two parts
	Crossings []Crossing // where outlines cross
	Strays    []Stray    // zero-length pieces and lone specks
}

// Flag marks where a piece of a path comes from.
type Flag uint8

// Piece flags.
const (
	IsBridge Flag = 1 << iota // not drawn: closes a gap while judging
	IsTab                     // left uncut: holds the part until it is broken out
	IsTwin                    // bounds an outline further up too, which draws it
)

// Path is a run of pieces with the stroke each came from.
type Path struct {
	Pieces geom.Path
	Src    []int32 // index of the stroke of each piece, -1 for a bridge
	Flags  []Flag
}

// Outline is a closed path.
type Outline struct {
	Path
	Box      geom.Box
	Area     float64    // enclosed area, mm2, positive
	Centroid geom.Point // of the enclosed area
	Length   float64    // mm, tabs and bridges included
	Parent   int32      // the outline directly around it, -1 if none
	Depth    int32      // number of outlines around it; even: a part's outside, odd: a hole
	Part     int32      // index of the part it bounds
	Closed   bool       // false: closed only by bridges, or tangled
	Tangled  bool       // the border of Tangles, to judge by; not drawn
	Tabs     int        // number of uncut gaps
	Was      AsideKind  // it was carried as that until a person decided that it is cut; else 0
	Doubt    bool       // lies within an open path: a part of its own, or a hole of what does not close?
}

// Hole reports whether the outline is the edge of a hole.
func (o *Outline) Hole() bool { return o.Depth%2 == 1 }

// Part is an outermost outline with its holes.
type Part struct {
	Outer    int32   // index in Outlines
	Holes    []int32 // indices in Outlines, in the order of Outlines
	Area     float64 // net area, mm2
	Centroid geom.Point
	Box      geom.Box
	Doubt    bool // its outside is in doubt (Outline.Doubt)
	Tangled  bool // its outside is the border of what is tangled (Outline.Tangled)
	Number   int  // shared by congruent parts, from 1; see Number

	// All of its outer outline bounds other parts too, or it lies in such a part:
	// while edges are shared it may as well be the waste between them.
	Enclosed bool
}

// Unsure reports whether a part may be a hole or waste as well: then it is neither
// tabbed nor numbered until a person has settled that.
func (p *Part) Unsure() bool { return p.Doubt || p.Enclosed || p.Tangled }

// Open is a path that does not close.
type Open struct {
	Path
	Box    geom.Box
	Length float64
	Part   int32 // the part whose material or hole it lies in (outermost outline around it), -1 if none
	Inside bool  // wholly inside Part's outer outline
	Tail   bool  // hangs on an outline by one end
	Across bool  // hangs on outlines by all its ends: no gap is told for it
	Loose  bool  // a mark inside a part: cut, etched or neither? (no gap is told for it)
}

// End names one end of a stroke.
type End struct {
	Stroke int32
	AtB    bool // the B end
}

// Gap is a place where a chain does not go on.
type Gap struct {
	At      geom.Point // the middle of the gap; the end itself if it has no partner
	A, B    geom.Point // the two free ends (B = A if there is no partner)
	EndA    End
	EndB    End     // meaningless without a partner
	Width   float64 // distance of the ends, mm
	Partner bool    // a free end lies within the search distance
	Bridged bool    // narrow enough to be bridged while judging
	Outline int32   // the outline that the bridge closes, -1
	Inside  bool    // B lies on the inside of stroke EndB: end A stops short of it or runs past it
	Within  int     // outlines within the open path that ends here, which are in doubt; told at one of its gaps
	Near    []Near  // of a gap too wide to close: the nearest other free ends of EndA, nearest first
}

// Near is a free end that a gap's end may belong to.
type Near struct {
	At   geom.Point
	Dist float64 // mm
}

// Overlap is a stretch of a stroke that lies on another stroke.
type Overlap struct {
	Stroke int32      // the later stroke, of which the stretch is a repeat
	Twin   int32      // the stroke that stays
	T0, T1 float64    // the stretch as shares of Stroke
	Piece  geom.Piece // the stretch itself
	Whole  bool       // all of Stroke is a repeat
	Apart  float64    // largest distance between the two, mm
}

// Shared is an edge that bounds two parts.
type Shared struct {
	Pieces  geom.Path // in one run where they join end to end
	Strokes []int32   // the stroke of each piece
	Extra   []int32   // further strokes drawn along it
	PartA   int32     // PartA < PartB
	PartB   int32
	Length  float64
	At      geom.Point // half way along it
}

// Crossing is a point at which outlines cross.
type Crossing struct {
	At      geom.Point
	Strokes []int32 // two or more, ascending
}

// Stray is a piece that belongs to nothing.
type Stray struct {
	Stroke int32
	At     geom.Point
	Length float64
	Tail   bool    // hangs on a closed outline
	Part   bool    // only the stretch T0 to T1 of the stroke
	T0, T1 float64 // shares of the stroke, where Part
}

// PartsBox returns the box around all parts, empty without any.
func (s *Sheet) PartsBox() geom.Box {
	b := geom.NoBox()
	for i := range s.Parts {
		b = b.Union(s.Parts[i].Box)
	}
	return b
}

// PartAt returns the index of the part whose material holds p, or -1.
func (s *Sheet) PartAt(p geom.Point) int {
	for k := range s.Parts {
		if s.Holds(k, p) {
			return k
		}
	}
	return -1
}

// PartFinder returns PartAt for many places, by a tree over the boxes of the parts.
func (s *Sheet) PartFinder() func(p geom.Point) int {
	boxes := make([]geom.Box, len(s.Parts))
	for k := range s.Parts {
		boxes[k] = s.Parts[k].Box
	}
	tree := index.NewTree(boxes)
	return func(p geom.Point) int {
		first := -1
		tree.In(geom.BoxOf(p), func(k int32) bool {
			if (first < 0 || int(k) < first) && s.Holds(int(k), p) {
				first = int(k)
			}
			return true
		})
		return first
	}
}

// Holds reports whether the material of part k holds p.
func (s *Sheet) Holds(k int, p geom.Point) bool {
	part := &s.Parts[k]
	in := func(i int32) bool { return s.Outlines[i].Box.Contains(p) && s.Outlines[i].Pieces.Contains(p) }
	return in(part.Outer) && !slices.ContainsFunc(part.Holes, in)
}
