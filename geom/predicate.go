package geom

import (
	"math"
	"math/big"
)

// orientBound is Shewchuk's static bound on the rounding error of the
// floating-point orientation determinant, relative to the sum of the absolute
// values of its two products: (3 + 16 eps) eps with eps = 2^-53 (J. R. Shewchuk,
// "Adaptive Precision Floating-Point Arithmetic and Fast Robust Geometric
// Predicates", 1997, section 4).
const orientBound = (3 + 16*0x1p-53) * 0x1p-53

// Orient returns +1 where c lies to the left of the line from a to b, -1 where
// it lies to the right, and 0 where the three points lie exactly on one line.
// The sign is exact for all finite coordinates: where the floating-point
// determinant is smaller than its own rounding error it is worked out again with
// math/big.
func Orient(a, b, c Point) int {
	l := (a.X - c.X) * (b.Y - c.Y)
	r := (a.Y - c.Y) * (b.X - c.X)
	det := l - r
	if bound := orientBound * (math.Abs(l) + math.Abs(r)); det > bound || -det > bound {
		return sign(det)
	}
	return orientExact(a, b, c)
}

func orientExact(a, b, c Point) int {
	if !a.Finite() || !b.Finite() || !c.Finite() {
		return 0
	}
	f := func(v float64) *big.Float { return new(big.Float).SetPrec(2200).SetFloat64(v) } // wide enough for any two doubles
	sub := func(x, y float64) *big.Float { return f(0).Sub(f(x), f(y)) }
	l := f(0).Mul(sub(a.X, c.X), sub(b.Y, c.Y))
	r := f(0).Mul(sub(a.Y, c.Y), sub(b.X, c.X))
	return l.Cmp(r)
}

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}
