package plate

import (
	"math"
	"slices"

	"sluice/geom"
)

// Blocks reports whether plate b is in the way of plate a as a moves off along a unit
// direction, from its place to far away. Places where they are in each other by no more
// than tol, mm, do not count. It is exact where the plates lie parallel or at right angles
// and the direction runs along or across both; else the way is gone in short steps.
func Blocks(a *Plate, at Pose, b *Plate, bt Pose, along Vec, tol float64) bool {
	rel := bt.Then(at.Back()) // b as a sees it
	d := at.Back().Turn(along)
	n := rel.R[2]
	c := math.Abs(n[2])
	switch {
	case c > 1-1e-9 && math.Abs(d[2]) > 1-1e-9:
		return a.fallsOn(b, rel, d[2], tol)
	case c > 1-1e-9 && math.Abs(d[2]) < 1e-9:
		return a.slidesInto(b, rel, geom.Pt(d[0], d[1]), tol)
	case c < 1e-9:
		l := n.Cross(Vec{0, 0, 1})
		switch {
		case math.Abs(d.Dot(l)) > 1-1e-9:
			return a.alongLine(b, rel, l, d.Dot(l), tol)
		case math.Abs(d.Dot(n)) > 1-1e-9:
			return a.through(b, rel, l, d.Dot(n), tol)
		case math.Abs(d[2]) > 1-1e-9: // b moves the other way through a
			back := rel.Back()
			return b.through(a, back, back.Turn(l), -d[2], tol)
		}
	}
	return stepwise(a, at, b, bt, along, tol)
}

// fallsOn: parallel plates, the way across both. sign is that of the way as a sees it.
func (a *Plate) fallsOn(b *Plate, rel Pose, sign, tol float64) bool {
	z0, z1 := rel.T[2], rel.T[2]+rel.R[2][2]*b.Thickness
	lo, hi := min(z0, z1), max(z0, z1)
	if sign > 0 && hi <= tol || sign < 0 && lo >= a.Thickness-tol {
		return false // behind
	}
	moved := b.seen(rel)
	if !moved.Box.Overlaps(a.Box) {
		return false
	}
	return a.deepIn(moved, tol)
}

// seen returns a parallel plate's outlines as another sees them.
func (b *Plate) seen(rel Pose) *Plate {
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
	return moved
}

// deepIn reports whether two plates in one plane have a place in common that is wider and
// higher than twice a tolerance.
func (a *Plate) deepIn(b *Plate, tol float64) bool {
	xs := breaks(a, nil, math.Inf(-1), math.Inf(1))
	xs = breaks(b, xs, math.Inf(-1), math.Inf(1))
	lo, hi := max(a.Box.Min.X, b.Box.Min.X), min(a.Box.Max.X, b.Box.Max.X)
	wide := 0.0
	deep := func(x0, x1 float64) bool {
		x := (x0 + x1) / 2
		if widest(spans(a, x), spans(b, x)) > 2*tol {
			wide += x1 - x0
		} else {
			wide = 0
		}
		return wide > 2*tol
	}
	if eachStrip(xs, lo, hi, deep) {
		return true // found without looking for crossings, which takes longest
	}
	wide = 0
	return eachStrip(append(xs, crossings(a, b)...), lo, hi, deep)
}

// eachStrip calls do for the strips between places, from lo to hi, until it says true.
func eachStrip(xs []float64, lo, hi float64, do func(x0, x1 float64) bool) bool {
	if hi <= lo {
		return false
	}
	xs = append(xs, lo, hi)
	slices.Sort(xs)
	last := lo
	for _, x := range xs {
		if x <= last+1e-9 || x > hi {
			continue
		}
		if do(last, x) {
			return true
		}
		last = x
	}
	return false
}

// widest returns how much two lists of spans have in common at one place at most.
func widest(a, b []float64) (most float64) {
	for i, k := 0, 0; i+1 < len(a) && k+1 < len(b); {
		most = max(most, min(a[i+1], b[k+1])-max(a[i], b[k]))
		if a[i+1] < b[k+1] {
			i += 2
		} else {
			k += 2
		}
	}
	return most
}

