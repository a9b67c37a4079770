// Package geomtest helps tests of geometry: random parts for property tests.
package geomtest

import (
	"math"
	"math/rand/v2"

	"sluice/geom"
)

// RandomPart returns a flat part of some 60 to 120 mm with lines and arcs: the
// outer outline, counter-clockwise, with rounded, chamfered and sharp corners,
// bowed edges, notches and tabs; and holes, clockwise: round, slots, triangles
// and rounded rectangles, some close to each other or to the edge. Outlines
// neither cross themselves nor each other, and no two come nearer than 0.02 mm
// (measured on chords within 0.002 mm). The same rng state gives the same part.
func RandomPart(rng *rand.Rand) (outer geom.Path, holes []geom.Path) {
	for outer == nil {
		if p := randomOutline(rng); Simple(p, 0.02) {
			outer = p
		}
	}
	all := [][]geom.Point{outer.Flatten(chord)}
	var places []geom.Point
	for range 4 + rng.IntN(12) {
		at := geom.Pt(uniform(rng, -45, 45), uniform(rng, -45, 45))
		if len(places) > 0 && rng.IntN(2) == 0 {
			near := places[rng.IntN(len(places))]
			at = near.Add(geom.Polar(geom.Point{}, uniform(rng, 1, 9), uniform(rng, -3, 3)))
		}
		h := randomHole(rng).Transform(geom.Turn(geom.Point{}, uniform(rng, -3, 3)).Then(geom.Shift(at)))
		pts := h.Flatten(chord)
		if !outer.Contains(pts[0]) || !clearOf(pts, all, 0.02) {
			continue
		}
		inHole := false
		for _, g := range holes {
			inHole = inHole || g.Contains(pts[0]) || h.Contains(g[0].A)
		}
		if inHole {
			continue
		}
		holes = append(holes, h)
		all = append(all, pts)
		places = append(places, at)
	}
	return outer, holes
}

// chord is the flattening tolerance (mm) of the checks made here.
const chord = 0.002

func uniform(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

// randomOutline is a star-shaped polygon whose corners and edges are worked over.
func randomOutline(rng *rand.Rand) geom.Path {
	n := 4 + rng.IntN(6)
	pts := make([]geom.Point, n)
	for i := range pts {
		a := 2 * math.Pi * (float64(i) + uniform(rng, -0.3, 0.3)) / float64(n)
		pts[i] = geom.Polar(geom.Point{}, uniform(rng, 30, 60), a)
	}
	corners := make([]geom.Path, n) // each ends at its leaving point
	arrive := make([]geom.Point, n)
	for i := range pts {
		arrive[i], corners[i] = randomCorner(rng, pts[(i+n-1)%n], pts[i], pts[(i+1)%n])
	}
	var path geom.Path
	for i := range pts {
		from := arrive[i]
		path = append(path, corners[i]...)
		if len(corners[i]) > 0 {
			from = corners[i][len(corners[i])-1].B
		}
		path = append(path, randomEdge(rng, from, arrive[(i+1)%n])...)
	}
	return path
}

// randomCorner rounds, chamfers or keeps the corner at b.
func randomCorner(rng *rand.Rand, a, b, c geom.Point) (arrive geom.Point, path geom.Path) {
	u, v := b.Sub(a).Unit(), c.Sub(b).Unit()
	turn := geom.TurnTo(u, v)
	back := uniform(rng, 0.2, 6)
	p, q := b.Sub(u.Mul(back)), b.Add(v.Mul(back))
	switch rng.IntN(4) {
	case 0:
		return b, nil
	case 1:
		return p, geom.Path{geom.Line(p, q)}
	}
	return p, geom.Path{geom.Bulge(p, q, math.Tan(turn/4))}
}

// randomEdge runs from a to b straight, bowed, or with a notch or tab.
func randomEdge(rng *rand.Rand, a, b geom.Point) geom.Path {
	l := a.Dist(b)
	kind := rng.IntN(6)
	if l < 12 && kind > 1 {
		kind = 0
	}
	u := b.Sub(a).Unit()
	out := u.Left().Mul(-1)
	m := a.Lerp(b, uniform(rng, 0.4, 0.6))
	w := math.Exp(uniform(rng, math.Log(0.3), math.Log(4)))
	d := uniform(rng, 0.3, 9)
	if rng.IntN(2) == 0 {
		d = -d // a notch
	}
	taper := w / 2
	if rng.IntN(2) == 0 {
		taper = w / 2 * uniform(rng, 0.3, 1.3)
	}
	p, q := m.Sub(u.Mul(w/2)), m.Add(u.Mul(w/2))
	pe, qe := m.Sub(u.Mul(taper)).Add(out.Mul(d)), m.Add(u.Mul(taper)).Add(out.Mul(d))
	switch kind {
	case 0, 1:
		return geom.Path{geom.Line(a, b)}
	case 2:
		return geom.Path{geom.Bulge(a, b, uniform(rng, -0.15, 0.3))}
	case 3: // round bottom or head
		bulge := 1.0
		if d < 0 {
			bulge = -1
		}
		return geom.Path{geom.Line(a, p), geom.Line(p, pe), geom.Bulge(pe, qe, bulge), geom.Line(qe, q), geom.Line(q, b)}
	case 4: // round all the way
		bulge := uniform(rng, -1.4, 1.4)
		return geom.Path{geom.Line(a, p), geom.Bulge(p, q, bulge), geom.Line(q, b)}
	}
	return geom.Path{geom.Line(a, p), geom.Line(p, pe), geom.Line(pe, qe), geom.Line(qe, q), geom.Line(q, b)}
}

// randomHole is a clockwise hole about the origin.
func randomHole(rng *rand.Rand) geom.Path {
	w := math.Exp(uniform(rng, math.Log(0.4), math.Log(9)))
	l := w + uniform(rng, 0.1, 14)
	var p geom.Path
	switch rng.IntN(5) {
	case 0:
		return geom.Path{geom.Circle(geom.Point{}, w/2).Reverse()}
	case 1:
		p = roundedRect(l, w, w/2)
	case 2:
		p = roundedRect(l, w, 0)
	case 3:
		p = roundedRect(l, w, w/2*uniform(rng, 0.05, 0.9))
	default:
		t := []geom.Point{{X: -l / 2}, {X: l / 2, Y: uniform(rng, -1, 1)}, {X: uniform(rng, -l/2, l/2), Y: w}}
		for i := range t {
			p = append(p, geom.Line(t[i], t[(i+1)%3]))
		}
		if p.Area() < 0 {
			return p
		}
	}
	return p.Reverse()
}

// roundedRect is a counter-clockwise rectangle about the origin with corner
// radius r, at most half its height h.
func roundedRect(w, h, r float64) geom.Path {
	x, y := w/2, h/2
	c := []geom.Point{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}}
	var p geom.Path
	for i, a := range c {
		b := c[(i+1)%4]
		u := b.Sub(a).Unit().Mul(r)
		from, to := a.Add(u), b.Sub(u)
		if from.Dist(to) > 1e-9 {
			p = append(p, geom.Line(from, to))
		}
		if r > 0 {
			v := c[(i+2)%4].Sub(b).Unit().Mul(r)
			p = append(p, geom.Bulge(to, b.Add(v), math.Tan(math.Pi/8)))
		}
	}
	if r == h/2 { // join the quarter circles
		var q geom.Path
		for _, s := range p {
			if k := len(q) - 1; k >= 0 && s.R > 0 && q[k].R > 0 {
				q[k] = geom.Bulge(q[k].A, s.B, 1)
				continue
			}
			q = append(q, s)
		}
		return q
	}
	return p
}

