package diff

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"sluice/geom"
)

// cornerTries bounds how many corners of a shape are tried as the image of one
// corner of another.
const cornerTries = 512

// fit is a way to lay one shape on another.
type fit struct {
	lay   geom.Transform
	angle float64 // turn, radians, in (-pi, pi]
	gap   gap     // how far the two then are from each other
}

// baseOf scales a shape about its centre of mass and, if asked for, changes its
// left and right.
func baseOf(a *shape, scale float64, mirror bool) geom.Transform {
	base := geom.Identity()
	if scale != 1 {
		base = geom.Transform{XX: scale, YY: scale, T: a.centre.Mul(1 - scale)}
	}
	if mirror {
		base = base.Then(geom.MirrorX(a.centre.X))
	}
	return base
}

// align lays a on b within tol by scaling it, mirrored if asked for, turning and
// shifting it. Of several turns that do, the smallest is taken.
func align(a, b *shape, tol, eps, scale float64, mirror bool) (fit, bool) {
	base := baseOf(a, scale, mirror)
	lim := limits{eps, tol}
	for _, angle := range turns(a, b, tol, base) {
		f := fit{lay: laying(a, b, base, angle), angle: angle}
		if !near(a, b, f.lay, 50*tol) {
			continue
		}
		if g, ok := deviate(a.index(), b.index(), f.lay, lim); ok && g.dist <= tol {
			f.gap = g
			return f, true
		}
		if f = f.refined(a, b); !near(a, b, f.lay, 2*tol) {
			continue
		}
		if g, ok := deviate(a.index(), b.index(), f.lay, lim); ok && g.dist <= tol {
			f.gap = g
			return f, true
		}
	}
	return fit{}, false
}

// laying turns a about its centre and puts that on b's centre.
func laying(a, b *shape, base geom.Transform, angle float64) geom.Transform {
	return base.Then(geom.Turn(a.centre, angle)).Then(geom.Shift(b.centre.Sub(a.centre)))
}

// turns returns the turns that may lay a, after base, on b, the smallest first:
// base scales it to b's size.
func turns(a, b *shape, tol float64, base geom.Transform) []float64 {
	list := append([]float64{0}, momentTurns(a, b, base)...)
	list = append(list, cornerTurns(a, b, tol, base)...)
	for i, v := range list {
		list[i] = math.Remainder(v, 2*math.Pi)
	}
	slices.SortStableFunc(list, func(x, y float64) int {
		return cmp.Or(cmp.Compare(math.Abs(x), math.Abs(y)), cmp.Compare(y, x))
	})
	// Turns that move no point by more than a share of tol are one.
	same := tol / 16 / max(b.reach, tol)
	return slices.CompactFunc(list, func(x, y float64) bool { return math.Abs(x-y) <= same })
}

// momentTurns compares the directions of one moment of both shapes: the k-th
// fixes the turn up to k-ths of a full turn.
func momentTurns(a, b *shape, base geom.Transform) []float64 {
	p, q := *a.moments(), b.moments()
	if base.Mirrors() {
		for k := range p {
			p[k] = cmplx.Conj(p[k])
			if k%2 == 1 {
				p[k] = -p[k]
			}
		}
	}
	var most float64
	for k := 1; k <= orders; k++ {
		most = max(most, cmplx.Abs(p[k]))
	}
	if most < 1e-3 {
		return nil // round, or symmetric in more ways than there are moments
	}
	for k := 1; k <= orders; k++ {
		if cmplx.Abs(p[k]) < 0.3*most {
			continue
		}
		first := (cmplx.Phase(q[k]) - cmplx.Phase(p[k])) / float64(k)
		list := make([]float64, k)
		for j := range list {
			list[j] = first + 2*math.Pi*float64(j)/float64(k)
		}
		return list
	}
	return nil
}

// cornerTurns returns the turns that bring the corner of a that is furthest from
// its centre to the corners of b as far out. It finds the turns of wheels with
// more teeth than there are moments.
func cornerTurns(a, b *shape, tol float64, base geom.Transform) []float64 {
	var far geom.Point
	for i := range a.rings {
		if len(a.rings[i].path) < 2 {
			continue // a circle has no corner
		}
		for _, p := range a.rings[i].path {
			if d := base.Apply(p.A).Sub(a.centre); d.Norm() > far.Norm()+tol {
				far = d
			}
		}
	}
	r := far.Norm()
	if !(r > tol) {
		return nil
	}
	var list []float64
	for i := range b.rings {
		if len(b.rings[i].path) < 2 {
			continue
		}
		for _, p := range b.rings[i].path {
			d := p.A.Sub(b.centre)
			if math.Abs(d.Norm()-r) > 2*tol {
				continue
			}
			if list = append(list, geom.TurnTo(far, d)); len(list) == cornerTries {
				return list
			}
		}
	}
	return list
}

// near tells in a few steps whether a, laid by t, may lie within far of b.
func near(a, b *shape, t geom.Transform, far float64) bool {
	to, hint := b.index(), int32(-1)
	step := max(1, len(a.index().Pieces)/8)
	for i := 0; i < len(a.index().Pieces); i += step {
		p := &a.index().Pieces[i]
		for _, at := range [2]geom.Point{p.A, p.Mid()} {
			d, n := to.NearestFrom(t.Apply(at), hint)
			if d > far {
				return false
			}
			hint = n
		}
	}
	return true
}

// refined turns and shifts a fit so that the ends and middles of a's pieces come
// to lie as near as can be to b, by least squares: three rounds of nearest points
// and of the turn and shift that fit them best.
func (f fit) refined(a, b *shape) fit {
	pieces := a.index().Pieces
	step := max(1, len(pieces)/256)
	for range 3 {
		var from, to []geom.Point
		hint := int32(-1)
		for i := 0; i < len(pieces); i += step {
			for _, s := range [3]float64{0, 1.0 / 3, 2.0 / 3} {
				p := f.lay.Apply(pieces[i].At(s))
				_, n := b.index().NearestFrom(p, hint)
				hint = n
				q, _ := b.index().Pieces[n].Nearest(p)
				from, to = append(from, p), append(to, q)
			}
		}
		var mf, mt geom.Point
		for i := range from {
			mf, mt = mf.Add(from[i]), mt.Add(to[i])
		}
		mf, mt = mf.Mul(1/float64(len(from))), mt.Mul(1/float64(len(to)))
		var dot, cross float64
		for i := range from {
			u, v := from[i].Sub(mf), to[i].Sub(mt)
			dot, cross = dot+u.Dot(v), cross+u.Cross(v)
		}
		turn := math.Atan2(cross, dot)
		f.lay = f.lay.Then(geom.Turn(mf, turn)).Then(geom.Shift(mt.Sub(mf)))
		f.angle = math.Remainder(f.angle+turn, 2*math.Pi)
	}
	return f
}
