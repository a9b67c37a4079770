// Package sheettest makes small sheets for tests.
package sheettest

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/outline"
)

// Of nests closed paths into a sheet, one part per outline of even depth,
// in the order given.
func Of(paths ...geom.Path) *outline.Sheet {
	s := &outline.Sheet{}
	for _, p := range paths {
		area := p.Area()
		o := outline.Outline{
			Path: outline.Path{Pieces: p, Src: make([]int32, len(p)), Flags: make([]outline.Flag, len(p))},
			Box:  p.Box(), Area: math.Abs(area), Centroid: p.Centroid(), Length: p.Length(),
			Parent: -1, Part: -1, Closed: true,
		}
		for i := range p {
			o.Src[i] = int32(i)
		}
		s.Outlines = append(s.Outlines, o)
	}
	for i := range s.Outlines {
		o := &s.Outlines[i]
		for j := range s.Outlines {
			in := &s.Outlines[j]
			if i == j || in.Area <= o.Area || !in.Pieces.Contains(o.Pieces[0].Mid()) {
				continue
			}
			o.Depth++
			if o.Parent < 0 || in.Area < s.Outlines[o.Parent].Area {
				o.Parent = int32(j)
			}
		}
		if o.Hole() == (o.Pieces.Area() > 0) {
			o.Pieces = o.Pieces.Reverse()
		}
	}
	for i := range s.Outlines {
		if o := &s.Outlines[i]; !o.Hole() {
			o.Part = int32(len(s.Parts))
			s.Parts = append(s.Parts, outline.Part{Outer: int32(i), Box: o.Box})
		}
	}
	for i := range s.Outlines {
		if o := &s.Outlines[i]; o.Hole() {
			o.Part = s.Outlines[o.Parent].Part
			p := &s.Parts[o.Part]
			p.Holes = append(p.Holes, int32(i))
		}
	}
	for i := range s.Parts {
		p := &s.Parts[i]
		area, moment := s.Outlines[p.Outer].Pieces.Moments()
		for _, h := range p.Holes {
			a, m := s.Outlines[h].Pieces.Moments() // negative: run clockwise
			area, moment = area+a, moment.Add(m)
		}
		p.Area, p.Centroid = area, moment.Mul(1/area)
	}
	return s
}

// Poly returns the closed polygon through x0, y0, x1, y1, …
func Poly(xy ...float64) geom.Path {
	var p geom.Path
	n := len(xy) / 2
	for i := range n {
		j := (i + 1) % n
		p = append(p, geom.Line(geom.Pt(xy[2*i], xy[2*i+1]), geom.Pt(xy[2*j], xy[2*j+1])))
	}
	return p
}

// Rect returns the upright rectangle with its lower left corner at x, y.
func Rect(x, y, w, h float64) geom.Path {
	return Poly(x, y, x+w, y, x+w, y+h, x, y+h)
}

// Disc returns the circle of radius r about x, y.
func Disc(x, y, r float64) geom.Path { return geom.Path{geom.Circle(geom.Pt(x, y), r)} }

// Turned returns the path started k pieces later.
func Turned(p geom.Path, k int) geom.Path {
	return append(append(geom.Path(nil), p[k%len(p):]...), p[:k%len(p)]...)
}

// Tabbed returns a closed path as it is read back with tabs: its pieces are split
// at both ends of each gap, mm along the path within its length, and what lies in
// a gap is marked.
func Tabbed(path outline.Path, gaps ...[2]float64) outline.Path {
	var out outline.Path
	at := 0.0 // mm along the path
	for k, p := range path.Pieces {
		l := p.Length()
		splits := []float64{0, 1}
		for _, g := range gaps {
			for _, s := range g {
				if t := (s - at) / l; t > 0 && t < 1 {
					splits = append(splits, t)
				}
			}
		}
		slices.Sort(splits)
		for i := range splits[1:] {
			t0, t1 := splits[i], splits[i+1]
			flag := path.Flags[k]
			for _, g := range gaps {
				if mid := at + (t0+t1)/2*l; mid > g[0] && mid < g[1] {
					flag |= outline.IsTab
				}
			}
			out.Pieces, out.Src, out.Flags = append(out.Pieces, p.Sub(t0, t1)), append(out.Src, path.Src[k]), append(out.Flags, flag)
		}
		at += l
	}
	return out
}
