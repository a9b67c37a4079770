package tab

import (
	"math"
	"slices"

	"sluice/geom"
)

// Support describes the slats a sheet lies on, thin parallel edges, and what a part
// must bear on them.
type Support struct {
	Pitch  float64 // distance of neighbouring slats, mm; 0 or less: a closed bed
	Along  Way
	Margin float64 // least distance of the centre of mass from the edge of the hull it must lie in, mm
	Push   float64 // what presses on the edge of the part that reaches furthest beyond that hull, in weights of the part
}

// Way is the way in which slats run.
type Way uint8

const (
	AlongY    Way = iota // contact lines x = const
	AlongX               // contact lines y = const
	EitherWay            // not known: the worse of the two counts
)

// Turned returns the slats turned by a quarter.
func (s Support) Turned() Support {
	switch s.Along {
	case AlongX:
		s.Along = AlongY
	case AlongY:
		s.Along = AlongX
	}
	return s
}

// Across returns how far a box reaches across the slats, mm.
func (s Support) Across(b geom.Box) float64 {
	switch s.Along {
	case AlongX:
		return b.H()
	case AlongY:
		return b.W()
	}
	return max(b.W(), b.H())
}

// Least number of steps into which a pitch is divided, and the number of
// outline points up to which each of them starts a step of its own. States
// that begin and end between two neighbouring steps go unseen.
const (
	tipSteps  = 96
	tipEvents = 512
)

// TipShare returns the share, in [0, 1], of slat offsets in which the part
// bounded by outer, less the holes, is not held. For an offset s in [0, p) the
// part rests where its material crosses the lines s + k p; it is held if its
// centre of mass lies inside the convex hull of those points, further than
// s.Margin from its edge, and far enough inside that its weight outweighs s.Push
// about each side of the hull. Either sense of the paths will do.
//
// The hull is spanned by the outermost crossings of each line. Those lie on
// the outer outline, so holes move the centre of mass and nothing else. Offsets
// at which the state changes are found by bisection between the offsets at
// which a slat passes a corner, an arc's extreme or the centre of mass; between
// those the hull changes smoothly. (Derived; a part with extents a and b on
// both sides of its centre is held in max(0, min(a,p) + min(b,p) - p) / p of
// the offsets if its width along the slats does not matter.)
func TipShare(outer geom.Path, holes []geom.Path, s Support) float64 {
	if s.Along == EitherWay {
		s.Along = AlongX
		return max(TipShare(outer, holes, s), TipShare(outer, holes, s.Turned()))
	}
	p := s.Pitch
	if !(p > 0) || len(outer) == 0 {
		return 0
	}
	t := newTipping(outer, netCentroid(outer, holes), s)
	switch {
	case !t.ctr.Finite() || !(t.hi-t.lo < 1e12):
		return 0
	case t.hi-t.lo < p:
		return 1 // never on two slats at once
	case (t.hi-t.lo)/p > 4096:
		return 0 // as good as a closed bed: a centroid lies in its part's hull
	}
	if s.Push > 0 {
		t.reach = outer.Flatten(reachTolerance)
		if s.Along != AlongX {
			for i, q := range t.reach {
				t.reach[i] = geom.Pt(q.Y, q.X)
			}
		}
		t.reach = geom.Hull(t.reach)
	} else if d, _ := outer.Dist(t.ctr); d > p+max(s.Margin, 0) && outer.Contains(t.ctr) {
		return 0 // a slat on each side meets the disc about the centre
	}
	var loose float64
	ev := t.events()
	for i := range ev {
		a, b := ev[i], p
		if i+1 < len(ev) {
			b = ev[i+1]
		}
		loose += t.looseIn(a, b)
	}
	return min(max(loose/p, 0), 1)
}

