package geomtest

import (
	"math"

	"sluice/geom"
	"sluice/geom/plate"
)

// Solid is a plate in space as a heap of points, and as rings to test points against. It
// shares nothing with how plates are compared elsewhere.
type Solid struct {
	rings     [][]geom.Point
	thickness float64
	pose      plate.Pose
	points    []plate.Vec // inside it by a tolerance, in space
	lo, hi    plate.Vec
	tol       float64
}

// NewSolid makes a plate of paths; its points lie deeper in it than tol, mm.
func NewSolid(paths []geom.Path, thickness float64, pose plate.Pose, tol float64) *Solid {
	s := &Solid{thickness: thickness, pose: pose, tol: tol}
	for _, p := range paths {
		s.rings = append(s.rings, p.Flatten(0.02))
	}
	deep := tol * 1.2
	heights := []float64{deep, thickness / 2, thickness - deep}
	s.lo, s.hi = plate.Vec{math.Inf(1), math.Inf(1), math.Inf(1)}, plate.Vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	put := func(p geom.Point) {
		if s.depth(p) < tol {
			return
		}
		for _, z := range heights {
			v := pose.Apply(plate.Flat(p, z))
			s.points = append(s.points, v)
			for k := range 3 {
				s.lo[k], s.hi[k] = min(s.lo[k], v[k]), max(s.hi[k], v[k])
			}
		}
	}
	box := geom.NoBox()
	for _, ring := range s.rings {
		for i := range ring {
			a, b := ring[i], ring[(i+1)%len(ring)]
			box = box.Union(geom.BoxOf(a))
			l := a.Dist(b)
			if l < 1e-9 {
				continue
			}
			in := b.Sub(a).Unit().Left().Mul(deep)
			n := 2 + int(l/(thickness/2))
			for k := range n + 1 {
				at := a.Lerp(b, min(1-deep/l, max(deep/l, float64(k)/float64(n))))
				put(at.Add(in))
				put(at.Sub(in))
			}
		}
	}
	for x := box.Min.X; x < box.Max.X; x += 1.7 * thickness {
		for y := box.Min.Y; y < box.Max.Y; y += 1.7 * thickness {
			put(geom.Pt(x, y))
		}
	}
	return s
}

// depth returns how deep a place in the plane is in the plate, negative outside.
func (s *Solid) depth(p geom.Point) float64 {
	in, d := false, math.Inf(1)
	for _, ring := range s.rings {
		for i := range ring {
			a, b := ring[i], ring[(i+1)%len(ring)]
			if (a.Y <= p.Y) != (b.Y <= p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
				in = !in
			}
			ab := b.Sub(a)
			if l := ab.Dot(ab); l > 0 {
				d = min(d, p.Dist(a.Add(ab.Mul(min(1, max(0, p.Sub(a).Dot(ab)/l))))))
			}
		}
	}
	if !in {
		return -d
	}
	return d
}

// Passes reports whether a plate can move along a direction from far away to its place
// without going through another.
func (s *Solid) Passes(o *Solid, along plate.Vec) bool {
	for k := range 3 { // what it comes through, as boxes
		if along[k] > -1e-9 && o.lo[k] > s.hi[k] || along[k] < 1e-9 && o.hi[k] < s.lo[k] {
			return true
		}
	}
	return !o.met(s.points, along.Mul(-1)) && !s.met(o.points, along)
}

// met reports whether one of points comes to lie in the plate as it moves along d.
func (s *Solid) met(points []plate.Vec, d plate.Vec) bool {
	back := s.pose.Back()
	v := back.Turn(d)
	flat := geom.Pt(v[0], v[1])
	for _, p := range points {
		q := back.Apply(p)
		t0, t1 := 0.0, 2000.0
		if math.Abs(v[2]) > 1e-9 {
			a, b := (s.tol-q[2])/v[2], (s.thickness-s.tol-q[2])/v[2]
			t0, t1 = max(t0, min(a, b)), min(t1, max(a, b))
		} else if q[2] < s.tol || q[2] > s.thickness-s.tol {
			continue
		}
		at := geom.Pt(q[0], q[1])
		far := t1
		if flat.Norm() > 1e-9 { // no further than the plate
			far = min(t1, 4000)
			var most float64
			for _, ring := range s.rings {
				for _, r := range ring {
					most = max(most, r.Sub(at).Dot(flat)/flat.Dot(flat))
				}
			}
			far = min(far, most)
		}
		for t := t0; t <= far; t += 0.4 * s.thickness {
			if s.depth(at.Add(flat.Mul(t))) > s.tol {
				return true
			}
			if flat.Norm() < 1e-9 {
				break
			}
		}
	}
	return false
}
