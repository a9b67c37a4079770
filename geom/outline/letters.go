package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// What lettering drawn as outlines looks like: shapes of one height and one width
// of stroke, slender, hollow or bent, of several kinds, side by side in rows. There
// is no source for the figures but what alphabets look like; they were tried on
// real drawings and on random kits, in which no lettering may be found.
const (
	leastLetter = 2.0  // mm: lowest lettering
	mostLetter  = 60.0 // mm: highest; what is higher is a part, or a window of one
	slender     = 0.25 // width of strokes, as a share of the height, at most
	bent        = 0.86 // a letter without a counter fills at most so much of its hull
	straight    = 0.97 // I, l, 1 and strokes fill at least so much
	broad       = 1.8  // width of a letter, as a share of the height, at most
	mostHoles   = 3    // counters of a letter
	oneHeight   = 0.06 // letters of one height differ by so much, round ones among them
	oneStroke   = 1.8  // widths of strokes within one alphabet, largest to smallest
	oneShape    = 0.02 // shapes whose area and length differ by less are the same
	reachAcross = 1.5  // neighbours are so near, as a share of the larger one's size
	sizeRatio   = 2.5  // and not more different in size
)

// glyph is an outline that may be a letter.
type glyph struct {
	out     int32
	parent  int32
	kids    []int32 // its counters
	pts     []geom.Point
	size    float64 // longer side of the least rectangle around it, mm
	box     geom.Box
	ink     float64 // area less counters, mm2
	girth   float64 // with counters, mm
	stroke  float64 // mean width of strokes, mm
	full    float64 // share of its hull, counters included
	shaped  bool    // bent or hollow; else a straight stroke
	dot     bool    // small and full: a point, a hyphen, the dot of an i, or a hole
	drilled bool    // has a small round counter, as a part has a screw hole
}

// Lettering is a group of outlines that look like letters.
type Lettering struct {
	Group    int // of Aside
	Outlines int // counters included
	Islands  int // counters that are cut, and fall out
	Height   float64
	At       geom.Point // the middle of its area
	Box      geom.Box
	Part     int32 // on which it lies, -1 if on none
	Cut      bool  // decided: its outlines are cut
	Settled  bool  // decided: carried, not cut
	Src      []int32

	on int32 // an outline of it, until order
}

// lettering is the state of findLetters.
type lettering struct {
	*sifted
	glyphs []glyph
	grid   map[glyphCell][]int32
	dots   map[glyphCell][]int32
	taken  []bool // by glyph: belongs to a group
}

// glyphCell is a cell of the grid in which glyphs find their neighbours: one for
// each outline around them and each order of size.
type glyphCell struct {
	parent int32
	order  int
	x, y   int
}

// findLetters takes out lettering drawn as outlines. Where it is cut, its counters
// are kept as paths that bound no part.
func (a *sifted) findLetters() {
	l := lettering{sifted: a, grid: map[glyphCell][]int32{}, dots: map[glyphCell][]int32{}}
	if !l.gather() {
		return
	}
	l.place()
	l.taken = make([]bool, len(l.glyphs))
	for _, clump := range l.clumps() {
		for {
			row, ok := l.findRows(clump)
			if !ok {
				break
			}
			l.take(row)
			clump = slices.DeleteFunc(clump, func(g int32) bool { return l.taken[g] })
		}
	}
}

// gather lists what may be glyphs, and reports whether there are as many shaped ones as
// lettering has. Dots alone say nothing: as every hole is one, they are made when shaped
// ones ask for them.
func (l *lettering) gather() bool {
	var dots []int32
	shaped := 0
	for i := range int32(len(l.outlines)) {
		switch g, ok := l.glyphOf(i); {
		case !ok:
		case g.dot:
			dots = append(dots, i)
		default:
			l.add(g)
			if g.shaped {
				shaped++
			}
		}
	}
	if shaped < leastRun {
		return false
	}
	for _, i := range dots {
		g, _ := l.glyphOf(i)
		l.add(g)
	}
	slices.SortFunc(l.glyphs, func(x, y glyph) int { return cmp.Compare(x.out, y.out) })
	return true
}

