package plate

import (
	"math"
	"slices"

	"sluice/geom"
)

// Plate is a flat part.
type Plate struct {
	Rings     [][]geom.Point // outside and holes; inside by even and odd
	Thickness float64
	Box       geom.Box

	hull []geom.Point // of the outside: as far as it goes in any direction
}

// New returns the plate that paths bound; arcs are taken as lines within tol, mm.
func New(paths []geom.Path, thickness, tol float64) *Plate {
	p := &Plate{Thickness: thickness, Box: geom.NoBox()}
	for _, path := range paths {
		ring := path.Flatten(tol)
		if n := len(ring); n > 1 && ring[0] == ring[n-1] {
			ring = ring[:n-1]
		}
		p.Rings = append(p.Rings, ring)
		p.Box = p.Box.Union(path.Box())
	}
	if len(p.Rings) > 0 {
		p.hull = geom.Hull(p.Rings[0])
	}
	return p
}

// Moved returns the plate moved in its plane.
func (p *Plate) Moved(tr geom.Transform) *Plate {
	out := &Plate{Thickness: p.Thickness, Box: geom.NoBox()}
	for _, ring := range p.Rings {
		to := make([]geom.Point, len(ring))
		for i, q := range ring {
			to[i] = tr.Apply(q)
			out.Box = out.Box.Union(geom.BoxOf(to[i]))
		}
		out.Rings = append(out.Rings, to)
	}
	if len(out.Rings) > 0 {
		out.hull = geom.Hull(out.Rings[0])
	}
	return out
}

// Extent returns the least and the greatest coordinates of a plate in space.
func (p *Plate) Extent(at Pose) (lo, hi Vec) {
	lo, hi = Vec{math.Inf(1), math.Inf(1), math.Inf(1)}, Vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	see := func(v Vec) {
		for i := range 3 {
			lo[i], hi[i] = min(lo[i], v[i]), max(hi[i], v[i])
		}
	}
	up := at.R[2].Mul(p.Thickness)
	for _, q := range p.hull {
		v := at.Apply(Flat(q, 0))
		see(v)
		see(v.Add(up))
	}
	return lo, hi
}

// Along returns from where to where a plate in space reaches in a direction.
func (p *Plate) Along(at Pose, d Vec) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	up := at.R[2].Dot(d) * p.Thickness
	for _, q := range p.hull {
		v := at.Apply(Flat(q, 0)).Dot(d)
		lo, hi = min(lo, v, v+up), max(hi, v, v+up)
	}
	return lo, hi
}

// Area returns the area of a plate's outside, holes and all, mm2.
func (p *Plate) Area() float64 {
	if len(p.Rings) == 0 {
		return 0
	}
	return math.Abs(signedArea(p.Rings[0]))
}

// Overlap returns the volume, mm3, that two plates have in common. It is exact for
// polygons that lie parallel or at right angles to each other, and at other angles where
// their edges run along or across the line in which they meet.
func Overlap(a *Plate, at Pose, b *Plate, bt Pose) float64 {
	rel := bt.Then(at.Back()) // b as a sees it
	if c := math.Abs(rel.R[2][2]); c > 1-1e-9 {
		return a.parallel(b, rel)
	}
	return a.across(b, rel)
}

// parallel returns the common volume of plates that lie parallel; rel takes b to a.
func (a *Plate) parallel(b *Plate, rel Pose) float64 {
	z0, z1 := rel.T[2], rel.T[2]+rel.R[2][2]*b.Thickness
	h := min(max(z0, z1), a.Thickness) - max(min(z0, z1), 0)
	if h <= 0 {
		return 0
	}
	moved := &Plate{Box: geom.NoBox()}
	for _, ring := range b.Rings {
		out := make([]geom.Point, len(ring))
		for i, q := range ring {
			v := rel.Apply(Flat(q, 0))
			out[i] = geom.Pt(v[0], v[1])
			moved.Box = moved.Box.Union(geom.BoxOf(out[i]))
		}
		moved.Rings = append(moved.Rings, out)
	}
	if !moved.Box.Overlaps(a.Box) {
		return 0
	}
	return h * area(a, moved)
}