// slidesInto: parallel plates, the way in their plane.
func (a *Plate) slidesInto(b *Plate, rel Pose, d geom.Point, tol float64) bool {
	z0, z1 := rel.T[2], rel.T[2]+rel.R[2][2]*b.Thickness
	if min(max(z0, z1), a.Thickness)-max(min(z0, z1), 0) <= tol {
		return false
	}
	moved := b.seen(rel)
	// Across the way along x, the way along y.
	x := geom.Pt(d.Y, -d.X)
	sa, sb := strip(a, geom.Point{}, x, d), strip(moved, geom.Point{}, x, d)
	if sb.Box.Max.Y <= sa.Box.Min.Y+tol {
		return false
	}
	xs := breaks(sa, nil, math.Inf(-1), math.Inf(1))
	xs = breaks(sb, xs, math.Inf(-1), math.Inf(1))
	xs = append(xs, crossings(sa, sb)...)
	wide := 0.0
	return eachStrip(xs, max(sa.Box.Min.X, sb.Box.Min.X), min(sa.Box.Max.X, sb.Box.Max.X), func(x0, x1 float64) bool {
		m := (x0 + x1) / 2
		ya, yb := spans(sa, m), spans(sb, m)
		if len(ya) > 0 && len(yb) > 0 && yb[len(yb)-1] > ya[0]+tol && ahead(ya, yb, tol) {
			wide += x1 - x0
		} else {
			wide = 0
		}
		return wide > 2*tol
	})
}

// ahead reports whether something of b comes after something of a, more than they touch.
func ahead(a, b []float64, tol float64) bool {
	for i := 0; i+1 < len(b); i += 2 {
		// The first of a that begins before this ends.
		if a[0]+tol < b[i+1] {
			return true
		}
	}
	return false
}

// line is the coordinates in which plates at right angles to each other are compared: x
// along the line in which they meet, y across it in each.
type line struct {
	a, b   *Plate // in those coordinates
	wa, wb float64
}

// onLine returns plates at right angles in coordinates of the line in which they meet. In
// a, y runs along b's normal and is 0 in b's middle; in b along a's.
func onLine(a, b *Plate, rel Pose, l Vec) line {
	n := rel.R[2]
	mid := rel.Apply(Vec{0, 0, b.Thickness / 2})
	origin := n.Mul(mid.Dot(n))
	origin[2] = a.Thickness / 2
	back := rel.Back()
	inB, lb, up := back.Apply(origin), back.Turn(l), back.Turn(Vec{0, 0, 1})
	return line{
		strip(a, geom.Pt(origin[0], origin[1]), geom.Pt(l[0], l[1]), geom.Pt(n[0], n[1])),
		strip(b, geom.Pt(inB[0], inB[1]), geom.Pt(lb[0], lb[1]), geom.Pt(up[0], up[1])),
		b.Thickness / 2, a.Thickness / 2,
	}
}

// shadow returns the stretches of x where a plate has something between y0 and y1.
func shadow(p *Plate, y0, y1 float64) (all []float64) {
	if y1 <= y0 || p.Box.Max.Y <= y0 || p.Box.Min.Y >= y1 {
		return nil
	}
	xs := breaks(p, nil, y0, y1)
	eachStrip(xs, p.Box.Min.X, p.Box.Max.X, func(x0, x1 float64) bool {
		if len(within(spans(p, (x0+x1)/2), y0, y1)) == 0 {
			return false
		}
		if n := len(all); n > 0 && x0-all[n-1] < 1e-9 {
			all[n-1] = x1
		} else {
			all = append(all, x0, x1)
		}
		return false
	})
	return all
}

// alongLine: plates at right angles, the way along the line in which they meet.
func (a *Plate) alongLine(b *Plate, rel Pose, l Vec, sign, tol float64) bool {
	s := onLine(a, b, rel, l)
	ia, ib := shadow(s.a, -s.wa+tol, s.wa-tol), shadow(s.b, -s.wb+tol, s.wb-tol)
	if len(ia) == 0 || len(ib) == 0 {
		return false
	}
	if sign > 0 {
		return ib[len(ib)-1] > ia[0]+tol
	}
	return ib[0] < ia[len(ia)-1]-tol
}

