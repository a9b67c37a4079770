package geomtest

import (
	"math"

	"sluice/geom"
)

// corner is a corner of a polygon, rounded with radius r.
type corner struct{ x, y, r float64 }

// rounded returns the closed polygon with rounded corners.
func rounded(cs ...corner) geom.Path {
	n := len(cs)
	at := func(i int) geom.Point { c := cs[(i+n)%n]; return geom.Pt(c.x, c.y) }
	var path geom.Path
	var first, last geom.Point
	for i, c := range cs {
		p := at(i)
		from, to := p.Sub(at(i-1)).Unit(), at(i+1).Sub(p).Unit()
		turn := geom.TurnTo(from, to)
		t := c.r * math.Tan(math.Abs(turn)/2)
		in, out := p.Sub(from.Mul(t)), p.Add(to.Mul(t))
		if i == 0 {
			first = in
		} else if last.Dist(in) > 1e-9 {
			path = append(path, geom.Line(last, in))
		}
		if t > 0 {
			path = append(path, geom.Bulge(in, out, math.Tan(turn/4)))
		}
		last = out
	}
	if last.Dist(first) > 1e-9 {
		path = append(path, geom.Line(last, first))
	}
	return path
}

// Sizes of the letters below, as shares of their height.
const (
	glyphStroke = 0.16
	glyphWidth  = 0.62
	glyphSpace  = 0.18
)

// glyphPoly returns the outline through corners x0, y0, x1, y1, …
func glyphPoly(xy ...float64) geom.Path {
	var cs []corner
	for i := 0; i+1 < len(xy); i += 2 {
		cs = append(cs, corner{xy[i], xy[i+1], 0})
	}
	return rounded(cs...)
}

// glyphRing returns a rectangle with corners of radius r.
func glyphRing(x0, y0, x1, y1, r float64) geom.Path {
	return rounded(corner{x0, y0, r}, corner{x1, y0, r}, corner{x1, y1, r}, corner{x0, y1, r})
}

// glyph returns the outlines of a letter of height 1 that stands at 0, 0: its edge,
// then its counters. ok is false for those it does not know.
func glyph(r rune) (paths []geom.Path, width float64, ok bool) {
	if paths, width, ok = holedGlyph(r); ok {
		return paths, width, ok
	}
	return plainGlyph(r)
}

