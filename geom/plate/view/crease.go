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
			if a.solid == b.solid || !a.box.Overlaps(b.box) || math.Abs(a.normal.Dot(b.normal)) > 0.999 {
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
	var cuts []plate.Vec
	for i := range p.rings {
		r := &p.rings[i]
		for k, v := range r.v {
			w := r.v[(k+1)%len(r.v)]
			if dv, dw := b.side(v), b.side(w); (dv > 0) != (dw > 0) {
				cuts = append(cuts, v.Add(w.Sub(v).Mul(dv/(dv-dw))))
			}
		}
	}
	slices.SortStableFunc(cuts, func(x, y plate.Vec) int { return cmp.Compare(along.Dot(x), along.Dot(y)) })
	for i := 0; i+1 < len(cuts); i += 2 {
		from, to := cuts[i], cuts[i+1]
		l := to.Sub(from).Norm()
		n := min(int(math.Ceil(2*l)), 400) // about every half mm
		begun := -1
		for k := 0; k <= n; k++ {
			in := k < n && b.has(from.Add(along.Mul(l*(float64(k)+0.5)/float64(n))).Add(out))
			switch {
			case in && begun < 0:
				begun = k
			case !in && begun >= 0:
				p.creases = append(p.creases, crease{b.solid, [2]plate.Vec{
					from.Add(along.Mul(l * float64(begun) / float64(n))), from.Add(along.Mul(l * float64(k) / float64(n)))}})
				begun = -1
			}
		}
	}
}

// has reports whether a place in a polygon's plane lies in it.
func (p *poly) has(v plate.Vec) bool {
	u := p.rings[0].v[1].Sub(p.rings[0].v[0]).Unit()
	w := p.normal.Cross(u)
	x, y := u.Dot(v), w.Dot(v)
	in := false
	for i := range p.rings {
		r := p.rings[i].v
		for k, a := range r {
			b := r[(k+1)%len(r)]
			ax, ay, bx, by := u.Dot(a), w.Dot(a), u.Dot(b), w.Dot(b)
			if (ax <= x) != (bx <= x) && y < ay+(by-ay)*(x-ax)/(bx-ax) {
				in = !in
			}
		}
	}
	return in
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
