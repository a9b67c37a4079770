package mend

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"sort"

	"sluice/geom"
	"sluice/geom/dxf"
	"sluice/lint"
	"sluice/lint/job"
)

// leastOffcut is the shorter side, mm, of what is worth keeping, beyond its margins
// (common practice, no source).
const leastOffcut = 40

// offcuts finds what is left of the last sheet of each kind.
func offcuts(sheets []laidOn, report *lint.Layout) {
	for i := range sheets {
		if report.Sheets[i].Last = sheets[i].last; sheets[i].last {
			report.Sheets[i].Offcut = sheets[i].offcut(report.Gap)
		}
	}
}

// offcut returns what is left of a sheet: the largest rectangle free of parts, or an L
// where that is a good deal more. A strip of the gap between parts is kept beside parts;
// nil: nothing is worth keeping.
func (l *laidOn) offcut(gap float64) *lint.Offcut {
	p := &l.piece
	var taken []geom.Box
	all := geom.NoBox()
	for _, b := range l.boxes {
		b = b.Inflate(gap)
		taken, all = append(taken, b), all.Union(b)
	}
	least := leastOffcut + 2*p.Margin
	rect := largestFree(p, taken, least)
	best := boxPath(rect)
	area := rect.W() * rect.H()
	if rect.Empty() {
		best, area = nil, 0
	}
	if len(p.Outline) == 0 && len(p.Holes) == 0 {
		if path := largestL(p.Width, p.Height, taken, least); path != nil && path.Area() > worthL*area {
			best, area = path, path.Area()
		}
	}
	if best == nil {
		return nil
	}
	return &lint.Offcut{Outline: best, Area: area}
}

// worthL is how much larger an L must be than the largest rectangle to be kept in its
// place: it is harder to store and to use.
const worthL = 1.15

func boxPath(b geom.Box) geom.Path {
	return polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))
}

func polygon(at ...geom.Point) (p geom.Path) {
	for i := range at {
		p = append(p, geom.Line(at[i], at[(i+1)%len(at)]))
	}
	return p
}

// largestFree returns the largest rectangle of the stock with sides of at least that
// length in which nothing is taken; empty if there is none.
func largestFree(p *piece, taken []geom.Box, least float64) geom.Box {
	g := gridOf(p, taken)
	best, area := geom.NoBox(), 0.0
	up := make([]int, len(g.xs)-1) // by column: how many free cells end at this row
	for r := range len(g.ys) - 1 {
		var open []int // columns where a rectangle may end its growth, of growing height
		for c := 0; c <= len(up); c++ {
			h := 0
			if c < len(up) {
				if up[c]++; g.taken[r*len(up)+c] {
					up[c] = 0
				}
				h = up[c]
			}
			for len(open) > 0 && up[open[len(open)-1]] >= h {
				high, from := up[open[len(open)-1]], 0
				if open = open[:len(open)-1]; len(open) > 0 {
					from = open[len(open)-1] + 1
				}
				b := geom.Box{Min: geom.Pt(g.xs[from], g.ys[r+1-high]), Max: geom.Pt(g.xs[c], g.ys[r+1])}
				if w, h := b.W(), b.H(); min(w, h) >= least && w*h > area*(1+1e-9) {
					best, area = b, w*h
				}
			}
			open = append(open, c)
		}
	}
	return best
}

// grid parts a piece of stock into cells along all edges of what is taken.
type grid struct {
	xs, ys []float64
	taken  []bool // by row and column
}

func gridOf(p *piece, taken []geom.Box) *grid {
	xs, ys := []float64{0, p.Width}, []float64{0, p.Height}
	paths := p.Holes
	if len(p.Outline) > 0 {
		paths = append([]geom.Path{p.Outline}, paths...)
	}
	boxes := slices.Clone(taken)
	for _, path := range paths {
		for i := range path {
			boxes = append(boxes, path[i].Box())
		}
	}
	for _, b := range boxes {
		xs, ys = append(xs, b.Min.X, b.Max.X), append(ys, b.Min.Y, b.Max.Y)
	}
	g := &grid{xs: edgesOf(xs, p.Width), ys: edgesOf(ys, p.Height)}
	n := len(g.xs) - 1
	g.taken = make([]bool, n*(len(g.ys)-1))
	for _, b := range boxes { // slanted and round edges take their whole box
		c0, c1 := sort.SearchFloat64s(g.xs, b.Min.X-1e-9), sort.SearchFloat64s(g.xs, b.Max.X-1e-9)
		r0, r1 := sort.SearchFloat64s(g.ys, b.Min.Y-1e-9), sort.SearchFloat64s(g.ys, b.Max.Y-1e-9)
		for r := r0; r < min(r1, len(g.ys)-1); r++ {
			for c := c0; c < min(c1, n); c++ {
				g.taken[r*n+c] = true
			}
		}
	}
	for i := range g.taken {
		mid := geom.Pt((g.xs[i%n]+g.xs[i%n+1])/2, (g.ys[i/n]+g.ys[i/n+1])/2)
		off := len(p.Outline) > 0 && !p.Outline.Contains(mid)
		for _, h := range p.Holes {
			off = off || h.Contains(mid)
		}
		g.taken[i] = g.taken[i] || off
	}
	return g
}