// holedGlyph returns a letter with counters.
func holedGlyph(r rune) (paths []geom.Path, width float64, ok bool) {
	const s, w = glyphStroke, glyphWidth
	six := []geom.Path{
		rounded(corner{0, 0, 0.25}, corner{w, 0, 0.25}, corner{w, 0.6, 0.2}, corner{s, 0.6, 0}, corner{s, 1 - s, 0.1},
			corner{w - 0.05, 1 - s, 0}, corner{w - 0.05, 1, 0}, corner{0, 1, 0.25}),
		glyphRing(s, s, w-s, 0.6-s, 0.08),
	}
	bowl := func(foot float64) geom.Path { // the hollow of P and R
		return rounded(corner{s, foot, 0}, corner{w - s, foot, 0.1}, corner{w - s, 1 - s, 0.1}, corner{s, 1 - s, 0})
	}
	switch r {
	case 'A':
		return []geom.Path{
			glyphPoly(0, 0, s, 0, s+0.06, 0.22, w+0.02-s, 0.22, w+0.08-s, 0, w+0.08, 0, w/2+0.04+s/2, 1, w/2+0.04-s/2, 1),
			glyphPoly(s+0.09, 0.36, w-0.01-s, 0.36, w/2+0.04, 0.82),
		}, w + 0.08, true
	case 'B':
		return []geom.Path{
			rounded(corner{0, 0, 0}, corner{w, 0, 0.2}, corner{w, 0.5, 0.05}, corner{w - 0.05, 0.55, 0}, corner{w - 0.05, 1, 0.2}, corner{0, 1, 0}),
			rounded(corner{s, s, 0}, corner{w - s, s, 0.08}, corner{w - s, 0.45, 0.08}, corner{s, 0.45, 0}),
			rounded(corner{s, 0.6, 0}, corner{w - s - 0.05, 0.6, 0.08}, corner{w - s - 0.05, 1 - s, 0.08}, corner{s, 1 - s, 0}),
		}, w, true
	case 'D':
		return []geom.Path{
			rounded(corner{0, 0, 0}, corner{w, 0, 0.3}, corner{w, 1, 0.3}, corner{0, 1, 0}),
			rounded(corner{s, s, 0}, corner{w - s, s, 0.14}, corner{w - s, 1 - s, 0.14}, corner{s, 1 - s, 0}),
		}, w, true
	case 'O':
		return []geom.Path{glyphRing(-0.04, -0.015, w+0.04, 1.015, 0.34), glyphRing(s-0.04, s-0.015, w+0.04-s, 1.015-s, 0.18)}, w, true
	case '0':
		return []geom.Path{glyphRing(0, -0.01, w-0.06, 1.01, 0.27), glyphRing(s, s-0.01, w-0.06-s, 1.01-s, 0.11)}, w - 0.06, true
	case 'P':
		return []geom.Path{
			rounded(corner{0, 0, 0}, corner{s, 0, 0}, corner{s, 0.42 - s/2, 0}, corner{w, 0.42 - s/2, 0.2}, corner{w, 1, 0.2}, corner{0, 1, 0}),
			bowl(0.42 + s/2),
		}, w, true
	case 'R':
		return []geom.Path{
			rounded(corner{0, 0, 0}, corner{s, 0, 0}, corner{s, 0.42 - s/2, 0}, corner{w/2 - 0.05, 0.42 - s/2, 0}, corner{w - s, 0, 0}, corner{w + 0.02, 0, 0},
				corner{w - s + 0.04, 0.42 - s/2, 0}, corner{w, 0.42 - s/2, 0.12}, corner{w, 1, 0.2}, corner{0, 1, 0}),
			bowl(0.42 + s/2),
		}, w, true
	case '4':
		return []geom.Path{
			glyphPoly(w-0.1-s, 0, w-0.1, 0, w-0.1, 0.2, w, 0.2, w, 0.2+s, w-0.1, 0.2+s, w-0.1, 1, w-0.12-s, 1, 0, 0.2+s, 0, 0.2, w-0.1-s, 0.2),
			glyphPoly(0.16, 0.2+s, w-0.1-s, 0.2+s, w-0.1-s, 0.82),
		}, w, true
	case '6':
		return six, w, true
	case '9':
		turn := geom.Turn(geom.Pt(w/2, 0.5), math.Pi)
		return []geom.Path{six[0].Transform(turn), six[1].Transform(turn)}, w, true
	case '8':
		return []geom.Path{glyphRing(0, 0, w, 1, 0.22), glyphRing(s, s, w-s, 0.5-s/2.5, 0.08), glyphRing(s, 0.5+s/2.5, w-s, 1-s, 0.08)}, w, true
	}
	return nil, 0, false
}

