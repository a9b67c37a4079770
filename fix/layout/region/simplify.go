package region

import (
	"math"

	"sluice/geom"
)

// Simplify returns the region with fewer corners, no less material and at most
// tol (mm) more of it along its sides. Pockets whose opening is no wider than
// mouth, and holes no wider than hole (mm) either way, are closed as well: they
// are of no use to another part.
func (g *Region) Simplify(tol, mouth, hole float64) *Region {
	out := &Region{Outer: g.Outer}
	for _, h := range g.Holes {
		if b := h.Box(); b.W() > hole && b.H() > hole {
			out.Holes = append(out.Holes, h)
		}
	}
	rings := append([]Ring{out.Outer}, out.Holes...)
	for k := range rings {
		if mouth > 0 {
			closePockets(rings, k, mouth)
		}
		if tol > 0 {
			fewer(rings, k, tol)
		}
	}
	out.Outer, out.Holes = rings[0], rings[1:]
	return out
}

// pocketReach is how many corners a pocket may have.
const pocketReach = 16

// closePockets replaces corners between two points no more than mouth apart by
// the straight line between them, where that adds material only.
func closePockets(rings []Ring, k int, mouth float64) {
	for i := 0; i < len(rings[k]); i++ {
		r := rings[k]
		n := len(r)
		for span := min(pocketReach, n-3); span >= 2; span-- {
			a, b := r[i], r[(i+span)%n]
			if a.Dist(b) > mouth {
				continue
			}
			pocket := make(Ring, 0, span+1)
			for s := range span + 1 {
				pocket = append(pocket, r[(i+s)%n])
			}
			// A pocket of waste runs clockwise: material lies outside it.
			if pocket.Area() >= 0 || crossesItself(pocket) || anyInside(rings, pocket) {
				continue
			}
			keep := make(Ring, 0, n-span+1)
			for s := span; s <= n; s++ {
				keep = append(keep, r[(i+s)%n])
			}
			keep = clean(keep)
			if len(keep) < 3 || (keep.Area() > 0) != (r.Area() > 0) {
				continue
			}
			rings[k] = keep
			i = max(-1, i-span-1)
			break
		}
	}
}

// crossesItself reports whether the closing line of a pocket crosses one of its
// other sides.
func crossesItself(p Ring) bool {
	n := len(p)
	a, b := p[n-1], p[0]
	for i := 1; i+2 < n; i++ {
		c, d := p[i], p[i+1]
		if (turn(a, b, c) > 0) != (turn(a, b, d) > 0) && (turn(c, d, a) > 0) != (turn(c, d, b) > 0) {
			return true
		}
	}
	for i := 1; i+1 < n; i++ { // a corner on or beyond the closing line
		if turn(a, b, p[i]) >= 0 && (p[i].Sub(a).Dot(b.Sub(a)) > 0 && p[i].Sub(b).Dot(a.Sub(b)) > 0) {
			return true
		}
	}
	return false
}

// anyInside reports whether a point of the rings lies within or on p and is no
// corner of it.
func anyInside(rings []Ring, p Ring) bool {
	box := p.Box()
	for _, r := range rings {
		for _, q := range r {
			if box.Contains(q) && !contains(p, q) && inOrOn(p, q) {
				return true
			}
		}
	}
	return false
}

func contains(p Ring, q geom.Point) bool {
	for _, v := range p {
		if v == q {
			return true
		}
	}
	return false
}

// inOrOn reports whether q lies in the ring (even-odd) or on its line.
func inOrOn(p Ring, q geom.Point) bool {
	in := false
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		t := turn(a, b, q)
		if t == 0 && q.Sub(a).Dot(q.Sub(b)) <= 0 {
			return true
		}
		if (a.Y > q.Y) != (b.Y > q.Y) && (t > 0) == (b.Y > a.Y) {
			in = !in
		}
	}
	return in
}

// fewer drops corners one at a time: a corner that turns right is cut off by the
// line between its neighbours; two that turn left are replaced by the meeting of
// the sides before and after them.
func fewer(rings []Ring, k int, tol float64) {
	for range 8 {
		start := len(rings[k])
		for i := 0; i < len(rings[k]) && len(rings[k]) > 3; i++ {
			r := rings[k]
			n := len(r)
			prev, v, next := r[(i+n-1)%n], r[i], r[(i+1)%n]
			if t := turn(prev, v, next); t <= 0 {
				if l := prev.Dist(next); l > 0 && -t/l <= tol && !anyInside(rings, Ring{prev, next, v}) {
					rings[k] = append(r[:i:i], r[i+1:]...)
					i--
				}
				continue
			}
			if n == 4 || turn(v, next, r[(i+2)%n]) <= 0 {
				continue
			}
			p, ok := meet(prev, v, r[(i+2)%n], next)
			if !ok || p.Sub(v).Dot(v.Sub(prev)) < 0 {
				continue
			}
			if l := v.Dist(next); math.Abs(turn(v, next, p))/l <= tol && p.Dist(v) <= 4*tol+l && !anyInside(rings, Ring{v, p, next}) && !cutBy(rings, v, p) && !cutBy(rings, p, next) {
				out := append(r[:i:i], r[i+1:]...)
				out[i%len(out)] = p
				rings[k] = out
			}
		}
		if len(rings[k]) == start {
			break
		}
	}
	rings[k] = clean(rings[k])
}

// cutBy reports whether a side of the rings crosses the open line from a to b.
func cutBy(rings []Ring, a, b geom.Point) bool {
	box := geom.BoxOf(a, b)
	for _, r := range rings {
		for i := range r {
			c, d := r[i], r[(i+1)%len(r)]
			if !box.Overlaps(geom.BoxOf(c, d)) || c == a || d == a || c == b || d == b {
				continue
			}
			if turn(a, b, c)*turn(a, b, d) <= 0 && turn(c, d, a)*turn(c, d, b) <= 0 {
				return true
			}
		}
	}
	return false
}

// meet returns the point where the lines a-b and c-d, both run towards the
// second point, meet.
func meet(a, b, c, d geom.Point) (geom.Point, bool) {
	u, v := b.Sub(a), d.Sub(c)
	den := u.Cross(v)
	if math.Abs(den) <= 1e-9*u.Norm()*v.Norm() {
		return geom.Point{}, false
	}
	t := c.Sub(a).Cross(v) / den
	return a.Add(u.Mul(t)), true
}
