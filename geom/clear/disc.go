package clear

import (
	"math"

	"sluice/geom"
)

// near is the distance (mm) below which two points of an outline count as one.
const near = 1e-6

// disc is a largest disc of the measured side that touches the outline at a
// chosen point p: its radius is the smallest for which it touches a second
// site.
type disc struct {
	site    int32 // where it was asked for
	partner int32 // the second site it touches; site itself for an arc's own centre
	t, tq   float64
	p, q, c geom.Point // the touching points and the centre
	rho     float64    // radius, mm
	cos     float64    // cosine of the angle between the touching radii: -1 for opposite
	twin    int32      // index of the same disc seen from the partner
	about   int32      // the arc whose own centre stopped it, -1 if none
}

// opposed is the cosine of 150 degrees. Where the touching radii span less, the
// sides meet at more than 30 degrees, and what a disc leaves there is the
// rounding of a corner.
const opposed = -0.8660254037844386

// touching grows a disc at share t of a site until it touches another site, up
// to radius r. ok is false if it reaches r freely.
//
// For a touching point p with unit normal n the centre is p + rho n. It touches
// a line with unit normal m through a where m.(p-a) + rho m.n = rho, and a
// circle of centre c and radius R where |p + rho n - c| = R +- rho, which with
// d = p - c gives rho = (R^2 - d^2) / (2 (d.n +- R)); a point is a circle of
// radius 0.
func (s *shape) touching(site int32, t, r float64) (d disc, ok bool) {
	p, n := s.at(site, t)
	d = disc{site: site, partner: -1, t: t, p: p, rho: r, twin: -1, about: -1}
	self := site / 2
	before, after := int32(-1), int32(-1) // pieces that share p
	if site%2 == 0 {
		before, after = s.prev(self, s.runs[s.ring[self]]), self
	} else {
		q := &s.pieces[self]
		if q.R > 0 && q.Sweep > 0 && q.R < d.rho {
			d.rho, d.partner, d.tq, d.q, d.about = q.R, site, t, p, self
		}
		if q.A.Dist2(p) < near*near {
			before = s.prev(self, s.runs[s.ring[self]])
			if s.corner(self, r) {
				return s.inCorner(d, before, 1)
			}
			if !s.fan(self) {
				s.osculate(&d, before, 1)
			}
		}
		if q.B.Dist2(p) < near*near {
			after = s.next(self)
			if s.corner(after, r) {
				return s.inCorner(d, after, 0)
			}
			if !s.fan(after) {
				s.osculate(&d, after, 0)
			}
		}
	}
	s.grow(&d, n, self, before, after, site%2 == 0)
	if d.partner < 0 {
		return d, false
	}
	d.c = p.Add(n.Mul(d.rho))
	switch {
	case d.about >= 0:
		d.cos = math.Cos(min(math.Pi, s.swing(d.about)))
	case d.rho > 0:
		d.cos = d.p.Sub(d.c).Dot(d.q.Sub(d.c)) / (d.rho * d.rho)
	}
	if d.partner%2 == 0 {
		d.partner, d.tq = s.vertexShare(d.partner/2, d.c)
	}
	return d, true
}

// slack is half the width (mm) by which a slot may fall short of the limit.
const slack = 0.5e-6

// corner reports whether a disc of radius r leaves something uncovered at the
// start vertex of piece i: r (1/cos(turn/2) - 1) along the bisector.
func (s *shape) corner(i int32, r float64) bool {
	if s.turn[i] <= smoothTurn {
		return false
	}
	h := math.Cos(s.turn[i] / 2)
	return r*(1-h) > slack*h
}

// inCorner is the disc of radius 0 in the vertex shared with an adjacent piece.
func (s *shape) inCorner(d disc, adjacent int32, tq float64) (disc, bool) {
	d.partner, d.tq, d.rho = 2*adjacent+1, tq, 0
	d.q, d.c = d.p, d.p
	at := adjacent
	if tq == 1 {
		at = d.site / 2
	}
	d.cos = math.Cos(s.turn[at])
	return d, true
}

// osculate limits a disc at a smooth joint by the radius of the adjacent arc.
func (s *shape) osculate(d *disc, adjacent int32, tq float64) {
	q := &s.pieces[adjacent]
	if q.R > 0 && q.Sweep > 0 && q.R < d.rho && adjacent != d.site/2 {
		d.rho, d.partner, d.tq, d.q, d.about = q.R, 2*adjacent+1, tq, d.p, adjacent
	}
}

// swing returns the angle turned through by the arcs about one centre that
// follow each other, among them piece i.
func (s *shape) swing(i int32) float64 {
	p := &s.pieces[i]
	sum := p.Sweep
	run := s.runs[s.ring[i]]
	for _, step := range [2]func(int32) int32{s.next, func(j int32) int32 { return s.prev(j, run) }} {
		for j := step(i); j != i && sum < math.Pi; j = step(j) {
			q := &s.pieces[j]
			if q.R == 0 || q.Sweep < 0 || q.C.Dist(p.C) > near || math.Abs(q.R-p.R) > near {
				break
			}
			sum += q.Sweep
		}
	}
	return sum
}