// glyphOf returns outline i as a glyph, if it may be one.
func (l *lettering) glyphOf(i int32) (g glyph, ok bool) {
	o := &l.outlines[i]
	kids := l.kids[i]
	// Turned, a letter's box is at most as large as its diagonal.
	most := max(o.Box.W(), o.Box.H())
	if l.isOut(i) || !o.Closed || o.Tabs > 0 || len(kids) > mostHoles || most < leastLetter/2 || most > mostLetter*(1+broad) {
		return g, false
	}
	g = glyph{out: i, parent: o.Parent, kids: kids, box: o.Box, ink: o.Area, girth: o.Length}
	for _, k := range kids {
		in := &l.outlines[k]
		if len(l.kids[k]) > 0 || !in.Closed {
			return g, false
		}
		g.ink -= in.Area
		g.girth += in.Length
	}
	look := l.looks(i)
	g.size = look.long
	g.stroke = 2 * g.ink / g.girth
	if g.size > mostLetter*broad || !(g.stroke > 0) {
		return g, false
	}
	if g.stroke > slender*g.size || len(kids) == 0 && look.isRound() {
		g.dot = len(kids) == 0 && look.filled >= roundFilled
		return g, g.dot
	}
	g.pts = flat(o.Pieces)
	g.full = o.Area / hullOf(o.Pieces).Area()
	g.shaped = len(kids) > 0 || g.full <= bent
	if !g.shaped && g.full < straight {
		return g, false
	}
	for _, k := range kids {
		in := l.looks(k)
		g.drilled = g.drilled || in.isRound() && in.wide < 0.4*look.wide
	}
	return g, true
}

// add takes in a glyph; where there are many, twice the room is made for them.
func (l *lettering) add(g glyph) {
	if len(l.glyphs) == cap(l.glyphs) {
		l.glyphs = slices.Grow(l.glyphs, len(l.glyphs)+16)
	}
	l.glyphs = append(l.glyphs, g)
}

// place puts the glyphs into the cells in which they are found.
func (l *lettering) place() {
	for i := range l.glyphs {
		g := &l.glyphs[i]
		c, in := l.cellAt(g, g.order()), l.grid
		if g.dot {
			in = l.dots
		}
		in[c] = append(in[c], int32(i))
	}
}

// like reports whether two glyphs are one shape, turned over or not.
func (g *glyph) like(o *glyph) bool {
	same := func(a, b float64) bool { return math.Abs(a-b) <= oneShape*b }
	return len(g.kids) == len(o.kids) && same(g.ink, o.ink) && same(g.girth, o.girth) && same(g.size, o.size) && same(g.full, o.full)
}

// roundFilled is the share of the rectangle around it that a disc fills, less
// rounding.
const roundFilled = 0.78

// cellWide is the width of a cell as a multiple of the least size in it.
const cellWide = 4

// order returns the order of a glyph's size: it is at least 2 to that power.
func (g *glyph) order() int { return int(math.Floor(math.Log2(g.size))) }

// cellAt returns the cell of an order in which the middle of a glyph lies.
func (l *lettering) cellAt(g *glyph, order int) glyphCell {
	wide := math.Ldexp(cellWide, order)
	c := g.box.Center()
	return glyphCell{g.parent, order, int(math.Floor(c.X / wide)), int(math.Floor(c.Y / wide))}
}

