package view

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom/plate"
)

// near is how far, mm, places may be off a plane and still lie in it. It is above the
// noise of poses and below the play of joints.
const near = 0.02

// spans reports whether a polygon has places behind and in front of a plane.
func (p *poly) spans(of *poly) (behind, front bool) {
	// The box first: it decides most cases.
	mid, half := -of.at, 0.0
	for k := range 3 {
		mid += of.normal[k] * (p.lo[k] + p.hi[k]) / 2
		half += math.Abs(of.normal[k]) * (p.hi[k] - p.lo[k]) / 2
	}
	if mid-half > near {
		return false, true
	}
	if mid+half < -near {
		return true, false
	}
	if math.Abs(mid)+half <= near {
		return false, false
	}
	for i := range p.rings {
		for _, v := range p.rings[i].v {
			d := of.side(v)
			behind = behind || d < -near
			front = front || d > near
			if behind && front {
				return
			}
		}
	}
	return
}

// cuts counts how often the outline of a polygon goes through a plane.
func (p *poly) cuts(of *poly) (n int) {
	for i := range p.rings {
		r := &p.rings[i]
		for k, v := range r.v {
			if (of.side(v) > 0) != (of.side(r.v[(k+1)%len(r.v)]) > 0) {
				n++
			}
		}
	}
	return n
}

// chain is a run of a ring on one side of a plane, from where it comes through the plane
// to where it goes back.
type chain struct {
	v    []plate.Vec
	line []bool
	used bool
}

// end is where a chain begins or ends, along the line in which the planes cross.
type end struct {
	t     float64
	chain int
	last  bool
}

// split cuts a polygon along a plane. Either side may come out empty, where it is thinner
// than what counts as in the plane.
func (p *poly) split(of *poly, c *Camera) (behind, front *poly) {
	return p.half(of, c, false), p.half(of, c, true)
}

// half returns what of a polygon lies on one side of a plane, nil for nothing. Edges that
// lie in the plane belong to both sides, or they would not be drawn.
func (p *poly) half(of *poly, c *Camera, front bool) *poly {
	out := &poly{solid: p.solid, tone: p.tone, normal: p.normal, at: p.at}
	along := p.normal.Cross(of.normal).Unit()
	depth := func(v plate.Vec) float64 { // how far inside
		if front {
			return of.side(v) + near/2
		}
		return near/2 - of.side(v)
	}
	inside := func(v plate.Vec) bool { return depth(v) > 0 }
	var chains []chain
	for i := range p.rings {
		r := &p.rings[i]
		n := len(r.v)
		start := -1 // a place inside after one outside
		for k := range n {
			if inside(r.v[(k+1)%n]) && !inside(r.v[k]) {
				start = k
				break
			}
		}
		if start < 0 {
			if inside(r.v[0]) {
				out.rings = append(out.rings, ring{v: r.v, line: r.line})
			}
			continue
		}
		for k := range n {
			i, j := (start+k)%n, (start+k+1)%n
			a, b := r.v[i], r.v[j]
			if inside(a) != inside(b) {
				da, db := depth(a), depth(b)
				cut := a.Add(b.Sub(a).Mul(da / (da - db)))
				if inside(b) {
					chains = append(chains, chain{v: []plate.Vec{cut}, line: []bool{r.line[i]}})
				} else {
					last := &chains[len(chains)-1]
					last.v = append(last.v, cut)
				}
			}
			if inside(b) {
				last := &chains[len(chains)-1]
				last.v, last.line = append(last.v, b), append(last.line, r.line[j])
			}
		}
	}
	out.rings = append(out.rings, linked(chains, along)...)
	out.rings = slices.DeleteFunc(out.rings, func(r ring) bool { return len(r.v) < 3 })
	if len(out.rings) == 0 {
		return nil
	}
	out.draw(c)
	if behind, infront := out.spans(of); !behind && !front || !infront && front {
		return nil // no more than what lies in the plane
	}
	out.creases = keep(p.creases, of, front)
	return out
}

// linked joins chains along the plane: of their ends, sorted along it, every other gap is
// inside the polygon.
func linked(chains []chain, along plate.Vec) (out []ring) {
	var ends []end
	for i := range chains {
		c := &chains[i]
		ends = append(ends, end{along.Dot(c.v[0]), i, false}, end{along.Dot(c.v[len(c.v)-1]), i, true})
	}
	slices.SortStableFunc(ends, func(a, b end) int { return cmp.Compare(a.t, b.t) })
	mate := make([][2]int, len(chains)) // by chain: the end that meets its first, and its last
	for i := 0; i+1 < len(ends); i += 2 {
		for _, x := range [2][2]int{{i, i + 1}, {i + 1, i}} {
			k := 0
			if ends[x[0]].last {
				k = 1
			}
			mate[ends[x[0]].chain][k] = x[1]
		}
	}
	for i := range chains {
		if chains[i].used {
			continue
		}
		var r ring
		backwards := false
		for k := i; !chains[k].used; {
			c := &chains[k]
			c.used = true
			v, line := slices.Clone(c.v), append(slices.Clone(c.line), false)
			leave := 1
			if backwards {
				slices.Reverse(v)
				slices.Reverse(c.line)
				line = append(slices.Clone(c.line), false)
				leave = 0
			}
			r.v, r.line = append(r.v, v...), append(r.line, line...)
			next := ends[mate[k][leave]]
			k, backwards = next.chain, next.last
		}
		out = append(out, r)
	}
	return out
}