// edgesOf sorts what lies from 0 to most, each once.
func edgesOf(v []float64, most float64) []float64 {
	v = slices.DeleteFunc(v, func(x float64) bool { return x < 0 || x > most })
	slices.Sort(v)
	return slices.CompactFunc(v, func(a, b float64) bool { return math.Abs(b-a) < 1e-9 })
}

// largestL returns the largest L, with legs of at least that width, above, below or
// beside all that is taken; nil if there is none.
func largestL(w, h float64, taken []geom.Box, least float64) geom.Path {
	var best geom.Path
	area := 0.0
	for _, turned := range []bool{false, true} {
		w, h := w, h
		boxes := slices.Clone(taken)
		if turned {
			w, h = h, w
			for i, b := range boxes {
				boxes[i] = geom.Box{Min: geom.Pt(b.Min.Y, b.Min.X), Max: geom.Pt(b.Max.Y, b.Max.X)}
			}
		}
		for _, b := range boxes {
			for _, x := range []float64{b.Min.X, b.Max.X} {
				left, right := 0.0, 0.0 // how high parts reach on either side of x
				for _, b := range boxes {
					if b.Min.X < x-1e-9 {
						left = max(left, b.Max.Y)
					}
					if b.Max.X > x+1e-9 {
						right = max(right, b.Max.Y)
					}
				}
				low, high := min(left, right), max(left, right)
				narrow := w - x // the deeper leg
				if left < right {
					narrow = x
				}
				if narrow < least || h-high < least || high-low < least {
					continue
				}
				if a := x*(h-left) + (w-x)*(h-right); a > area {
					area = a
					best = polygon(geom.Pt(0, max(left, 0)), geom.Pt(x, max(left, 0)), geom.Pt(x, max(right, 0)), geom.Pt(w, max(right, 0)), geom.Pt(w, h), geom.Pt(0, h))
					if turned {
						best = polygon(geom.Pt(max(left, 0), 0), geom.Pt(h, 0), geom.Pt(h, w), geom.Pt(max(right, 0), w), geom.Pt(max(right, 0), x), geom.Pt(max(left, 0), x))
					}
				}
			}
		}
	}
	return best
}

// noteHeight is the height, mm, of notes that people read, below the stock.
const noteHeight = 5

// OffcutDrawing draws what is left of a sheet of a layout, its lower left corner at
// 0,0, so that it can be stock again. date is text to note, "" for none.
func OffcutDrawing(s *lint.LaidSheet, name, date string) ([]byte, error) {
	box := s.Offcut.Outline.Box()
	path := s.Offcut.Outline.Transform(geom.Shift(box.Min.Mul(-1)))
	notes := []string{offcutText(&s.Stock), fmt.Sprintf("%s x %s mm", trim(box.W()), trim(box.H()))}
	if name != "" {
		notes = append(notes, "left of "+lint.Clean(name))
	}
	if date != "" {
		notes = append(notes, "cut on "+lint.Clean(date))
	}
	items := []dxf.Item{{Layer: dxf.LayerOutside, Path: path, Closed: true}}
	at := -2.0 * noteHeight
	for _, n := range notes {
		if n != "" {
			items = append(items, dxf.Item{Layer: dxf.LayerNote, Text: &dxf.OutText{At: geom.Pt(0, at), Height: noteHeight, Value: n}})
			at -= 1.6 * noteHeight
		}
	}
	var b bytes.Buffer
	err := dxf.Write(&b, &dxf.Output{Items: items, Factor: 1, InsUnits: 4})
	return b.Bytes(), err
}

// trim writes a length, mm, to a tenth.
func trim(mm float64) string {
	t := job.FormatLength(math.Round(mm*10) / 10)
	return t[:len(t)-len("mm")]
}