// plainGlyph returns a letter without counters.
func plainGlyph(r rune) (paths []geom.Path, width float64, ok bool) {
	const s, w = glyphStroke, glyphWidth
	switch r {
	case 'C':
		return []geom.Path{rounded(corner{0, 0, 0.25}, corner{w, 0, 0.1}, corner{w, 0.3, 0}, corner{w - s, 0.3, 0}, corner{w - s, s, 0}, corner{s, s, 0.1},
			corner{s, 1 - s, 0.1}, corner{w - s, 1 - s, 0}, corner{w - s, 0.7, 0}, corner{w, 0.7, 0}, corner{w, 1, 0.1}, corner{0, 1, 0.25})}, w, true
	case 'S':
		return []geom.Path{rounded(corner{0, 0, 0}, corner{w, 0, 0.2}, corner{w, 0.5 + s/2, 0.2}, corner{s, 0.5 + s/2, 0.05}, corner{s, 1 - s, 0.05}, corner{w, 1 - s, 0},
			corner{w, 1, 0}, corner{0, 1, 0.2}, corner{0, 0.5 - s/2, 0.2}, corner{w - s, 0.5 - s/2, 0.05}, corner{w - s, s, 0.05}, corner{0, s, 0})}, w, true
	case 'U':
		return []geom.Path{rounded(corner{0, 0, 0.28}, corner{w, 0, 0.28}, corner{w, 1, 0}, corner{w - s, 1, 0}, corner{w - s, s, 0.12}, corner{s, s, 0.12}, corner{s, 1, 0}, corner{0, 1, 0})}, w, true
	case 'E':
		return []geom.Path{glyphPoly(0, 0, w, 0, w, s, s, s, s, 0.5-s/2, w-0.08, 0.5-s/2, w-0.08, 0.5+s/2, s, 0.5+s/2, s, 1-s, w, 1-s, w, 1, 0, 1)}, w, true
	case 'F':
		return []geom.Path{glyphPoly(0, 0, s, 0, s, 0.5-s/2, w-0.08, 0.5-s/2, w-0.08, 0.5+s/2, s, 0.5+s/2, s, 1-s, w, 1-s, w, 1, 0, 1)}, w, true
	case 'H':
		return []geom.Path{glyphPoly(0, 0, s, 0, s, 0.5-s/2, w-s, 0.5-s/2, w-s, 0, w, 0, w, 1, w-s, 1, w-s, 0.5+s/2, s, 0.5+s/2, s, 1, 0, 1)}, w, true
	case 'I':
		return []geom.Path{glyphPoly(0, 0, s, 0, s, 1, 0, 1)}, s, true
	case 'L':
		return []geom.Path{glyphPoly(0, 0, w-0.06, 0, w-0.06, s, s, s, s, 1, 0, 1)}, w - 0.06, true
	case 'N':
		return []geom.Path{glyphPoly(0, 0, s, 0, s, 0.72, w-s, 0, w, 0, w, 1, w-s, 1, w-s, 0.28, s, 1, 0, 1)}, w, true
	case 'T':
		return []geom.Path{glyphPoly(w/2-s/2, 0, w/2+s/2, 0, w/2+s/2, 1-s, w, 1-s, w, 1, 0, 1, 0, 1-s, w/2-s/2, 1-s)}, w, true
	case 'X':
		return []geom.Path{glyphPoly(0, 0, s*1.2, 0, w/2, 0.38, w-s*1.2, 0, w, 0, w/2+s*0.7, 0.5, w, 1, w-s*1.2, 1, w/2, 0.62, s*1.2, 1, 0, 1, w/2-s*0.7, 0.5)}, w, true
	case '.':
		return []geom.Path{glyphRing(0, 0, s, s, s/2)}, s, true
	case '-':
		return []geom.Path{glyphPoly(0, 0.42, 2*s, 0.42, 2*s, 0.58, 0, 0.58)}, 2 * s, true
	}
	return nil, 0, false
}

// Letters returns the outlines of a line of block letters of the given height, its
// foot starting at 0, 0: A to F, H, I, L, N to P, R to U, X, 0, 4, 6, 8, 9, points and hyphens; all else is
// a space. They are drawn for tests, after no typeface.
func Letters(text string, height float64) []geom.Path {
	var out []geom.Path
	x := 0.0
	for _, r := range text {
		paths, width, ok := glyph(r)
		if !ok {
			x += 3 * glyphSpace
			continue
		}
		for _, p := range paths {
			q := make(geom.Path, len(p))
			for i, piece := range p {
				q[i] = stretched(piece, height, geom.Pt(x*height, 0))
			}
			out = append(out, q)
		}
		x += width + glyphSpace
	}
	return out
}

// stretched returns a piece f times as large, moved by d.
func stretched(p geom.Piece, f float64, d geom.Point) geom.Piece {
	p.A, p.B, p.C, p.R = p.A.Mul(f).Add(d), p.B.Mul(f).Add(d), p.C.Mul(f).Add(d), p.R*f
	return p
}
