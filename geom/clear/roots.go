package clear

import "math"

// falsePosition narrows down a change of sign between a and b (Illinois method:
// the value kept at an end is halved when that end stays twice).
type falsePosition struct {
	a, b   float64
	fa, fb float64
	last   int
}

// next returns where to look next.
func (x *falsePosition) next() float64 {
	t := (x.a*x.fb - x.b*x.fa) / (x.fb - x.fa)
	if !(t > x.a && t < x.b) {
		return (x.a + x.b) / 2
	}
	return t
}

// put takes the value at t and reports whether t becomes the lower end.
func (x *falsePosition) put(t, f float64) (low bool) {
	if f < 0 == (x.fa < 0) {
		x.a, x.fa = t, f
		if x.last == 1 {
			x.fb /= 2
		}
		x.last = 1
		return true
	}
	x.b, x.fb = t, f
	if x.last == -1 {
		x.fa /= 2
	}
	x.last = -1
	return false
}

// exchange finds the discs just before and just after the place where the
// partner of a gives way to that of b, if no third site comes in. It follows the
// two radii, which takes no search of the tree, and looks at the place once.
func (f *flood) exchange(a, b disc, length float64) (lo, hi disc, ok bool) {
	x := falsePosition{a: a.t, b: b.t}
	var have bool
	if x.fa, have = f.difference(a.site, a.t, a.partner, b.partner); !have {
		return a, b, false
	}
	if x.fb, have = f.difference(a.site, b.t, a.partner, b.partner); !have || x.fa < 0 == (x.fb < 0) {
		return a, b, false
	}
	for range 30 {
		t := x.next()
		d, have := f.difference(a.site, t, a.partner, b.partner)
		if !have {
			return a, b, false
		}
		x.put(t, d)
		if math.Abs(d) < 1e-13 || (x.b-x.a)*length < 1e-10 {
			break
		}
	}
	t := x.next()
	step := 0.4e-9 / length
	lo, okLo := f.touching(a.site, max(t-step, a.t), f.r)
	hi, okHi := f.touching(a.site, min(t+step, b.t), f.r)
	return lo, hi, okLo && okHi && lo.partner == a.partner && hi.partner == b.partner && lo.t < hi.t
}

// difference returns how much larger the disc at share t of a site is when it
// touches only partner p than when it touches only q; discs beyond twice the
// limit, or that miss the partner, count as that large. It is not known where
// both are.
func (f *flood) difference(site int32, t float64, p, q int32) (float64, bool) {
	at, n := f.at(site, t)
	most := 2 * f.r
	one := func(partner int32) float64 {
		d := disc{p: at, rho: most, partner: -1}
		if partner%2 == 0 {
			f.touchVertex(&d, n, partner/2)
		} else {
			f.touchPiece(&d, n, partner/2)
		}
		return d.rho
	}
	v, w := one(p), one(q)
	return v - w, min(v, w) < most
}
