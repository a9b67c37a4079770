package view

import (
	"math"

	"sluice/geom"
	"sluice/geom/plate"
)

// ring is a closed run of places in one plane.
type ring struct {
	v    []plate.Vec
	flat []geom.Point // on the picture
	line []bool       // by corner: an edge of the plate runs from there to the next
}

// poly is a face of a plate, or part of one, that is turned to the viewer.
type poly struct {
	solid, tone int
	normal      plate.Vec // towards the viewer
	at          float64   // how far along the normal its plane lies
	rings       []ring
	creases     []crease
	box         geom.Box   // on the picture
	lo, hi      plate.Vec  // in space
	middle      geom.Point // a place inside, on the picture, once known
	known       bool
}

// painter gathers faces and orders them.
type painter struct {
	camera Camera
	all    []*poly
}

// side returns how far in front of a polygon's plane a place is, mm.
func (p *poly) side(v plate.Vec) float64 { return p.normal.Dot(v) - p.at }

// corner is the angle, radians, from which on a turn of an outline is an edge.
const corner = 20 * math.Pi / 180

// add adds the faces of a plate that are turned to the viewer.
func (m *painter) add(number int, s *Solid, tol float64) {
	top := s.Pose.R[2].Dot(m.camera.Near) > 0
	z, normal := s.Plate.Thickness, s.Pose.R[2]
	if !top {
		z, normal = 0, normal.Mul(-1)
	}
	face := &poly{solid: number, normal: normal, at: normal.Dot(s.Pose.Apply(plate.Vec{0, 0, z}))}
	for k, pts := range s.Plate.Rings {
		pts, turns := thin(pts, tol)
		if len(pts) < 3 {
			continue
		}
		if (area(pts) < 0) == (k == 0) { // outside counter-clockwise, holes clockwise
			reverse(pts, turns)
		}
		r := ring{}
		for _, q := range pts {
			r.v = append(r.v, s.Pose.Apply(plate.Flat(q, z)))
			r.line = append(r.line, true)
		}
		face.rings = append(face.rings, r)
		m.edge(number, s, pts, turns)
	}
	if normal.Dot(m.camera.Near) > 1e-6 && len(face.rings) > 0 {
		m.put(face)
	}
}

// edge adds the edge of a plate along a ring.
func (m *painter) edge(number int, s *Solid, pts []geom.Point, turns []bool) {
	n := len(pts)
	normals := make([]plate.Vec, n)
	seen := make([]bool, n)
	for i := range pts {
		d := pts[(i+1)%n].Sub(pts[i])
		normals[i] = s.Pose.Turn(plate.Vec{d.Y, -d.X, 0}).Unit()
		seen[i] = normals[i].Dot(m.camera.Near) > 1e-6
	}
	for i := range pts {
		if !seen[i] {
			continue
		}
		k := (i + 1) % n
		a, b := pts[i], pts[k]
		p := &poly{solid: number, normal: normals[i]}
		t := s.Plate.Thickness
		r := ring{line: []bool{true, turns[k] || !seen[k], true, turns[i] || !seen[(i+n-1)%n]}}
		for _, v := range [4]plate.Vec{plate.Flat(a, 0), plate.Flat(b, 0), plate.Flat(b, t), plate.Flat(a, t)} {
			r.v = append(r.v, s.Pose.Apply(v))
		}
		p.at = p.normal.Dot(r.v[0])
		p.rings = []ring{r}
		m.put(p)
	}
}

// light is where the light comes from: from above, the left and the front.
var light = plate.Vec{-0.45, -0.35, 0.82}

// put adds a polygon, with where it is on the picture.
func (m *painter) put(p *poly) {
	switch l := p.normal.Dot(light); {
	case l > 0.6:
		p.tone = 0
	case l > 0.1:
		p.tone = 1
	default:
		p.tone = 2
	}
	p.draw(&m.camera)
	m.all = append(m.all, p)
}

// draw works out where a polygon is, in space and on the picture.
func (p *poly) draw(c *Camera) {
	p.box = geom.NoBox()
	p.lo, p.hi = p.rings[0].v[0], p.rings[0].v[0]
	for i := range p.rings {
		r := &p.rings[i]
		r.flat = make([]geom.Point, len(r.v))
		for k, v := range r.v {
			r.flat[k] = c.At(v)
			for n := range 3 {
				p.lo[n], p.hi[n] = min(p.lo[n], v[n]), max(p.hi[n], v[n])
			}
		}
		p.box = p.box.Union(geom.BoxOf(r.flat...))
	}
}

// thin leaves places out of a ring that lie within tol of what is left, but no corners;
// turns tells which places are such.
func thin(pts []geom.Point, tol float64) (out []geom.Point, turns []bool) {
	var ring []geom.Point // without places that repeat
	for i, p := range pts {
		if !p.Finite() {
			return nil, nil
		}
		if d := p.Sub(pts[(i+1)%len(pts)]); math.Hypot(d.X, d.Y) > 1e-6 {
			ring = append(ring, p)
		}
	}
	n := len(ring)
	if n < 3 {
		return nil, nil
	}
	box := geom.BoxOf(ring...)
	tol = min(tol, max(box.W(), box.H())/40)
	is := make([]bool, n)
	first := -1
	for i := range ring {
		a, b := ring[i].Sub(ring[(i+n-1)%n]), ring[(i+1)%n].Sub(ring[i])
		is[i] = math.Abs(math.Atan2(a.Cross(b), a.Dot(b))) > corner
		if is[i] && first < 0 {
			first = i
		}
	}
	first = max(first, 0)
	for i := 0; i < n; {
		at := (first + i) % n
		out, turns = append(out, ring[at]), append(turns, is[at])
		j := i + 1
		for j < n && !is[(first+j)%n] && fits(ring, first+i, first+j+1, tol) {
			j++
		}
		i = j
	}
	return out, turns
}

// fits reports whether the places between two of a ring lie within tol of the line that
// joins those.
func fits(ring []geom.Point, from, to int, tol float64) bool {
	n := len(ring)
	a, b := ring[from%n], ring[to%n]
	d := b.Sub(a)
	l := math.Hypot(d.X, d.Y)
	for k := from + 1; k < to; k++ {
		p := ring[k%n].Sub(a)
		if l < 1e-9 && math.Hypot(p.X, p.Y) > tol || math.Abs(d.Cross(p)) > tol*l || p.Dot(d) < -tol*l || p.Dot(d) > l*(l+tol) {
			return false
		}
	}
	return true
}

func area(ring []geom.Point) (a float64) {
	for i := range ring {
		a += ring[i].Cross(ring[(i+1)%len(ring)])
	}
	return a / 2
}

// reverse turns a ring round.
func reverse(pts []geom.Point, turns []bool) {
	for i, k := 0, len(pts)-1; i < k; i, k = i+1, k-1 {
		pts[i], pts[k] = pts[k], pts[i]
		turns[i], turns[k] = turns[k], turns[i]
	}
}
