package assembly

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
)

// frame is how a shape is laid to be reckoned with: about its centre of area, along one of
// its joints, by what it is and not by how it is drawn. So a kit is put together in the
// same way however its drawing is moved, turned, mirrored or shuffled.
type frame struct {
	tr    geom.Transform
	order []int   // by feature as laid: which it is as drawn
	sig   []int64 // its features and outlines, the same of shapes alike
}

// Steps in which frames are compared: mm of lengths, sines of directions, shares of moments.
const (
	stepLength = 0.05
	stepTurn   = 0.02
	stepMoment = 0.002
)

// mostFrames bounds the joints alike along which a shape is laid to compare: what has more
// is round, and looks the same along each.
const mostFrames = 24

// stepped rounds to whole steps, from a place where no length that people draw lies on an edge.
func stepped(v, step float64) int64 { return int64(math.Round(v/step + 0.2739)) }

// frameOf returns the frame of a part with features.
func frameOf(of []feature, p *plate.Plate, middle geom.Point) frame {
	var best frame
	for _, i := range rarest(of, middle) {
		f := &of[i]
		for _, sx := range [2]float64{1, -1} {
			for _, sy := range [2]float64{1, -1} {
				if sy < 0 && !f.through {
					continue // out of the part is out of the part
				}
				u, v := geom.Pt(f.x[0], f.x[1]).Mul(sx), geom.Pt(f.y[0], f.y[1]).Mul(sy)
				tr := geom.Transform{XX: u.X, XY: u.Y, YX: v.X, YY: v.Y}
				tr.T = tr.Apply(middle).Mul(-1)
				x := framed(of, p, tr)
				if best.sig == nil || slices.Compare(x.sig, best.sig) < 0 {
					best = x
				}
			}
		}
	}
	return best
}

// rarest returns the features that fewest others are like as seen from the middle.
func rarest(of []feature, middle geom.Point) (best []int) {
	seen := map[[8]int64][]int{}
	var keys [][8]int64
	for i := range of {
		f := &of[i]
		d := geom.Pt(f.at[0], f.at[1]).Sub(middle)
		along, out := math.Abs(d.Dot(geom.Pt(f.x[0], f.x[1]))), math.Abs(d.Dot(geom.Pt(f.y[0], f.y[1])))
		k := [8]int64{int64(f.kind), whether(f.idle), whether(f.through), whether(f.edge >= 0), stepped(f.length, stepLength), stepped(f.behind, stepLength), stepped(along, stepLength), stepped(out, stepLength)}
		if seen[k] == nil {
			keys = append(keys, k)
		}
		seen[k] = append(seen[k], i)
	}
	slices.SortFunc(keys, func(a, b [8]int64) int {
		return cmp.Or(cmp.Compare(len(seen[a]), len(seen[b])), slices.Compare(a[:], b[:]))
	})
	best = seen[keys[0]]
	return best[:min(len(best), mostFrames)]
}

func whether(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

// framed returns the frame that a movement in the plane brings about.
func framed(of []feature, p *plate.Plate, tr geom.Transform) frame {
	out := frame{tr: tr}
	keys := make([][8]int64, len(of))
	for i := range of {
		f := moved(&of[i], tr)
		y := geom.Pt(f.y[0], f.y[1])
		if f.through { // either way round
			y = geom.Pt(math.Abs(y.X), math.Abs(y.Y))
		}
		keys[i] = [8]int64{int64(f.kind), whether(f.idle), whether(f.edge >= 0), stepped(f.length, stepLength), stepped(f.at[0], stepLength), stepped(f.at[1], stepLength), stepped(y.X, stepTurn), stepped(y.Y, stepTurn)}
		out.order = append(out.order, i)
	}
	slices.SortStableFunc(out.order, func(a, b int) int { return slices.Compare(keys[a][:], keys[b][:]) })
	for _, i := range out.order {
		out.sig = append(out.sig, keys[i][:]...)
	}
	out.sig = append(out.sig, moments(p, tr)...)
	return out
}

// moved returns a feature moved in the plane, with its directions signed by where they
// point: along is to the right of out, and out of a slot is either way.
func moved(f *feature, tr geom.Transform) feature {
	turned := func(v plate.Vec) plate.Vec {
		q := tr.Apply(geom.Pt(v[0], v[1])).Sub(tr.T)
		return plate.Vec{q.X, q.Y, v[2]}
	}
	out := *f
	out.x, out.y = turned(f.x), turned(f.y)
	at := tr.Apply(geom.Pt(f.at[0], f.at[1]))
	out.at = plate.Vec{at.X, at.Y, f.at[2]}
	if f.through && (out.y[0] < -sideways || out.y[0] < sideways && out.y[1] < 0) {
		out.y = out.y.Mul(-1)
	}
	if out.x[0]*out.y[1]-out.x[1]*out.y[0] < 0 {
		out.x, out.back = out.x.Mul(-1), !f.back
	}
	return out
}

// sideways is up to where a direction is across another.
const sideways = 1e-6

// moments returns the second and third moments of a plate, moved in the plane, as shares of
// what its area would have at its farthest corner.
func moments(p *plate.Plate, tr geom.Transform) (out []int64) {
	var sum [7]float64
	area, far := 0.0, 0.0
	for n, ring := range p.Rings {
		var own [8]float64 // the last is the area
		for i := range ring {
			a, b := tr.Apply(ring[i]), tr.Apply(ring[(i+1)%len(ring)])
			far = max(far, a.Norm())
			// Of the triangle from the middle to the side, exact to the third degree.
			w := a.Cross(b) / 2
			own[7] += w
			for k, q := range [4]geom.Point{a.Add(b).Mul(1.0 / 3), a.Mul(0.6).Add(b.Mul(0.2)), a.Mul(0.2).Add(b.Mul(0.6)), a.Add(b).Mul(0.2)} {
				share := w * 25 / 48
				if k == 0 {
					share = -w * 27 / 48
				}
				for k, v := range [7]float64{q.X * q.X, q.X * q.Y, q.Y * q.Y, q.X * q.X * q.X, q.X * q.X * q.Y, q.X * q.Y * q.Y, q.Y * q.Y * q.Y} {
					own[k] += share * v
				}
			}
		}
		sign := 1.0
		if (own[7] < 0) != (n > 0) { // what is around, less its holes, whichever way they run
			sign = -1
		}
		area += sign * own[7]
		for k := range sum {
			sum[k] += sign * own[k]
		}
	}
	if !(area > 0) {
		return nil
	}
	for k, v := range sum {
		n := far * far
		if k > 2 {
			n *= far
		}
		out = append(out, stepped(v/(area*n), stepMoment))
	}
	return out
}