// through: plates at right angles, the way across b: what of a is not past b yet goes
// through it.
func (a *Plate) through(b *Plate, rel Pose, l Vec, sign, tol float64) bool {
	s := onLine(a, b, rel, l)
	lo, hi := math.Inf(-1), s.wa-tol
	if sign < 0 {
		lo, hi = -s.wa+tol, math.Inf(1)
	}
	ib := shadow(s.b, -s.wb+tol, s.wb-tol)
	if len(ib) == 0 {
		return false
	}
	return widest(shadow(s.a, lo, hi), ib) > 2*tol
}

// stepwise goes the way in steps shorter than the plates are thick, with both plates
// smaller on all sides by half of the tolerance: what only touches is then clear.
func stepwise(a *Plate, at Pose, b *Plate, bt Pose, d Vec, tol float64) bool {
	step := 0.45 * min(a.Thickness, b.Thickness)
	a, at = a.shrunk(at, tol/2)
	b, bt = b.shrunk(bt, tol/2)
	if a.Thickness <= 0 || b.Thickness <= 0 {
		return false
	}
	lo, hi := a.Extent(at)
	blo, bhi := b.Extent(bt)
	rests := Overlap(a, at, b, bt)
	for s := min(step, 0.6); ; s += step {
		by := d.Mul(s)
		l, h := lo.Add(by), hi.Add(by)
		if past(l, h, blo, bhi, d) {
			return false
		}
		pose := at
		pose.T = pose.T.Add(by)
		if Overlap(a, pose, b, bt) > rests+crumb {
			return true
		}
	}
}

// crumb is a volume, mm3, that is nothing.
const crumb = 0.02

// shrunk returns a plate that is smaller by some mm on all sides, and where it lies.
func (p *Plate) shrunk(at Pose, by float64) (*Plate, Pose) {
	out := &Plate{Thickness: p.Thickness - 2*by, Box: geom.NoBox()}
	for k, ring := range p.Rings {
		// The material is to the left of an outside that runs counter-clockwise.
		in := by
		if (signedArea(ring) > 0) != (k == 0) {
			in = -by
		}
		moved := inset(ring, in)
		for _, q := range moved {
			out.Box = out.Box.Union(geom.BoxOf(q))
		}
		out.Rings = append(out.Rings, moved)
	}
	if len(out.Rings) > 0 {
		out.hull = geom.Hull(out.Rings[0])
	}
	at.T = at.T.Add(at.R[2].Mul(by))
	return out, at
}

// inset moves each edge of a ring to its left; corners stay where their edges meet.
func inset(ring []geom.Point, by float64) []geom.Point {
	out := make([]geom.Point, 0, len(ring))
	n := len(ring)
	for i, q := range ring {
		u, v := q.Sub(ring[(i+n-1)%n]), ring[(i+1)%n].Sub(q)
		if u.Norm() < 1e-9 || v.Norm() < 1e-9 {
			out = append(out, q)
			continue
		}
		a, b := u.Unit().Left(), v.Unit().Left()
		out = append(out, q.Add(a.Add(b).Mul(by/max(0.2, 1+a.Dot(b)))))
	}
	return out
}

// past reports whether a box that moves along d can meet another no more.
func past(alo, ahi, blo, bhi, d Vec) bool {
	for k := range 3 {
		if d[k] > 1e-9 && alo[k] >= bhi[k] || d[k] < -1e-9 && ahi[k] <= blo[k] {
			return true
		}
		if math.Abs(d[k]) <= 1e-9 && (alo[k] >= bhi[k]-1e-9 || blo[k] >= ahi[k]-1e-9) {
			return true // beside it all the way
		}
	}
	return false
}

// Shadow returns the stretches, along an axis of another plate, where a plate that stands
// at right angles to it has something between its faces: rel takes this one to the other,
// which is t thick; axis is 0 for its x and 1 for its y.
func (p *Plate) Shadow(rel Pose, t float64, axis int) (all [][2]float64) {
	back := rel.Back()
	var unit Vec
	unit[axis] = 1
	origin := back.Apply(Vec{0, 0, t / 2})
	x, y := back.Turn(unit), back.Turn(Vec{0, 0, 1})
	s := strip(p, geom.Pt(origin[0], origin[1]), geom.Pt(x[0], x[1]), geom.Pt(y[0], y[1]))
	spans := shadow(s, -t/2+0.01, t/2-0.01)
	for i := 0; i+1 < len(spans); i += 2 {
		all = append(all, [2]float64{spans[i], spans[i+1]})
	}
	return all
}
