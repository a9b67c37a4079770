package diff

import (
	"math"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// LineChange is what came or went of the etched or of the open paths of one part,
// or of the scrap.
type LineChange struct {
	Change            // Gained or Lost
	Where             // At is the middle of the longest path
	Open      bool    // cut paths that do not close; else etched ones
	Lettering bool    // strokes of numbers that came, went or changed
	Paths     int     // runs as they are drawn
	Length    float64 // mm
	Box       geom.Box
	Index     []int // of the paths in Sheet.Open or Sheet.Etch
}

// compareLines lists etched and open paths that the other drawing lacks. A path
// counts as kept if every point of it lies within the tolerance of the other
// drawing's paths of its kind: those on the same part where that was moved or
// turned, else those that are on no such part. How paths are split or joined is no
// matter. It reports whether open paths differ.
func (d *Diff) compareLines() (open bool) {
	of := [2][]int{indexParts(d.Parts, len(d.Laid.Sheet.Parts), false), indexParts(d.Parts, len(d.After.Sheet.Parts), true)}
	for _, kind := range []bool{true, false} {
		a, b := linesOf(d.Laid, kind), linesOf(d.After, kind)
		ta, tb := d.treesOf(a, of[0], true), d.treesOf(b, of[1], false)
		n := len(d.Lines)
		d.missing(Lost, kind, a, tb, of[0])
		d.missing(Gained, kind, b, ta, of[1])
		open = open || kind && len(d.Lines) > n
	}
	return open
}

func indexParts(parts []Part, n int, after bool) []int {
	of := make([]int, n)
	for k := range parts {
		i := parts[k].Before
		if after {
			i = parts[k].After
		}
		if i >= 0 {
			of[i] = k
		}
	}
	return of
}

func linesOf(s *Side, open bool) []outline.Open {
	if open {
		return s.Sheet.Open
	}
	return s.Sheet.Etch
}

// fixed is the group of lines that are compared in place.
const fixed = -1

// groupOf returns the group in which a line is compared: the moved part it lies
// on, or fixed.
func (d *Diff) groupOf(l *outline.Open, of []int) int {
	if l.Part >= 0 {
		if k := of[l.Part]; d.Parts[k].Verdict == Moved || d.Parts[k].Verdict == Turned || d.Parts[k].Verdict == Scaled || d.Parts[k].Mirrored {
			return k
		}
	}
	return fixed
}

// treesOf returns a tree over the lines of each group, those before laid onto
// those after.
func (d *Diff) treesOf(lines []outline.Open, of []int, before bool) map[int]*index.PieceTree {
	pieces := map[int][]geom.Piece{}
	for i := range lines {
		k, p := d.groupOf(&lines[i], of), lines[i].Pieces
		if before && k != fixed {
			p = p.Transform(d.Parts[k].Lay)
		}
		pieces[k] = append(pieces[k], p...)
	}
	trees := map[int]*index.PieceTree{}
	for k, p := range pieces {
		trees[k] = index.Scattered(p)
	}
	return trees
}

// missing gathers, by part, the lines of one side that those of the other side do
// not cover.
func (d *Diff) missing(c Change, open bool, lines []outline.Open, other map[int]*index.PieceTree, of []int) {
	type key struct {
		part      int
		lettering bool
	}
	at := map[key]int{}
	longest := map[key]float64{}
	numbers := d.spotsOf(c)
	for i := range lines {
		l := &lines[i]
		w := Where{Before: -1, After: -1}
		part := -1
		if l.Part >= 0 {
			part = of[l.Part]
			w.Before, w.After = d.Parts[part].Before, d.Parts[part].After
		}
		lay, group := geom.Identity(), d.groupOf(l, of)
		if group != fixed && c == Lost {
			lay = d.Parts[group].Lay
		}
		if t := other[group]; t != nil && d.covered(l.Pieces, lay, t) {
			continue
		}
		k := key{part, !open && numbers.hold(l)}
		x, ok := at[k]
		if !ok {
			x = len(d.Lines)
			at[k] = x
			d.Lines = append(d.Lines, LineChange{Change: c, Where: w, Open: open, Lettering: k.lettering, Box: geom.NoBox()})
		}
		n := &d.Lines[x]
		n.Paths++
		n.Index = append(n.Index, i)
		n.Length += l.Length
		n.Box = n.Box.Union(l.Box)
		if l.Length > longest[k] {
			longest[k] = l.Length
			n.At, _ = l.Pieces.Along(l.Length / 2)
		}
	}
}

func (d *Diff) covered(p geom.Path, lay geom.Transform, other *index.PieceTree) bool {
	var g gap
	return g.reach(p, lay, other, limits{d.Sampling, d.Tolerance + rounding})
}

// spots are circles about numbers that came, went or changed, wide enough for the
// number's text box and a pointer.
type spots struct {
	at   []geom.Point
	r    []float64
	most float64
	grid *index.Cells[int]
}

func (d *Diff) spotsOf(c Change) *spots {
	s := &spots{}
	texts, most := d.After.Texts, 1.0
	if c == Lost {
		texts = d.Laid.Texts
	}
	for i := range d.Texts {
		k := d.Texts[i].TextAfter
		if c == Lost {
			k = d.Texts[i].TextBefore
		}
		if !d.Texts[i].Number || k < 0 {
			continue
		}
		t := &texts[k]
		if r := t.Height * (1.5 + 0.6*float64(len([]rune(t.Value)))); r > 0 && !math.IsInf(r, 0) {
			s.at, s.r = append(s.at, t.At), append(s.r, r)
			most = max(most, r)
		}
	}
	s.most = most
	s.grid = index.NewCells[int](2*most, len(s.at))
	for i := range s.at {
		s.grid.Add(s.at[i], i)
	}
	return s
}

// hold reports whether a path lies about one of the numbers.
func (s *spots) hold(l *outline.Open) bool {
	found := false
	s.grid.Around(l.Box.Center(), s.most, func(i int) bool {
		found = l.Box.Center().Dist(s.at[i]) <= s.r[i] && l.Box.Diagonal() <= 2*s.r[i]
		return !found
	})
	return found
}

// Covered tells of each path whether every point of it lies within tol (mm) of
// some of the pieces.
func Covered(paths []geom.Path, by []geom.Piece, tol float64) []bool {
	out := make([]bool, len(paths))
	if len(by) == 0 {
		return out
	}
	t := index.Scattered(by)
	for i := range paths {
		var g gap
		out[i] = len(paths[i]) > 0 && g.reach(paths[i], geom.Identity(), t, limits{tol / 20, tol + rounding})
	}
	return out
}