// netCentroid returns the centre of mass of outer less the holes.
func netCentroid(outer geom.Path, holes []geom.Path) geom.Point {
	area, moment := outer.Moments()
	if area < 0 {
		area, moment = -area, moment.Mul(-1)
	}
	for _, h := range holes {
		a, m := h.Moments()
		if a < 0 {
			a, m = -a, m.Mul(-1)
		}
		area -= a
		moment = moment.Sub(m)
	}
	if !(area > 0) {
		return outer.Box().Center()
	}
	return moment.Mul(1 / area)
}

// tipping weighs one part. v is the coordinate across the slats, u along them.
type tipping struct {
	path   geom.Path
	s      Support
	ctr    geom.Point
	lo, hi float64   // extent across the slats
	span   []float64 // per piece: least and largest v
	bin    [][]int32 // pieces that meet a slat, by offset
	kmin   int
	left   []float64 // per line: outermost crossings
	right  []float64
	hull   []geom.Point
	reach  []geom.Point // hull of the outline, along and across the slats; only where something presses on it
}

// reachTolerance is by how much, mm, an outline may fall short of how far it
// reaches beyond the slats.
const reachTolerance = 0.05

func newTipping(path geom.Path, ctr geom.Point, s Support) *tipping {
	t := &tipping{path: path, s: s, ctr: ctr, lo: math.Inf(1), hi: math.Inf(-1)}
	t.span = make([]float64, 0, 2*len(path))
	for i := range path {
		b := path[i].Box()
		v0, v1 := b.Min.X, b.Max.X
		if s.Along == AlongX {
			v0, v1 = b.Min.Y, b.Max.Y
		}
		t.span = append(t.span, v0, v1)
		t.lo, t.hi = min(t.lo, v0), max(t.hi, v1)
	}
	if !(t.hi-t.lo < 1e12) || (t.hi-t.lo)/s.Pitch > 4096 {
		return t
	}
	n := min(max(len(path)/4, 1), tipEvents)
	t.bin = make([][]int32, n)
	for i := range path {
		v0, v1 := t.span[2*i], t.span[2*i+1]
		first := t.slot(v0)
		last := first + int((v1-v0)/s.Pitch*float64(n)) + 1
		for k := first - 1; k <= min(last, first+n-2); k++ { // one more on either side, for rounding
			t.bin[(k+n)%n] = append(t.bin[(k+n)%n], int32(i))
		}
	}
	t.kmin = int(math.Floor(t.lo/s.Pitch)) - 1
	lines := int(math.Ceil(t.hi/s.Pitch)) + 1 - t.kmin + 1
	t.left, t.right = make([]float64, lines), make([]float64, lines)
	return t
}

// slot returns the bin of the offset at which a slat passes v.
func (t *tipping) slot(v float64) int {
	return min(int(offset(v, t.s.Pitch)/t.s.Pitch*float64(len(t.bin))), len(t.bin)-1)
}

// offset returns v modulo p in [0, p).
func offset(v, p float64) float64 {
	o := v - math.Floor(v/p)*p
	if !(o >= 0 && o < p) {
		return 0
	}
	return o
}

// events returns the offsets, ascending from 0, at which steps start.
func (t *tipping) events() []float64 {
	p := t.s.Pitch
	ev := make([]float64, 0, tipSteps+2*len(t.path)+1)
	for k := range tipSteps {
		ev = append(ev, p*float64(k)/tipSteps)
	}
	c := t.ctr.X
	if t.s.Along == AlongX {
		c = t.ctr.Y
	}
	ev = append(ev, offset(c, p))
	for _, v := range t.span {
		ev = append(ev, offset(v, p))
	}
	slices.Sort(ev)
	least := p * 1e-9
	if len(ev) > tipEvents {
		least = p / tipEvents
	}
	kept := ev[:1]
	for _, e := range ev[1:] {
		if e-kept[len(kept)-1] > least {
			kept = append(kept, e)
		}
	}
	return kept
}

