package view

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
)

// crease is a line on a face in which another plate meets it: where a plate goes through
// a slot, none of its own edges is there to be drawn.
type crease struct {
	with int // the other plate
	ends [2]plate.Vec
}

// beside is how far, mm, the other plate may be from the face in a crease: the play of a
// slot.
const beside = 0.3

// creased finds the creases on all faces.
func (m *painter) creased() {
	byX := slices.Clone(m.all)
	slices.SortStableFunc(byX, func(a, b *poly) int { return cmp.Compare(a.box.Min.X, b.box.Min.X) })
	for n, a := range byX {
		for _, b := range byX[n+1:] {
			if b.box.Min.X > a.box.Max.X {
				break
			}
			if a.solid == b.solid || !a.box.Overlaps(b.box) || a.clear(b) || math.Abs(a.normal.Dot(b.normal)) > 0.999 {
				continue
			}
			a.meets(b)
			b.meets(a)
		}
	}
}

// meets adds the creases in which another plate's face stands on a face: along the line
// in which their planes cross, where the other lies right before the face.
func (p *poly) meets(b *poly) {
	if behind, front := p.spans(b); !behind || !front {
		return
	}
	along := p.normal.Cross(b.normal).Unit()
	out := p.normal.Sub(b.normal.Mul(p.normal.Dot(b.normal))).Unit().Mul(beside) // in b's plane, away from the face
	mine := p.cutBy(b, -2*near, along)                                           // a little behind: what ends at the other has its own edge there
	theirs := b.cutBy(p, out.Dot(p.normal), along)
	at := p.foot(b, along)
	for i := 0; i+1 < len(mine); i += 2 {
		for k := 0; k+1 < len(theirs); k += 2 {
			from, to := max(mine[i], theirs[k]), min(mine[i+1], theirs[k+1])
			if to-from > near {
				p.creases = append(p.creases, crease{b.solid, [2]plate.Vec{at.Add(along.Mul(from)), at.Add(along.Mul(to))}})
			}
		}
	}
}

// clear reports whether polygons are too far from each other in space for a crease.
func (p *poly) clear(b *poly) bool {
	for k := range 3 {
		if p.hi[k] < b.lo[k]-beside || b.hi[k] < p.lo[k]-beside {
			return true
		}
	}
	return false
}

// cutBy returns where, along a direction, a polygon crosses the plane of another moved to
// its front by a distance: in pairs of in and out.
func (p *poly) cutBy(of *poly, by float64, along plate.Vec) (at []float64) {
	for i := range p.rings {
		r := &p.rings[i]
		for k, v := range r.v {
			w := r.v[(k+1)%len(r.v)]
			if dv, dw := of.side(v)-by, of.side(w)-by; (dv > 0) != (dw > 0) {
				at = append(at, along.Dot(v.Add(w.Sub(v).Mul(dv/(dv-dw)))))
			}
		}
	}
	slices.Sort(at)
	return at
}

// foot is the place nearest to the origin of the line in which planes cross.
func (p *poly) foot(b *poly, along plate.Vec) plate.Vec {
	x := b.normal.Cross(along).Mul(p.at).Add(along.Cross(p.normal).Mul(b.at))
	return x.Mul(1 / p.normal.Cross(b.normal).Norm())
}

// keep returns what of creases lies on one side of a plane. What lies in the plane counts
// as in front.
func keep(all []crease, of *poly, front bool) (out []crease) {
	for _, c := range all {
		da, db := of.side(c.ends[0]), of.side(c.ends[1])
		ina, inb := (da >= -near) == front, (db >= -near) == front
		switch {
		case ina && inb:
			out = append(out, c)
		case ina != inb:
			cut := c.ends[0].Add(c.ends[1].Sub(c.ends[0]).Mul(da / (da - db)))
			if ina {
				c.ends[1] = cut
			} else {
				c.ends[0] = cut
			}
			out = append(out, c)
		}
	}
	return out
}

// Seam is where other plates meet a patch.
type Seam struct {
	With  int // the other plate
	Lines [][]geom.Point
}

// seams gathers creases by the other plate.
func seams(list []*poly, c *Camera) (out []Seam) {
	for _, q := range list {
		for _, x := range q.creases {
			i := slices.IndexFunc(out, func(s Seam) bool { return s.With == x.with })
			if i < 0 {
				i = len(out)
				out = append(out, Seam{With: x.with})
			}
			out[i].Lines = append(out[i].Lines, []geom.Point{c.At(x.ends[0]), c.At(x.ends[1])})
		}
	}
	return out
}
