package plate

import (
	"math"
	"slices"

	"sluice/geom"
)

// Triangle is three corners in the plate's own space, counter-clockwise as seen from
// outside.
type Triangle [3]Vec

// Mesh returns the surface of a plate: both faces, cut into strips along upright lines,
// and the edge of each ring.
func (p *Plate) Mesh() (all []Triangle) {
	all = p.faces()
	up := Vec{0, 0, p.Thickness}
	for k, ring := range p.Rings {
		turned := signedArea(ring) < 0
		if k > 0 {
			turned = !turned // a hole is seen from within
		}
		for i := range ring {
			a, b := Flat(ring[i], 0), Flat(ring[(i+1)%len(ring)], 0)
			if turned {
				a, b = b, a
			}
			all = append(all, Triangle{a, b, b.Add(up)}, Triangle{a, b.Add(up), a.Add(up)})
		}
	}
	return all
}

// faces returns both faces.
func (p *Plate) faces() (all []Triangle) {
	xs := breaks(p, nil, p.Box.Min.Y, p.Box.Max.Y)
	slices.Sort(xs)
	xs = slices.CompactFunc(xs, func(a, b float64) bool { return math.Abs(b-a) < 1e-9 })
	for i := 0; i+1 < len(xs); i++ {
		all = append(all, p.strip(xs[i], xs[i+1])...)
	}
	return all
}

// strip returns both faces between two upright lines, between which edges run straight.
func (p *Plate) strip(x0, x1 float64) (all []Triangle) {
	e := (x1 - x0) * 1e-9
	left, right := spans(p, x0+e), spans(p, x1-e)
	if len(left) != len(right) {
		return nil // thinner than a hair
	}
	t := p.Thickness
	for i := 0; i+1 < len(left); i += 2 {
		a, b := geom.Pt(x0, left[i]), geom.Pt(x1, right[i])
		c, d := geom.Pt(x1, right[i+1]), geom.Pt(x0, left[i+1])
		for _, q := range [2][3]geom.Point{{a, b, c}, {a, c, d}} {
			if q[1].Sub(q[0]).Cross(q[2].Sub(q[0])) <= 0 {
				continue
			}
			all = append(all, Triangle{Flat(q[0], t), Flat(q[1], t), Flat(q[2], t)}, Triangle{Flat(q[2], 0), Flat(q[1], 0), Flat(q[0], 0)})
		}
	}
	return all
}

func signedArea(ring []geom.Point) (a float64) {
	for i := range ring {
		a += ring[i].Cross(ring[(i+1)%len(ring)])
	}
	return a / 2
}