// area returns the area that two plates in one plane have in common: both are cut along
// upright lines, between which all edges run straight.
func area(a, b *Plate) float64 {
	xs := breaks(a, nil, math.Inf(-1), math.Inf(1))
	xs = breaks(b, xs, math.Inf(-1), math.Inf(1))
	xs = append(xs, crossings(a, b)...)
	lo, hi := max(a.Box.Min.X, b.Box.Min.X), min(a.Box.Max.X, b.Box.Max.X)
	return integral(xs, lo, hi, func(x float64) float64 {
		return common(spans(a, x), spans(b, x))
	})
}

// across returns the common volume of plates that lie across each other.
func (a *Plate) across(b *Plate, rel Pose) float64 {
	// The line along which both run, and in each plane the direction across it.
	l := rel.R[2].Cross(Vec{0, 0, 1})
	sin := l.Norm()
	l = l.Unit()
	ya := Vec{0, 0, 1}.Cross(l) // in a's plane
	back := rel.Back()
	lb := back.Turn(l)
	yb := Vec{0, 0, 1}.Cross(lb) // in b's plane, as b sees it
	// Where b's middle plane cuts a's middle plane, across the line.
	mid := rel.Apply(Vec{0, 0, b.Thickness / 2})
	n := rel.R[2]
	// A place p with n.(p - mid) = 0 and p.z = half of a's thickness.
	d := n.Dot(mid) - n[2]*a.Thickness/2
	s := d / n.Dot(ya)
	origin := ya.Mul(s)
	origin[2] = a.Thickness / 2
	inB := back.Apply(origin)
	wa := b.Thickness / sin / 2 // half of the strip of a that lies within b's thickness
	wb := a.Thickness / sin / 2
	cos := math.Abs(rel.R[2][2])
	square := cos < 1e-9
	if !square { // corners reach further
		wa, wb = wa+wb*cos, wb+wa*cos
	}
	sa := strip(a, geom.Pt(origin[0], origin[1]), geom.Pt(l[0], l[1]), geom.Pt(ya[0], ya[1]))
	sb := strip(b, geom.Pt(inB[0], inB[1]), geom.Pt(lb[0], lb[1]), geom.Pt(yb[0], yb[1]))
	if sa.Box.Min.Y >= wa || sa.Box.Max.Y <= -wa || sb.Box.Min.Y >= wb || sb.Box.Max.Y <= -wb {
		return 0
	}
	lo, hi := max(sa.Box.Min.X, sb.Box.Min.X), min(sa.Box.Max.X, sb.Box.Max.X)
	if hi <= lo {
		return 0
	}
	xs := breaks(sa, nil, -wa, wa)
	xs = breaks(sb, xs, -wb, wb)
	if !square {
		turned := rel.Turn(yb)
		to := [2]geom.Point{{X: turned.Dot(ya), Y: turned[2]}, {X: n.Dot(ya), Y: n[2]}}
		return integral(xs, lo, hi, func(x float64) float64 {
			return askew(within(spans(sa, x), -wa, wa), a.Thickness, within(spans(sb, x), -wb, wb), b.Thickness, to)
		})
	}
	v := integral(xs, lo, hi, func(x float64) float64 {
		la := total(within(spans(sa, x), -wa, wa))
		if la <= 0 {
			return 0
		}
		return la * total(within(spans(sb, x), -wb, wb))
	})
	return v
}

// strip returns a plate in coordinates along and across a line.
func strip(p *Plate, at, x, y geom.Point) *Plate {
	out := &Plate{Box: geom.NoBox()}
	for _, ring := range p.Rings {
		r := make([]geom.Point, len(ring))
		for i, q := range ring {
			d := q.Sub(at)
			r[i] = geom.Pt(d.Dot(x), d.Dot(y))
			out.Box = out.Box.Union(geom.BoxOf(r[i]))
		}
		out.Rings = append(out.Rings, r)
	}
	return out
}

// FromEdge returns how far a place in the plane of a plate is from its outlines, mm.
func (p *Plate) FromEdge(at geom.Point) float64 {
	best := math.Inf(1)
	p.each(func(a, b geom.Point) {
		d := b.Sub(a)
		t := 0.0
		if l := d.Dot(d); l > 0 {
			t = min(1, max(0, at.Sub(a).Dot(d)/l))
		}
		best = min(best, at.Dist(a.Add(d.Mul(t))))
	})
	return best
}