// grow shrinks the disc d (normal n) to touch every piece that reaches into it.
// Pieces before and after share the point p, and cannot be touched elsewhere
// save at their far ends.
func (s *shape) grow(d *disc, n geom.Point, self, before, after int32, atVertex bool) {
	t := s.tree
	var buf [64]int32
	stack := append(buf[:0], t.Root)
	c := d.p.Add(n.Mul(d.rho))
	for len(stack) > 0 {
		nd := &t.Nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if nd.Box.PointDist2(c) >= d.rho*d.rho {
			continue
		}
		if nd.Left >= 0 {
			if t.Nodes[nd.Left].Box.PointDist2(d.p) < t.Nodes[nd.Right].Box.PointDist2(d.p) {
				stack = append(stack, nd.Right, nd.Left)
			} else {
				stack = append(stack, nd.Left, nd.Right)
			}
			continue
		}
		for i := nd.Lo; i < nd.Hi; i++ {
			if s.boxes[i].PointDist2(c) >= d.rho*d.rho {
				continue
			}
			was := d.rho
			if i != before && i != after && (i != self || atVertex) {
				s.touchPiece(d, n, i)
			}
			s.touchVertex(d, n, i)
			if d.rho < was {
				c = d.p.Add(n.Mul(d.rho))
			}
		}
	}
}

// touchVertex shrinks the disc to touch the start vertex of piece i.
func (s *shape) touchVertex(d *disc, n geom.Point, i int32) {
	v := s.pieces[i].A.Sub(d.p)
	along := v.Dot(n)
	if along <= 0 {
		return
	}
	v2 := v.Dot(v)
	if v2 >= 2*along*d.rho-gain || v2 < near*near {
		return
	}
	rho := v2 / (2 * along)
	if rho < d.rho-gain {
		d.rho, d.partner, d.q, d.tq, d.about = rho, 2*i, s.pieces[i].A, 0, -1
	}
}

// gain is the least difference in radius (mm) by which a later site replaces an
// earlier one; below it the two are touched at once.
const gain = 1e-10

// touchPiece shrinks the disc to touch the inside of piece i from the side that
// is measured.
func (s *shape) touchPiece(d *disc, n geom.Point, i int32) {
	f := &s.pieces[i]
	if f.R == 0 {
		m := s.n0[i]
		h := m.Dot(d.p.Sub(f.A))
		den := 1 - m.Dot(n)
		if h <= 0 || den < 1e-10 || h >= (d.rho-gain)*den {
			return
		}
		rho := h / den
		q := d.p.Add(n.Mul(rho)).Sub(m.Mul(rho))
		u := f.B.Sub(f.A)
		t := q.Sub(f.A).Dot(u) / u.Dot(u)
		if t >= -1e-12 && t <= 1+1e-12 {
			d.rho, d.partner, d.q, d.tq, d.about = rho, 2*i+1, q, min(max(t, 0), 1), -1
		}
		return
	}
	v := d.p.Sub(f.C)
	v2 := v.Dot(v)
	var num, den float64
	if f.Sweep > 0 {
		num, den = f.R*f.R-v2, 2*(v.Dot(n)+f.R)
	} else {
		num, den = v2-f.R*f.R, 2*(f.R-v.Dot(n))
	}
	if math.Abs(num) < 2e-7*f.R && math.Abs(den) < 2e-6*f.R {
		// On the arc's own circle: only its centre is a limit.
		if f.Sweep > 0 && f.R < d.rho-gain {
			d.rho, d.partner, d.q, d.tq, d.about = f.R, 2*i+1, f.A, 0, i
			if d.p.Dist2(f.B) < d.p.Dist2(f.A) {
				d.q, d.tq = f.B, 1
			}
		}
		return
	}
	if num <= 0 || den <= 0 || num >= (d.rho-gain)*den {
		return
	}
	rho := num / den
	dir := v.Add(n.Mul(rho))
	if dir.Norm() < 1e-9 {
		dir = v.Mul(-1) // concentric: the whole arc is touched
		if !f.SweepsOver(dir) {
			dir = f.Mid().Sub(f.C)
		}
	}
	if !f.SweepsOver(dir) {
		return
	}
	d.rho, d.partner, d.about = rho, 2*i+1, -1
	d.q, d.tq = f.C.Add(dir.Mul(f.R/dir.Norm())), f.ShareOf(dir)
}

// vertexShare returns the site and share at which a disc with centre c touches
// the start vertex of piece i.
func (s *shape) vertexShare(i int32, c geom.Point) (site int32, t float64) {
	if !s.fan(i) {
		return 2*i + 1, 0
	}
	from := s.n1[s.prev(i, s.runs[s.ring[i]])]
	a := geom.TurnTo(from, c.Sub(s.pieces[i].A))
	turn := s.turn[i]
	if a > 0 && a > (2*math.Pi+turn)/2 { // nearer to the far end of the fan
		a -= 2 * math.Pi
	}
	return 2 * i, min(max(a/turn, 0), 1)
}