// Simple reports whether a closed path neither crosses itself nor comes nearer
// to itself than apart (mm), save where pieces follow each other; on chords
// within 0.002 mm.
func Simple(p geom.Path, apart float64) bool {
	pts := p.Flatten(chord)
	n := len(pts) - 1
	along := make([]float64, n+1)
	for i := range n {
		along[i+1] = along[i] + pts[i].Dist(pts[i+1])
	}
	for i := range n {
		for j := i + 2; j < n; j++ {
			way := along[j] - along[i+1] // along the outline they are near on its own account
			if way = min(way, along[n]-along[j+1]+along[i]); way == 0 {
				continue
			}
			if tooClose(pts[i], pts[i+1], pts[j], pts[j+1], min(apart, way/4)) {
				return false
			}
		}
	}
	return true
}

// clearOf reports whether a closed run of points stays apart from all others.
func clearOf(pts []geom.Point, others [][]geom.Point, apart float64) bool {
	b := geom.BoxOf(pts...)
	for _, o := range others {
		for j := range len(o) - 1 {
			if geom.BoxOf(o[j], o[j+1]).Dist(b) > apart {
				continue
			}
			for i := range len(pts) - 1 {
				if tooClose(pts[i], pts[i+1], o[j], o[j+1], apart) {
					return false
				}
			}
		}
	}
	return true
}

func crosses(a, b, c, d geom.Point) bool {
	return (b.Sub(a).Cross(c.Sub(a)) > 0) != (b.Sub(a).Cross(d.Sub(a)) > 0) &&
		(d.Sub(c).Cross(a.Sub(c)) > 0) != (d.Sub(c).Cross(b.Sub(c)) > 0)
}

func tooClose(a, b, c, d geom.Point, apart float64) bool {
	if geom.BoxOf(a, b).Dist(geom.BoxOf(c, d)) > apart {
		return false
	}
	s, t := geom.Line(a, b), geom.Line(c, d)
	return crosses(a, b, c, d) || min(s.Dist(c), s.Dist(d), t.Dist(a), t.Dist(b)) < apart
}