// each calls do for each edge of a plate.
func (p *Plate) each(do func(a, b geom.Point)) {
	for _, ring := range p.Rings {
		for i := range ring {
			do(ring[i], ring[(i+1)%len(ring)])
		}
	}
}

// breaks adds where edges begin and end, and where they cross y0 and y1.
func breaks(p *Plate, xs []float64, y0, y1 float64) []float64 {
	p.each(func(a, b geom.Point) {
		if max(a.Y, b.Y) < y0 || min(a.Y, b.Y) > y1 {
			return
		}
		xs = append(xs, a.X, b.X)
		for _, y := range [2]float64{y0, y1} {
			if (a.Y-y)*(b.Y-y) < 0 {
				xs = append(xs, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
			}
		}
	})
	return xs
}

// crossings returns where edges of two plates in one plane cross.
func crossings(a, b *Plate) (xs []float64) {
	both := geom.Box{
		Min: geom.Pt(max(a.Box.Min.X, b.Box.Min.X), max(a.Box.Min.Y, b.Box.Min.Y)),
		Max: geom.Pt(min(a.Box.Max.X, b.Box.Max.X), min(a.Box.Max.Y, b.Box.Max.Y)),
	}
	near := b.edges(both)
	for _, p := range a.edges(both) {
		d := p.b.Sub(p.a)
		for i := range near {
			q := &near[i]
			if !p.box.Overlaps(q.box) {
				continue
			}
			e := q.b.Sub(q.a)
			den := d.Cross(e)
			if den == 0 {
				continue
			}
			if t := q.a.Sub(p.a).Cross(e) / den; t >= 0 && t <= 1 {
				xs = append(xs, p.a.X+t*d.X)
			}
		}
	}
	return xs
}

type edge struct {
	a, b geom.Point
	box  geom.Box
}

// edges lists the edges of a plate in a box.
func (p *Plate) edges(in geom.Box) (all []edge) {
	p.each(func(a, b geom.Point) {
		if e := (edge{a, b, geom.BoxOf(a, b)}); e.box.Overlaps(in) {
			all = append(all, e)
		}
	})
	return all
}

// integral sums a function that is a parabola at most between breaks (Simpson's rule).
func integral(xs []float64, lo, hi float64, f func(x float64) float64) (sum float64) {
	xs = append(xs, lo, hi)
	slices.Sort(xs)
	last := lo
	for _, x := range xs {
		if x <= last || x > hi {
			continue
		}
		w := x - last
		e := w * 1e-7 // off the breaks themselves
		sum += w / 6 * (f(last+e) + 4*f(last+w/2) + f(x-e))
		last = x
	}
	return sum
}

// spans returns where an upright line is inside a plate, as pairs of y.
func spans(p *Plate, x float64) (ys []float64) {
	p.each(func(a, b geom.Point) {
		if (a.X <= x) != (b.X <= x) {
			ys = append(ys, a.Y+(b.Y-a.Y)*(x-a.X)/(b.X-a.X))
		}
	})
	slices.Sort(ys)
	return ys
}

// within cuts spans down to what lies between y0 and y1, in place.
func within(ys []float64, y0, y1 float64) []float64 {
	out := ys[:0]
	for i := 0; i+1 < len(ys); i += 2 {
		if lo, hi := max(ys[i], y0), min(ys[i+1], y1); hi > lo {
			out = append(out, lo, hi)
		}
	}
	return out
}

// total returns how long spans are together.
func total(ys []float64) (sum float64) {
	for i := 0; i+1 < len(ys); i += 2 {
		sum += ys[i+1] - ys[i]
	}
	return sum
}

// common returns how much two lists of spans have in common.
func common(a, b []float64) (sum float64) {
	for i, k := 0, 0; i+1 < len(a) && k+1 < len(b); {
		if d := min(a[i+1], b[k+1]) - max(a[i], b[k]); d > 0 {
			sum += d
		}
		if a[i+1] < b[k+1] {
			i += 2
		} else {
			k += 2
		}
	}
	return sum
}

// Inside reports whether a place in the plane of a plate is in its material.
func (p *Plate) Inside(at geom.Point) bool {
	if !p.Box.Contains(at) {
		return false
	}
	for i, y := range spans(p, at.X) {
		if y > at.Y {
			return i%2 == 1
		}
	}
	return false
}
