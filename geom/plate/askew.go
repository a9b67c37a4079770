package plate

import "sluice/geom"

// askew returns the area that the sections of two plates have in common where they cross
// at an angle. The spans of each lie along its middle; to says where the second's way
// along and its way across go as the first sees them.
func askew(sa []float64, ta float64, sb []float64, tb float64, to [2]geom.Point) (sum float64) {
	for i := 0; i+1 < len(sa); i += 2 {
		for k := 0; k+1 < len(sb); k += 2 {
			var buf [2][12]geom.Point
			poly := buf[0][:0]
			for _, c := range [4][2]float64{{sb[k], -tb / 2}, {sb[k+1], -tb / 2}, {sb[k+1], tb / 2}, {sb[k], tb / 2}} {
				poly = append(poly, to[0].Mul(c[0]).Add(to[1].Mul(c[1])))
			}
			into := buf[1][:0]
			for _, side := range [4]struct {
				n geom.Point
				d float64
			}{{geom.Pt(1, 0), sa[i+1]}, {geom.Pt(-1, 0), -sa[i]}, {geom.Pt(0, 1), ta / 2}, {geom.Pt(0, -1), ta / 2}} {
				into = clip(into[:0], poly, side.n, side.d)
				poly, into = into, poly
			}
			if len(poly) > 2 {
				a := signedArea(poly)
				sum += max(a, -a)
			}
		}
	}
	return sum
}

// clip appends what of a convex polygon lies at most d along n.
func clip(out, poly []geom.Point, n geom.Point, d float64) []geom.Point {
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		x, y := p.Dot(n)-d, q.Dot(n)-d
		if x <= 0 {
			out = append(out, p)
		}
		if x*y < 0 {
			out = append(out, p.Add(q.Sub(p).Mul(x/(x-y))))
		}
	}
	return out
}