// near calls f for the glyphs in reach of glyph g.
func (l *lettering) near(g int32, f func(int32)) {
	a := &l.glyphs[g]
	order := a.order()
	for d := -2; d <= 2; d++ { // sizes up to sizeRatio apart
		c := l.cellAt(a, order+d)
		// From middle to middle: the reach, and half the diagonal of each.
		most := math.Ldexp(2, order+d)
		n := int(math.Ceil((reachAcross*max(a.size, most) + math.Sqrt2/2*(a.size+most)) / math.Ldexp(cellWide, order+d)))
		for x := c.x - n; x <= c.x+n; x++ {
			for y := c.y - n; y <= c.y+n; y++ {
				for _, k := range l.grid[glyphCell{c.parent, c.order, x, y}] {
					z := &l.glyphs[k]
					big, small := max(a.size, z.size), min(a.size, z.size)
					if k != g && big <= sizeRatio*small && a.box.Dist(z.box) <= reachAcross*big {
						f(k)
					}
				}
			}
		}
	}
}

// clumps returns sets of shaped glyphs that hang together by nearness.
func (l *lettering) clumps() [][]int32 {
	seen := make([]bool, len(l.glyphs))
	var out [][]int32
	for i := range l.glyphs {
		if seen[i] || !l.glyphs[i].shaped {
			continue
		}
		seen[i] = true
		clump := []int32{int32(i)}
		for k := 0; k < len(clump); k++ {
			l.near(clump[k], func(n int32) {
				if !seen[n] && l.glyphs[n].shaped {
					seen[n] = true
					clump = append(clump, n)
				}
			})
		}
		if len(clump) >= leastRun {
			slices.Sort(clump)
			out = append(out, clump)
		}
	}
	return out
}

// tellLettering finds the part on which each group lies, and puts the groups in an
// order of their own. around is the outermost outline around what was taken out.
func (t *telling) tellLettering(around map[int32]int32, toPart func(int32) int32) {
	for i := range t.Lettering {
		l := &t.Lettering[i]
		on, out := around[l.on]
		if !out {
			on = t.outer(t.outlines[l.on].Parent)
		}
		l.Part = toPart(on)
	}
	slices.SortStableFunc(t.Lettering, func(x, y Lettering) int {
		return cmp.Or(cmp.Compare(y.Box.Max.Y, x.Box.Max.Y), cmp.Compare(x.Box.Min.X, y.Box.Min.X))
	})
}

// take makes a group of lettering of the glyphs of rows, and takes their outlines
// out unless they are to be cut.
func (l *lettering) take(r *rows) {
	all := append(slices.Clone(r.letters), l.others(r)...)
	slices.Sort(all)
	group := l.groups
	l.groups++
	t := Lettering{Group: group, Height: r.height, Box: geom.NoBox(), Part: -1, on: l.glyphs[all[0]].out}
	noted, meant := true, true
	for _, g := range all {
		l.taken[g] = true
		meant = meant && l.meantCut(&l.outlines[l.glyphs[g].out].Path)
		noted = noted && l.carried[l.glyphs[g].out]
	}
	t.Cut = l.o.choice(Letter) == Keep || l.o.Own && !noted || meant && l.o.choice(Letter) == Ask
	t.Settled = l.o.choice(Letter) == Settle
	area := 0.0
	for _, g := range all {
		y := &l.glyphs[g]
		o := &l.outlines[y.out]
		area += o.Area
		t.At = t.At.Add(o.Centroid.Mul(o.Area))
		t.Box = t.Box.Union(o.Box)
		t.Outlines += 1 + len(y.kids)
		t.Src = append(t.Src, o.Src...)
		for _, k := range y.kids {
			in := &l.outlines[k]
			t.Src = append(t.Src, in.Src...)
			if !t.Cut {
				l.putOut(k, Letter, group)
				continue
			}
			l.carried[k] = false
			if o.Hole() {
				t.Islands++
				l.out[k] = &asideMark{path: in.Path, kind: Letter, island: true}
				in.Path = Path{}
			}
		}
		if !t.Cut {
			l.putOut(y.out, Letter, group)
		} else {
			l.carried[y.out] = false
		}
	}
	t.At = t.At.Mul(1 / area)
	if !t.Cut && !t.Settled {
		src := slices.DeleteFunc(slices.Clone(t.Src), func(s int32) bool { return s < 0 })
		t.Settled = noted && l.settled(&Path{Src: src})
	}
	l.lettering = append(l.lettering, t)
}