// looseIn returns the length of the offsets in (a, b) at which the part is not
// held. The ends are looked at from just inside, where nothing is degenerate.
func (t *tipping) looseIn(a, b float64) float64 {
	w := b - a
	if w <= 0 {
		return 0
	}
	eps := 1e-6 * w
	var loose float64
	at := a
	x0, held0 := a+eps, t.held(a+eps)
	for _, x1 := range [2]float64{a + w/2, b - eps} {
		held1 := t.held(x1)
		if held0 != held1 {
			f, g := x0, x1
			for range 60 {
				m := (f + g) / 2
				if m <= f || m >= g || g-f < 1e-12*t.s.Pitch {
					break
				}
				if t.held(m) == held0 {
					f = m
				} else {
					g = m
				}
			}
			if !held0 {
				loose += g - at
			}
			at = g
		}
		x0, held0 = x1, held1
	}
	if !held0 {
		loose += b - at
	}
	return loose
}

// held reports whether the part is held with slats at offset s.
func (t *tipping) held(s float64) bool {
	for k := range t.left {
		t.left[k], t.right[k] = math.Inf(1), math.Inf(-1)
	}
	p := t.s.Pitch
	for _, i := range t.bin[t.slot(s)] {
		k0 := int(math.Ceil((t.span[2*i]-s)/p)) - t.kmin
		k1 := int(math.Floor((t.span[2*i+1]-s)/p)) - t.kmin
		for k := max(k0, 0); k <= min(k1, len(t.left)-1); k++ {
			t.cross(&t.path[i], k, s+float64(k+t.kmin)*p)
		}
	}
	return t.inside(s)
}

// cross widens line k by the crossings of the piece with the line at v.
func (t *tipping) cross(q *geom.Piece, k int, v float64) {
	add := func(u float64) {
		t.left[k], t.right[k] = min(t.left[k], u), max(t.right[k], u)
	}
	a, b, c := q.A, q.B, q.C
	if t.s.Along != AlongX {
		a, b, c = geom.Pt(a.Y, a.X), geom.Pt(b.Y, b.X), geom.Pt(c.Y, c.X)
	}
	if q.R == 0 {
		if a.Y == b.Y {
			return // along the line: its ends belong to its neighbours too
		}
		add(a.X + (b.X-a.X)*(v-a.Y)/(b.Y-a.Y))
		return
	}
	dv := v - c.Y
	if math.Abs(dv) > q.R {
		return
	}
	du := math.Sqrt(q.R*q.R - dv*dv)
	for _, d := range [2]float64{-du, du} {
		dir := geom.Pt(d, dv)
		if t.s.Along != AlongX {
			dir = geom.Pt(dv, d)
		}
		if q.SweepsOver(dir) {
			add(c.X + d)
		}
	}
}

// inside reports whether the centre of mass lies inside the hull of the
// crossings found, by more than the margin.
func (t *tipping) inside(s float64) bool {
	// The right ends from the bottom up, then the left ends from the top down: two
	// chains of a hull that runs counter-clockwise.
	h := t.hull[:0]
	for k, v := range t.right {
		if t.left[k] <= v {
			h = geom.PushHull(h, 0, geom.Pt(v, s+float64(k+t.kmin)*t.s.Pitch))
		}
	}
	start := len(h)
	for k, u := range slices.Backward(t.left) {
		if u <= t.right[k] {
			h = geom.PushHull(h, start, geom.Pt(u, s+float64(k+t.kmin)*t.s.Pitch))
		}
	}
	t.hull = h
	if start < 2 {
		return false // at most one slat
	}
	c := t.ctr
	if t.s.Along != AlongX {
		c = geom.Pt(c.Y, c.X)
	}
	for i, a := range h {
		b := h[(i+1)%len(h)]
		d := b.Sub(a)
		n := d.Norm()
		if n == 0 {
			continue
		}
		in := d.Cross(c.Sub(a)) / n
		if !(in > t.s.Margin) {
			return false
		}
		for _, q := range t.reach {
			if over := -d.Cross(q.Sub(a)) / n; !(in > t.s.Push*over) {
				return false
			}
		}
	}
	return true
}
